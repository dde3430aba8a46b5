"""What the law says of a strength of hydrogen peroxide: hazard classes, and what the public may have.

Shown with a date, for such tables change; the label of the product in hand decides.
"""

from __future__ import annotations

from typing import NamedTuple

from sortbench.engine.condition.peroxide import Dilution, MassShare
from sortbench.model.errors import DataError

CLP_SOURCE = (
    "Regulation (EC) 1272/2008 (CLP), Annex VI, index 008-003-00-9, specific limits in % w/w, as read in November 2026 "
    "in a public registry; the limits of H319 (5 to 8 %) and of H335 (35 %) from memory. A revision proposed in 2024 "
    "was not adopted in the copies read"
)

PUBLIC_LIMIT = MassShare(12)
"""What the general public of the EU may have without a licence, Regulation (EU) 2019/1148, Annex I: up to this."""

LICENCE_LIMIT = MassShare(35)
"""Up to where that regulation lets member states license it; from memory."""

_TEXTS = {
    "H271": "may cause fire or explosion; strong oxidiser",
    "H272": "may intensify fire; oxidiser",
    "H302": "harmful if swallowed",
    "H314": "severe skin burns and eye damage",
    "H315": "skin irritation",
    "H318": "serious eye damage",
    "H319": "serious eye irritation",
    "H332": "harmful if inhaled",
    "H335": "may irritate the airways",
}

# From which % w/w on: range in words, classes, codes.
_BANDS: tuple[tuple[float, str, str, tuple[str, ...]], ...] = (
    (70, "70 % and more", "Ox. Liq. 1; Skin Corr. 1A; STOT SE 3", ("H271", "H314", "H335")),
    (50, "50 to 70 %", "Ox. Liq. 2; Skin Corr. 1B; STOT SE 3", ("H272", "H314", "H335")),
    (35, "35 to 50 %", "Skin Irrit. 2; Eye Dam. 1; STOT SE 3", ("H315", "H318", "H335")),
    (8, "8 to 35 %", "Eye Dam. 1", ("H318",)),
    (5, "5 to 8 %", "Eye Irrit. 2", ("H319",)),
    (0, "under 5 %", "none of the specific limits", ()),
)


class Hazard(NamedTuple):
    """One hazard statement: its code and short text."""

    code: str
    text: str


class Hazards(NamedTuple):
    """The harmonised classification of a strength.

    Attributes:
        strength: in % w/w.
        band: the range it lies in, % w/w.
        classes: hazard classes.
        statements: what the specific limits of the entry give.
        also: what a label may say beyond them, in words.
        source: where it comes from, and of when.
    """

    strength: MassShare
    band: str
    classes: str
    statements: tuple[Hazard, ...]
    also: tuple[str, ...]
    source: str = CLP_SOURCE


def hazards(strength: MassShare) -> Hazards:
    """The specific concentration limits that a strength falls under.

    Raises:
        DataError: the strength is not in % w/w, which the limits go by.
    """
    if not isinstance(strength, MassShare):
        raise DataError(f"Hazard limits go by % w/w, not by {strength}.", "Convert it first.")
    band, classes, codes = next(found[1:] for found in _BANDS if strength.pct >= found[0])
    also = []
    if 8 <= strength.pct < 50:
        also.append(
            f"H272 {_TEXTS['H272']}: a caution from 8 % on; transport rules class it so, by a national database"
        )
    if strength.pct >= 25:
        also.append(f"H302 {_TEXTS['H302']}: from about 25 % on, by a national database")
    if strength.pct >= 30:
        also.append(f"H332 {_TEXTS['H332']}: from about 30 % on, by a national database")
    if not codes:
        also.append("no statement does not mean harmless: eyes and skin are still to be kept from it")
    return Hazards(strength, band, classes, tuple(Hazard(code, _TEXTS[code]) for code in codes), tuple(also))


def check_permitted(dilution: Dilution, licensed: bool) -> tuple[str, ...]:
    """Warnings that a dilution needs; stock that the public may not have is refused unless a licence is claimed.

    Args:
        licensed: whether the user says that the law of the place lets them have the stock.

    Raises:
        DataError: the stock is above 12 % w/w and no licence is claimed, above what licences reach, or the bath itself
            is above 12 % w/w.
    """
    stock, target = dilution.stock, dilution.target
    if stock.pct > LICENCE_LIMIT.pct:
        raise DataError(
            f"Stock of {stock} is not worked out here: {_statements(stock)}.",
            f"Above {LICENCE_LIMIT} not even licences for the public reach in the EU (from memory). Get a weaker one.",
        )
    if target.pct > PUBLIC_LIMIT.pct:
        raise DataError(
            f"A bath of {target} is not worked out here: {_statements(target)}.", f"Ask for {PUBLIC_LIMIT} or less."
        )
    if stock.pct <= PUBLIC_LIMIT.pct:
        return ()
    restricted = (
        f"Stock of {stock} is above {PUBLIC_LIMIT}: in the EU a restricted explosives precursor that the general "
        "public may not have or use without a licence (Regulation (EU) 2019/1148, Annex I)"
    )
    if not licensed:
        raise DataError(
            f"{restricted}.", "Get a weaker one. If the law of your place lets you have it, say so with --licensed."
        )
    return (f"{restricted}. You say that you may", f"Stock of {stock}: {_statements(stock)}; leave it to trained hands")


def _statements(strength: MassShare) -> str:
    found = hazards(strength)
    return "; ".join(f"{each.code} {each.text}" for each in found.statements) or found.classes
