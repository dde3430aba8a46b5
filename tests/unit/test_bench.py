"""The bench from the outside: a real folder, entry lines in, receipts and figures out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from small_bench import ARCH, PLATE, TILE, counted, shown, ticking

from sortbench.bench import Bench
from sortbench.desks.additions import add_part, add_shade
from sortbench.desks.pile_desk import set_pile
from sortbench.engine.board import Crate, Notice
from sortbench.model.catalogue import Kind, Part, Shade
from sortbench.model.errors import BenchError, DataError, UsageError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Fate, RecordId, What
from sortbench.model.target import MAX_QUANTITY
from sortbench.store.log_reading import read_log

Opener = Callable[[], Bench]


class TestEntering:
    def test_a_line_counts_one_piece_into_the_bin_of_its_rule(self, bench: Bench) -> None:
        receipt = counted(bench, "plate 2x4 red")
        assert (receipt.kind, receipt.quantity, receipt.bin, receipt.grade) == (PLATE, 1, "B1", Grade.G5)
        assert receipt.crates == (Crate("T-01", "Signal Hut", 1, 1),)
        assert (receipt.record, receipt.total) == (RecordId(bench.sitting.id, 2), 1)

    def test_marks_say_quantity_grade_flaws_and_bin(self, bench: Bench) -> None:
        receipt = counted(bench, "pl24 re*4!3-4#crack#bent@rest")
        assert (receipt.kind, receipt.quantity, receipt.grade, receipt.bin) == (PLATE, 4, Grade.G3_4, "REST")
        assert receipt.flaws == (Flaw.BENT, Flaw.CRACKED)
        assert counted(bench, "plate 2x4 red #crack").bin == "FLAWED"
        assert counted(bench, "plate 2x4 red !3").bin == "FADED"

    def test_completions_and_overflow_are_told(self, bench: Bench) -> None:
        first = counted(bench, "plate 2x4 red *3")
        assert (first.lines_done, first.targets_done) == (("Signal Hut, line 1",), ())
        done = counted(bench, "brick 2x4 red *2")
        assert (done.lines_done, done.targets_done, done.overflow) == (("Signal Hut, line 2",), ("Signal Hut",), "")
        over = counted(bench, "plate 2x4 red *5")
        assert over.crates == (Crate("T-02", "Peat Tramway", 2, 4),)
        assert (over.overflow, over.spare, over.total) == ("B1", 1, 8)

    def test_an_empty_line_counts_the_same_again(self, bench: Bench) -> None:
        counted(bench, "plate 2x4 red *3 !4 #bent @rest")
        again = counted(bench, "")
        assert (again.kind, again.quantity, again.grade, again.flaws, again.bin) == (
            PLATE,
            1,
            Grade.G4,
            (Flaw.BENT,),
            "REST",
        )
        assert counted(bench, "*5").quantity == 5
        assert bench.again(2).total == 11

    def test_the_same_in_another_grade_finds_its_own_bin(self, bench: Bench) -> None:
        counted(bench, "plate 2x4 red")
        assert counted(bench, "!2").bin == "FADED"
        assert counted(bench, "#worn").bin == "FLAWED"
        assert counted(bench, "*1 @b2").bin == "B2"

    def test_nothing_counted_yet_is_no_same_again(self, bench: Bench) -> None:
        for line in ("", "*5"):
            with pytest.raises(DataError, match="Nothing has been counted yet"):
                bench.enter(line)

    @pytest.mark.parametrize(
        "line",
        ["plate red *0", "plate red *-3", "plate red *1.5", "plate red *x", "plate red *100000", "plate red *1e3"],
    )
    def test_quantities_that_cannot_be_meant_are_refused(self, bench: Bench, line: str) -> None:
        before = shown(bench)
        with pytest.raises(DataError):
            bench.enter(line)
        assert shown(bench) == before

    @pytest.mark.parametrize("quantity", [0, -1, MAX_QUANTITY + 1])
    def test_quantities_that_cannot_be_are_refused_whoever_asks(self, bench: Bench, quantity: int) -> None:
        counted(bench, "plate 2x4 red")
        for count in (
            lambda: bench.count(PLATE, quantity),
            lambda: bench.count_coarse("B1", quantity),
            lambda: bench.count(PLATE, quantity, bin_label="B1"),
        ):
            with pytest.raises(DataError, match=f"Give 1 to {MAX_QUANTITY}"):
                count()
        assert bench.picture.ledger.pieces == 1

    def test_what_names_nothing_is_refused_and_says_how_to_go_on(self, bench: Bench) -> None:
        for line, mend in (("zzzz", r"put \+ in front"), ("plate red @B99", "Bins are: FLAWED, FADED, B1")):
            with pytest.raises(DataError, match=mend):
                bench.enter(line)
        with pytest.raises(DataError, match="There is no result 99"):
            bench.enter("plate", pick=98)
        with pytest.raises(DataError, match="No part has the code"):
            bench.count(Kind("nowhere", "red"))
        with pytest.raises(DataError, match="No shade is called"):
            bench.count(Kind("plate-2x4", "nowhere"))
        assert bench.picture.ledger.pieces == 0

    def test_a_look_leaves_no_trace(self, opened: Opener, bench_folder: Path) -> None:
        (bench_folder / ".bench.lock").unlink(missing_ok=True)
        before = {path: path.read_bytes() for path in bench_folder.rglob("*") if path.is_file()}
        bench = opened()
        bench.search("plate")
        bench.target_rows(PLATE)
        bench.pad.view()
        with pytest.raises(DataError):
            bench.enter("zzzz")
        bench.close()
        after = {path: path.read_bytes() for path in bench_folder.rglob("*") if path.is_file()}
        assert after == before


class TestHolding:
    def test_a_held_shade_grade_and_bin_go_with_all_that_follows(self, bench: Bench) -> None:
        answer = bench.enter(".red !4 @rest")
        assert answer == Notice("held: red; grade 4; bin REST", held=True)
        assert (bench.held.shade, bench.held.rgb, bench.held.grade, bench.held.bin) == (
            "red",
            "b3261e",
            Grade.G4,
            "REST",
        )
        receipt = counted(bench, "plate 2x4")
        assert (receipt.kind, receipt.grade, receipt.bin) == (PLATE, Grade.G4, "REST")

    def test_what_a_line_says_itself_goes_before_what_is_held(self, bench: Bench) -> None:
        bench.enter(".red !4 @rest")
        receipt = counted(bench, "tile 2x2 white !5 @b1")
        assert (receipt.kind, receipt.grade, receipt.bin) == (TILE, Grade.G5, "B1")

    def test_holding_one_thing_leaves_the_others(self, bench: Bench) -> None:
        for line in (".red", ".!4", ".@b2", ".white"):
            bench.enter(line)
        assert (bench.held.shade, bench.held.grade, bench.held.bin) == ("white", Grade.G4, "B2")

    def test_a_dot_lets_all_go(self, bench: Bench) -> None:
        bench.enter(".red !4 @rest")
        bench.write_up("T-03")
        bench.enter(".")
        assert (bench.held.shade, bench.held.grade, bench.held.bin, bench.held.target) == ("", Grade.G5, "", "")

    @pytest.mark.parametrize("line", [".red @nowhere", ".zzzz !3", ".red *3", ".red #bent", ".!9"])
    def test_what_cannot_be_held_changes_nothing(self, bench: Bench, line: str) -> None:
        bench.enter(".white !4 @b1")
        before = bench.held
        with pytest.raises(DataError):
            bench.enter(line)
        assert bench.held == before

    def test_a_shade_that_is_none_is_refused(self, bench: Bench) -> None:
        with pytest.raises(DataError):
            bench.hold_shade("nowhere")


class TestNewParts:
    def test_a_plus_adds_the_part_and_counts_the_piece(self, bench: Bench, opened: Opener) -> None:
        receipt = counted(bench, "+ hinge plate 1x2 red *3")
        assert (receipt.kind, receipt.quantity) == (Kind("hinge-plate-1x2", "red"), 3)
        assert receipt.note == "added the part hinge-plate-1x2"
        assert bench.catalogue.parts["hinge-plate-1x2"] == Part("hinge-plate-1x2", "hinge plate 1x2", "hinge")
        assert counted(bench, "hinge red").total == 4
        assert opened().catalogue.parts["hinge-plate-1x2"].family == "hinge"

    def test_a_part_that_is_there_is_counted_and_not_said_to_be_added(self, bench: Bench) -> None:
        receipt = counted(bench, "+ plate 2x4 red")
        assert (receipt.kind, receipt.note) == (PLATE, "")
        assert len(bench.catalogue.parts) == 5

    def test_a_part_without_a_shade_is_not_added(self, bench: Bench) -> None:
        with pytest.raises(DataError, match="In which shade"):
            bench.enter("+ trough 2x4")
        with pytest.raises(DataError, match="No bin is labelled"):
            bench.enter("+ trough 2x4 red @nowhere")
        assert len(bench.catalogue.parts) == 5

    def test_a_code_that_is_taken_is_refused(self, bench: Bench) -> None:
        with pytest.raises(DataError, match="is taken"):
            add_part(bench, Part("plate-2x4", "another"))


class TestCoarseCounts:
    def test_a_bin_alone_tells_what_its_rule_tells(self, bench: Bench) -> None:
        receipt = bench.count_coarse("B1", 12)
        assert (receipt.kind, receipt.name, receipt.shade, receipt.bin) == (
            None,
            "plate, size not looked at",
            "red",
            "B1",
        )
        assert bench.bin_rows()[2].pieces == 12
        assert bench.target_rows()[0].present == 0
        bench.enter(".white")
        assert bench.count_coarse("REST").shade == "white"

    def test_the_same_again_may_be_coarse(self, bench: Bench) -> None:
        bench.count_coarse("B1", 2)
        assert counted(bench, "*3").bin == "B1"
        assert bench.heaps("B1")[0].quantity == 5

    def test_a_bin_that_is_none_and_a_list_take_no_coarse_count(self, bench: Bench) -> None:
        with pytest.raises(DataError, match="No bin is labelled"):
            bench.count_coarse("nowhere")
        bench.write_up("T-03")
        with pytest.raises(DataError, match="takes kinds only"):
            bench.count_coarse("B1")


class TestAsking:
    def test_what_is_acknowledged_is_in_the_log(self, bench: Bench, bench_folder: Path) -> None:
        receipt = counted(bench, "plate 2x4 red *3")
        (log,) = (bench_folder / "tallies").glob("*.jsonl")
        assert [record.id for record in read_log(log).records][-1] == receipt.record

    def test_the_pile_and_what_is_left_of_it(self, bench: Bench, opened: Opener) -> None:
        assert bench.pace().left_pieces is None
        counted(bench, "plate 2x4 red *30")
        set_pile(bench, 100)
        assert bench.pace().left_pieces == 70
        bench.write_up("T-03")
        counted(bench, "tile 2x2 white *9")
        bench.write_up("")
        assert bench.pace().left_pieces == 70  # a list written up is no pile counted
        assert bench.pace().counted == 30
        counted(bench, "plate 2x4 red")
        bench.put_aside(Fate.OUT)
        assert bench.pace().left_pieces == 69  # what is thrown out has been through the hands too
        for left in (69, 70, 70, 100):
            bench.undo()
            assert bench.pace().left_pieces == left
        assert (opened().pile, opened().pace().left_pieces) == (100, 100)
        set_pile(bench, None)
        assert bench.pile is None

    @pytest.mark.parametrize("pieces", [0, -5, 10_000_001])
    def test_a_pile_that_cannot_be_is_refused(self, bench: Bench, pieces: int) -> None:
        with pytest.raises(DataError, match="not plausible"):
            set_pile(bench, pieces)
        assert bench.pile is None

    def test_corrections_and_voids_are_in_the_pace(self, bench: Bench) -> None:
        first = counted(bench, "plate 2x4 red *3")
        second = bench.correct(first.record, "*5")
        assert bench.pace().counted == 5
        bench.void(second.record)
        assert bench.pace().counted == 3

    def test_the_pace_is_that_of_the_clock(self, bench_folder: Path) -> None:
        # A piece each 4 s by the clock (which is asked twice a tally) is 15 pieces a minute.
        with Bench.open(bench_folder, ticking(seconds=2.0)) as bench:
            for _ in range(40):
                bench.count(PLATE)
            set_pile(bench, 100)
            pace = bench.pace()
            assert (pace.counted, pace.per_minute, pace.left_pieces) == (40, pytest.approx(15), 60)
            assert pace.left_s == pytest.approx(240)

    def test_the_last_tallies_come_newest_first_with_void_ones(self, bench: Bench) -> None:
        for line in ("plate 2x4 red", "tile 2x2 white", "brick 2x4 red"):
            counted(bench, line)
        bench.undo()
        rows = bench.recent(2)
        assert [(row.name, row.holds) for row in rows] == [("brick 2x4", False), ("tile 2x2", True)]
        assert len(bench.recent(99)) == 3
        assert bench.recent(0) == ()
        assert [row.what for row in bench.log_rows()] == [What.TALLY, What.TALLY, What.TALLY, What.VOID]

    def test_an_overflowing_bin_says_how_to_split_it(self, bench: Bench) -> None:
        assert bench.split_proposal("B1") == ""
        counted(bench, "plate 2x4 red *4")
        counted(bench, "plate 1x2 red *3")
        assert "plate" in bench.split_proposal("B1")

    def test_what_was_counted_lately_comes_first(self, bench: Bench) -> None:
        counted(bench, "arch 1x6x2 grey early")
        add_shade(bench, Shade("green"))
        assert bench.search("arch").rows[0].kind == ARCH

    def test_there_is_no_bench_to_open(self, tmp_path: Path) -> None:
        with pytest.raises(BenchError, match="There is no bench"):
            Bench.open(tmp_path)

    def test_a_new_bench_is_empty_and_refused_twice(self, tmp_path: Path) -> None:
        with Bench.create(tmp_path / "new") as bench:
            assert (bench.path, bench.bin_rows(), bench.target_rows()) == ((tmp_path / "new").resolve(), (), ())
            assert bench.search("plate").rows == ()
        with pytest.raises(UsageError, match="a bench in"):
            Bench.create(tmp_path / "new")

    def test_bins_of_one_bench_show_the_clock_does_not_matter(self, bench_folder: Path) -> None:
        # A clock set back between sittings changes no count.
        def ago() -> datetime:
            return ticking()().replace(year=2020)

        with Bench.open(bench_folder) as bench:
            counted(bench, "plate 2x4 red *3")
        with Bench.open(bench_folder, ago) as bench:
            counted(bench, "plate 2x4 red *3")
            assert bench.picture.ledger.pieces == 6
            assert bench.recent(1)[0].own
