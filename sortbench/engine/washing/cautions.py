"""Cautions at the step where they matter, each with where it comes from.

They are reminders, no instructions: the label of the product in hand, local rules and licensed practice come first.
A caution that rests on no source says so; a value that was recalled and not read again says that.
"""

from __future__ import annotations

from typing import NamedTuple

from sortbench.model.errors import DataError

PRACTICE = "common practice, no source"
"""What a caution says that nobody published as far as known."""


class Caution(NamedTuple):
    """One reminder.

    Attributes:
        step: where it matters, one of ``STEPS``.
        words: what to mind, and why.
        source: what it rests on, or ``PRACTICE``.
    """

    step: str
    words: str
    source: str


NO_PROMISE = (
    "Nothing is promised: neither that pieces improve nor that they stay whole. How strong, how long and how warm is "
    "for the label, local rules and licensed practice to say: none is published that holds for these pieces."
)
"""What comes first wherever a treatment is spoken of."""

STEPS = ("pull", "soak", "rinse", "spin", "scrub", "drying", "treat", "photo")
"""Steps that have cautions, in the order of the work."""

_DEFERS = (
    "The label and safety data sheet of the product in hand, local rules and licensed practice come first. "
    "This is a reminder, no advice for your case."
)
_SOFTENS = (
    "generic ABS materials record: heat deflection 77-104 °C at 1.8 MPa, highest service temperature 62-77 °C "
    "(estimated); one generic ABS datasheet: Vicat softening point (ASTM D1525) 95 °C, in use up to 60 °C. "
    "40 °C is a judgement of this program, 20 K under the lowest of these, and no standard"
)
_SMALL = (
    "16 CFR 1501 (small-parts cylinder: text of 1501.4 read; its size of 31.7 mm across and 25.4 to 57.1 mm deep "
    "from memory)"
)
_MIX = (
    "general public-health advice, from memory; that peroxide and hypochlorite give off oxygen and heat was read in a "
    "public reference"
)
_UV = (
    "ICNIRP limits for 8 hours, as a lamp maker's manual quotes them: 30 J/m2 effective (180-400 nm, eye and skin) and "
    "10,000 J/m2 (315-400 nm, eye); EU directive 2006/25/EC has the same"
)

_BY_STEP: dict[str, tuple[tuple[str, str], ...]] = {
    "pull": (
        ("Tip dusty pieces out where air moves, and wear a mask: dust may hold mould, droppings or hair.", PRACTICE),
        ("Broken pieces have sharp edges: do not reach into the heap blindly.", PRACTICE),
        (
            "Keep electric parts dry: out of the tub, batteries out first; a leaked cell is handled with gloves and "
            "disposed of by local rules.",
            PRACTICE,
        ),
        (
            "Small parts choke: what fits the small-parts cylinder stays away from children under three and from pets.",
            _SMALL,
        ),
    ),
    "soak": (
        (
            "Warm, not hot, at most about 40 °C: hot water may bend or dull pieces, and not every piece is ABS. "
            "Cloth, print and glue bear less.",
            _SOFTENS,
        ),
        (
            "Hot water and hands: water of 60 °C burns skin within seconds. Use a thermometer, not a hand.",
            "Moritz and Henriques 1947, from memory",
        ),
        ("Dish soap without bleach, and little of it; other cleaners may dull print and plastic.", PRACTICE),
        (
            "Never mix cleaning products: chlorine bleach with acid, ammonia or peroxide gives off poisonous gas, "
            "or gas and heat.",
            _MIX,
        ),
        ("Keep electric parts dry, and plugs and lamps away from the tub.", PRACTICE),
        (
            "Never leave a filled tub alone with small children: the water is a danger, and so are small parts.",
            _SMALL + "; for the water " + PRACTICE,
        ),
        ("Gloves for sore or sensitive skin: an hour of soapy water dries hands out.", PRACTICE),
    ),
    "rinse": (
        ("Rinse over a colander, with the drain covered: small pieces leave by it.", PRACTICE),
        ("Rinse until no soap is left: its residue draws dust and spoils readings of colour.", PRACTICE),
        ("Lukewarm water, at most about 40 °C.", _SOFTENS),
    ),
    "spin": (
        ("Spin little at a time and stop it before a hand goes in; long and thin pieces may snap.", PRACTICE),
        ("Dry hands at plugs and switches, and no electric spinner beside the tub.", PRACTICE),
    ),
    "scrub": (
        ("A soft sponge or brush, no scouring powder: scratches stay, and they hold dirt.", PRACTICE),
        (
            "No solvents: acetone and its like dissolve ABS, and their vapour catches fire.",
            "from memory",
        ),
        (
            "Never mix cleaning products: chlorine bleach with acid, ammonia or peroxide gives off poisonous gas, "
            "or gas and heat.",
            _MIX,
        ),
        ("Print, stickers and cloth are wiped, not scrubbed; try on a hidden spot first.", PRACTICE),
        ("Keep electric parts dry: a dry brush, no water.", PRACTICE),
    ),
    "drying": (
        (
            "No oven, no hot radiator, no tumble dryer, no sun behind glass: at most about 40 °C.",
            _SOFTENS,
        ),
        ("Spread pieces in one layer where air moves, hollows downward; turn foliage and deep ones.", PRACTICE),
        ("Put nothing damp into closed boxes: mould grows there.", PRACTICE),
        (
            "A tray that lost its last visible drop still loses mass: the plastic itself took up water, 0.3 % of its "
            "mass in 24 hours and 0.7 % at most.",
            "ASTM D570 on one generic ABS datasheet",
        ),
        ("Fans and heaters stand dry, away from dripping trays and wet hands.", PRACTICE),
        ("Trays within reach hold small parts: keep them from children under three and from pets.", _SMALL),
    ),
    "treat": (
        (NO_PROMISE, "no such figure was found in print"),
        (
            "Pieces may come out as they were or blotched, and plastic may turn brittle, now or weeks later: replace "
            "them where they can be had, and begin with pieces that can be spared.",
            PRACTICE,
        ),
        (
            "Goggles that close and gloves of the kind that the safety data sheet names, also while pouring. "
            "On skin or in eyes: rinse at once and long, and get medical help for eyes.",
            "CLP precautionary statements P280 and P305+P351+P338, as a public registry lists them",
        ),
        (
            "Fresh air: no vapour or mist breathed in, no spraying.",
            "CLP precautionary statement P261, as a public registry lists it",
        ),
        (
            "Nothing that burns near it, no rags or paper soaked with it: peroxide makes fires fiercer.",
            "CLP precautionary statement P220, as a public registry lists it",
        ),
        (
            "A lid that lets gas out, never a closed bottle or bag: the bath gives off oxygen, 10 litres from a litre "
            "of 10 volumes.",
            "volume strength by its definition; the vented lid " + PRACTICE,
        ),
        ("No metal containers, tools or parts: metals make peroxide break down, with gas and heat.", PRACTICE),
        (
            "Never mix peroxide with other cleaning products, above all not with chlorine bleach, acid or ammonia.",
            _MIX,
        ),
        (
            "UV lamps and eyes: nobody looks at a lamp that is on, and skin is covered. At 10 W/m2 of UV-A an eye has "
            "its share of 8 hours after 1,000 s; a lamp of risk group 3 (IEC 62471) is over a limit sooner than that.",
            _UV,
        ),
        (
            "Keep the bath under about 40 °C, out of the sun and away from heaters: warmth softens and speeds "
            "everything up.",
            _SOFTENS,
        ),
        (
            "Label the container with what is in it, its strength and the date; out of reach of children and pets, "
            "away from food, never in a drinks bottle, never poured back into the stock bottle.",
            PRACTICE,
        ),
        (
            "Above 12 % w/w nobody of the general public may have, carry or use it in the EU without a licence; other "
            "countries have rules of their own.",
            "Regulation (EU) 2019/1148 (12 % read in a summary; that licences end at 35 % w/w from memory)",
        ),
        ("What is left over is disposed of by local rules.", PRACTICE),
    ),
    "photo": (
        (
            "Switch UV lamps off before looking or taking a picture: they hurt eyes, and make pieces and paper glow.",
            _UV + "; the glow " + PRACTICE,
        ),
        ("Rinse and dry treated pieces before they are handled for a picture.", PRACTICE),
        ("Hot lamps stand away from pieces and paper.", PRACTICE),
    ),
}


def cautions_for(step: str) -> tuple[Caution, ...]:
    """What to mind at a step; the last one says that label, local rules and licensed practice come first.

    Raises:
        DataError: no such step.
    """
    found = _BY_STEP.get(step)
    if found is None:
        raise DataError(f"{step[:20]!r} is no step that has cautions.", f"Known are {', '.join(STEPS)}.")
    return tuple(Caution(step, words, source) for words, source in (*found, (_DEFERS, PRACTICE)))
