"""The tally log through its public behaviour: what is acknowledged can be read, what is wrong is found."""

from __future__ import annotations

import errno
import json
import multiprocessing
import os
import threading
import zlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta, timezone
from itertools import count
from pathlib import Path

import pytest

from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.store.locks import is_live
from sortbench.store.log_repair import examine, repair
from sortbench.store.record_codec import FORMAT
from sortbench.store.tally_log import (
    DamagedLog,
    Gap,
    SittingLog,
    encode,
    new_sitting_id,
    read_from,
    read_log,
)

SITTING = "20260301T093000Z-k3f9xq"
AT = "2026-03-01T09:30:00Z"
CELL = Cell("B7", "plate-2x4", "grey, late", "", Grade.G4_5, (Flaw.CRACKED,))


def tally(seq: int, quantity: int = 1, cell: Cell = CELL) -> Record:
    return Record(RecordId(SITTING, seq), AT, What.TALLY, cell, quantity, way="pad")


def varied(seq: int) -> Record:
    """Records of every sort, by number."""
    number = RecordId(SITTING, seq)
    match seq % 9:
        case 0:
            return Record(number, AT, What.VOID, voids=RecordId(SITTING, seq - 1))
        case 1:
            return Record(number, AT, What.MOVE, CELL, 2, to_fate=Fate.WASH)
        case 2:
            return tally(seq, seq)
        case 4:
            return Record(number, AT, What.RESERVE, CELL._replace(bin=""), 2, target="T-07")
        case 5:
            return Record(number, AT, What.MOVE, CELL, 2, "T-07", "T-07", to_fate=Fate.CRATE)
        case 6:
            return Record(number, AT, What.REGRADE, CELL, 2, way="judged", became=(None, (Flaw.BENT, Flaw.CHIPPED)))
        case 7:
            reading = (88.1, -1.25, 14.0)
            return Record(number, AT, What.REGRADE, CELL, 1, became=(Grade.G5, ()), lab=reading)
        case 8:
            return Record(number, AT, What.RECOUNT, CELL, 3, way="recount R-1")
        case _:
            bare = Cell("", "tile-1x1", "red", "", None, (), Fate.OUT)
            return Record(number, AT, What.LINE, bare, 3, target="T-07")


def written(folder: Path, count: int = 6) -> Path:
    """A closed log of an opening record and ``count`` others."""
    with SittingLog(folder, SITTING) as log:
        for _ in range(count):
            log.append(varied(log.next_seq))
    return log.path


def opening() -> Record:
    return Record(RecordId(SITTING, 1), AT, What.OPEN)


def test_reads_back_what_was_appended(tmp_path: Path) -> None:
    path = written(tmp_path)
    reading = read_log(path)
    assert reading.records == [opening(), *(varied(seq) for seq in range(2, 8))]
    assert (reading.sitting, reading.torn, reading.end, reading.next_seq) == (SITTING, b"", path.stat().st_size, 8)
    assert examine(path) == []


def test_line_is_readable_and_its_checksum_can_be_recomputed() -> None:
    """Against Python's zlib, not our decoder; CRC-32/ISO-HDLC of ``123456789`` is CBF43926 (Williams, "A Painless
    Guide to CRC Error Detection Algorithms", 1993, check value).
    """
    assert zlib.crc32(b"123456789") == 0xCBF43926
    line = encode(tally(7, 12))
    assert line == (
        b'{"seq":7,"at":"2026-03-01T09:30:00Z","what":"tally","n":12,"bin":"B7","part":"plate-2x4",'
        b'"shade":"grey, late","grade":"4-5","flaws":["cracked"],"way":"pad","crc":"' + line[-11:-3] + b'"}\n'
    )
    covered = SITTING.encode() + line[: line.index(b',"crc"')]
    assert json.loads(line)["crc"] == f"{zlib.crc32(covered):08x}"


def test_grade_is_null_where_nobody_judged() -> None:
    fields = json.loads(encode(tally(2, cell=CELL._replace(grade=None))))
    assert "grade" in fields and fields["grade"] is None


def test_sitting_id_sorts_by_time_and_is_in_utc() -> None:
    early = new_sitting_id(datetime(2026, 3, 1, 10, 30, tzinfo=timezone(timedelta(hours=1))))
    late = new_sitting_id(datetime(2026, 3, 1, 9, 30, 1, tzinfo=UTC))
    assert early.startswith("20260301T093000Z-") and early < late
    assert len({new_sitting_id(datetime(2026, 3, 1, tzinfo=UTC)) for _ in range(100)}) == 100


def test_looking_leaves_no_trace(tmp_path: Path) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        assert log.next_seq == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("count", [0, 1, 3])
def test_torn_at_every_byte_of_the_last_record(tmp_path: Path, count: int) -> None:
    """Count 0: the opening record itself is torn."""
    lines = [encode(opening()), *(encode(varied(seq)) for seq in range(2, 2 + count))]
    sound = b"".join(lines[:-1])
    path = tmp_path / f"{SITTING}.jsonl"
    for cut in range(len(lines[-1])):
        path.write_bytes(sound + lines[-1][:cut])
        reading = read_log(path)
        assert reading.records == ([opening(), *(varied(seq) for seq in range(2, 2 + count))])[:-1]
        assert (reading.torn, reading.end) == (lines[-1][:cut], len(sound))
        assert [damage.torn for damage in examine(path)] == ([True] if cut else [])


def test_zeros_after_the_end_are_torn(tmp_path: Path) -> None:
    """What a file system may leave where a length was written and the bytes were not."""
    path = written(tmp_path)
    records = read_log(path).records
    path.write_bytes(path.read_bytes() + bytes(300))
    assert read_log(path).records == records
    assert read_log(path).torn == bytes(300)


def test_whole_last_line_with_a_wrong_checksum_is_damage(tmp_path: Path) -> None:
    path = written(tmp_path)
    data = path.read_bytes()
    path.write_bytes(data[:-4] + (b"0" if data[-4:-3] != b"0" else b"1") + data[-3:])
    with pytest.raises(DamagedLog) as caught:
        read_log(path)
    assert (caught.value.file, caught.value.line, caught.value.exit_code) == (path, 7, 3)
    assert "--repair" in caught.value.mend


def test_every_flipped_bit_is_found_and_repair_keeps_the_rest(tmp_path: Path) -> None:
    path = written(tmp_path, 3)
    data = path.read_bytes()
    truth = read_log(path).records
    repaired = 0
    for place in range(len(data)):
        for bit in range(8):
            flipped = bytearray(data)
            flipped[place] ^= 1 << bit
            path.write_bytes(flipped)
            try:
                reading = read_log(path)
            except DamagedLog:
                pass
            else:
                assert reading.torn and reading.records == truth[: len(reading.records)]
            assert examine(path)
            if (place * 8 + bit) % 23 == 0:  # a repair syncs to disk: a sample, over all places and bits
                repair(path)
                kept = read_log(path)
                assert set(kept.records) <= set(truth) and len(kept.records) >= len(truth) - 1
                assert examine(path) == []
                repaired += 1
                for aside in tmp_path.glob("*.damaged-*"):
                    aside.unlink()
    assert repaired > 100


@pytest.mark.parametrize("line", range(6))
def test_dropped_line_is_found(tmp_path: Path, line: int) -> None:
    """All but the last: a log that merely ends earlier on a whole line is a sound, shorter log."""
    path = written(tmp_path)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:line] + lines[line + 1 :]))
    with pytest.raises(DamagedLog, match="missing") as caught:
        read_log(path)
    assert caught.value.line == line + 1
    assert len(examine(path)) == 1


@pytest.mark.parametrize("line", range(7))
def test_doubled_line_is_found(tmp_path: Path, line: int) -> None:
    path = written(tmp_path)
    truth = read_log(path).records
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:line], lines[line], *lines[line:]]))
    with pytest.raises(DamagedLog, match="doubled") as caught:
        read_log(path)
    assert caught.value.line == line + 2
    report = repair(path)
    assert (report.kept, report.missing) == (7, ())
    assert read_log(path).records == truth


@pytest.mark.parametrize("line", range(6))
def test_swapped_lines_are_found_and_put_right(tmp_path: Path, line: int) -> None:
    path = written(tmp_path)
    before = path.read_bytes()
    lines = before.splitlines(keepends=True)
    lines[line], lines[line + 1] = lines[line + 1], lines[line]
    path.write_bytes(b"".join(lines))
    with pytest.raises(DamagedLog):
        read_log(path)
    report = repair(path)
    assert (report.moved, report.aside) == (0, None)
    assert path.read_bytes() == before


def test_line_of_another_sitting_is_found(tmp_path: Path) -> None:
    path = written(tmp_path)
    other = Record(RecordId("20260301T093000Z-aaaaaa", 8), AT, What.TALLY, CELL, 1)
    path.write_bytes(path.read_bytes() + encode(other))
    with pytest.raises(DamagedLog, match="line 8"):
        read_log(path)


def sealed(**fields: object) -> bytes:
    """A line with a right checksum, whatever it says."""
    body = json.dumps(fields, separators=(",", ":"))[:-1].encode()
    return body + b',"crc":"%08x"}\n' % zlib.crc32(SITTING.encode() + body)


@pytest.mark.parametrize(
    "change",
    [
        {"what": "dance"},
        {"what": 3},
        {"what": ["tally"]},
        {"what": "open"},
        {"what": "void"},
        {"what": "line"},
        {"seq": "2"},
        {"seq": 2.0},
        {"seq": True},
        {"seq": 0},
        {"seq": -2},
        {"at": 5},
        {"n": 0},
        {"n": -3},
        {"n": 100_000},
        {"n": 1.5},
        {"n": "3"},
        {"n": True},
        {"bin": 7},
        {"part": None},
        {"shade": ["red"]},
        {"grade": "6"},
        {"grade": 5},
        {"flaws": "cracked"},
        {"flaws": ["eaten"]},
        {"flaws": [3]},
        {"fate": "lost"},
        {"fate": []},
        {"to": 1},
        {"to_fate": "to wash"},
        {"to_fate": []},
        {"target": {}},
        {"way": None},
        {"voids": "20260301T093000Z-k3f9xq/2"},
        {"voids": [SITTING]},
        {"voids": [SITTING, "2"]},
        {"voids": [SITTING, 0]},
        {"to_grade": "5"},
        {"to_flaws": []},
        {"lab": [88.1, 0.0]},
        {"lab": [88.1, 0.0, 1.0, 2.0]},
        {"lab": "#f4f4f0"},
        {"lab": [88.1, 0.0, "14"]},
        {"lab": [True, 0.0, 0.0]},
        {"lab": [100.01, 0.0, 0.0]},
        {"lab": [-0.01, 0.0, 0.0]},
        {"lab": [50.0, 151.0, 0.0]},
        {"lab": [50.0, 0.0, -151.0]},
        {"lab": [50.0, 0.0, 1.234]},
        {"lab": [50.0, 0.0, 10**400]},
        {"lab": [float("nan"), 0.0, 0.0]},
        {"lab": [50.0, float("inf"), 0.0]},
        {"what": "regrade"},
        {"what": "regrade", "to_grade": "6"},
        {"what": "regrade", "to_grade": 5},
        {"what": "regrade", "to_grade": None, "to_flaws": "bent"},
        {"what": "regrade", "to_flaws": ["bent"]},
        {"what": "regrade", "to_grade": "5", "to": "B1"},
        {"what": "regrade", "to_grade": "5", "target": "T-07"},
        {"format": 1},
        {"colour": "red"},
    ],
    ids=str,
)
def test_sealed_nonsense_is_refused(tmp_path: Path, change: dict[str, object]) -> None:
    """A right checksum does not make a record: first the line as it should be, then with one field changed."""
    fields = {
        "seq": 2,
        "at": AT,
        "what": "tally",
        "n": 3,
        "bin": "B7",
        "part": "tile-1x1",
        "shade": "red",
        "grade": "5",
    }
    path = tmp_path / f"{SITTING}.jsonl"
    path.write_bytes(encode(opening()) + sealed(**fields))
    assert read_log(path).records[1].quantity == 3
    path.write_bytes(encode(opening()) + sealed(**(fields | change)))
    with pytest.raises(DamagedLog) as caught:
        read_log(path)
    assert caught.value.line == 2
    assert "together" not in caught.value.reason


@pytest.mark.parametrize(
    "text", [b"[]", b"7", b'{"seq":2', b"\xff\xfe", b"", b"{" * 100_000], ids=lambda text: text[:9]
)
def test_sealed_text_that_is_no_object_is_refused(tmp_path: Path, text: bytes) -> None:
    path = tmp_path / f"{SITTING}.jsonl"
    line = text + b',"crc":"%08x"}\n' % zlib.crc32(SITTING.encode() + text)
    path.write_bytes(encode(opening()) + line)
    with pytest.raises(DamagedLog, match="line 2"):
        read_log(path)


@pytest.mark.parametrize(
    "record",
    [
        tally(2, 0),
        tally(2, 100_000),
        tally(1),
        tally(0),
        Record(RecordId(SITTING, 2), AT, What.OPEN),
        Record(RecordId(SITTING, 2), AT, What.TALLY, None, 1),
        Record(RecordId(SITTING, 2), AT, What.VOID),
        Record(RecordId(SITTING, 2), AT, What.LINE, CELL, 1),
        Record(RecordId(SITTING, 2), AT, What.RESERVE, CELL._replace(bin=""), 1),
        Record(RecordId(SITTING, 2), AT, What.RESERVE, CELL, 2, target="T-07"),
        Record(RecordId(SITTING, 2), AT, What.RESERVE, CELL._replace(bin="", part=""), 3, target="T-07"),
        Record(RecordId(SITTING, 2), AT, What.MOVE, CELL, 1, to_fate=Fate.CRATE),
        Record(RecordId(SITTING, 2), AT, What.MOVE, CELL, 2, "T-07", "T-08", to_fate=Fate.CRATE),
        Record(RecordId(SITTING, 2), AT, What.MOVE, CELL, 3, "T-07", "T-07"),
        tally(2, cell=CELL._replace(bin="", fate=Fate.CRATE)),
        Record(RecordId(SITTING, 2), AT, What.TALLY, CELL, 1, to_fate=Fate.OUT),
        Record(RecordId(SITTING, 2), AT, What.REGRADE, CELL, 1),
        Record(RecordId(SITTING, 2), AT, What.REGRADE, None, 1, became=(None, ())),
        Record(RecordId(SITTING, 2), AT, What.TALLY, CELL, 4, became=(None, ())),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, None, 1),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, CELL._replace(bin=""), 1),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, CELL._replace(fate=Fate.CRATE), 2),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, CELL, 3, "B9"),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, CELL, 4, target="T-07"),
        Record(RecordId(SITTING, 2), AT, What.RECOUNT, CELL, 5, lab=(50.0, 0.0, 0.0)),
        Record(RecordId(SITTING, 2), AT, What.LINE, CELL, 4, target="T-07", lab=(50.0, 0.0, 0.0)),
        Record(RecordId(SITTING, 2), AT, What.TALLY, CELL, 5, lab=(50.0, 0.0, float("nan"))),
        Record(RecordId("../x", 2), AT, What.TALLY, CELL, 1),
        tally(2, cell=CELL._replace(shade="\ud800")),
    ],
    ids=lambda record: f"{record.what}-{record.quantity}",
)
def test_what_could_not_be_read_back_is_not_written(record: Record) -> None:
    with pytest.raises(DataError):
        encode(record)


def test_record_out_of_turn_is_refused(tmp_path: Path) -> None:
    with SittingLog(tmp_path, SITTING) as log, pytest.raises(ValueError, match="is not"):
        log.append(tally(3))


def test_newer_format_is_refused_politely_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / f"{SITTING}.jsonl"
    path.write_bytes(
        sealed(seq=1, at=AT, what="open", format=FORMAT + 1, sitting=SITTING, tongue="new") + b"whatever\n"
    )
    before = path.read_bytes()
    for act in (read_log, examine, repair):
        with pytest.raises(BenchError, match="newer") as caught:
            act(path)
        assert not isinstance(caught.value, DamagedLog)
    assert path.read_bytes() == before


def test_reading_goes_on_where_it_ended(tmp_path: Path) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        log.append(tally(2))
        first = read_log(log.path)
        log.append(tally(3))
        with log.path.open("ab") as other:
            half = encode(tally(4))[:20]
            other.write(half)
        second = read_from(log.path, SITTING, first.end, first.next_seq)
    assert (second.records, second.torn, second.next_seq) == ([tally(3)], half, 4)
    assert read_from(log.path, SITTING, second.end, 4).records == []


def test_damage_found_while_following_tells_the_line_in_the_file(tmp_path: Path) -> None:
    path = written(tmp_path)
    reading = read_log(path)
    with path.open("ab") as other:
        other.write(b"rubbish\n")
    with pytest.raises(DamagedLog) as caught:
        read_from(path, SITTING, reading.end, reading.next_seq)
    assert caught.value.line == 8
    path.write_bytes(b"")
    with pytest.raises(DamagedLog, match="shrank"):
        read_from(path, SITTING, reading.end, reading.next_seq)


@pytest.mark.parametrize("line", [2, 700, 1400])
def test_damage_is_found_anywhere_in_a_long_log(tmp_path: Path, line: int) -> None:
    """Long enough to be decoded in several goes."""
    records = [opening(), *(varied(seq) for seq in range(2, 1501))]
    lines = [encode(record) for record in records]
    path = tmp_path / f"{SITTING}.jsonl"
    path.write_bytes(b"".join(lines))
    assert read_log(path).records == records
    flipped = bytearray(lines[line - 1])
    flipped[20] ^= 1
    for damaged in ([bytes(flipped)], [], [lines[line - 1]] * 2):  # changed, dropped, doubled
        path.write_bytes(b"".join([*lines[: line - 1], *damaged, *lines[line:]]))
        with pytest.raises(DamagedLog) as caught:
            read_log(path)
        assert caught.value.line == line + (len(damaged) > 1)


def test_unreadable_log_says_so(tmp_path: Path) -> None:
    with pytest.raises(BenchError, match="cannot be read"):
        read_log(tmp_path / f"{SITTING}.jsonl")
    (tmp_path / "my log.jsonl").write_bytes(b"")
    with pytest.raises(DamagedLog, match="no name of a sitting"):
        read_log(tmp_path / "my log.jsonl")


# --- the disk refuses -------------------------------------------------------------------------------------------------


def failing(monkeypatch: pytest.MonkeyPatch, name: str, code: int, *, bytes_first: int = 0) -> None:
    """Make an ``os`` function fail, ``os.write`` after taking some bytes, a sync every second time.

    The second sync is that of cutting the log back; where that fails too, the log is closed, which has a test below.
    """
    real: Callable[..., int] = getattr(os, name)
    calls = count()

    def refuse(*arguments: object) -> int:
        if name == "fdatasync" and next(calls) % 2:
            return real(*arguments)
        if bytes_first and name == "write":
            real(arguments[0], bytes(arguments[1])[:bytes_first])  # type: ignore[call-overload]
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, name, refuse)


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EDQUOT])
@pytest.mark.parametrize(("name", "taken"), [("write", 0), ("write", 30), ("fdatasync", 0)])
@pytest.mark.parametrize("earlier", [0, 2])
def test_refused_append_leaves_nothing_and_can_be_done_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, taken: int, code: int, earlier: int
) -> None:
    """``earlier`` 0: the very first record fails, with the opening record before it."""
    with SittingLog(tmp_path, SITTING) as log:
        for _ in range(earlier):
            log.append(tally(log.next_seq))
        before = log.path.read_bytes() if earlier else b""
        turn = log.next_seq
        with monkeypatch.context() as patch:
            failing(patch, name, code, bytes_first=taken)
            for _ in range(3):
                with pytest.raises(WriteError, match="Nothing was counted"):
                    log.append(tally(turn, 5))
                assert log.path.read_bytes() == before
                assert log.next_seq == turn
        log.append(tally(turn, 5))
    assert read_log(log.path).records[1:] == [*(tally(seq) for seq in range(2, turn)), tally(turn, 5)]


def test_short_writes_are_completed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda descriptor, data: real(descriptor, bytes(data)[:7]))
    assert len(read_log(written(tmp_path)).records) == 7


def test_log_that_cannot_be_cut_back_takes_no_more(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        log.append(tally(2))
        with monkeypatch.context() as patch:
            failing(patch, "fdatasync", errno.EIO)
            failing(patch, "ftruncate", errno.EIO)
            with pytest.raises(WriteError, match="closed to further writing"):
                log.append(tally(3))
        with pytest.raises(WriteError, match="closed to further writing"):
            log.append(tally(3))
    assert read_log(log.path).records[1] == tally(2)


def test_folder_that_cannot_be_synced_counts_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        with monkeypatch.context() as patch:
            failing(patch, "fsync", errno.EIO)
            with pytest.raises(WriteError):
                log.append(tally(2))
        assert log.path.read_bytes() == b""
        log.append(tally(2))
    assert len(read_log(log.path).records) == 2


def test_interrupted_append_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_: int) -> None:
        raise KeyboardInterrupt

    with SittingLog(tmp_path, SITTING) as log:
        log.append(tally(2))
        before = log.path.read_bytes()
        with monkeypatch.context() as patch:
            patch.setattr(os, "fdatasync", interrupted)
            with pytest.raises(KeyboardInterrupt):
                log.append(tally(3))
        assert log.path.read_bytes() == before


def test_without_fdatasync_fsync_is_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[int] = []
    real = os.fsync

    def counted(descriptor: int) -> None:
        calls.append(descriptor)
        real(descriptor)

    monkeypatch.delattr(os, "fdatasync")
    monkeypatch.setattr(os, "fsync", counted)
    written(tmp_path, 3)
    assert len(calls) == 4  # three records, one folder


def test_read_only_folder_is_told_and_later_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Simulated, for root writes anywhere: making files is refused."""
    real = os.open

    def refuse(path: str, flags: int, *rest: object, **named: object) -> int:
        if flags & os.O_CREAT:
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return real(path, flags, *rest, **named)  # type: ignore[arg-type]

    with SittingLog(tmp_path, SITTING) as log:
        with monkeypatch.context() as patch:
            patch.setattr(os, "open", refuse)
            with pytest.raises(WriteError, match="written to"):
                log.append(tally(2))
        log.append(tally(2))
    assert len(read_log(log.path).records) == 2


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root writes to read-only folders")
def test_really_read_only_folder(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with SittingLog(tmp_path, SITTING) as log, pytest.raises(WriteError):
            log.append(tally(2))
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.parametrize("act", ["remove", "replace", "append", "cut"])
def test_log_changed_by_another_hand_is_noticed(tmp_path: Path, act: str) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        log.append(tally(2))
        data = log.path.read_bytes()
        if act in ("remove", "replace"):
            log.path.unlink()
        if act == "replace":
            log.path.write_bytes(data)
        elif act == "append":
            log.path.write_bytes(data + b"\n")
        elif act == "cut":
            log.path.write_bytes(data[:-9])
        for _ in range(2):
            with pytest.raises(WriteError, match="another program"):
                log.append(tally(3))


def test_nothing_is_written_through_a_link(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.write_bytes(b"mine")
    folder = tmp_path / "tallies"
    folder.mkdir()
    (folder / f"{SITTING}.jsonl").symlink_to(outside)
    with SittingLog(folder, SITTING) as log, pytest.raises(WriteError, match="exists already"):
        log.append(tally(2))
    assert outside.read_bytes() == b"mine"


# --- repair -----------------------------------------------------------------------------------------------------------


def test_repair_keeps_every_sound_record_byte_for_byte(tmp_path: Path) -> None:
    path = written(tmp_path, 9)
    lines = path.read_bytes().splitlines(keepends=True)
    broken = [line.replace(b"seq", b"sEq") if number in (3, 4, 7) else line for number, line in enumerate(lines)]
    path.write_bytes(b"".join(broken) + b'{"seq":11,"at')
    assert [(damage.line, damage.torn) for damage in examine(path)] == [(4, False), (5, False), (8, False), (11, True)]

    report = repair(path)
    assert (report.changed, report.kept, report.missing) == (True, 7, (Gap(4, 5), Gap(8, 8)))
    assert report.aside is not None and report.aside.name == f"{SITTING}.jsonl.damaged-1"
    assert report.aside.read_bytes() == broken[3] + broken[4] + broken[7] + b'{"seq":11,"at'
    assert report.moved == report.aside.stat().st_size

    mended = path.read_bytes().splitlines(keepends=True)
    assert [line for line in mended if b'"gap"' not in line] == [lines[n] for n in (0, 1, 2, 5, 6, 8, 9)]
    reading = read_log(path)
    assert (reading.gaps, reading.next_seq, reading.torn) == ([Gap(4, 5), Gap(8, 8)], 11, b"")
    assert repair(path).changed is False


def test_only_the_recorded_gaps_are_accepted(tmp_path: Path) -> None:
    path = written(tmp_path, 9)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:3], b"rubbish\n", *lines[4:]]))
    repair(path)
    mended = path.read_bytes().splitlines(keepends=True)
    for line in range(len(mended) - 1):
        path.write_bytes(b"".join(mended[:line] + mended[line + 1 :]))
        with pytest.raises(DamagedLog):
            read_log(path)
    path.write_bytes(b"".join(mended))
    second = mended[6].replace(b"seq", b"sEq")
    path.write_bytes(b"".join([*mended[:6], second, *mended[7:]]))
    assert repair(path).missing == (Gap(4, 4), Gap(7, 7))
    assert sorted(file.name[-9:] for file in tmp_path.glob("*.damaged-*")) == ["damaged-1", "damaged-2"]


def test_gap_line_is_under_the_checksum(tmp_path: Path) -> None:
    path = written(tmp_path, 5)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + b"x\n" + b"".join(lines[2:]))
    repair(path)
    data = path.read_bytes()
    start = data.index(b'{"gap"')
    for place in range(start, data.index(b"\n", start) + 1):
        flipped = bytearray(data)
        flipped[place] ^= 1
        path.write_bytes(flipped)
        with pytest.raises(DamagedLog):
            read_log(path)


def test_lost_opening_record_is_a_gap_too(tmp_path: Path) -> None:
    path = written(tmp_path, 3)
    data = path.read_bytes()
    path.write_bytes(b"?" + data[1:])
    assert repair(path).missing == (Gap(1, 1),)
    assert [record.id.seq for record in read_log(path).records] == [2, 3, 4]


def test_lines_run_together_are_both_saved(tmp_path: Path) -> None:
    path = written(tmp_path, 5)
    truth = read_log(path).records
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:2], lines[2].rstrip(b"\n") + b"\x00", *lines[3:]]))
    report = repair(path)
    assert (report.missing, report.kept) == ((), 6)
    assert read_log(path).records == truth


@pytest.mark.parametrize("name", ["write", "fsync", "replace"])
def test_refused_repair_leaves_the_log_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    path = written(tmp_path)
    damaged = path.read_bytes().replace(b'"seq":3', b'"seq":9')
    path.write_bytes(damaged)
    with monkeypatch.context() as patch:
        failing(patch, name, errno.ENOSPC)
        with pytest.raises(WriteError):
            repair(path)
    assert path.read_bytes() == damaged
    assert not list(tmp_path.glob(".*.tmp"))
    assert repair(path).kept == 6


def test_renamed_log_gets_its_name_back(tmp_path: Path) -> None:
    path = written(tmp_path)
    truth = read_log(path).records
    other = path.rename(tmp_path / "other.jsonl")
    with pytest.raises(DamagedLog, match="renamed"):
        read_log(other)
    report = repair(other)
    assert (report.file, report.kept) == (path, 7)
    assert read_log(path).records == truth
    assert not other.exists()


def test_older_copy_under_another_name_is_set_aside(tmp_path: Path) -> None:
    path = written(tmp_path)
    copy = tmp_path / "copy.jsonl"
    copy.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:4]))
    assert repair(copy).aside == tmp_path / "copy.jsonl.damaged-1"
    assert not copy.exists()
    copy.write_bytes(path.read_bytes() + encode(tally(8)))
    with pytest.raises(BenchError, match="something else"):
        repair(copy)
    assert copy.exists()


def test_linked_log_is_not_repaired(tmp_path: Path) -> None:
    path = written(tmp_path)
    path.write_bytes(path.read_bytes() + b"torn")
    link = tmp_path / "link.jsonl"
    link.symlink_to(path)
    with pytest.raises(BenchError, match="symbolic link"):
        repair(link)
    assert path.read_bytes().endswith(b"torn")


# --- two at once ------------------------------------------------------------------------------------------------------


def test_prepared_sitting_holds_its_lock_and_leaves_no_trace(tmp_path: Path) -> None:
    with SittingLog(tmp_path, SITTING) as log:
        log.prepare()
        assert is_live(tmp_path, SITTING) and not log.path.exists()
        log.prepare()
    assert list(tmp_path.iterdir()) == []


def test_records_from_many_threads_are_whole(tmp_path: Path) -> None:
    """Whoever comes late with a number that is taken is told so; what is in the log is in order."""
    refused: list[int] = []

    def work(log: SittingLog) -> None:
        for _ in range(50):
            try:
                log.append(tally(log.next_seq))
            except ValueError:
                refused.append(1)

    with SittingLog(tmp_path, SITTING) as log:
        threads = [threading.Thread(target=work, args=(log,)) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert len(read_log(log.path).records) == 1 + 200 - len(refused)


def test_sitting_is_locked_while_it_writes(tmp_path: Path) -> None:
    assert not is_live(tmp_path, SITTING)
    with SittingLog(tmp_path, SITTING) as log:
        log.append(tally(2))
        assert is_live(tmp_path, SITTING)
        with SittingLog(tmp_path, SITTING) as second, pytest.raises(BenchError, match="another program"):
            second.append(tally(2))
    assert not is_live(tmp_path, SITTING)
    assert [file.name for file in tmp_path.iterdir()] == [f"{SITTING}.jsonl"]
    with pytest.raises(WriteError, match="has ended"):
        log.append(tally(3))


def _count_fifty(folder: str, sitting: str) -> None:
    with SittingLog(Path(folder), sitting) as log:
        for quantity in range(1, 51):
            log.append(Record(RecordId(sitting, log.next_seq), AT, What.TALLY, CELL, quantity))


@pytest.fixture
def spawned() -> Iterator[list[multiprocessing.process.BaseProcess]]:
    children: list[multiprocessing.process.BaseProcess] = []
    yield children
    for child in children:
        child.join(20)


def test_two_sittings_at_once_both_count(tmp_path: Path, spawned: list[multiprocessing.process.BaseProcess]) -> None:
    context = multiprocessing.get_context("spawn")
    sittings = [new_sitting_id(datetime(2026, 3, 1, tzinfo=UTC)) for _ in range(2)]
    for sitting in sittings:
        spawned.append(context.Process(target=_count_fifty, args=(str(tmp_path), sitting)))
        spawned[-1].start()
    for child in spawned:
        child.join(20)
    for sitting in sittings:
        reading = read_log(tmp_path / f"{sitting}.jsonl")
        assert [record.quantity for record in reading.records] == [0, *range(1, 51)]
