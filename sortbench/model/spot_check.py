"""Spot checks and recounts of counted bins: what was drawn, what was found. Nothing noted is ever deleted."""

from __future__ import annotations

import re
from enum import StrEnum
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name

AQLS = ("0.65", "1.0", "1.5", "2.5", "4.0")
"""Acceptance quality limits that may be chosen, in wrong pieces per hundred."""

MAX_SEED = (1 << 32) - 1
"""Largest number that a draw may start from."""

_SPOT_ID = re.compile(r"S[1-9][0-9]{0,8}")
_RECOUNT_ID = re.compile(r"R[1-9][0-9]{0,8}")


class Level(StrEnum):
    """General inspection level of ISO 2859-1: how large a sample is for a bin of a size."""

    I = "I"  # noqa: E741 - the standard's own name
    II = "II"
    III = "III"


class Drawing(StrEnum):
    """How the pieces to look at come out of the bin."""

    COUNTED_OFF = "counted off"  # all pieces are taken out one by one, those of the drawn numbers are looked at
    SCOOP = "scoop"  # as many as are wanted are taken blindly out of the stirred bin


class Heap(NamedTuple):
    """Like pieces of a bin, by the count: the heap, and pieces, above 0."""

    cell: Cell
    quantity: int


class Find(NamedTuple):
    """Pieces of a sample that were looked at.

    Attributes:
        at: when: RFC 3339 in UTC.
        quantity: 1 to MAX_QUANTITY.
        cell: what they are, in the bin; None where a piece was due and none was there, and for pieces left over.
        struck: it was noted wrongly and counts for nothing.
        left_over: pieces that lay in the bin beyond those that were counted off; they are none of the sample.
    """

    at: str
    quantity: int
    cell: Cell | None
    struck: bool = False
    left_over: bool = False


class SpotCheck(NamedTuple):
    """One spot check of one bin.

    Attributes:
        id: the key (``S1``).
        at: when it was drawn: RFC 3339 in UTC.
        bin: label of the bin.
        level: general inspection level.
        aql: one of AQLS.
        drawing: how the pieces come out of the bin.
        seed: from which the numbers are drawn, 0 to MAX_SEED; it brings the same numbers again.
        counted: what the bin held by the count when the check was drawn; the sample is held against this.
        finds: what was looked at, in order.
        by: who looks; empty if not told.
        struck: whether it counts for nothing.
    """

    id: str
    at: str
    bin: str
    level: Level
    aql: str
    drawing: Drawing
    seed: int
    counted: tuple[Heap, ...]
    finds: tuple[Find, ...] = ()
    by: str = ""
    struck: bool = False

    @property
    def lot(self) -> int:
        """Pieces in the bin by the count when the check was drawn."""
        return sum(heap.quantity for heap in self.counted)

    @property
    def looked(self) -> int:
        """Pieces of the sample looked at so far, those that were not there included."""
        return sum(find.quantity for find in self.finds if not (find.struck or find.left_over))


class Recount(NamedTuple):
    """One bin counted again by a second person. What that person found are records of the log, see `recount_way`.

    Attributes:
        id: the key (``R1``).
        at: when it was begun: RFC 3339 in UTC.
        bin: label of the bin.
        counted: what the bin held by the count at that time.
        by: who counts; empty if not told.
        ended: when it was said to be complete; empty before: what the first count says is not shown until then.
        taken: when it was taken over into the counts; empty if it was not.
        struck: whether it counts for nothing.
    """

    id: str
    at: str
    bin: str
    counted: tuple[Heap, ...]
    by: str = ""
    ended: str = ""
    taken: str = ""
    struck: bool = False


def recount_way(recount: Recount) -> str:
    """The way that records of a recount name: bin and beginning, not the number, which two copies of a bench that are
    brought together may both have given out.
    """
    return f"recount {recount.bin} {recount.at}"


def checked_spot(check: SpotCheck) -> SpotCheck:
    """The same check, once all its values can be.

    Raises:
        DataError: a malformed key, no time, a bin without a name or without pieces, no such limit, a seed out of range,
            or a find that cannot be.
    """
    if not _SPOT_ID.fullmatch(check.id):
        raise DataError(f"{check.id[:40]!r} is no number of a spot check.", "They run S1, S2, S3.")
    _check_common("spot check", check.id, check.at, check.bin, check.by, check.counted)
    if not check.counted:
        raise DataError(f"The spot check {check.id} is of a bin that holds nothing.")
    if check.aql not in AQLS:
        raise DataError(f"{check.aql[:20]!r} is no limit of the tables.", f"They have {', '.join(AQLS)}.")
    if not 0 <= check.seed <= MAX_SEED:
        raise DataError(f"A draw cannot start from {check.seed}.", f"Give 0 to {MAX_SEED}.")
    for find in check.finds:
        if not find.at or not 1 <= find.quantity <= MAX_QUANTITY:
            raise DataError(f"A find of the spot check {check.id} has no time, or {find.quantity} pieces.")
        if find.cell is not None:
            _check_cell(check.id, check.bin, find.cell)
            if find.left_over:
                raise DataError(f"Pieces left over in the spot check {check.id} are said to be something.")
    return check


def checked_recount(recount: Recount) -> Recount:
    """The same recount, once all its values can be.

    Raises:
        DataError: a malformed key, no time, or a bin without a name.
    """
    if not _RECOUNT_ID.fullmatch(recount.id):
        raise DataError(f"{recount.id[:40]!r} is no number of a recount.", "They run R1, R2, R3.")
    _check_common("recount", recount.id, recount.at, recount.bin, recount.by, recount.counted)
    return recount


def _check_common(what: str, number: str, at: str, label: str, by: str, counted: tuple[Heap, ...]) -> None:
    if not at:
        raise DataError(f"The {what} {number} has no time.")
    if not label:
        raise DataError(f"The {what} {number} names no bin.")
    if by and clean_name(by, "name of who looks") != by:
        raise DataError(
            f"The name of who looks, in the {what} {number}, has blanks that do not show.", "Leave them out."
        )
    for heap in counted:
        _check_cell(number, label, heap.cell)
        if heap.quantity < 1:
            raise DataError(f"A heap of {number} holds {heap.quantity} pieces.")
    if len({heap.cell for heap in counted}) < len(counted):
        raise DataError(f"A heap stands twice in {number}.")


def _check_cell(number: str, label: str, cell: Cell) -> None:
    if cell.bin != label or cell.fate is not Fate.KEPT:
        raise DataError(f"Pieces of {number} lie outside of its bin.")
