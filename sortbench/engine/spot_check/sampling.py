"""Single sampling for normal inspection after ISO 2859-1: how many pieces to look at, how many may be wrong.

ISO 2859-1:1999, tables 1 and 2-A, which are those of the public-domain MIL-STD-105E, tables I and II-A. The arrows of
table 2-A are followed to the next plan up or down the letters, with that plan's own sample; a sample as large as the
bin or larger means that every piece is looked at.
"""

from __future__ import annotations

from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.spot_check import AQLS, Level

LETTERS = "ABCDEFGHJKLMNPQR"
SAMPLES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
"""Pieces in the sample of each letter."""

_LOTS = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
"""Largest lot of each row of table 1; the last row has no end."""

_LETTER_OF = {
    Level.I: "AABCCDEFGHJKLMN",
    Level.II: "ABCDEFGHJKLMNPQ",
    Level.III: "BCDEFGHJKLMNPQR",
}
_DOWN, _UP = "v", "^"
_ACCEPT = {  # letter by letter; v and ^ are the arrows
    "0.65": "v v v v v 0 ^ v 1 2 3 5 7 10 14 21",
    "1.0": "v v v v 0 ^ v 1 2 3 5 7 10 14 21 ^",
    "1.5": "v v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^",
    "2.5": "v v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^",
    "4.0": "v 0 ^ v 1 2 3 5 7 10 14 21 ^ ^ ^ ^",
}


class SamplingPlan(NamedTuple):
    """How many pieces to look at, and how many may be wrong.

    Attributes:
        lot: pieces in the bin, 1 or more.
        level, aql: as chosen.
        letter: code letter for the lot and level, before any arrow is followed; empty for a single piece.
        table_sample: pieces in the sample by the table.
        accept: most wrong pieces with which the count is accepted; one more asks for a full recount.
    """

    lot: int
    level: Level
    aql: str
    letter: str
    table_sample: int
    accept: int

    @property
    def sample(self) -> int:
        """Pieces to look at."""
        return min(self.lot, self.table_sample)

    @property
    def reject(self) -> int:
        """Fewest wrong pieces that ask for a full recount."""
        return self.accept + 1

    @property
    def whole(self) -> bool:
        """Whether every piece is to be looked at."""
        return self.table_sample >= self.lot


def aql_named(text: str) -> str:
    """An acceptance quality limit as the tables write it: ``1`` is ``1.0``.

    Raises:
        DataError: the tables have none of that value.
    """
    try:
        wanted = float(text.strip().rstrip("%"))
    except ValueError:
        wanted = 0.0
    found = next((each for each in AQLS if float(each) == wanted), "")
    if not found:
        raise DataError(
            f"{text.strip()[:20]!r} is no acceptance quality limit of the tables.", f"Choose one of {', '.join(AQLS)}."
        )
    return found


def code_letter(lot: int, level: Level) -> str:
    """The code letter of table 1.

    Args:
        lot: pieces, 2 or more.

    Raises:
        DataError: fewer pieces; the table begins with 2.
    """
    if lot < 2:
        raise DataError(f"There is no code letter for {lot} pieces.", "The table begins with 2.")
    return _LETTER_OF[level][sum(lot > most for most in _LOTS)]


def plan_for(lot: int, level: Level = Level.II, aql: str = "1.0") -> SamplingPlan:
    """The plan for a bin.

    Args:
        lot: pieces in the bin.
        level: general inspection level.
        aql: one of AQLS.

    Raises:
        DataError: there are no pieces, or the tables have no such limit.
    """
    if aql not in _ACCEPT:
        raise DataError(f"{aql[:20]!r} is no limit of the tables.", f"They have {', '.join(AQLS)}.")
    if lot < 1:
        raise DataError("There is nothing to look at.", "Count pieces into the bin first.")
    if lot == 1:
        return SamplingPlan(lot, level, aql, "", 1, 0)
    letter = code_letter(lot, level)
    cells, row = _ACCEPT[aql].split(), LETTERS.index(letter)
    while cells[row] in (_DOWN, _UP):
        row += 1 if cells[row] == _DOWN else -1
    return SamplingPlan(lot, level, aql, letter, SAMPLES[row], int(cells[row]))
