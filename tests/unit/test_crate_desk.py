"""Pieces set aside for a target and picked into its crate, through a bench on a real folder."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from small_bench import BRICK, PLATE, counted, shown

from sortbench.bench import Bench
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, What
from sortbench.tui.drawing.bench_rows import tally_rows
from sortbench.tui.drawing.log_rows import record_row, record_words
from sortbench.tui.widgets.rows import Row

Opener = Callable[[], Bench]

GOOD = Grade.G5
IN_B1 = Cell("B1", *PLATE, "", GOOD, ())
CRATED = IN_B1._replace(bin="T-02", fate=Fate.CRATE)


def text(row: Row) -> str:
    return " ".join("".join(span[0] for span in row).split())


def set_aside(bench: Bench) -> dict[str, int]:
    """Plates of grade 5 without flaws that are set aside, by target."""
    return dict(bench.picture.ledger.reserved(PLATE).get((GOOD, ()), {}))


def test_pieces_set_aside_stay_in_their_bin_and_go_to_no_other_target(bench: Bench) -> None:
    bench.count(PLATE, 4)
    assert [row.present for row in bench.target_rows()] == [3, 1, 0]
    answer = bench.crates.reserve(PLATE, 3, "T-02", GOOD)
    assert answer.text == "3 × plate 2x4 red set aside for Peat Tramway"
    assert dict(bench.picture.ledger.counts) == {IN_B1: 4}
    assert [row.present for row in bench.target_rows()] == [1, 3, 0]
    assert {row.label: row.pieces for row in bench.bin_rows() if row.pieces} == {"B1": 4}


def test_no_more_is_set_aside_than_is_there_and_free(bench: Bench) -> None:
    bench.count(PLATE, 4)
    bench.crates.reserve(PLATE, 3, "T-02", GOOD)
    with pytest.raises(DataError, match=r"2 of plate 2x4 in red .grade 5. cannot be set aside: 1 are free, 3 for Peat"):
        bench.crates.reserve(PLATE, 2, "T-01", GOOD)
    with pytest.raises(DataError, match="0 are free"):
        bench.crates.reserve(PLATE, 1, "T-01", Grade.G3)
    with pytest.raises(DataError, match="0 are free"):
        bench.crates.reserve(PLATE, 1, "T-01", GOOD, (Flaw.BENT,))
    with pytest.raises(DataError, match="No target has the code 'T-99'"):
        bench.crates.reserve(PLATE, 1, "T-99", GOOD)
    for quantity in (0, -1, 100_000):
        with pytest.raises(DataError, match="cannot be taken at once"):
            bench.crates.reserve(PLATE, quantity, "T-01", GOOD)
    bench.count_coarse("B1", 2)
    with pytest.raises(DataError, match="nobody looked at"):
        bench.sitting.reserve(Cell("B1", "", "red", "plate", GOOD, ()), 1, "T-01")
    assert set_aside(bench) == {"T-02": 3}


def test_letting_go_takes_the_latest_records_first_and_redo_brings_a_whole_one_back(bench: Bench) -> None:
    bench.count(PLATE, 9)
    bench.crates.reserve(PLATE, 4, "T-02", GOOD)
    bench.crates.reserve(PLATE, 2, "T-02", GOOD)
    answer = bench.crates.release(PLATE, 3, "T-02", GOOD)
    assert answer.text == "no longer for Peat Tramway: 3 × plate 2x4 red"
    assert set_aside(bench) == {"T-02": 3}
    with pytest.raises(DataError, match=r"3 of plate 2x4 .* are set aside for Peat Tramway, not 4"):
        bench.crates.release(PLATE, 4, "T-02", GOOD)
    with pytest.raises(DataError, match="0 of plate 2x4"):
        bench.crates.release(PLATE, 1, "T-01", GOOD)
    bench.redo()
    assert set_aside(bench) == {"T-02": 5}
    bench.undo()
    bench.undo()
    assert set_aside(bench) == {"T-02": 4}
    bench.crates.release(PLATE, 4, "T-02", GOOD)
    assert set_aside(bench) == {}
    assert bench.picture.ledger.reserved_kinds == ()


def test_letting_go_of_the_rest_does_not_bring_back_what_was_let_go_before(bench: Bench) -> None:
    bench.count(PLATE, 5)
    bench.crates.reserve(PLATE, 4, "T-02", GOOD)
    bench.crates.release(PLATE, 1, "T-02", GOOD)
    bench.crates.release(PLATE, 1, "T-02", GOOD)
    assert set_aside(bench) == {"T-02": 2}
    bench.crates.release(PLATE, 2, "T-02", GOOD)
    assert set_aside(bench) == {}
    bench.redo()
    assert set_aside(bench) == {"T-02": 2}


def test_picked_pieces_leave_the_bin_and_lie_in_the_crate(bench: Bench) -> None:
    bench.count(PLATE, 9)
    assert {row.label: row.over for row in bench.bin_rows()}["B1"] == 4
    answer = bench.crates.pick(PLATE, 5, "T-02", GOOD, bin_label="B1")
    assert answer.text == "5 × plate 2x4 red picked for Peat Tramway"
    ledger = bench.picture.ledger
    assert (dict(ledger.counts), ledger.pieces) == ({IN_B1: 4, CRATED: 5}, 9)
    assert dict(ledger.in_crate("T-02")) == {CRATED: 5}
    b1 = next(row for row in bench.bin_rows() if row.label == "B1")
    assert (b1.pieces, b1.over, b1.kinds) == (4, 0, 1)
    assert "T-02" not in [row.label for row in bench.bin_rows()]
    assert bench.line_rows("T-02")[1].places == (("crate T-02", 5), ("B1", 4))
    assert [row.present for row in bench.target_rows()] == [3, 4, 0]


def test_no_more_is_picked_than_lies_there_and_is_not_set_aside_for_others(bench: Bench) -> None:
    bench.count(PLATE, 4)
    bench.count(PLATE, 2, bin_label="REST")
    bench.crates.reserve(PLATE, 5, "T-02", GOOD)
    with pytest.raises(DataError, match=r"3 of plate 2x4 in red .grade 5. cannot be picked: 2 are in bin REST"):
        bench.crates.pick(PLATE, 3, "T-02", GOOD, bin_label="REST")
    with pytest.raises(DataError, match=r"of 6 there are 5 for Peat Tramway set aside. Pick 1"):
        bench.crates.pick(PLATE, 2, "T-01", GOOD, bin_label="REST")
    bench.crates.pick(PLATE, 1, "T-01", GOOD, bin_label="REST")
    with pytest.raises(DataError, match="Let the others go first"):
        bench.crates.pick(PLATE, 1, "T-01", GOOD, bin_label="REST")
    with pytest.raises(DataError, match="No target has the code"):
        bench.crates.pick(PLATE, 1, "T-99", GOOD, bin_label="REST")
    with pytest.raises(DataError, match="discarded are not picked"):
        bench.crates.pick(PLATE, 1, "T-01", GOOD, fate=Fate.OUT)
    with pytest.raises(DataError, match="in a crate are not picked"):
        bench.crates.pick(PLATE, 1, "T-02", GOOD, bin_label="T-01", fate=Fate.CRATE)


def test_what_is_set_aside_is_picked_first_and_one_undo_takes_a_pick_back(bench: Bench) -> None:
    bench.count(PLATE, 9)
    bench.crates.reserve(PLATE, 3, "T-02", GOOD)
    before = shown(bench)
    assert bench.crates.pick(PLATE, 2, "T-02", GOOD, bin_label="B1").text.startswith("2 × plate")
    assert set_aside(bench) == {"T-02": 1}
    assert bench.crates.pick(PLATE, 4, "T-02", GOOD, bin_label="B1").text.startswith("4 × plate")
    assert set_aside(bench) == {}
    after = shown(bench)
    assert bench.picture.ledger.in_crate("T-02") == {CRATED: 6}
    assert bench.undo().text == "undone: 4 × plate 2x4 red picked for Peat Tramway"
    assert (set_aside(bench), dict(bench.picture.ledger.in_crate("T-02"))) == ({"T-02": 1}, {CRATED: 2})
    assert bench.redo().text == "brought back: 4 × plate 2x4 red picked for Peat Tramway"
    assert shown(bench)[:4] == after[:4]
    bench.undo()
    bench.undo()
    assert shown(bench)[:4] == before[:4]
    assert set_aside(bench) == {"T-02": 3}


def test_two_picks_of_the_same_are_undone_one_by_one(bench: Bench) -> None:
    bench.count(PLATE, 9)
    for _ in range(2):
        bench.crates.pick(PLATE, 2, "T-02", GOOD, bin_label="B1")
    bench.undo()
    assert dict(bench.picture.ledger.in_crate("T-02")) == {CRATED: 2}


def test_pieces_put_aside_for_a_wash_can_be_picked_once_they_are_clean(bench: Bench) -> None:
    bench.count(PLATE, 2)
    bench.put_aside(Fate.WASH)
    with pytest.raises(DataError, match="0 are outside the bins"):
        bench.crates.pick(PLATE, 1, "T-01", GOOD)
    with pytest.raises(DataError, match=r"2 of .* 1 are to be washed"):
        bench.crates.pick(PLATE, 2, "T-01", GOOD, fate=Fate.WASH)
    bench.crates.pick(PLATE, 1, "T-01", GOOD, fate=Fate.WASH)
    assert bench.picture.ledger.of_fate(Fate.WASH) == 0
    assert bench.target_rows()[0].standard == 2


def test_pieces_are_put_back_where_the_rules_say_or_where_one_says(bench: Bench) -> None:
    bench.count(PLATE, 3)
    bench.crates.pick(PLATE, 3, "T-01", GOOD, bin_label="B1")
    answer = bench.crates.put_back(PLATE, 1, "T-01", GOOD)
    assert answer.text == "1 × plate 2x4 red taken out of the crate of Signal Hut into B1"
    bench.crates.put_back(PLATE, 1, "T-01", GOOD, bin_label="rest")
    crated = CRATED._replace(bin="T-01")
    assert dict(bench.picture.ledger.counts) == {crated: 1, IN_B1: 1, IN_B1._replace(bin="REST"): 1}
    with pytest.raises(DataError, match=r"1 of plate 2x4 .* lie in the crate of Signal Hut, not 2"):
        bench.crates.put_back(PLATE, 2, "T-01", GOOD)
    with pytest.raises(DataError, match="No bin is labelled"):
        bench.crates.put_back(PLATE, 1, "T-01", GOOD, bin_label="B9")
    bench.undo()
    bench.undo()
    assert dict(bench.picture.ledger.counts) == {crated: 3}


def test_a_record_is_not_voided_from_under_what_came_after_it(bench: Bench) -> None:
    tally = bench.count(PLATE, 3).record
    bench.crates.reserve(PLATE, 2, "T-01", GOOD)
    reserve = bench.sitting.history[-1]
    bench.crates.pick(PLATE, 3, "T-01", GOOD, bin_label="B1")
    picked = bench.sitting.history[-2]
    with pytest.raises(DataError, match=f"carried on since. Void record {bench.sitting.history[-1]} first"):
        bench.void(tally)
    with pytest.raises(DataError, match=f"picked since. Void record {picked} first"):
        bench.void(reserve)
    bench.crates.put_back(PLATE, 2, "T-01", GOOD)
    with pytest.raises(DataError, match=f"carried on since. Void record {bench.sitting.history[-1]} first"):
        bench.void(picked)
    bench.undo()
    bench.undo()
    bench.void(reserve)
    bench.void(tally)
    assert bench.picture.ledger.pieces == 0
    bench.redo()
    assert bench.picture.ledger.pieces == 3


def test_all_of_it_is_there_after_a_restart_and_can_be_undone_by_the_next_sitting(bench: Bench, opened: Opener) -> None:
    bench.count(PLATE, 6)
    bench.crates.reserve(PLATE, 1, "T-02", GOOD)
    bench.crates.pick(PLATE, 3, "T-02", GOOD, bin_label="B1")
    bench.crates.reserve(PLATE, 2, "T-01", GOOD)
    watching = opened()
    before = shown(bench)[:4]
    bench.close()
    again = opened()
    assert shown(again)[:4] == before == shown(watching)[:4]
    assert set_aside(again) == {"T-01": 2}
    again.undo()
    again.undo()
    assert set_aside(again) == {"T-02": 1}
    assert watching.refresh()
    assert set_aside(watching) == {"T-02": 1}


def test_setting_aside_takes_nothing_in_hand_and_learns_nothing(bench: Bench) -> None:
    bench.count(BRICK, 2)
    bench.count(PLATE, 2)
    bench.crates.reserve(BRICK, 1, "T-01", GOOD)
    bench.crates.pick(BRICK, 1, "T-01", GOOD, bin_label="B2")
    assert bench.sitting.hand_words == "plate 2x4 · red"
    assert bench.pace().counted == 4
    assert counted(bench, "").kind == PLATE


def test_the_log_says_it_in_words(bench: Bench) -> None:
    bench.count(PLATE, 9)
    bench.crates.reserve(PLATE, 3, "T-02", GOOD)
    bench.crates.release(PLATE, 1, "T-02", GOOD)
    bench.crates.pick(PLATE, 2, "T-02", GOOD, bin_label="B1")
    bench.crates.put_back(PLATE, 1, "T-02", GOOD)
    rows = bench.log_rows()
    by_id = {row.id: row for row in rows}
    assert [row.what for row in rows[1:]] == [What.RESERVE, What.RESERVE, What.MOVE, What.MOVE]
    drawn = [text(record_row(row, by_id, False, 140)) for row in rows]
    assert [line.split(" 2026")[0].split()[0] for line in drawn] == ["●"] * len(drawn)
    said = [record_words(row, by_id).split("; ") for row in rows[1:]]
    assert [words[2] for words in said] == [
        "reserved 3 × plate 2x4 · red",
        "put right 2 × plate 2x4 · red",
        "picked 2 × plate 2x4 · red",
        "put back 1 × plate 2x4 · red",
    ]
    assert [words[4] for words in said] == ["for T-02", "for T-02", "B1 → crate T-02", "crate T-02 → B1"]
    short = [text(row).split("→")[-1].split(" for ")[-1].strip() for row in tally_rows(bench.recent(9), None, 80)]
    assert short == ["B1", "crate T-02", "T-02", "T-02", "B1"]
