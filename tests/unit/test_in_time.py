"""Records in the order of their times: of a long sitting they are not all made at once."""

from __future__ import annotations

import tracemalloc
from datetime import UTC, datetime, timedelta
from itertools import chain

from sortbench.engine.folding.fresh_records import BATCH, FreshRecords
from sortbench.engine.folding.in_time import InTime
from sortbench.keeping import stamp
from sortbench.model.tally import Cell, Record, RecordId, What

START = datetime(2026, 3, 1, 9, tzinfo=UTC)
MANY = 8 * BATCH


def counted(sitting: str, number: int) -> Record:
    """A piece that was counted so many seconds after the start."""
    cell = Cell("B1", "plate-2x4", "red", "", None, ())
    return Record(RecordId(sitting, number), stamp(START + timedelta(seconds=number)), What.TALLY, cell, 1)


def test_looking_at_the_log_of_a_long_sitting_does_not_make_all_its_records_at_once() -> None:
    fresh = FreshRecords()
    # As a start reads them: what opens a log comes last.
    read = [counted("earlier", number) for number in (2, 3, 4, 5, 1)]
    fresh.loose.update((record.id, record) for record in read)
    for number in range(6, MANY):
        fresh.add(counted("s", number))
    tracemalloc.start()
    try:
        log = InTime(fresh.in_time(), None, frozenset(What))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 10 * MANY, f"{peak} bytes for {MANY} records; sorted all at once they take 250 each"
    assert list(log) == [*(RecordId("earlier", n) for n in range(1, 6)), *(RecordId("s", n) for n in range(6, MANY))]


def test_records_of_two_sittings_at_once_stand_in_the_order_of_their_times() -> None:
    fresh = FreshRecords()
    pairs = [(counted("a", number), counted("b", number)) for number in range(1, 2 * BATCH)]
    for late, early in pairs:  # in the other order than that of their ids
        fresh.add(early)
        fresh.add(late)
    assert list(InTime(fresh.in_time(), None, frozenset(What))) == [record.id for record in chain.from_iterable(pairs)]
