"""Counts in are counts out: with crates, what is set aside, targets and the rules of the catalogue."""

from __future__ import annotations

from pathlib import Path

import frictionless
import pytest
from small_bench import BRICK, PLATE, TILE, give_worth, make_folder

from sortbench.bench import Bench
from sortbench.desks.reconcile_desk import keep
from sortbench.desks.sheet_desk import count_sheet, export
from sortbench.desks.sheet_intake import SheetIntake, preview_sheet, take_in
from sortbench.engine.reconciling.what_if import WhatIf
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.sheet import CountRow
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, StandIn, Swap, SwapOf, Target
from tests.unit.cli_bench import call
from tests.unit.test_count_sheet import as_first_format

GOOD = Grade.G5
WHITE_PLATE = Kind("plate-2x4", "white")
RULE = Swap(SwapOf.SHADE, "red", "white", 2)
HALT = Target("T-04", "Funicular Halt", 1990, 2, (Line(PLATE, 2, Grade.G4_5, (StandIn(BRICK, 7), StandIn(TILE, 1))),))


@pytest.fixture
def full(bench: Bench) -> Bench:
    """The small bench with something of everything."""
    with bench.folder.documents.edit() as draft:
        draft.swaps[RULE.key] = RULE
        draft.targets[HALT.code] = HALT
    bench.reload()
    bench.count(PLATE, 7)
    bench.count(PLATE, 2, Grade.G4, (Flaw.CRACKED,))
    bench.count(WHITE_PLATE, 3)
    bench.count_coarse("B1", 4)
    bench.put_aside(Fate.WASH)
    bench.write_up("T-03")
    bench.count(TILE, 6)
    bench.write_up("")
    bench.crates.reserve(PLATE, 4, "T-02", GOOD)
    bench.crates.pick(PLATE, 1, "T-02", GOOD, bin_label="B1")
    bench.crates.pick(WHITE_PLATE, 2, "T-01", GOOD, bin_label="REST")
    bench.crates.reserve(PLATE, 1, "T-01", Grade.G4, (Flaw.CRACKED,))
    give_worth(bench, "T-02", 120)
    change = WhatIf().with_parked("T-01", True).with_ranks({"T-03": 2})
    keep(bench, change.with_stand_in("T-01", PLATE, WHITE_PLATE, False))
    return bench


@pytest.fixture
def sheet(full: Bench, tmp_path: Path) -> Path:
    export(full, tmp_path / "out")
    return tmp_path / "out"


@pytest.fixture
def other(tmp_path: Path) -> Path:
    with Bench.create(tmp_path / "other") as made:
        return made.path


def read_in(folder: Path, sheet: Path) -> SheetIntake:
    """Read a sheet in, in a sitting of its own."""
    with Bench.open(folder) as bench:
        intake = preview_sheet(bench, sheet)
        take_in(bench, intake)
        return intake


def figures(folder: Path) -> dict[str, object]:
    """What a sheet of the bench says, but for the log and for bins that only the other bench has set up."""
    with Bench.open(folder) as bench:
        said = count_sheet(bench)
    return {
        "counts": sorted(said.counts),
        "fills": said.fills,
        "spares": said.spares,
        "targets": said.targets,
        "stand_ins": said.stand_ins,
        "reserved": said.reserved,
        "parts": sorted(said.parts, key=str),
        "shades": sorted(said.shades, key=str),
    }


def test_all_of_it_comes_out_as_it_went_in(full: Bench, sheet: Path, other: Path) -> None:
    intake = read_in(other, sheet)
    assert (intake.pieces, intake.known, intake.notes) == (full.picture.ledger.pieces, 0, ())
    here, there = figures(full.path), figures(other)
    # A catalogue brings only what is spoken of.
    spoken = {row.code for row in there["parts"]}  # type: ignore[attr-defined]
    here["parts"] = [row for row in here["parts"] if row.code in spoken]  # type: ignore[attr-defined]
    shades = {row.name for row in there["shades"]}  # type: ignore[attr-defined]
    here["shades"] = [row for row in here["shades"] if row.name in shades]  # type: ignore[attr-defined]
    assert there == here
    assert spoken >= {"plate-2x4", "brick-2x4", "tile-2x2"}
    with Bench.open(other) as bench:
        assert bench.documents.targets["T-04"] == HALT
        assert bench.documents.targets["T-01"].refused == ((PLATE, WHITE_PLATE),)
        assert tuple(bench.documents.swaps.values()) == (RULE,)
        assert bench.picture.ledger.in_crate("T-02") == {Cell("T-02", *PLATE, "", GOOD, (), Fate.CRATE): 1}
        assert bench.picture.ledger.reserved(PLATE) == {
            (GOOD, ()): {"T-02": 3},
            (Grade.G4, (Flaw.CRACKED,)): {"T-01": 1},
        }


def test_the_sheet_is_valid_and_names_crates_as_targets(sheet: Path) -> None:
    report = frictionless.validate(str(sheet / "datapackage.json"))
    assert report.valid, [error.message for task in report.tasks for error in task.errors]
    crated = [line for line in (sheet / "counts.csv").read_text().splitlines() if "in a crate" in line]
    assert crated == [",plate-2x4,white,plate,5,,in a crate,2,T-01", ",plate-2x4,red,plate,5,,in a crate,1,T-02"]


def test_again_adds_nothing_even_after_a_pick(sheet: Path, other: Path) -> None:
    read_in(other, sheet)
    before = figures(other)
    again = read_in(other, sheet)
    assert again.nothing and again.known == 16
    assert figures(other) == before
    with Bench.open(other) as bench:
        bench.crates.pick(PLATE, 3, "T-02", GOOD, bin_label="B1")
        assert bench.picture.ledger.reserved(PLATE).get((GOOD, ())) is None
    assert read_in(other, sheet).nothing


def test_what_was_cut_short_is_made_up(sheet: Path, full: Bench, other: Path) -> None:
    class CutError(Exception):
        pass

    def cut(done: int, _: int) -> None:
        if done > 8:
            raise CutError

    with Bench.open(other) as bench, pytest.raises(CutError):
        take_in(bench, preview_sheet(bench, sheet), cut)
    intake = read_in(other, sheet)
    assert 0 < intake.known < 16 and intake.targets == ()
    assert figures(other)["counts"] == figures(full.path)["counts"]
    assert figures(other)["reserved"] == figures(full.path)["reserved"]


def test_what_the_bench_has_stays_as_it_is(sheet: Path, tmp_path: Path) -> None:
    mine = make_folder(tmp_path / "mine")
    dear, against = RULE._replace(cost=5), Target("T-04", "Bell Foundry", 1989, 4)
    with Bench.open(mine) as bench:
        with bench.folder.documents.edit() as draft:
            draft.swaps[RULE.key] = dear
            draft.targets["T-04"] = against
        bench.reload()
    intake = read_in(mine, sheet)
    assert (intake.targets, intake.swaps) == ((), ())
    assert intake.notes == (
        "The bench has another target T-04, Bell Foundry: Funicular Halt is left out.",
        "white for red costs 5 here: that stays.",
    )
    with Bench.open(mine) as bench:
        assert bench.documents.targets["T-04"] == against
        assert not bench.documents.targets["T-01"].parked
        assert tuple(bench.documents.swaps.values()) == (dear,)
        assert bench.picture.ledger.of_fate(Fate.CRATE) == 3


def test_a_rule_that_leads_the_other_way_round_is_left_out(sheet: Path, other: Path) -> None:
    steps = [Swap(SwapOf.SHADE, "white", "cream"), Swap(SwapOf.SHADE, "cream", "red")]
    with Bench.open(other) as bench, bench.folder.documents.edit() as draft:
        draft.swaps.update({swap.key: swap for swap in steps})
    intake = read_in(other, sheet)
    assert intake.swaps == ()
    assert intake.notes == ("white for red is left out: the rules here lead the other way round.",)


def test_more_set_aside_than_there_is_left_comes_back_just_so(full: Bench, tmp_path: Path, other: Path) -> None:
    for rid in full.sitting.history:
        cell = full.picture.ledger.records[rid].cell
        if cell is not None and cell.flaws:
            full.void(rid)
            break
    export(full, tmp_path / "again")
    read_in(other, tmp_path / "again")
    assert figures(other)["reserved"] == figures(full.path)["reserved"]


def test_of_a_sheet_of_the_first_format_pieces_alone_are_taken(bench: Bench, tmp_path: Path, other: Path) -> None:
    bench.count(PLATE, 3)
    export(bench, tmp_path / "out")
    intake = read_in(other, as_first_format(tmp_path / "out"))
    assert (intake.pieces, intake.targets, intake.swaps) == (3, (), ())


def test_pieces_counted_from_a_sheet_of_the_first_format_are_known_by_their_old_mark(
    tmp_path: Path, bench: Bench, other: Path
) -> None:
    """The mark of these counts as the first version that read sheets wrote it."""
    with bench.folder.documents.edit() as draft:
        draft.bins.clear()
    rows = (
        CountRow("B1", "plate-2x4", "red", "plate", "5", "", "kept", 3),
        CountRow("", "tile-2x2", "white", "tile", "4-5", "bent | cracked", "to wash", 1),
        CountRow("B2", "", "red", "plate", "", "", "kept", 31),
    )
    for row in rows:
        bench.count_cell(row.cell, row.quantity, "typed")
    export(bench, tmp_path / "out")
    with Bench.open(other) as reading:
        reading.count_cell(rows[0].cell, 2, "sheet ab9c50d38cfa")
    intake = read_in(other, tmp_path / "out")
    assert (intake.known, intake.pieces) == (2, 33)


def test_nothing_from_a_sheet_is_taken_in_hand_out_of_a_crate(full: Bench, tmp_path: Path, other: Path) -> None:
    crate_only = [row for row in count_sheet(full).counts if row.target]
    assert crate_only
    with Bench.open(other) as bench:
        bench.count_cell(crate_only[0].cell, 1, "sheet x")
        with pytest.raises(DataError, match="Nothing has been counted yet"):
            bench.again()


@pytest.mark.parametrize(
    ("table", "old", "new", "says"),
    [
        ("counts", "in a crate,1,T-02", "in a crate,1,", "name its target and no bin"),
        ("stand_ins", ",,,red,,white,2,false", ",,,red,,white,12,false", "costs 12"),
        ("stand_ins", ",,,red,,white,2,false", ",,,red,,red,2,false", "cannot be meant"),
        ("fills", "T-04,1,plate-2x4,red,4-5,2", "T-04,1,plate-2x4,red,4-5,0", "cannot ask for 0 pieces"),
        ("targets", ",120,false", ",10000001,false", "out of bounds"),
        ("reserved", ",3\n", ",0\n", "out of bounds"),
    ],
)
def test_a_sheet_that_was_changed_for_the_worse_is_refused(
    sheet: Path, other: Path, table: str, old: str, new: str, says: str
) -> None:
    path = sheet / f"{table}.csv"
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    with Bench.open(other) as bench:
        with pytest.raises(DataError, match=says):
            preview_sheet(bench, sheet, changed=True)
        assert bench.documents.targets == {}


def test_the_command_tells_what_it_would_bring_in(sheet: Path, other: Path) -> None:
    dry = call("--bench", other, "import", "counts", sheet, "--dry-run")
    assert dry.exit_code == 0
    for words in (
        "To count: 16 pieces in 7 heaps; new parts: 3, new shades: 2.",
        "To set aside: 4 pieces.",
        "New targets (4): T-01 Signal Hut; T-02 Peat Tramway; T-03 Glasshouse; T-04 Funicular Halt",
        "New stand-in rules (1): white for red",
    ):
        assert words in dry.stderr
    assert call("--bench", other, "import", "counts", sheet, "--yes").exit_code == 0
    again = call("--bench", other, "import", "counts", sheet, "--yes")
    assert "Nothing to count." in again.stderr
    table = call("--bench", other, "counts").stdout
    assert "crate T-02" in table


def test_two_benches_that_counted_the_very_same_are_both_read_in(other: Path, tmp_path: Path) -> None:
    for name in ("left", "right"):
        with Bench.open(make_folder(tmp_path / name)) as bench:
            bench.count(PLATE, 5)
            export(bench, tmp_path / f"{name}-sheet")
    for _ in range(2):
        for name in ("left", "right"):
            read_in(other, tmp_path / f"{name}-sheet")
    with Bench.open(other) as bench:
        assert bench.picture.ledger.pieces == 10


def test_a_sheet_exported_anew_with_the_same_counts_is_known(other: Path, tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "left")
    for name, pieces in (("first", 5), ("second", 1)):
        with Bench.open(folder) as bench:
            bench.count(PLATE, pieces)
            if name == "second":
                bench.undo()
            export(bench, tmp_path / name)
        read_in(other, tmp_path / name)
    with Bench.open(other) as bench:
        assert bench.picture.ledger.pieces == 5
