"""What was counted is put right, taken back and brought back; lists are written up."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import BRICK, PLATE, TILE, counted, shown

from sortbench.bench import Bench
from sortbench.engine.board import Crate
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Fate, RecordId, What
from sortbench.model.target import MAX_QUANTITY

Opener = Callable[[], Bench]


class TestWritingUp:
    def test_tallies_go_to_the_list_and_into_no_bin(self, bench: Bench, opened: Opener) -> None:
        bench.write_up("T-03")
        receipt = counted(bench, "plate 2x4 red *4")
        assert (receipt.bin, receipt.target, receipt.crates) == ("", "T-03", (Crate("T-03", "Glasshouse", 0, 4),))
        counted(bench, "")
        counted(bench, "tile 2x2 white")
        assert [(row.kind, row.need) for row in bench.line_rows("T-03")] == [(PLATE, 5), (TILE, 1)]
        assert bench.picture.ledger.pieces == 0
        assert [(row.kind, row.need) for row in opened().line_rows("T-03")] == [(PLATE, 5), (TILE, 1)]

    def test_a_list_takes_no_more_of_a_line_than_a_line_can_ask_for(self, bench: Bench) -> None:
        bench.write_up("T-01")
        with pytest.raises(DataError, match=f"{MAX_QUANTITY}"):
            bench.enter(f"plate 2x4 red *{MAX_QUANTITY}")
        counted(bench, f"plate 2x4 red *{MAX_QUANTITY - 3}")
        with pytest.raises(DataError, match=f"{MAX_QUANTITY}"):
            bench.enter("")
        assert bench.line_rows("T-01")[0].need == MAX_QUANTITY

    def test_a_dot_ends_it_and_the_same_again_is_counted(self, bench: Bench) -> None:
        bench.write_up("T-03")
        counted(bench, "plate 2x4 red")
        bench.enter(".")
        receipt = counted(bench, "")
        assert (receipt.target, receipt.bin, receipt.kind) == ("", "B1", PLATE)

    @pytest.mark.parametrize("line", ["plate 2x4 red !3", "tile 2x2 white #bent", "plate 2x4 red @b1", "!3"])
    def test_a_mark_that_a_list_has_no_use_for_is_refused(self, bench: Bench, line: str) -> None:
        counted(bench, "plate 2x4 red")
        bench.write_up("T-03")
        with pytest.raises(DataError) as refused:
            bench.enter(line)
        assert bench.search(line).error == str(refused.value)
        assert bench.line_rows("T-03") == ()
        bench.enter(".!4 @b1")  # to hold them for later is fine
        assert counted(bench, "plate 2x4 red").target == "T-03"

    def test_a_line_has_no_grade_to_change(self, bench: Bench) -> None:
        bench.write_up("T-03")
        written = counted(bench, "plate 2x4 red")
        for change in (
            lambda: bench.regrade(down=True),
            lambda: bench.put_aside(Fate.OUT),
            lambda: bench.correct(written.record, "!3"),
            lambda: bench.correct(written.record, "#bent"),
            lambda: bench.correct(written.record, "@b1"),
        ):
            with pytest.raises(DataError, match="no grade and no bin"):
                change()

    def test_a_line_is_undone_and_put_right(self, bench: Bench) -> None:
        bench.write_up("T-03")
        plates = counted(bench, "plate 2x4 red *4")
        counted(bench, "tile 2x2 white")
        bench.correct(plates.record, "*6")
        assert [row.need for row in bench.line_rows("T-03")] == [6, 1]
        bench.undo()
        bench.undo()
        assert [row.need for row in bench.line_rows("T-03")] == [4]
        bench.redo()
        assert [row.need for row in bench.line_rows("T-03")] == [4, 1]

    def test_an_unknown_target_is_refused(self, bench: Bench) -> None:
        with pytest.raises(DataError, match="No target has the code"):
            bench.write_up("T-99")
        with pytest.raises(DataError, match="No target has the code"):
            bench.line_rows("T-99")


class TestPuttingRight:
    def test_a_correction_changes_what_it_names_and_nothing_else(self, bench: Bench) -> None:
        first = counted(bench, "plate 2x4 red *3")
        assert bench.correct(first.record, "*4").note == "instead of 3 × plate 2x4 red"
        (second,) = (row for row in bench.recent(9) if row.holds)
        assert (second.quantity, second.bin, second.voids) == (4, "B1", first.record)
        third = bench.correct(second.id, "brick 2x4")
        assert (third.kind, third.quantity, third.bin) == (BRICK, 4, "B2")
        fourth = bench.correct(third.record, "!3-4 @rest")
        assert (fourth.grade, fourth.bin) == (Grade.G3_4, "REST")
        assert bench.picture.ledger.pieces == 4

    def test_a_bin_chosen_by_hand_stays_when_the_condition_changes(self, bench: Bench) -> None:
        chosen = counted(bench, "plate 2x4 red @b2")
        chosen = bench.correct(chosen.record, "!2")
        assert chosen.bin == "B2"
        assert bench.regrade(down=True).bin == "B2"
        assert bench.sitting.flaw((Flaw.BENT,)).bin == "B2"

    def test_a_bin_chosen_by_rule_follows_the_condition(self, bench: Bench) -> None:
        first = counted(bench, "plate 2x4 red")
        assert bench.correct(first.record, "!2").bin == "FADED"
        assert bench.sitting.flaw((Flaw.BENT,)).bin == "FLAWED"
        bench.undo()
        assert bench.regrade(down=False).bin == "FADED"
        assert bench.regrade(down=False).bin == "B1"

    @pytest.mark.parametrize("line", ["", "*1", "!5", "plate 2x4 red"])
    def test_a_correction_that_changes_nothing_is_refused(self, bench: Bench, line: str) -> None:
        receipt = counted(bench, "plate 2x4 red")
        with pytest.raises(DataError, match="nothing changed"):
            bench.correct(receipt.record, line)

    @pytest.mark.parametrize("line", [".red", "+trough", "zzzz", "*0", "@nowhere"])
    def test_a_correction_that_cannot_be_meant_is_refused(self, bench: Bench, line: str) -> None:
        receipt = counted(bench, "plate 2x4 red")
        before = shown(bench)
        with pytest.raises(DataError):
            bench.correct(receipt.record, line)
        assert shown(bench) == before

    def test_only_a_tally_that_holds_can_be_put_right_or_voided(self, bench: Bench) -> None:
        receipt = counted(bench, "plate 2x4 red *2")
        moved = bench.put_aside(Fate.WASH)
        for rid in (moved.record, RecordId("nobody", 1), RecordId(bench.sitting.id, 1)):
            with pytest.raises(DataError, match="is no tally"):
                bench.correct(rid, "*3")
        bench.undo()
        bench.void(receipt.record)
        for refused in (lambda: bench.correct(receipt.record, "*3"), lambda: bench.void(receipt.record)):
            with pytest.raises(DataError, match="is void already"):
                refused()
        for rid, why in ((RecordId("nobody", 1), "There is no record"), (bench.log_rows()[-1].id, "counts nothing")):
            with pytest.raises(DataError, match=why):
                bench.void(rid)

    def test_pieces_that_were_carried_on_hold_their_tally(self, bench: Bench) -> None:
        receipt = counted(bench, "plate 2x4 red *2")
        moved = bench.put_aside(Fate.WASH)
        for refused in (
            lambda: bench.void(receipt.record),
            lambda: bench.correct(receipt.record, "*5"),
            lambda: bench.regrade(down=True),
        ):
            with pytest.raises(DataError, match=f"Void record {moved.record} first"):
                refused()
        bench.void(moved.record)
        bench.void(receipt.record)
        assert dict(bench.picture.ledger.counts) == {}

    def test_one_piece_at_a_time_is_put_aside_until_none_is_left(self, bench: Bench) -> None:
        counted(bench, "plate 2x4 red *2")
        washed = bench.put_aside(Fate.WASH)
        assert (washed.fate, washed.bin, washed.quantity, washed.total) == (Fate.WASH, "", 1, 2)
        assert bench.put_aside(Fate.OUT).total == 1
        with pytest.raises(DataError, match="no longer in its bin"):
            bench.put_aside(Fate.OUT)
        ledger = bench.picture.ledger
        assert (ledger.of_fate(Fate.KEPT), ledger.of_fate(Fate.WASH), ledger.of_fate(Fate.OUT)) == (0, 1, 1)
        bench.undo()
        bench.undo()
        assert ledger.of_fate(Fate.KEPT) == 2

    def test_grades_go_down_and_up_and_stop(self, bench: Bench) -> None:
        counted(bench, "plate 2x4 red !1-2")
        assert bench.regrade(down=True).grade is Grade.G1
        with pytest.raises(DataError, match="Grade 1 is the lowest"):
            bench.regrade(down=True)
        for _ in range(4):
            bench.regrade(down=False)
        with pytest.raises(DataError, match="Grade 5 is the highest"):
            bench.regrade(down=False)
        assert bench.picture.ledger.pieces == 1

    @pytest.mark.parametrize("change", ["regrade", "put_aside"])
    def test_nothing_in_hand_is_nothing_to_change(self, bench: Bench, change: str) -> None:
        with pytest.raises(DataError, match="Nothing has been counted yet"):
            bench.regrade(down=True) if change == "regrade" else bench.put_aside(Fate.OUT)


class TestUndo:
    def test_undo_goes_back_step_by_step_and_redo_forth(self, bench: Bench) -> None:
        states = [dict(bench.picture.ledger.counts)]
        for step in (
            lambda: bench.enter("plate 2x4 red *3"),
            lambda: bench.enter("tile 2x2 white"),
            lambda: bench.regrade(down=True),
            lambda: bench.put_aside(Fate.OUT),
        ):
            step()
            states.append(dict(bench.picture.ledger.counts))
        for state in reversed(states[:-1]):
            bench.undo()
            assert dict(bench.picture.ledger.counts) == state
        with pytest.raises(DataError, match="nothing left to undo"):
            bench.undo()
        for state in states[1:]:
            bench.redo()
            assert dict(bench.picture.ledger.counts) == state
        with pytest.raises(DataError, match="nothing to bring back"):
            bench.redo()

    def test_counting_forgets_what_could_be_brought_back(self, bench: Bench) -> None:
        counted(bench, "plate 2x4 red")
        bench.undo()
        counted(bench, "tile 2x2 white")
        with pytest.raises(DataError, match="nothing to bring back"):
            bench.redo()

    def test_undo_is_on_record_and_says_what_it_took(self, bench: Bench) -> None:
        receipt = counted(bench, "plate 2x4 red *3")
        assert bench.undo().text == "undone: 3 × plate 2x4 red"
        last = bench.log_rows()[-1]
        assert (last.what, last.voids, last.way) == (What.VOID, receipt.record, "undo")
        assert bench.redo().text == "brought back: 3 × plate 2x4 red"
        assert bench.log_rows()[-1].way == "redo"

    def test_undo_goes_on_after_a_restart(self, opened: Opener) -> None:
        first = opened()
        counted(first, "plate 2x4 red *3")
        counted(first, "tile 2x2 white")
        first.close()
        second = opened()
        counted(second, "brick 2x4 red")
        assert "brick" in second.undo().text
        assert "tile" in second.undo().text
        second.close()
        third = opened()
        assert "plate" in third.undo().text
        assert dict(third.picture.ledger.counts) == {}
        with pytest.raises(DataError, match="nothing left to undo"):
            third.undo()

    def test_the_same_again_goes_on_after_a_restart_and_after_an_undo(self, opened: Opener) -> None:
        first = opened()
        counted(first, "plate 2x4 red *3")
        counted(first, "tile 2x2 white")
        first.close()
        second = opened()
        assert counted(second, "").kind == TILE
        second.undo()
        second.undo()
        assert counted(second, "").kind == PLATE

    def test_a_voided_record_can_be_brought_back(self, bench: Bench) -> None:
        first = counted(bench, "plate 2x4 red *3")
        counted(bench, "tile 2x2 white")
        assert bench.void(first.record).text == "voided: 3 × plate 2x4 red"
        assert bench.picture.ledger.pieces == 1
        bench.redo()
        assert bench.picture.ledger.pieces == 4
