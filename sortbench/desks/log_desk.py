"""The log to read: of many records only those that somebody looks at are put into words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import overload

from sortbench.desk import Desk
from sortbench.engine.board import RecordRow
from sortbench.engine.folding.in_time import InTime
from sortbench.model.tally import RecordId, What


class LogRows(Sequence[RecordRow]):
    """Every record there was when this was made, newest first; each is told as it is when it is looked at.

    Attributes:
        by_id: the same by their ids.
    """

    def __init__(self, bench: Desk) -> None:
        ledger = bench.picture.ledger
        self.by_id = RowsById(bench)
        self._ids = InTime(ledger.fresh.values(), ledger.packed, frozenset(What))

    def __len__(self) -> int:
        return len(self._ids)

    @overload
    def __getitem__(self, index: int) -> RecordRow: ...

    @overload
    def __getitem__(self, index: slice) -> list[RecordRow]: ...

    def __getitem__(self, index: int | slice) -> RecordRow | list[RecordRow]:
        if isinstance(index, slice):
            return [self[place] for place in range(*index.indices(len(self)))]
        return self.by_id[self._ids[-1 - index]]

    def __iter__(self) -> Iterator[RecordRow]:
        return map(self.by_id.__getitem__, reversed(self._ids))

    def __reversed__(self) -> Iterator[RecordRow]:
        return map(self.by_id.__getitem__, self._ids)


class RowsById(Mapping[RecordId, RecordRow]):
    """Records in words by their ids."""

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    def __getitem__(self, rid: RecordId) -> RecordRow:
        picture = self._bench.picture
        return picture.record_row(picture.ledger.records[rid], rid.sitting == self._bench.sitting.id)

    def __len__(self) -> int:
        return len(self._bench.picture.ledger.records)

    def __iter__(self) -> Iterator[RecordId]:
        return iter(self._bench.picture.ledger.records)
