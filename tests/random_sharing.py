"""Random cases of sharing, each from its seed: everything that can bear on it, at sizes that come up in small."""

from __future__ import annotations

import random
from collections.abc import Sequence

from reference_sharing import Case, Reserved

from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Policy, StandIn, Swap, SwapOf, Target, refusals_of

PARTS = ("arch-1x6", "brick-1x2", "plate-2x4", "slope45-2x2", "tile-1x1", "wedge-3x2")
SHADES = ("grey, early", "grey, late", "red", "yellow")
YEARS = (
    Years(1980, 1999),
    Years(1980, 1999),
    Years(1980, 1999),
    Years(1986, 1990),
    Years(1991, 1999),
    Years(1991, 1999),
    Years(1986, None),
    Years(),
)
GRADES = (None, Grade.G5, Grade.G5, Grade.G4_5, Grade.G4, Grade.G3_4, Grade.G3, Grade.G2, Grade.G1)
FLAWS: tuple[Flaws, ...] = ((), (), (), (Flaw.CRACKED,), (Flaw.CHIPPED,), flaws_of([Flaw.CRACKED, Flaw.WORN]))


def random_case(seed: int, *, small: bool = True) -> Case:
    """A case from its seed: 1 to 4 targets of up to 6 lines where small, else 1 to 8 of up to 40 lines in all.

    In one of three all is plain: no stand-ins, no kind twice on a list, no rank shared, hardly anything set aside. Such
    kinds are most of what a bench holds, and may well be shared in a simpler way.
    """
    chance = random.Random(seed)
    plain = chance.random() < 1 / 3
    parts = PARTS[: chance.choice((1, 1, 2, 3)) if small else chance.randint(1, len(PARTS))]
    shades = SHADES[: chance.choice((1, 1, 2, 3)) if small else chance.randint(1, len(SHADES))]
    kinds = [Kind(part, shade) for part in parts for shade in shades]
    catalogue = Catalogue(
        {part: Part(part, part, years=chance.choice(YEARS)) for part in parts},
        {shade: Shade(shade, years=chance.choice(YEARS)) for shade in shades if chance.random() < 0.95},
    )
    targets = _targets(chance, kinds, small, plain)
    codes = [target.code for target in targets]
    reserved: dict[Kind, Reserved] = {}
    for kind in kinds:
        if chance.random() < (0.03 if plain else 0.15):
            condition = chance.choice(GRADES), chance.choice(FLAWS)
            reserved[kind] = {condition: {code: chance.randint(1, 3) for code in chance.sample(codes, k=1)}}
            if chance.random() < 0.3:
                reserved[kind][condition][chance.choice(codes)] = 1  # type: ignore[index]
    return Case(
        targets,
        catalogue,
        {kind: random_cells(chance, kind, codes, small) for kind in kinds},
        () if plain else _swaps(chance, parts, shades),
        chance.choice(list(Policy)),
        reserved,
    )


def random_cells(chance: random.Random, kind: Kind, codes: Sequence[str], small: bool = True) -> dict[Cell, int]:
    """The heaps of a kind: none to five, in two bins, put aside for a wash, thrown out, or in a target's crate."""
    cells: dict[Cell, int] = {}
    for _ in range(chance.choice((0, 1, 2, 2, 3, 4, 5))):
        cells[random_cell(chance, kind, codes)] = chance.randint(1, 4 if small else 9)
    return cells


def random_cell(chance: random.Random, kind: Kind, codes: Sequence[str]) -> Cell:
    """A heap of a kind in any condition and place."""
    fate = chance.choice((Fate.KEPT,) * 6 + (Fate.WASH, Fate.OUT, Fate.CRATE))
    place = {Fate.KEPT: chance.choice(("B1", "B2")), Fate.CRATE: chance.choice(codes)}.get(fate, "")
    return Cell(place, kind.part, kind.shade, "", chance.choice(GRADES), chance.choice(FLAWS), fate)


def _targets(chance: random.Random, kinds: Sequence[Kind], small: bool, plain: bool) -> tuple[Target, ...]:
    number = chance.randint(1, 4 if small else 8)
    ranks = number if plain else chance.choice((number, number, max(1, number // 2), 1))
    targets = []
    for index in range(number):
        count = chance.randint(1, 6 if small else 40 // number)
        asked = chance.sample(kinds, min(count, len(kinds))) if plain else chance.choices(kinds, k=count)
        lines = tuple(_line(chance, kind, () if plain else kinds, small) for kind in asked)
        pairs = [(line.kind, stand_in.kind) for line in lines for stand_in in line.stand_ins]
        pairs += [(chance.choice(kinds), chance.choice(kinds)) for _ in range(2)]
        refused = [pair for pair in pairs if pair[0] != pair[1] and chance.random() < 0.15]
        targets.append(
            Target(
                f"T-{index:02}",
                f"Target {index}",
                chance.choice((None, 1988, 1988, 1988, 1992, 1992)),
                index + 1 if ranks == number else chance.randint(1, ranks),
                lines,
                parked=chance.random() < 0.08,
                refused=refusals_of(refused),
            )
        )
    chance.shuffle(targets)
    return tuple(targets)


def _line(chance: random.Random, kind: Kind, kinds: Sequence[Kind], small: bool) -> Line:
    """A line that asks for a kind, with stand-ins from some kinds."""
    others = [other for other in kinds if other != kind]
    chosen = chance.sample(others, k=min(len(others), chance.choice((0, 0, 0, 1, 2))))
    stand_ins = tuple(StandIn(other, chance.choice((1, 1, 2, 5, 9))) for other in chosen)
    lowest = chance.choice((Grade.G3, Grade.G3, Grade.G4, Grade.G4_5, Grade.G1))
    return Line(kind, chance.randint(1, 4 if small else 8), lowest, stand_ins)


def _swaps(chance: random.Random, parts: Sequence[str], shades: Sequence[str]) -> tuple[Swap, ...]:
    """Rules from a later name to an earlier one, none twice."""
    pairs = [(SwapOf.PART, a, b) for i, a in enumerate(parts) for b in parts[i + 1 :]]
    pairs += [(SwapOf.SHADE, a, b) for i, a in enumerate(shades) for b in shades[i + 1 :]]
    likely = chance.choice((0.0, 0.3, 0.6))
    return tuple(Swap(*pair, chance.randint(1, 9)) for pair in pairs if chance.random() < likely)
