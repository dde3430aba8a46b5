"""Two copies of a bench brought together: logs by record id, documents row by row, both versions kept."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from cli_bench import call, rows
from small_bench import ARCH, PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.merge_desk import Outcome, Side, look, merge
from sortbench.engine.merging.tables import Sides, merge_tables
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Part
from sortbench.model.errors import BenchError, DataError, UsageError
from sortbench.model.library import SetList, Wanted
from sortbench.model.lot import Expense, Spent
from sortbench.model.wash import Batch, Stage, StageEvent
from sortbench.store.folder import BenchFolder
from sortbench.store.library import library_path, load_library, save_library
from sortbench.store.log_merge import compare_logs
from sortbench.store.log_reading import read_log
from sortbench.store.log_repair import repair
from sortbench.store.record_codec import encode

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
Counts = dict[object, int]


@pytest.fixture
def benches(bench_folder: Path, tmp_path: Path) -> tuple[Path, Path]:
    """Two copies of a bench in which three plates were counted before they parted."""
    count(bench_folder, lambda bench: bench.count(PLATE, 3))
    return bench_folder, Path(shutil.copytree(bench_folder, tmp_path / "other"))


def count(folder: Path, *steps: Callable[[Bench], object]) -> str:
    """One sitting; its id."""
    with Bench.open(folder) as bench:
        for step in steps:
            step(bench)
        return bench.sitting.id


def counts(folder: Path) -> Counts:
    with Bench.open(folder) as bench:
        return dict(bench.picture.ledger.counts)


def bring(folder: Path, other: Path, *take: str) -> tuple[Path, ...]:
    return merge(look(folder, other, take), NOW)


def change(folder: Path, edit: Callable[..., object]) -> None:
    with BenchFolder.open(folder).documents.edit() as draft:
        edit(draft)


def outcomes(folder: Path, other: Path) -> list[Outcome]:
    return [log.outcome for log in look(folder, other).logs]


# -- logs


def test_what_both_counted_is_there_once_and_what_one_counted_is_added(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    count(ours, lambda bench: bench.count(TILE, 2))
    count(theirs, lambda bench: bench.count(TILE, 5), lambda bench: bench.count(ARCH), lambda bench: bench.undo())
    seen = look(ours, theirs)
    assert (seen.before, seen.after, seen.fresh, seen.strangers, seen.changes) == (5, 10, 3, False, True)
    assert sorted(log.outcome for log in seen.logs) == [Outcome.KNOWN, Outcome.NEW]
    merge(seen, NOW)
    bring(theirs, ours)
    assert sum(counts(ours).values()) == 10
    assert counts(ours) == counts(theirs)
    again = look(ours, theirs)
    assert (again.changes, again.fresh, set(outcomes(ours, theirs))) == (False, 0, {Outcome.KNOWN})
    assert not (ours / "backups").exists()


def test_a_shorter_copy_of_a_log_is_made_longer_and_a_longer_one_left(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    log = next((theirs / "tallies").glob("*.jsonl"))
    sitting = count(theirs, lambda bench: bench.count(TILE), lambda bench: bench.count(TILE))
    whole = (theirs / "tallies" / f"{sitting}.jsonl").read_bytes()
    short = ours / "tallies" / f"{sitting}.jsonl"
    short.write_bytes(b"".join(whole.splitlines(keepends=True)[:2]))
    before = log.read_bytes()
    assert sorted(outcomes(ours, theirs)) == [Outcome.KNOWN, Outcome.MORE]
    assert outcomes(theirs, ours) == [Outcome.KNOWN, Outcome.KNOWN]
    bring(ours, theirs)
    assert short.read_bytes() == whole
    assert log.read_bytes() == before


def test_the_end_of_a_write_cut_short_is_left_behind(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    sitting = count(theirs, lambda bench: bench.count(TILE), lambda bench: bench.count(TILE))
    log = theirs / "tallies" / f"{sitting}.jsonl"
    log.write_bytes(log.read_bytes()[:-7])
    bring(ours, theirs)
    assert sum(counts(ours).values()) == 4
    assert BenchFolder.open(ours).check() == []


def test_records_that_damage_took_from_one_copy_come_back_from_the_other(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    steps = [lambda bench: bench.count(TILE)] * 4
    sitting = count(ours, *steps)
    log = ours / "tallies" / f"{sitting}.jsonl"
    whole = log.read_bytes()
    shutil.copy(log, theirs / "tallies")
    lines = whole.splitlines(keepends=True)
    log.write_bytes(lines[0] + lines[1] + b"rubbish\n" + b"".join(lines[3:]))
    compared = compare_logs(BenchFolder.open(ours), BenchFolder.open(theirs))
    assert [each.outcome for each in compared if each.why] == [Outcome.DAMAGED]
    with pytest.raises(BenchError, match="line 3"):
        look(ours, theirs)  # a bench that cannot be counted is not added to
    repair(log)
    assert sum(counts(ours).values()) == 6
    bring(ours, theirs)
    assert log.read_bytes() == whole
    assert sum(counts(ours).values()) == 7


def test_a_damaged_log_of_the_other_is_left_and_the_rest_taken(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    bad = count(theirs, lambda bench: bench.count(TILE), lambda bench: bench.count(TILE))
    count(theirs, lambda bench: bench.count(ARCH))
    log = theirs / "tallies" / f"{bad}.jsonl"
    log.write_bytes(log.read_bytes().replace(b'"n":1', b'"n":9', 1))
    seen = look(ours, theirs)
    assert [each.sitting for each in seen.refused] == [bad]
    assert "checksum" in seen.refused[0].why
    merge(seen, NOW)
    assert sum(counts(ours).values()) == 4


def test_one_number_for_two_records_is_refused_and_both_logs_stay(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    log = next((ours / "tallies").glob("*.jsonl"))
    (theirs / "tallies" / log.name).unlink()
    made = count(theirs, lambda bench: bench.count(TILE, 8))
    lines = [
        encode(record._replace(id=record.id._replace(sitting=log.stem)))
        for record in read_log(theirs / "tallies" / f"{made}.jsonl").records
    ]
    (theirs / "tallies" / log.name).write_bytes(b"".join(lines))
    (theirs / "tallies" / f"{made}.jsonl").unlink()
    before = log.read_bytes()
    (merged,) = look(ours, theirs).refused
    assert (merged.outcome, merged.fresh) == (Outcome.APART, ())
    bring(ours, theirs)
    assert log.read_bytes() == before
    assert (theirs / "tallies" / log.name).read_bytes() == b"".join(lines)


def test_a_log_that_is_being_written_here_is_left_and_the_sitting_takes_the_others_in(
    benches: tuple[Path, Path],
) -> None:
    ours, theirs = benches
    other = count(theirs, lambda bench: bench.count(ARCH))
    with Bench.open(ours) as bench:
        bench.count(TILE)
        here = read_log(ours / "tallies" / f"{bench.sitting.id}.jsonl")
        last = here.records[-1]
        more = encode(last._replace(id=last.id._replace(seq=here.next_seq)))
        (theirs / "tallies" / f"{bench.sitting.id}.jsonl").write_bytes(
            b"".join(encode(record) for record in here.records) + more
        )
        seen = look(ours, theirs)
        assert [(log.sitting, log.outcome) for log in seen.refused] == [(bench.sitting.id, Outcome.BUSY)]
        merge(seen, NOW)
        bench.count(TILE)
        assert bench.refresh()
        assert bench.picture.ledger.pieces == 6
    assert (ours / "tallies" / f"{other}.jsonl").read_bytes() == (theirs / "tallies" / f"{other}.jsonl").read_bytes()


def test_a_link_among_the_other_logs_is_not_followed(benches: tuple[Path, Path], tmp_path: Path) -> None:
    ours, theirs = benches
    elsewhere = tmp_path / "elsewhere.jsonl"
    sitting = count(theirs, lambda bench: bench.count(TILE))
    log = theirs / "tallies" / f"{sitting}.jsonl"
    shutil.move(log, elsewhere)
    log.symlink_to(elsewhere)
    (refused,) = look(ours, theirs).refused
    assert (refused.sitting, refused.outcome) == (sitting, Outcome.DAMAGED)
    assert "symbolic link" in refused.why


def test_benches_without_a_sitting_in_common_are_told(bench_folder: Path, tmp_path: Path) -> None:
    from small_bench import make_folder

    other = make_folder(tmp_path / "stranger")
    count(bench_folder, lambda bench: bench.count(PLATE))
    assert not look(bench_folder, other).strangers
    count(other, lambda bench: bench.count(PLATE))
    assert look(bench_folder, other).strangers


def test_the_bench_itself_is_refused(bench_folder: Path) -> None:
    with pytest.raises(UsageError, match="this bench itself"):
        look(bench_folder, bench_folder / ".")


def test_comparing_writes_nothing(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    count(theirs, lambda bench: bench.count(TILE))
    before = {path: path.read_bytes() for path in sorted(ours.rglob("*")) if path.is_file()}
    look(ours, theirs)
    compare_logs(BenchFolder.open(ours), BenchFolder.open(theirs))
    assert {path: path.read_bytes() for path in sorted(ours.rglob("*")) if path.is_file()} == before


# -- documents

SOAK = Batch("W1", "plates", (StageEvent(Stage.SOAK, NOW),))
RINSE = SOAK._replace(entries=(*SOAK.entries, StageEvent(Stage.RINSE, NOW)))


def test_rows_of_one_side_are_added_and_bins_come_before_the_rest(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(theirs, lambda draft: draft.parts.update({"cone": Part("cone", "cone 1x1", "cone")}))
    change(theirs, lambda draft: draft.bins.insert(0, Bin("C1", Rule(families=("cone",)))))
    seen = look(ours, theirs)
    assert set(seen.documents.added) == {"parts/cone", "bins/C1"}
    kept = merge(seen, NOW)
    with Bench.open(ours) as bench:
        assert "cone" in bench.catalogue.parts
        assert [each.label for each in bench.picture.bins] == ["FLAWED", "FADED", "B1", "B2", "C1", "REST"]
    assert sorted(path.name for path in kept) == sorted(path.name for path in (ours / "backups").iterdir())
    assert (ours / "backups" / "bench-merged-20260301T120000Z.json").read_bytes() == (
        theirs / "bench.json"
    ).read_bytes()
    assert not look(ours, theirs).changes


def test_rows_that_differ_are_refused_until_a_side_is_said_and_both_versions_kept(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(ours, lambda draft: draft.targets.update({"T-01": draft.targets["T-01"]._replace(rank=5)}))
    change(theirs, lambda draft: draft.targets.update({"T-01": draft.targets["T-01"]._replace(name="Signal Box")}))
    change(theirs, lambda draft: draft.settings.update({"pile": 900}))
    change(ours, lambda draft: draft.settings.update({"pile": 700}))
    before, other = (ours / "bench.json").read_bytes(), (theirs / "bench.json").read_bytes()
    seen = look(ours, theirs)
    assert {each.name: each.fields for each in seen.documents.apart} == {
        "targets/T-01": ("name", "rank"),
        "settings/pile": (),
    }
    with pytest.raises(DataError, match="2 rows differ"):
        merge(seen, NOW)
    with pytest.raises(DataError, match="1 rows differ, settings/pile"):
        bring(ours, theirs, "theirs:targets/T-01")
    assert (ours / "bench.json").read_bytes() == before
    assert not (ours / "backups").exists()
    bring(ours, theirs, "ours", "theirs:targets/T-01")
    with Bench.open(ours) as bench:
        assert (bench.documents.targets["T-01"].name, bench.documents.targets["T-01"].rank) == ("Signal Box", 1)
        assert bench.pile == 700
    assert {path.read_bytes() for path in (ours / "backups").iterdir()} == {before, other}


def test_a_batch_that_went_on_is_the_newer_one(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(ours, lambda draft: draft.batches.update({"W1": SOAK}))
    change(theirs, lambda draft: draft.batches.update({"W1": RINSE}))
    seen = look(ours, theirs)
    assert (seen.documents.newer, seen.documents.apart) == (("batches/W1",), ())
    assert look(theirs, ours).documents.changes is False
    merge(seen, NOW)
    assert BenchFolder.open(ours).documents.load().batches == {"W1": RINSE}


def test_two_batches_under_one_code_can_both_be_kept(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(ours, lambda draft: draft.batches.update({"W1": SOAK, "W2": SOAK._replace(code="W2")}))
    change(theirs, lambda draft: draft.batches.update({"W1": SOAK._replace(name="whites")}))
    bring(ours, theirs, "both")
    kept = BenchFolder.open(ours).documents.load().batches
    assert {code: batch.name for code, batch in kept.items()} == {"W1": "plates", "W2": "plates", "W3": "whites"}
    assert not look(ours, theirs).changes


def test_two_expenses_under_one_number_can_both_be_kept(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    soap = Expense("E1", "2026-03-01", Spent.WASHING, Decimal("3.20"), "EUR")
    change(ours, lambda draft: draft.expenses.update({"E1": soap}))
    change(theirs, lambda draft: draft.expenses.update({"E1": soap._replace(amount=Decimal("7.45"))}))
    bring(ours, theirs, "both:expenses/E1")
    kept = BenchFolder.open(ours).documents.load().expenses
    assert {key: str(each.amount) for key, each in kept.items()} == {"E1": "3.20", "E2": "7.45"}


def test_both_of_two_targets_cannot_be_kept(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(theirs, lambda draft: draft.targets.update({"T-01": draft.targets["T-01"]._replace(rank=5)}))
    with pytest.raises(DataError, match="Both rows of targets/T-01 cannot be kept"):
        look(ours, theirs, ["both"])


@pytest.mark.parametrize("words", ["mine", "ours:targets/T-99", "theirs:"])
def test_a_side_or_a_row_that_is_none_is_told(benches: tuple[Path, Path], words: str) -> None:
    if words == "theirs:":
        assert Sides([words]).of("targets/T-01") is Side.THEIRS
        return
    with pytest.raises(DataError, match=r"names no side|no row that differs"):
        look(*benches, [words])


def test_a_bench_that_changed_since_it_was_looked_at_is_not_written_over(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(theirs, lambda draft: draft.parts.update({"cone": Part("cone", "cone 1x1", "cone")}))
    seen = look(ours, theirs)
    change(ours, lambda draft: draft.settings.update({"pile": 700}))
    with pytest.raises(BenchError, match="changed since"):
        merge(seen, NOW)
    assert BenchFolder.open(ours).documents.load().settings["pile"] == 700


def test_tables_of_either_order_come_to_the_same_rows() -> None:
    first = {"parts": {"a": 1, "b": 2}, "pads": {"red": 1}}
    second = {"parts": {"b": 2, "c": 3}, "pads": {"red": 2}}
    merged = merge_tables(first, second)
    assert merged.tables == {"parts": {"a": 1, "b": 2, "c": 3}, "pads": {"red": 1}}
    assert merge_tables(second, first).tables["parts"] == merged.tables["parts"]


# -- the library

HUT = SetList("VW-05", "Signal Hut", (Wanted("plate-2x4", "white", 3), Wanted("lever", "red", 1)), 1991)
TRAM = SetList("VW-06", "Peat Tramway", (Wanted("turf cutter", "brown", 2),), 1987)


def keep_lists(folder: Path, *lists: SetList) -> None:
    save_library(folder, {each.code: each for each in lists})


def test_lists_that_only_the_other_has_come_over_and_ours_stay(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    keep_lists(theirs, TRAM)
    seen = look(ours, theirs)
    assert (seen.lists.merged.added, seen.documents.added, seen.changes) == (("library/VW-06",), (), True)
    assert load_library(ours) == {}
    assert [path.name for path in merge(seen, NOW)] == ["library-merged-20260301T120000Z.jsonl"]
    assert load_library(ours) == {"VW-06": TRAM}
    keep_lists(ours, HUT, TRAM)
    assert not look(ours, theirs).changes
    bring(theirs, ours)
    assert load_library(theirs) == load_library(ours) == {"VW-05": HUT, "VW-06": TRAM}
    assert BenchFolder.open(ours).check()[-1].file.name == "library-merged-20260301T120000Z.jsonl"


def test_lists_that_differ_wait_for_a_side_and_both_files_are_kept(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    keep_lists(ours, HUT, TRAM)
    keep_lists(theirs, HUT._replace(lines=HUT.lines[:1]), TRAM._replace(year=1988))
    count(theirs, lambda bench: bench.count(TILE, 5))
    files = {library_path(ours).read_bytes(), library_path(theirs).read_bytes()}
    told = [(each.name, each.fields) for each in look(ours, theirs).unsettled]
    assert told == [("library/VW-05", ("lines",)), ("library/VW-06", ("year",))]
    with pytest.raises(DataError, match="2 rows differ, library/VW-05"):
        bring(ours, theirs)
    with pytest.raises(DataError, match="cannot be kept"):
        look(ours, theirs, ["both"])
    assert load_library(ours) == {"VW-05": HUT, "VW-06": TRAM}
    assert sum(counts(ours).values()) == 3
    kept = bring(ours, theirs, "ours", "theirs:library/VW-06")
    assert load_library(ours) == {"VW-05": HUT, "VW-06": TRAM._replace(year=1988)}
    assert {path.read_bytes() for path in kept} == files
    assert sum(counts(ours).values()) == 8


def test_a_library_that_changed_since_it_was_looked_at_is_left_and_counts_come_in(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    keep_lists(theirs, TRAM)
    count(theirs, lambda bench: bench.count(TILE, 5))
    seen = look(ours, theirs)
    keep_lists(ours, HUT)
    with pytest.raises(BenchError, match="library changed since"):
        merge(seen, NOW)
    assert load_library(ours) == {"VW-05": HUT}
    assert sum(counts(ours).values()) == 8


@pytest.mark.parametrize("damaged", [0, 1])
def test_a_damaged_library_is_told_and_counts_come_in(benches: tuple[Path, Path], damaged: int) -> None:
    ours, theirs = benches
    keep_lists(ours, HUT)
    keep_lists(theirs, TRAM)
    count(theirs, lambda bench: bench.count(TILE, 5))
    bad = library_path(benches[damaged])
    bad.write_bytes(bad.read_bytes()[:-4])
    before = library_path(ours).read_bytes()
    done = call("--bench", ours, "merge", "--yes", theirs)
    assert (done.exit_code, f"library: left alone: {bad} is damaged" in done.stderr) == (1, True)
    told = json.loads(call("--bench", ours, "merge", "--dry-run", "--json", theirs).stdout)["rows"]
    assert [(row["what"], row["state"]) for row in told if row["what"] != "log"] == [("library", "left alone")]
    assert library_path(ours).read_bytes() == before
    assert sum(counts(ours).values()) == 8


# -- the command


def test_the_command_shows_first_and_writes_when_told(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    count(theirs, lambda bench: bench.count(TILE, 5))
    shown = call("--bench", ours, "merge", theirs)
    assert shown.exit_code == 1
    assert "Pieces: 3 here now, 8 with what the other counted." in shown.stderr
    assert "there is no terminal to ask on" in shown.stderr
    assert call("--bench", ours, "merge", "--dry-run", theirs).exit_code == 0
    assert sum(counts(ours).values()) == 3
    answer = rows(call("--bench", ours, "merge", "--dry-run", "--json", theirs), "merge")
    assert [(row["what"], row["state"], row["records"]) for row in answer if row["state"] != "known"] == [
        ("log", "new", 1)
    ]
    done = call("--bench", ours, "merge", "--yes", theirs)
    assert (done.exit_code, "1 record brought in, 3 pieces before, 8 now" in done.stderr) == (0, True)
    assert sum(counts(ours).values()) == 8
    assert "holds all of it already" in call("--bench", ours, "merge", theirs).stderr


def test_the_command_tells_rows_that_differ_and_how_to_settle_them(benches: tuple[Path, Path]) -> None:
    ours, theirs = benches
    change(theirs, lambda draft: draft.targets.update({"T-01": draft.targets["T-01"]._replace(rank=5)}))
    refused = call("--bench", ours, "merge", "--yes", theirs)
    assert refused.exit_code == 1
    assert "Differs: targets/T-01 (rank): nobody said which holds" in refused.stderr
    assert "--take" in refused.stderr
    told = json.loads(call("--bench", ours, "merge", "--dry-run", "--json", theirs).stdout)
    assert {"name": "targets/T-01", "state": "apart", "differs": "rank"}.items() <= told["rows"][-1].items()
    assert call("--bench", ours, "merge", "--take", "theirs", "--yes", theirs).exit_code == 0
    assert BenchFolder.open(ours).documents.load().targets["T-01"].rank == 5


def test_the_command_refuses_what_is_no_bench(bench_folder: Path, tmp_path: Path) -> None:
    refused = call("--bench", bench_folder, "merge", tmp_path)
    assert (refused.exit_code, "There is no bench in" in refused.stderr) == (3, True)
