"""The snapshot of the logs: what a bench opened from it does, and when it is left alone."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, rows
from small_bench import BRICK, PLATE, TILE, counted, make_folder, ticking

from sortbench import logs_read
from sortbench.bench import Bench
from sortbench.engine.folding.packed_records import PackedRecords
from sortbench.engine.ledger import Ledger
from sortbench.logs_read import WORTH_PACKING, LogsRead, Standing, snapshot_standing
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.store import fold_file
from sortbench.store.fold_file import Snapshot, read_snapshot, write_snapshot
from sortbench.store.folder import BenchFolder, Severity
from sortbench.store.following import FOLD_FILE
from sortbench.store.log_reading import read_log
from sortbench.store.record_codec import encode
from sortbench.store.tally_log import SittingLog
from sortbench.upkeep import check, repair


def pack(bench: Bench) -> bool:
    """Write a snapshot, however few records there are."""
    return bench.logs.pack(bench.sitting.id, bench.sitting.take_in, at_least=0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A bench at which something of everything was done, with a snapshot made when that sitting ended."""
    path: Path = make_folder(tmp_path / "bench")
    with Bench.open(path, ticking()) as bench:
        counted(bench, "plate 2x4 red *5")
        counted(bench, "brick 2x4 red *2")
        bench.undo()
        counted(bench, "tile 2x2 white *3")
        bench.correct(bench.recent(1)[0].id, "*2 !4")
        bench.write_up("T-03")
        counted(bench, "plate 1x2 red *4")
        bench.write_up("")
        bench.crates.reserve(PLATE, 2, "T-02", Grade.G5)
        assert pack(bench)
    return path


def later(path: Path) -> Bench:
    """The bench, opened on a later day."""
    return Bench.open(path, ticking(datetime(2026, 3, 2, 9, tzinfo=UTC)))


def said(bench: Bench) -> list[Any]:
    """What screens and lists show."""
    codes = bench.documents.targets
    # A sitting does not show the record that opened its own log.
    log = [row._replace(own=False) for row in bench.log() if row.what is not What.OPEN]
    return [bench.target_rows(), [bench.line_rows(code) for code in codes], bench.bin_rows(), log, bench.sitting.use()]


def replayed(path: Path) -> list[Any]:
    """The same from all of the logs."""
    copy = path.with_name("replayed")
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(path, copy, ignore=shutil.ignore_patterns(FOLD_FILE, "*.lock"))
    with later(copy) as bench:
        assert bench.picture.ledger.packed is None
        return said(bench)


class TestABenchOpenedFromItsSnapshot:
    def test_shows_what_one_does_that_reads_its_logs(self, folder: Path) -> None:
        with later(folder) as bench:
            assert bench.picture.ledger.packed is not None and not bench.picture.ledger.fresh
            assert said(bench) == replayed(folder)
        assert snapshot_standing(BenchFolder(folder)) is Standing.RIGHT

    def test_takes_back_brings_back_and_puts_right_what_is_in_it(self, folder: Path) -> None:
        with later(folder) as bench:
            assert bench.undo().text.startswith("undone: 2 × plate 2x4 red set aside")
            assert bench.redo().text.startswith("brought back")
            tile = next(row for row in bench.log() if row.what is What.TALLY and row.holds and row.shade == "white")
            bench.correct(tile.id, "*7")
            plate = next(row for row in bench.log() if row.what is What.TALLY and row.quantity == 5)
            with pytest.raises(Exception, match="are set aside for"):
                bench.crates.release(PLATE, 3, "T-02", Grade.G5)
            bench.crates.release(PLATE, 1, "T-02", Grade.G5)
            bench.void(plate.id)
            assert bench.picture.counted(TILE) == 7 and bench.picture.counted(PLATE) == 0
            shown = said(bench)
        assert shown == replayed(folder)
        with later(folder) as bench:
            assert said(bench) == shown and pack(bench)
        with later(folder) as bench:
            assert said(bench) == shown
            assert not bench.picture.ledger.fresh

    def test_undoes_the_last_of_an_ended_sitting_only_while_no_other_writes_it(self, folder: Path) -> None:
        with later(folder) as one, later(folder) as other:
            counted(one, "brick 2x4 red *9")
            other.refresh()
            assert "set aside" in other.undo().text  # not what the other sitting has just counted
            assert other.picture.counted(BRICK) == 9

    def test_has_the_same_in_hand(self, folder: Path) -> None:
        with later(folder) as bench:
            hand = bench.sitting.hand_words
        copy = folder.with_name("copy")
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns(FOLD_FILE, "*.lock"))
        with later(copy) as bench:
            assert bench.sitting.hand_words == hand != ""

    def test_takes_in_a_log_that_another_machine_wrote_in_between(self, folder: Path) -> None:
        early = "20260228T080000Z-abcdef"
        with SittingLog(folder / "tallies", early) as log:
            cell = Cell("B1", "plate-2x4", "red", "", Grade.G5, ())
            for seq in range(2, 6):
                log.append(Record(RecordId(early, seq), f"2026-03-01T09:30:0{seq}.500Z", What.TALLY, cell, seq))
        with later(folder) as bench:
            assert len(bench.picture.ledger.fresh) == 5
            assert said(bench) == replayed(folder)
            assert bench.picture.counted(PLATE) == 5 + 14
            assert pack(bench)
        with later(folder) as bench:
            assert said(bench) == replayed(folder)


class TestASnapshotIsNotUsed:
    def test_whichever_byte_of_it_is_changed(self, folder: Path) -> None:
        file, tallies = folder / FOLD_FILE, folder / "tallies"
        text = file.read_bytes()
        assert read_snapshot(file, tallies) is not None
        for at in range(0, len(text), 3):
            file.write_bytes(text[:at] + bytes([text[at] ^ (1 << at % 8)]) + text[at + 1 :])
            assert read_snapshot(file, tallies) is None, at
        for at in range(0, len(text), 13):
            file.write_bytes(text[:at])
            assert read_snapshot(file, tallies) is None, at
        file.write_bytes(text + b"\0")
        assert read_snapshot(file, tallies) is None

    def test_if_a_log_it_covers_is_gone_shorter_or_changed(self, folder: Path) -> None:
        (log,) = BenchFolder(folder).logs()
        text = log.read_bytes()
        lines = text.splitlines(keepends=True)
        log.write_bytes(b"".join(lines[:-1]))
        assert read_snapshot(folder / FOLD_FILE, log.parent) is None
        with later(folder) as bench:
            assert said(bench) == replayed(folder)
        log.write_bytes(text.replace(b'"n":5', b'"n":6'))
        assert read_snapshot(folder / FOLD_FILE, log.parent) is None
        with pytest.raises(Exception, match="checksum"):
            later(folder)
        log.unlink()
        with later(folder) as bench:
            assert bench.picture.ledger.pieces == 0
        assert snapshot_standing(BenchFolder(folder)) is Standing.UNUSED

    def test_if_it_is_of_another_bench(self, folder: Path, tmp_path: Path) -> None:
        other = make_folder(tmp_path / "other")
        with Bench.open(other) as bench:
            counted(bench, "plate 2x4 red *3")
        shutil.copy(folder / FOLD_FILE, other / FOLD_FILE)
        with Bench.open(other) as bench:
            assert bench.picture.ledger.packed is None and bench.picture.ledger.pieces == 3

    @pytest.mark.parametrize("place", [0, 1, 2])
    def test_if_another_version_made_it(self, folder: Path, place: int, monkeypatch: pytest.MonkeyPatch) -> None:
        made_by: list[Any] = list(fold_file._MADE_BY)
        made_by[place] = "0.0.9" if place == 2 else made_by[place] + 1
        monkeypatch.setattr(fold_file, "_MADE_BY", made_by)
        assert read_snapshot(folder / FOLD_FILE, folder / "tallies") is None

    def test_if_it_is_a_link_or_no_file_and_nothing_is_written_through_a_link(self, folder: Path) -> None:
        file = folder / FOLD_FILE
        elsewhere = folder.parent / "elsewhere"
        text = file.read_bytes()
        file.rename(elsewhere)
        file.symlink_to(elsewhere)
        with later(folder) as bench:
            assert bench.picture.ledger.packed is None
            counted(bench, "brick 2x4 red")
            assert not pack(bench)
        assert elsewhere.read_bytes() == text
        file.unlink()
        file.mkdir()
        with later(folder) as bench:
            assert bench.picture.ledger.packed is None and bench.picture.counted(BRICK) == 1
            assert not pack(bench)


class TestWhenASnapshotIsMade:
    def test_not_for_a_bench_that_is_read_at_once_anyhow(self, tmp_path: Path) -> None:
        path = make_folder(tmp_path / "bench")
        with Bench.open(path) as bench:
            counted(bench, "plate 2x4 red *5")
        assert not (path / FOLD_FILE).exists()

    def test_at_the_end_once_enough_was_counted_and_then_not_for_a_few_more(self, tmp_path: Path) -> None:
        path, sitting = make_folder(tmp_path / "bench"), "20260228T080000Z-abcdef"
        at, cell = "2026-02-28T08:00:00.000Z", Cell("B1", "plate-2x4", "red", "", Grade.G5, ())
        records = [Record(RecordId(sitting, seq), at, What.TALLY, cell, 1) for seq in range(2, WORTH_PACKING + 1)]
        opening = encode(Record(RecordId(sitting, 1), at, What.OPEN))
        (path / "tallies" / f"{sitting}.jsonl").write_bytes(opening + b"".join(map(encode, records)))
        with Bench.open(path):
            pass
        made = (path / FOLD_FILE).read_bytes()
        assert snapshot_standing(BenchFolder(path)) is Standing.RIGHT
        with Bench.open(path) as bench:
            counted(bench, "plate 2x4 red *5")
            assert bench.picture.counted(PLATE) == WORTH_PACKING - 1 + 5
        assert (path / FOLD_FILE).read_bytes() == made
        with Bench.open(path) as bench:
            assert len(bench.picture.ledger.fresh) == 2
            assert bench.picture.counted(PLATE) == WORTH_PACKING - 1 + 5

    def test_not_where_the_log_may_hold_what_was_shown_as_not_counted(self, folder: Path) -> None:
        with later(folder) as bench:
            counted(bench, "plate 2x4 red *5")
            (log,) = (log for log in BenchFolder(folder).logs() if log.stem == bench.sitting.id)
            last = read_log(log).records[-1]
            with log.open("ab") as file:
                file.write(encode(last._replace(id=RecordId(bench.sitting.id, last.id.seq + 1))))
            assert not pack(bench)
        assert len(read_snapshot(folder / FOLD_FILE, folder / "tallies").covered) == 1  # type: ignore[union-attr]

    def test_not_of_numbers_that_no_honest_log_has(self, folder: Path) -> None:
        sitting, at = "20260228T080000Z-abcdef", "2026-02-28T08:00:00.000Z"
        void = Record(RecordId(sitting, 2), at, What.VOID, voids=RecordId(sitting, 10**30))
        log = folder / "tallies" / f"{sitting}.jsonl"
        log.write_bytes(encode(Record(RecordId(sitting, 1), at, What.OPEN)) + encode(void))
        with later(folder) as bench:
            assert bench.picture.ledger.records[void.id] == void
            assert not pack(bench)

    def test_never_in_the_way_where_the_disk_refuses(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        def refuse(*_: object) -> None:
            raise OSError(28, "No space left on device")

        before = (folder / FOLD_FILE).read_bytes()
        monkeypatch.setattr(fold_file, "replace_file", refuse)
        with later(folder) as bench:
            counted(bench, "plate 2x4 red *5")
            assert not pack(bench)
        assert (folder / FOLD_FILE).read_bytes() == before
        with later(folder) as bench:
            assert bench.picture.counted(PLATE) == 10


def looked_at(path: Path, tallies: int, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many packed records opening, counting, undoing and reading the newest rows of the log look at."""
    sitting, at = "20260228T080000Z-abcdef", "2026-02-28T08:00:00.000Z"
    cells = [Cell("B1", kind.part, kind.shade, "", grade, ()) for kind in (PLATE, BRICK) for grade in Grade]
    tallied = [
        Record(RecordId(sitting, seq), at, What.TALLY, cells[seq % len(cells)], 1) for seq in range(2, tallies + 2)
    ]
    opening = encode(Record(RecordId(sitting, 1), at, What.OPEN))
    (make_folder(path) / "tallies" / f"{sitting}.jsonl").write_bytes(opening + b"".join(map(encode, tallied)))
    with Bench.open(path) as bench:
        assert pack(bench)
    made: list[int] = []
    for name in ("_made", "id_at"):
        plain = getattr(PackedRecords, name)
        spied = lambda self, *place, plain=plain: made.append(1) or plain(self, *place)  # noqa: E731
        monkeypatch.setattr(PackedRecords, name, spied)
    steps = []
    with Bench.open(path) as bench:
        for act in (
            lambda: bench.bin_rows(),
            lambda: counted(bench, "plate 2x4 red *5"),
            lambda: bench.undo(),
            lambda: bench.undo(),  # of the sitting before
            lambda: bench.redo(),
            lambda: (bench.recent(20), bench.log()[:40]),
        ):
            before = len(made)
            act()
            steps.append(len(made) - before)
        assert bench.picture.ledger.packed is not None
    monkeypatch.undo()
    return steps


def test_what_a_tally_and_an_undo_look_at_does_not_grow_with_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    few, many = (looked_at(tmp_path / str(n), n, monkeypatch) for n in (300, 9_000))
    assert few[:-1] == many[:-1] and sum(many) < 200
    assert many[-1] - few[-1] <= 6  # the place of what is new in the order of time is found by halving


class TestCheck:
    def falsify(self, folder: Path) -> None:
        """A snapshot whose checksums all fit, and which says one piece more."""
        found = read_snapshot(folder / FOLD_FILE, folder / "tallies")
        assert found is not None
        heaps = found.fold.heaps[:]
        heaps[0] += 1
        write_snapshot(folder / FOLD_FILE, Snapshot(found.fold._replace(heaps=heaps), found.covered))

    def test_a_right_one_is_not_worth_a_word(self, folder: Path) -> None:
        assert check(folder) == []

    def test_one_that_says_other_counts_than_the_logs_is_damage_until_it_is_removed(self, folder: Path) -> None:
        self.falsify(folder)
        (found,) = check(folder)
        assert (found.file.name, found.severity) == (FOLD_FILE, Severity.DAMAGE)
        answer = call("--bench", folder, "check")
        assert answer.exit_code == 3 and "other counts" in answer.stdout
        assert "removed" in repair(folder)[0].what
        assert check(folder) == [] and not (folder / FOLD_FILE).exists()

    def test_one_that_is_not_used_is_a_note(self, folder: Path) -> None:
        (folder / FOLD_FILE).write_bytes(b"rubbish")
        (row,) = rows(call("--bench", folder, "check", "--json"), "findings")
        assert row["severity"] == "note" and "not used" in row["finding"]
        repair(folder)
        assert not (folder / FOLD_FILE).exists()


def test_a_sitting_of_our_own_is_packed_with_the_record_that_opened_it(folder: Path) -> None:
    found = read_snapshot(folder / FOLD_FILE, folder / "tallies")
    assert found is not None
    (log,) = BenchFolder(folder).logs()
    read = read_log(log).records
    opened = LogsRead(BenchFolder(folder)).ledger
    assert sorted(opened.records.values()) == read and read[0].what is What.OPEN
    assert opened.counts == Ledger(read).counts
    assert len(read) < logs_read.WORTH_PACKING
