"""The records of the log: each says one thing that happened, and is never rewritten."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from sortbench.model.catalogue import Kind
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


class What(StrEnum):
    """What a record says."""

    OPEN = "open"  # a sitting begins
    TALLY = "tally"  # pieces counted into a bin
    MOVE = "move"  # counted pieces carried to another bin, put aside for a wash, or thrown out
    LINE = "line"  # pieces written up on a target's list
    VOID = "void"  # another record no longer holds


class Cell(NamedTuple):
    """One heap of like pieces: what the ledger counts.

    A coarse count knows the shade and perhaps the family but not the part: ``part`` is empty then. ``family`` is
    empty wherever the part is known, for the catalogue tells it. ``bin`` is empty for pieces put aside or thrown out.
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


class Record(NamedTuple):
    """One line of a log. A tuple, for there are hundreds of thousands and a start of the app waits until each is made.

    Attributes:
        id: sitting and number.
        at: RFC 3339 time in UTC, for reading only: no count hangs on it.
        what: what it says.
        cell: the heap that a tally, move or line speaks of; for a move, ``cell.bin`` is where the pieces were.
        quantity: pieces, 1 to 99,999; 0 where no pieces are meant.
        to_bin: for a move, where the pieces went; empty where ``to_fate`` leaves them in no bin.
        target: for a line, the target's code.
        voids: the record that this one voids (void), or stands in for (a corrected tally).
        way: how it was entered: ``typed``, ``pad``, ``shell``, ``sheet``, ``again``; free text, no count hangs on it.
        to_fate: for a move, what became of them.
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
