"""Working off pick lists at a bench: rows ticked as their pieces go into the crate, and put back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.crates import checked_put_back
from sortbench.engine.reconciling.pick_list import PickList, PickRow, pick_list
from sortbench.engine.reconciling.what_if import find_target
from sortbench.model.errors import DataError
from sortbench.model.tally import Fate, RecordId, What
from sortbench.model.target import MAX_QUANTITY


class Tick(NamedTuple):
    """A row of a pick list to be ticked or put back, and how many of its pieces; None for all that are."""

    number: int
    pieces: int | None = None


class PickDesk:
    """The pick list of one target. Ticking and putting back are records: undo, redo and void work as for tallies.

    Args:
        bench: the bench, open for one sitting.
        code: the target.

    Raises:
        DataError: no such target.
    """

    def __init__(self, bench: Desk, code: str) -> None:
        find_target(bench.picture, code)
        self._bench = bench
        self._code = code
        self._known: tuple[Picture, int, PickList] | None = None

    def listed(self) -> PickList:
        """The list as it is now; made once for as long as the counts and the documents stay.

        Raises:
            DataError: the target was taken off the bench meanwhile.
        """
        picture = self._bench.picture
        records = len(picture.ledger.records)
        if self._known is None or self._known[0] is not picture or self._known[1] != records:
            find_target(picture, self._code)
            self._known = picture, records, pick_list(picture, self._code)
        return self._known[2]

    def tick(self, ticks: Sequence[Tick]) -> Notice:
        """Carry pieces of some rows into the crate.

        Raises:
            DataError: no such row, one named twice, nothing or less than that is left in it, or its pieces are set
                aside for others; nothing is carried where a row or a number is wrong.
            WriteError: the disk refused; what was carried up to then stays carried.
        """
        rows = self._rows(ticks, "left", "left to pick")
        for row, pieces in rows:
            for some in _portions(pieces):
                self._bench.sitting.carry(row.cell, some, self._code)
        return self._told(rows, "picked", "in the crate already")

    def tick_all(self) -> Notice:
        """Carry all that is left into the crate; see :meth:`tick`."""
        return self.tick([Tick(row.number) for row in self.listed().rows if row.left])

    def put_back(self, ticks: Sequence[Tick]) -> Notice:
        """Carry pieces of some rows from the crate back to where they were picked.

        Picks that come to just so many pieces are voided, so that what was set aside for the target is so again.
        Pieces that were counted right into the crate go where the rules of the bins say.

        Raises:
            DataError: no such row, one named twice, or fewer of its pieces lie in the crate; nothing is carried then.
            WriteError: the disk refused; what was carried up to then stays carried.
        """
        rows = self._rows(ticks, "picked", "in the crate")
        for row, pieces in rows:
            if picks := self._picks(row, pieces):
                for rid in picks:
                    self._bench.sitting.void(rid)
            else:
                self._carry_back(row, pieces)
        return self._told(rows, "put back", "nothing to put back")

    def _carry_back(self, row: PickRow, pieces: int) -> None:
        bench, cell = self._bench, row.cell
        crated = cell._replace(bin=self._code, fate=Fate.CRATE)
        checked_put_back(bench.picture, crated, pieces)
        label, fate = cell.bin, cell.fate
        if fate is Fate.CRATE:
            label = bench.picture.router.route(cell.part, cell.shade, cell.grade, cell.flaws, cell.family)
            fate = Fate.KEPT
        for some in _portions(pieces):
            bench.sitting.record(What.MOVE, crated, some, to_bin=label, to_fate=fate, way="put back")

    def _picks(self, row: PickRow, pieces: int) -> list[RecordId]:
        """The last picks out of a heap if they come to just so many pieces, the latest first."""
        ledger, found = self._bench.picture.ledger, []
        for rid in reversed(self._bench.sitting.history):
            record = ledger.records[rid]
            if (record.what, record.cell, record.to_bin, record.to_fate) == (
                What.MOVE,
                row.cell,
                self._code,
                Fate.CRATE,
            ) and ledger.holds(rid):
                pieces -= record.quantity
                found.append(rid)
                if pieces <= 0:
                    break
        return [] if pieces else found

    def _rows(self, ticks: Sequence[Tick], has: str, words: str) -> list[tuple[PickRow, int]]:
        """The rows that are meant, with pieces above 0."""
        rows = self.listed().rows
        found: dict[int, tuple[PickRow, int]] = {}
        for number, pieces in ticks:
            if not 1 <= number <= len(rows):
                raise DataError(
                    f"The pick list of {self._code} has no row {number}.",
                    f"It has {len(rows)}." if rows else "It is empty: no piece counted so far is for it.",
                )
            if number in found:
                raise DataError(f"Row {number} is named twice.", "Name each row once.")
            row = rows[number - 1]
            there = getattr(row, has)
            if not 1 <= (pieces if pieces is not None else there) <= there:
                name = f"Row {number} ({row.name}, {row.kind.shade}, {row.where})"
                wanted = "" if pieces is None else f", not {pieces:,}"
                raise DataError(
                    f"{name} has {there:,} {words}{wanted}.", "`sortbench pick` shows the list as it is now."
                )
            found[number] = row, there if pieces is None else pieces
        return list(found.values())

    @staticmethod
    def _told(rows: Sequence[tuple[PickRow, int]], done: str, nothing: str) -> Notice:
        if not rows:
            return Notice(nothing)
        if len(rows) == 1:
            row, pieces = rows[0]
            return Notice(f"{done}: {pieces:,} × {row.name}, {row.kind.shade} ({row.where})")
        return Notice(f"{done}: {sum(pieces for _, pieces in rows):,} pieces in {len(rows)} rows")


def _portions(pieces: int) -> list[int]:
    """Pieces in as many records as they need."""
    whole, rest = divmod(pieces, MAX_QUANTITY)
    return [MAX_QUANTITY] * whole + [rest] * (rest > 0)
