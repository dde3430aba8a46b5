"""A bench folder: made where nothing else lies, checked without changing it, repaired without losing anything."""

from __future__ import annotations

import errno
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from sortbench.model.errors import BenchError, UsageError, WriteError
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store.backups import BACKUPS
from sortbench.store.folder import LIBRARY, PAPERS, BenchFolder, Severity
from sortbench.store.tally_log import SittingLog, new_sitting_id, read_log

NOW = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)


def count(log: SittingLog, quantity: int = 1) -> None:
    cell = Cell("B7", "plate-2x4", "red", "", None, ())
    log.append(Record(RecordId(log.sitting, log.next_seq), "2026-03-01T09:30:00Z", What.TALLY, cell, quantity))


@pytest.fixture
def bench(tmp_path: Path) -> BenchFolder:
    return BenchFolder.create(tmp_path / "bench")


@pytest.fixture
def log(bench: BenchFolder) -> Path:
    """A closed sitting of five tallies."""
    with SittingLog(bench.tallies, new_sitting_id(NOW)) as sitting:
        for quantity in range(1, 6):
            count(sitting, quantity)
    return sitting.path


def content(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def test_created_bench_is_empty_and_sound(bench: BenchFolder) -> None:
    assert BenchFolder.is_bench(bench.path)
    opened = BenchFolder.open(bench.path)
    assert (opened.logs(), opened.check(), dict(opened.documents.load().parts)) == ([], [], {})


def test_create_takes_an_empty_folder_and_dot_files(tmp_path: Path) -> None:
    (tmp_path / ".hidden").write_text("")
    (tmp_path / "tallies").mkdir()  # as a crash while creating leaves it
    assert BenchFolder.create(tmp_path).check() == []


@pytest.mark.parametrize("name", ["notes.txt", "tallies"])
def test_create_refuses_a_folder_with_other_things(tmp_path: Path, name: str) -> None:
    if name == "tallies":
        (tmp_path / "tallies").mkdir()
        (tmp_path / "tallies" / "x.jsonl").write_text("")
    else:
        (tmp_path / name).write_text("mine")
    with pytest.raises(UsageError, match=f"not empty: it holds '{name}'"):
        BenchFolder.create(tmp_path)
    assert not BenchFolder.is_bench(tmp_path)


def test_create_refuses_a_bench_and_a_file(tmp_path: Path, bench: BenchFolder) -> None:
    with pytest.raises(UsageError, match="already"):
        BenchFolder.create(bench.path)
    (tmp_path / "file").write_text("mine")
    with pytest.raises(BenchError, match="no folder"):
        BenchFolder.create(tmp_path / "file")
    with pytest.raises(WriteError):
        BenchFolder.create(tmp_path / "file" / "below")


def test_open_says_what_is_missing(tmp_path: Path, bench: BenchFolder) -> None:
    with pytest.raises(BenchError, match="sortbench new"):
        BenchFolder.open(tmp_path)
    bench.tallies.rmdir()
    with pytest.raises(BenchError, match="is missing"):
        BenchFolder.open(bench.path)
    bench.tallies.symlink_to(tmp_path)
    with pytest.raises(BenchError, match="symbolic link"):
        BenchFolder.open(bench.path)


def test_logs_are_in_order_of_time_and_nothing_else(bench: BenchFolder, log: Path) -> None:
    with SittingLog(bench.tallies, new_sitting_id(NOW.replace(year=2025))) as earlier:
        count(earlier)
    (bench.tallies / "note.txt").write_text("")
    (bench.tallies / ".hidden.jsonl").write_text("")
    assert bench.logs() == [earlier.path, log]


def test_check_changes_nothing_and_names_every_trouble(bench: BenchFolder, log: Path) -> None:
    data = log.read_bytes()
    log.write_bytes(data.replace(b'"n":2', b'"n":9') + b'{"seq":7')
    bench.documents.path.write_text("{")
    (bench.path / ".bench.json.0a1b2c3d.tmp").write_text("half")
    (bench.tallies / ".20260101T000000Z-aaaaaa.lock").write_text("")
    before = content(bench.path)
    found = {(finding.file.name, finding.where, finding.severity) for finding in bench.check()}
    assert found == {
        ("bench.json", "", Severity.DAMAGE),
        (log.name, "line 3", Severity.DAMAGE),
        (log.name, "line 7", Severity.TRACE),
        (".bench.json.0a1b2c3d.tmp", "", Severity.TRACE),
        (".20260101T000000Z-aaaaaa.lock", "", Severity.TRACE),
    }
    assert all(finding.mend for finding in bench.check())
    assert content(bench.path) == before


@pytest.mark.parametrize("name", [BACKUPS, LIBRARY, *PAPERS])
def test_what_a_crash_left_in_any_folder_of_ours_is_told_and_cleared_away(bench: BenchFolder, name: str) -> None:
    (bench.path / name).mkdir()
    left, mine = bench.path / name / ".page.html.0a1b2c3d.tmp", bench.path / name / ".page.tmp"
    left.write_text("half")
    mine.write_text("somebody's own")
    assert [(each.file, each.severity) for each in bench.check()] == [(left, Severity.TRACE)]
    bench.repair()
    assert not left.exists() and mine.exists()
    assert bench.check() == []


def test_no_folder_that_is_a_link_is_cleared_up(bench: BenchFolder, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / ".page.html.0a1b2c3d.tmp").write_text("half")
    (bench.path / "reports").symlink_to(tmp_path / "elsewhere")
    assert bench.repair() == []
    assert list((tmp_path / "elsewhere").iterdir())


def test_repair_mends_and_clears_away(bench: BenchFolder, log: Path) -> None:
    truth = read_log(log).records
    log.write_bytes(log.read_bytes().replace(b'"n":2', b'"n":9') + b'{"seq":7')
    (bench.path / ".bench.json.0a1b2c3d.tmp").write_text("half")
    (bench.tallies / ".20260101T000000Z-aaaaaa.lock").write_text("")
    done = bench.repair()
    assert any("5 records kept; 1 missing" in finding.what for finding in done)
    assert read_log(log).records == [record for record in truth if record.quantity != 2]
    left = bench.check()
    assert {finding.severity for finding in left} == {Severity.NOTE}
    assert sorted(finding.what for finding in left) == [
        "bytes moved aside by a repair",
        "records 3 to 3 were lost to damage",
    ]
    assert not list(bench.path.rglob("*.tmp")) and not list(bench.tallies.glob(".*.lock"))
    assert bench.repair() == []


def test_repair_leaves_damaged_documents_to_a_person(bench: BenchFolder) -> None:
    bench.documents.path.write_text("{")
    assert [finding.severity for finding in bench.repair()] == [Severity.DAMAGE]
    assert bench.documents.path.read_text() == "{"


def test_repair_makes_missing_tallies_again(bench: BenchFolder) -> None:
    bench.tallies.rmdir()
    assert [finding.severity for finding in bench.check()] == [Severity.DAMAGE]
    bench.repair()
    assert bench.check() == []


def test_repair_waits_for_the_end_of_a_sitting(bench: BenchFolder, log: Path) -> None:
    log.write_bytes(log.read_bytes() + b"torn")
    with SittingLog(bench.tallies, new_sitting_id(NOW)) as sitting:
        count(sitting)
        assert bench.live_sittings() == [sitting.sitting]
        with pytest.raises(BenchError, match="under way"):
            bench.repair()
        assert log.read_bytes().endswith(b"torn")
        count(sitting, 2)
    assert bench.live_sittings() == []
    bench.repair()
    assert not log.read_bytes().endswith(b"torn")


def test_line_that_a_live_sitting_is_writing_is_not_torn(bench: BenchFolder) -> None:
    with SittingLog(bench.tallies, new_sitting_id(NOW)) as sitting:
        count(sitting)
        with sitting.path.open("ab") as half:
            half.write(b'{"seq":3')
        assert bench.check() == []
    assert [finding.severity for finding in bench.check()] == [Severity.TRACE]


def test_refused_repair_says_so(bench: BenchFolder, log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    damaged = log.read_bytes() + b"torn"
    log.write_bytes(damaged)

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", full)
        with pytest.raises(WriteError, match="as it was"):
            bench.repair()
    assert log.read_bytes() == damaged


def test_check_works_where_only_reading_is_allowed(
    bench: BenchFolder, log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Simulated, for root writes anywhere: the lock of a sitting cannot be opened for writing."""
    (bench.tallies / f".{log.stem}.lock").write_text("")
    real = os.open

    def refuse(path: str, flags: int, *rest: object, **named: object) -> int:
        if flags & (os.O_RDWR | os.O_WRONLY | os.O_CREAT):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return real(path, flags, *rest, **named)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", refuse)
        assert bench.check() == []
        with pytest.raises(WriteError):
            bench.repair()
        with pytest.raises(WriteError), bench.documents.edit():
            pass
        assert len(read_log(log).records) == 6


def test_linked_documents_are_a_finding(bench: BenchFolder, tmp_path: Path) -> None:
    moved = bench.documents.path.rename(tmp_path / "elsewhere.json")
    bench.documents.path.symlink_to(moved)
    assert ["symbolic link" in finding.what for finding in bench.check()] == [True]


def test_copied_bench_keeps_its_gaps(bench: BenchFolder, log: Path, tmp_path: Path) -> None:
    """A repaired log is sound wherever its file goes: what is missing is told inside it."""
    log.write_bytes(log.read_bytes().replace(b'"n":2', b'"n":9'))
    bench.repair()
    other = BenchFolder.create(tmp_path / "other")
    (other.tallies / log.name).write_bytes(log.read_bytes())
    assert {finding.severity for finding in other.check()} == {Severity.NOTE}
    assert len(read_log(other.tallies / log.name).records) == 5
