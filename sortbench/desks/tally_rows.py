"""Rows of the log, for the count sheet and for programs: made as they are come to, and not kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import overload

from sortbench.desk import Desk
from sortbench.engine.folding.in_time import InTime
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.model.sheet_log import HeapCells, TallyRow, heap_cells, manner_cells
from sortbench.model.tally import RecordId, What

_MOST_HEAPS = 1 << 16  # heaps whose cells are remembered


class TallyRows(Sequence[TallyRow]):
    """Every record there was when this was made, oldest first; each row tells whether its record holds by then."""

    def __init__(self, bench: Desk) -> None:
        self._ledger = ledger = bench.picture.ledger
        self._ids = InTime(ledger.fresh.in_time(), ledger.packed, frozenset(What))

    def __len__(self) -> int:
        return len(self._ids)

    @overload
    def __getitem__(self, index: int) -> TallyRow: ...

    @overload
    def __getitem__(self, index: slice) -> list[TallyRow]: ...

    def __getitem__(self, index: int | slice) -> TallyRow | list[TallyRow]:
        rids = self._ids[index]
        return self._row(rids) if isinstance(rids, RecordId) else list(map(self._row, rids))

    def __iter__(self) -> Iterator[TallyRow]:
        packed = self._ledger.packed
        if packed is not None:
            yield from self._unpacked(packed, self._ids.packed_places)
        yield from map(self._row, self._ids.late)

    def of_sittings(self, start: str) -> Iterator[TallyRow]:
        """The rows of sittings whose name starts so, oldest first."""
        return (row for row in self if row.sitting.startswith(start))

    def last(self, limit: int, start: str = "") -> list[TallyRow]:
        """The latest rows of sittings whose name starts so, at most as many as asked for, oldest first."""
        found = (rid for rid in reversed(self._ids) if rid.sitting.startswith(start))
        return [self._row(rid) for _, rid in zip(range(limit), found, strict=False)][::-1]

    def _row(self, rid: RecordId) -> TallyRow:
        return TallyRow.of(self._ledger.records[rid], self._ledger.holds(rid))

    def _unpacked(self, packed: PackedRecords, places: Iterable[int]) -> Iterator[TallyRow]:
        """The rows of packed records, from the columns: no record is made."""
        fold = packed.fold
        manners = [manner_cells(*manner) for manner in fold.manners]
        unheld = {packed.place(rid) for rid in self._ledger.verdicts.unheld}
        heaps: dict[int, HeapCells] = {}
        for place in places:
            number = fold.cell_of[place]
            heap = heaps.get(number)
            if heap is None:
                if len(heaps) > _MOST_HEAPS:
                    heaps.clear()
                heap = heaps[number] = heap_cells(fold.cells[number - 1] if number else None)
            yield TallyRow.joined(
                *packed.id_at(place),
                packed.time(place),
                heap,
                manners[fold.manner_of[place]],
                fold.quantity_of[place],
                fold.voids.get(place),
                place not in unheld,
                fold.labs.get(place),
            )
