"""What an entry line finds as typed so far: the same that Enter will do."""

from __future__ import annotations

import pytest
from small_bench import BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.engine.board import Notice, Receipt, Wanted
from sortbench.model.errors import DataError


def test_an_empty_line_tells_what_same_again_means(bench: Bench) -> None:
    assert bench.search("").note == ""
    bench.enter("plate 2x4 red *3")
    assert bench.search("").enter == "counts the same again: plate 2x4 · red"
    assert bench.search("*5").enter == "counts 5 more: plate 2x4 · red"
    assert bench.search("!3").enter == "counts 1 more: plate 2x4 · red"


def test_a_mark_alone_needs_something_counted(bench: Bench) -> None:
    assert "Nothing has been counted yet" in bench.search("*5").error


def test_each_result_tells_its_bin_and_who_needs_it(bench: Bench) -> None:
    bench.enter("plate 2x4 red *4")
    row = bench.search("plate 2x4 red").rows[0]
    assert (row.kind, row.name, row.bin, row.counted) == (PLATE, "plate 2x4", "B1", 4)
    assert row.wants == (Wanted("T-02", "Peat Tramway", 2, 3),)
    assert bench.search("plate 2x4 red !2").rows[0].bin == "FADED"
    assert bench.search("plate 2x4 red #bent").rows[0].bin == "FLAWED"
    assert bench.search("plate 2x4 red @rest").rows[0].bin == "REST"
    assert len(bench.search("e").rows) <= 8


def test_what_is_held_is_in_the_results(bench: Bench) -> None:
    bench.enter(".white !2")
    row = bench.search("tile 2x2").rows[0]
    assert (row.kind, row.bin) == (TILE, "FADED")
    bench.enter(".@b2")
    assert bench.search("tile 2x2").rows[0].bin == "B2"


@pytest.mark.parametrize("text", ["pl *0", "pl *-3", "pl *1.5", "pl !9", "pl #dusty", "pl @nowhere", ".@nowhere", "+"])
def test_what_is_wrong_is_part_of_the_answer_and_what_enter_says(bench: Bench, text: str) -> None:
    found = bench.search(text)
    assert found.rows == ()
    with pytest.raises(DataError) as refused:
        bench.enter(text)
    assert found.error == str(refused.value)


def test_an_unknown_word_says_how_to_go_on(bench: Bench) -> None:
    assert "+ in front adds it as a part" in bench.search("zzzzz").error


def test_holding_tells_what_will_be_held(bench: Bench) -> None:
    assert bench.search(".re !4 @b1").enter.startswith("holds red; grade 4; bin ")
    assert bench.search(".grey").enter == "holds grey, late (next: grey, early)"
    assert bench.search(".").enter == "lets everything go that is held"
    assert "No shade is called" in bench.search(".zzzz").error


def test_adding_a_part_tells_what_will_be_made(bench: Bench) -> None:
    assert bench.search("+trough 2x4 red").enter == "adds the part trough-2x4 (other) and counts it in red"
    assert "in the catalogue already" in bench.search("+plate 2x4 red").enter
    assert "In which shade" in bench.search("+trough 2x4").error


@pytest.mark.parametrize(
    "text", ["plate 2x4 red", "br24 red *2", "tile wh", "1x6x2 early", "pl red !3", "2-4 br", "red"]
)
def test_enter_counts_the_first_row_in_the_bin_it_told(bench: Bench, text: str) -> None:
    row = bench.search(text).rows[0]
    receipt = bench.enter(text)
    assert isinstance(receipt, Receipt)
    assert (receipt.kind, receipt.bin) == (row.kind, row.bin)


def test_picking_counts_another_row(bench: Bench) -> None:
    rows = bench.search("2x4 red").rows
    assert {row.kind for row in rows} >= {PLATE, BRICK}
    receipt = bench.enter("2x4 red", pick=1)
    assert isinstance(receipt, Receipt)
    assert receipt.kind == rows[1].kind


def test_two_that_match_alike_are_told(bench: Bench) -> None:
    found = bench.search("plate white")
    assert [row.name for row in found.rows[:2]] == ["plate 1x2", "plate 2x4"]
    assert found.rows[0].tie
    assert "look before you count" in found.note


def test_a_note_of_holding_is_what_enter_does(bench: Bench) -> None:
    told = bench.search(".grey").enter
    answer = bench.enter(".grey")
    assert isinstance(answer, Notice)
    assert bench.held.shade in told.partition("(")[0]
    assert bench.held.shade
