"""The records of the log: each says one thing that happened, and is never rewritten."""

from __future__ import annotations

from enum import StrEnum
from math import isfinite
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade


class RecordId(NamedTuple):
    """Where a record stands: its sitting and its number in it, from 1."""

    sitting: str
    seq: int

    def __str__(self) -> str:
        return f"{self.sitting}/{self.seq}"


class Fate(StrEnum):
    """What becomes of a counted piece."""

    KEPT = "kept"
    WASH = "to wash"
    OUT = "discarded"
    CRATE = "in a crate"  # picked for a target: ``bin`` holds the target's code then


def place_words(label: str, fate: Fate) -> str:
    """Where pieces lie, in a word: a bin's label, ``crate T-07``; empty where they lie in neither."""
    return f"crate {label}" if fate is Fate.CRATE else label


class What(StrEnum):
    """What a record says."""

    OPEN = "open"  # a sitting begins
    TALLY = "tally"  # pieces counted into a bin
    MOVE = "move"  # counted pieces carried to another bin or into a crate, put aside for a wash, or thrown out
    LINE = "line"  # pieces written up on a target's list
    RESERVE = "reserve"  # counted pieces set aside for a target by hand, while they stay in their bin
    REGRADE = "regrade"  # counted pieces judged anew: washed, treated or measured since; they stay where they lie
    RECOUNT = "recount"  # pieces that a second person found in a bin; held against the count, never added to it
    VOID = "void"  # another record no longer holds


CHANGES_NO_HEAP = frozenset({What.LINE, What.RESERVE, What.RECOUNT})
"""Records that speak of pieces without laying any anywhere."""


class Cell(NamedTuple):
    """One heap of like pieces: what the ledger counts.

    A coarse count knows the shade and perhaps the family but not the part: ``part`` is empty then. ``family`` is
    empty wherever the part is known, for the catalogue tells it. ``bin`` is empty for pieces put aside or thrown out;
    for pieces in a crate it is the code of the crate's target, which is no bin's label.
    """

    bin: str
    part: str
    shade: str
    family: str
    grade: Grade | None
    flaws: Flaws
    fate: Fate = Fate.KEPT

    @property
    def kind(self) -> Kind | None:
        """The kind, None for a coarse count."""
        return Kind(self.part, self.shade) if self.part and self.shade else None


PARCEL = "parcel "
"""How the way of a tally begins whose pieces were ordered and came in a parcel: they are none of the pile's."""

Condition = tuple[Grade | None, Flaws]
"""What tells pieces of one kind apart."""

Reading = tuple[float, float, float]
"""A colour that was measured: CIELAB L*, a*, b* for D65 and the 2 degree observer, to 2 decimals."""

MAX_CHROMA = 150.0
"""Largest a* or b*, either side of 0, that is taken for a reading: the purest colours of a surface stay below it."""


def reading_of(lightness: float, a: float, b: float) -> Reading:
    """A reading as the log keeps it, rounded to 2 decimals.

    Args:
        lightness: L*, 0 to 100.
        a, b: a* and b*, within MAX_CHROMA either side of 0.

    Raises:
        DataError: no colour of a piece.
    """
    reading = round(lightness, 2) + 0.0, round(a, 2) + 0.0, round(b, 2) + 0.0  # + 0.0: no minus before a nought
    if not is_reading(reading):
        raise DataError(
            f"Lab {lightness:g} {a:g} {b:g} is no colour of a piece.",
            f"L* runs from 0 to 100, a* and b* from -{MAX_CHROMA:g} to {MAX_CHROMA:g}.",
        )
    return reading


def is_reading(reading: Reading) -> bool:
    """Whether a reading can be kept: numbers in range, with 2 decimals at most."""
    lightness, a, b = reading
    in_range = 0.0 <= lightness <= 100.0 and abs(a) <= MAX_CHROMA and abs(b) <= MAX_CHROMA
    return in_range and all(isfinite(each) and round(each, 2) == each for each in reading)


class Record(NamedTuple):
    """One line of a log. A tuple, for there are hundreds of thousands and a start of the app waits until each is made.

    Attributes:
        id: sitting and number.
        at: RFC 3339 time in UTC, for reading only: no count hangs on it.
        what: what it says.
        cell: the heap that a tally, move, line, reserve, regrade or recount speaks of; for a move, ``cell.bin`` is
            where the pieces were; a reserve speaks of like pieces wherever they lie, so its ``bin`` is empty.
        quantity: pieces, 1 to 99,999; 0 where no pieces are meant.
        to_bin: for a move, where the pieces went: a bin, for a crate its target's code; empty where ``to_fate`` leaves
            them in neither.
        target: for a line or a reserve, the target's code; for a move into a crate, the same code again if these pieces
            had been set aside for it and are so no longer.
        voids: the record that this one voids (void), or stands in for (a corrected tally).
        way: how it was entered: ``typed``, ``pad``, ``shell``, ``sheet``, ``again``; free text, no count hangs on it.
            A recount names here what it is part of.
        to_fate: for a move, what became of them.
        became: for a regrade, and for nothing else, the condition that the pieces were found in; ``cell`` has the one
            they had.
        lab: for a tally or a regrade, the colour that was measured on these pieces, if it was.
    """

    id: RecordId
    at: str
    what: What
    cell: Cell | None = None
    quantity: int = 0
    to_bin: str = ""
    target: str = ""
    voids: RecordId | None = None
    way: str = ""
    to_fate: Fate = Fate.KEPT
    became: Condition | None = None
    lab: Reading | None = None

    @property
    def put(self) -> Cell | None:
        """The heap in which the pieces lie by this record: after a move or a regrade another than ``cell``."""
        cell = self.cell
        if cell is not None and self.what is What.MOVE:
            return cell._replace(bin=self.to_bin, fate=self.to_fate)
        if cell is not None and self.became is not None:
            return cell._replace(grade=self.became[0], flaws=self.became[1])
        return cell
