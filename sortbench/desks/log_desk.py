"""The log to read: of many records only those that somebody looks at are put into words."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
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
        self._ids = InTime(ledger.fresh.in_time(), ledger.packed, frozenset(What))

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


def hour_back(rows: Sequence[RecordRow], place: int, now: datetime) -> int:
    """Where in the log one comes to an hour earlier.

    Args:
        rows: records, newest first; at least one.
        place: place of a record among them, from 0.
        now: the hour is reckoned from here where ``place`` is the newest record's, so that "an hour ago" is just that.
            Elsewhere, and where the newest record is older than that or later than now, it is reckoned from the record.

    Returns:
        Place of the newest record that is at least an hour older; the last place if there is none.
    """

    def seconds_back(row: RecordRow) -> float:
        return -datetime.fromisoformat(row.at).timestamp()

    def at_least(seconds: float) -> int:
        return min(bisect_left(rows, seconds, lo=place, key=seconds_back), len(rows) - 1)

    hour, here = timedelta(hours=1).total_seconds(), seconds_back(rows[place])
    found = at_least(hour + min(-now.timestamp(), here)) if place == 0 else place
    return found if found > place else at_least(hour + here)
