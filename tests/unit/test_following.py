"""Following the logs of all sittings: every record once, whoever writes it and whenever one looks."""

from __future__ import annotations

from pathlib import Path

import pytest

from sortbench.model.errors import BenchError
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store.following import LogFollower
from sortbench.store.tally_log import SittingLog, encode

AT = "2026-03-01T09:30:00Z"
ONE, OTHER = "20260301T093000Z-k3f9xq", "20260301T093100Z-b2c3d4"
CELL = Cell("B1", "plate-2x4", "red", "", Grade.G5, ())


def tally(sitting: str, seq: int) -> Record:
    return Record(RecordId(sitting, seq), AT, What.TALLY, CELL, seq)


def append(log: SittingLog) -> RecordId:
    record = tally(log.sitting, log.next_seq)
    log.append(record)
    return record.id


def tallies_of(follower: LogFollower) -> list[RecordId]:
    return [record.id for record in follower.read_new() if record.what is What.TALLY]


def test_an_empty_folder_has_nothing_new(tmp_path: Path) -> None:
    follower = LogFollower(tmp_path)
    assert follower.read_new() == []
    assert follower.read_new() == []


def test_each_record_is_handed_out_once_in_the_order_of_sittings(tmp_path: Path) -> None:
    follower = LogFollower(tmp_path)
    with SittingLog(tmp_path, OTHER) as other, SittingLog(tmp_path, ONE) as one:
        first, second = append(other), append(one)
        assert tallies_of(follower) == [second, first]
        assert tallies_of(follower) == []
        later = [append(one), append(one), append(other)]
        assert tallies_of(follower) == later
    assert tallies_of(follower) == []
    assert tallies_of(LogFollower(tmp_path)) == [second, *later[:2], first, later[2]]


def test_a_line_that_is_just_being_written_is_read_when_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / f"{ONE}.jsonl"
    whole = encode(Record(RecordId(ONE, 1), AT, What.OPEN)) + encode(tally(ONE, 2))
    line = encode(tally(ONE, 3))
    for cut in range(len(line)):
        path.write_bytes(whole)
        follower = LogFollower(tmp_path)
        assert len(follower.read_new()) == 2
        path.write_bytes(whole + line[:cut])
        assert follower.read_new() == []
        assert follower.torn == ({path: line[:cut]} if cut else {})
        path.write_bytes(whole + line)
        assert tallies_of(follower) == [RecordId(ONE, 3)]
        assert follower.torn == {}


def test_damage_anywhere_takes_nothing_in_until_it_is_mended(tmp_path: Path) -> None:
    follower = LogFollower(tmp_path)
    with SittingLog(tmp_path, ONE) as one, SittingLog(tmp_path, OTHER) as other:
        kept = [append(one), append(other)]
        assert tallies_of(follower) == kept
        fresh = [append(one), append(other)]
    path = tmp_path / f"{OTHER}.jsonl"
    sound = path.read_bytes()
    path.write_bytes(sound[:-5] + bytes([sound[-5] ^ 1]) + sound[-4:])
    for _ in range(2):
        with pytest.raises(BenchError, match="line 3"):
            follower.read_new()
    path.write_bytes(sound)
    assert tallies_of(follower) == fresh


def test_a_log_that_became_shorter_is_told(tmp_path: Path) -> None:
    with SittingLog(tmp_path, ONE) as one:
        append(one)
        append(one)
    follower = LogFollower(tmp_path)
    follower.read_new()
    path = tmp_path / f"{ONE}.jsonl"
    path.write_bytes(path.read_bytes()[:-10])
    with pytest.raises(BenchError, match="shrank"):
        follower.read_new()


def test_other_files_are_no_logs(tmp_path: Path) -> None:
    # Copying to some file systems leaves a file of metadata beside each, its name begun with a dot.
    for name in (f"._{ONE}.jsonl", f".{ONE}.lock", f"{ONE}.jsonl.damaged-1", "notes.txt"):
        (tmp_path / name).write_bytes(b"\x00\x05\x16\x07")
    assert LogFollower(tmp_path).read_new() == []


def test_a_log_that_goes_away_while_one_looks_is_none(tmp_path: Path) -> None:
    (tmp_path / f"{ONE}.jsonl").symlink_to(tmp_path / "gone")  # listed, and not there
    assert LogFollower(tmp_path).read_new() == []
