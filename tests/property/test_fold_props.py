"""A bench opened from its snapshot says what one that reads all its logs says, whatever happened to the logs."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.folding.in_time import UNDOABLE, InTime
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.engine.folding.packing import pack
from sortbench.engine.folding.use import use_of
from sortbench.engine.ledger import Ledger
from sortbench.logs_read import LogsRead, Standing, snapshot_standing
from sortbench.model.errors import BenchError
from sortbench.model.tally import Fate, Record, RecordId, What
from sortbench.store.folder import BenchFolder
from sortbench.store.following import FOLD_FILE
from sortbench.store.log_repair import repair
from sortbench.store.record_codec import encode, flaw_of_record
from tests.property.test_ledger_props import records

TIMES = st.sampled_from(
    [
        "2026-03-01T09:30:00.000Z",
        "2026-03-01T09:30:00.001Z",
        "2026-03-02T00:00:00.000Z",
        "2026-03-01T09:30:00Z",
        "ü",
        "",
    ]
)


def everything(ledger: Ledger) -> dict[str, Any]:
    """All that a ledger says."""
    kinds = sorted(
        {
            *ledger.kinds,
            *ledger.reserved_kinds,
            *(r.cell.kind for r in ledger.records.values() if r.cell and r.cell.kind),
        }
    )
    return {
        "records": dict(ledger.records),
        "ids": sorted(ledger.records),
        "holds": {rid for rid in ledger.records if ledger.holds(rid)},
        "voiders": {rid: sorted(ledger.voiders(rid)) for rid in ledger.records},
        "verdicts": [set(each) for each in ledger.verdicts],
        "counts": dict(ledger.counts),
        "pieces": (ledger.pieces, ledger.of_pile, *map(ledger.of_fate, Fate)),
        "bins": {label: dict(ledger.in_bin(label)) for label in ledger.bins},
        "crates": {code: dict(ledger.in_crate(code)) for code in ledger.crates},
        "kinds": {kind: dict(ledger.of_kind(kind)) for kind in ledger.kinds},
        "coarse": dict(ledger.coarse),
        "reserved": {kind: ledger.reserved(kind) for kind in kinds},
        "readings": {kind: ledger.readings(kind) for kind in kinds},
        "written": {code: dict(ledger.written(code)) for code in sorted({r.target for r in ledger.records.values()})},
        "recounts": {way: ledger.recounted(way) for way in ledger.recounts},
        "impossible": sorted(map(repr, ledger.impossible())),
        "told": sorted(ledger.told(lambda what, _: what is What.MOVE)),
        "told of red": sorted(
            map(repr, ledger.told(lambda what, way: what is What.TALLY, lambda cell: cell.shade == "red"))
        ),
        "in time": list(InTime(ledger.fresh.in_time(), ledger.packed, list(What))),
        "use": use_of(InTime(ledger.fresh.in_time(), ledger.packed, UNDOABLE), ledger),
        "moves in time": list(InTime(ledger.fresh.in_time(), ledger.packed, [What.MOVE])),
    }


@st.composite
def timed_records(draw: st.DrawFn) -> list[Record]:
    """Records of any kind at times that go forward and back."""
    return [record._replace(at=draw(TIMES)) for record in draw(records())]


@given(given_records=timed_records(), cuts=st.lists(st.integers(0, 14), max_size=3), data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_ledger_that_goes_on_from_a_fold_says_what_one_says_that_saw_every_record(
    given_records: list[Record], cuts: list[int], data: st.DataObject
) -> None:
    stirred = data.draw(st.permutations(given_records))
    ledger, begin = Ledger(), 0
    for cut in [*sorted(cuts), len(stirred)]:
        for record in stirred[begin:cut]:
            ledger.apply(record)
        begin = max(begin, cut)
        again = data.draw(st.lists(st.sampled_from(stirred[:begin]), max_size=3)) if stirred[:begin] else []
        ledger = Ledger(again, PackedRecords(pack(ledger)))
    assert everything(ledger) == everything(Ledger(given_records))


@given(given_records=timed_records(), cut=st.integers(0, 14))
@settings(max_examples=80, deadline=None)
def test_records_that_came_after_a_fold_are_taken_in_at_once_or_one_by_one(
    given_records: list[Record], cut: int
) -> None:
    packed = PackedRecords(pack(Ledger(given_records[:cut])))
    one_by_one = Ledger((), packed)
    for record in given_records[cut:]:
        one_by_one.apply(record)
    whole = everything(Ledger(given_records))
    assert everything(Ledger(given_records[cut:], packed)) == everything(one_by_one) == whole


CHANGES = st.sampled_from(["grow", "grow", "grow", "cut", "cut to a line", "flip", "delete", "repair", "torn", "pack"])


def lines_of(given_records: list[Record], sitting: str) -> list[bytes]:
    """A log's lines: the opening record, then those that can be kept, numbered anew."""
    lines = [encode(Record(RecordId(sitting, 1), "2026-03-01T09:00:00.000Z", What.OPEN))]
    for record in given_records:
        numbered = record._replace(id=RecordId(sitting, len(lines) + 1))
        if record.id.sitting == sitting and not flaw_of_record(numbered):
            lines.append(encode(numbered))
    return lines


def said_by(folder: BenchFolder) -> dict[str, Any] | str:
    """All that a bench says when it is opened, or why it is refused."""
    try:
        return everything(LogsRead(folder).ledger)
    except BenchError as error:
        return error.message


def without_snapshot(folder: BenchFolder) -> dict[str, Any] | str:
    """The same where there is no snapshot."""
    file = folder.path / FOLD_FILE
    aside = file.rename(file.with_name("aside")) if file.exists() else None
    try:
        return said_by(folder)
    finally:
        if aside is not None:
            aside.rename(file)


@given(given_records=timed_records(), data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_bench_says_the_same_with_and_without_its_snapshot_whatever_happened_to_its_logs(
    given_records: list[Record], data: st.DataObject
) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = BenchFolder.create(Path(place) / "bench")
        left = {sitting: lines_of(given_records, sitting) for sitting in "ab"}
        for _ in range(data.draw(st.integers(2, 9))):
            change = data.draw(CHANGES)
            log = folder.tallies / f"{data.draw(st.sampled_from('ab'))}.jsonl"
            text = log.read_bytes() if log.exists() else b""
            at = data.draw(st.integers(0, max(0, len(text) - 1)))
            if change == "pack":
                try:
                    LogsRead(folder).pack("nobody", lambda _: None, at_least=0)
                except BenchError:
                    continue
                assert snapshot_standing(folder) is Standing.RIGHT
            elif change == "grow":
                more = left[log.stem][: data.draw(st.integers(1, 4))]
                del left[log.stem][: len(more)]
                log.write_bytes(text + b"".join(more))
            elif text and change == "delete":
                log.unlink()
            elif text and change == "repair":
                repair(log)
            elif text and change == "flip":
                log.write_bytes(text[:at] + bytes([text[at] ^ 1 << data.draw(st.integers(0, 7))]) + text[at + 1 :])
            elif text:
                end = {"cut": at, "cut to a line": text.rfind(b"\n", 0, at) + 1, "torn": len(text)}[change]
                log.write_bytes(text[:end] + (b'{"seq":' if change == "torn" else b""))
            assert said_by(folder) == without_snapshot(folder)
            assert snapshot_of(folder) is not Standing.WRONG


def snapshot_of(folder: BenchFolder) -> Standing:
    """How the snapshot stands; unused where a log is damaged, for then the bench is refused."""
    try:
        return snapshot_standing(folder)
    except BenchError:
        return Standing.UNUSED
