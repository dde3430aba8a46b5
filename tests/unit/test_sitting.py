"""One stretch of counting, below the façade: what is written, in which words, and when."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import pytest
from small_bench import PLATE

from sortbench.bench import Bench
from sortbench.model.errors import DataError, WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, RecordId, What
from sortbench.sitting import stamp, undoable
from sortbench.store.log_reading import read_log

Opener = Callable[[], Bench]

# The grammar of date-time with a fraction and the offset Z: RFC 3339, section 5.6.
RFC_3339_UTC = re.compile(r"\d{4}-(0[1-9]|1[0-2])-\d{2}T([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d+)?Z")


@pytest.mark.parametrize(
    ("moment", "written"),
    [
        (datetime(2026, 3, 1, 9, 30, tzinfo=UTC), "2026-03-01T09:30:00.000Z"),
        (datetime(2026, 3, 1, 0, 15, 7, 999_999, timezone(timedelta(hours=1))), "2026-02-28T23:15:07.999Z"),
    ],
)
def test_times_are_written_in_utc(moment: datetime, written: str) -> None:
    assert stamp(moment) == written
    assert RFC_3339_UTC.fullmatch(written)


def test_every_record_of_a_sitting_is_numbered_timed_and_on_disk(bench: Bench) -> None:
    bench.enter("plate 2x4 red *3")
    bench.put_aside(Fate.WASH)
    bench.undo()
    bench.redo()
    bench.write_up("T-03")
    bench.enter("tile 2x2 white")
    (log,) = bench.folder.tallies.glob("*.jsonl")
    records = read_log(log).records
    assert [record.id for record in records] == [RecordId(bench.sitting.id, seq) for seq in range(1, 7)]
    assert [record.what for record in records] == [What.OPEN, What.TALLY, What.MOVE, What.VOID, What.VOID, What.LINE]
    assert all(RFC_3339_UTC.fullmatch(record.at) for record in records)
    assert [record.at for record in records] == sorted(record.at for record in records)
    assert [undoable(record) for record in records] == [False, True, True, False, False, True]
    known = bench.picture.ledger.records
    assert all(known[record.id] == record for record in records[1:])


def test_nothing_is_written_before_something_is_counted(bench: Bench) -> None:
    bench.enter(".red")
    assert list(bench.folder.tallies.iterdir()) == []


def test_the_words_in_hand_name_the_piece(bench: Bench) -> None:
    assert bench.sitting.hand_words == ""
    bench.enter("plate 2x4 red *3")
    assert bench.sitting.hand_words == "plate 2x4 · red"
    bench.count_coarse("B1")
    assert bench.sitting.hand_words == "plate, size not looked at · red"
    assert bench.sitting.words(RecordId("nobody", 1)) == "nobody/1"


def test_flaws_are_added_to_the_last_tally(bench: Bench) -> None:
    bench.enter("plate 2x4 red #bent")
    assert bench.sitting.flaw((Flaw.CRACKED,)).flaws == (Flaw.BENT, Flaw.CRACKED)
    with pytest.raises(DataError, match="nothing changed"):
        bench.sitting.flaw((Flaw.BENT,))
    assert bench.picture.ledger.pieces == 1


def test_carrying_is_undone_like_counting(bench: Bench) -> None:
    bench.enter("plate 2x4 red *3")
    (heap,) = bench.picture.ledger.counts
    moved = bench.sitting.record(What.MOVE, heap, 3, to_bin="REST", way="split")
    assert moved.bin == "REST"
    with pytest.raises(DataError, match=f"Void record {moved.record} first"):
        bench.void(RecordId(bench.sitting.id, 2))
    assert bench.undo().text == "undone: 3 × plate 2x4 red carried to REST"
    assert dict(bench.picture.ledger.counts) == {heap: 3}


def test_pieces_carried_on_twice_come_back_in_steps(bench: Bench) -> None:
    bench.enter("plate 2x4 red *3")
    (heap,) = bench.picture.ledger.counts
    first = bench.sitting.record(What.MOVE, heap, 3, to_bin="B2")
    second = bench.sitting.record(What.MOVE, heap._replace(bin="B2"), 2, to_bin="REST")
    with pytest.raises(DataError, match=f"Void record {second.record} first"):
        bench.void(first.record)
    bench.void(second.record)
    bench.void(first.record)
    assert dict(bench.picture.ledger.counts) == {heap: 3}


def test_pieces_missing_for_no_reason_at_hand_point_to_the_log(bench: Bench, opened: Opener) -> None:
    # The move is known from a sitting whose tally of other like pieces was voided elsewhere: no move of this heap is
    # left to name.
    bench.enter("plate 2x4 red *3")
    record = bench.sitting.in_hand()
    assert record.cell is not None
    bench.picture.ledger.counts[record.cell] = 1  # type: ignore[index]
    with pytest.raises(DataError, match="log screen shows where they went"):
        bench.void(record.id)


def test_a_sitting_that_has_ended_writes_no_more(bench: Bench) -> None:
    bench.enter("plate 2x4 red")
    bench.close()
    bench.close()
    with pytest.raises(WriteError, match="Nothing was counted"):
        bench.enter("plate 2x4 red")
    assert bench.picture.ledger.pieces == 1


def test_a_quantity_is_checked_before_anything_is_written(bench: Bench) -> None:
    cell = Cell("B1", *PLATE, "", Grade.G5, ())
    for quantity in (0, -1, 100_000):
        with pytest.raises(DataError, match="cannot be counted at once"):
            bench.sitting.record(What.TALLY, cell, quantity)
    assert list(bench.folder.tallies.iterdir()) == []
