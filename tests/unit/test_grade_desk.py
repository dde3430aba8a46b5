"""Grading by eye and by reading: what it does to the last tally, and when it is refused."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import What
from tests.small_bench import PLATE, TILE, counted, make_folder, ticking

YELLOWED = "#e8dcb0"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """The small bench; bin FADED takes grade 3 and below."""
    with Bench.open(make_folder(tmp_path / "bench"), ticking()) as bench:
        yield bench


def grades(bench: Bench) -> dict[str, int]:
    """Pieces by grade and bin."""
    return {f"{c.grade.label if c.grade else '?'} {c.bin}": n for c, n in bench.picture.ledger.counts.items() if n}


def test_the_shade_in_hand_is_judged_and_another_may_be_chosen(bench: Bench) -> None:
    desk = bench.grading
    assert desk.shade == "red", "the first of the catalogue"
    counted(bench, "ti 22 wh")
    assert desk.shade == "white", "that of the last tally"
    bench.enter(".grey l")
    assert desk.shade == "grey, late", "the held one"
    desk.choose("gr ear")
    assert desk.shade == "grey, early"
    desk.turn(1)
    assert desk.shade == "grey, late"
    desk.turn(1)
    assert desk.shade == "red", "after the last comes the first"
    desk.start()
    assert desk.shade == "grey, late"
    with pytest.raises(DataError, match="No shade is called 'mauve'"):
        desk.choose("mauve")


def test_a_reading_is_judged_against_the_list_value_until_an_unaged_piece_was_read(bench: Bench) -> None:
    counted(bench, "ti 22 wh")
    desk = bench.grading
    desk.read("E8DCB0")
    view = desk.view()
    assert (view.reading, view.reference, view.measured) == (YELLOWED, "#f4f4f4", False)
    assert view.judgement is not None
    assert view.judgement.grade is Grade.G1
    assert view.judgement.saturated
    assert view.drift.startswith("yellower")
    desk.refer("lab 88 -1 17")
    view = desk.view()
    assert (view.reference, view.measured) == ("lab 88 -1 17", True)
    assert view.judgement is not None
    assert view.judgement.grade > Grade.G1
    desk.start()
    assert desk.view().measured, "an unaged piece is read once for the sitting"
    desk.refer("  ")
    assert desk.view().reference == "#f4f4f4"
    assert desk.view().reading == ""


def test_a_counted_piece_keeps_its_reading_and_goes_to_the_bin_of_its_grade(bench: Bench) -> None:
    counted(bench, "pl24 re *2")
    desk = bench.grading
    desk.read("#b8331e")
    receipt = desk.count()
    assert (receipt.quantity, receipt.kind) == (1, PLATE)
    judged = desk.view().judgement
    assert judged is not None
    assert receipt.grade is judged.grade
    [(condition, [(pieces, lab)])] = bench.picture.ledger.readings(PLATE).items()
    assert condition == (judged.grade, ())
    assert pieces == 1
    assert lab == tuple(round(each, 2) for each in judged.piece)
    desk.read("#d96a30")
    assert desk.count().bin == "FADED"


def test_the_last_tally_gets_the_judged_grade_and_undo_takes_it_back(bench: Bench) -> None:
    counted(bench, "ti 22 wh *3 #chip")
    desk = bench.grading
    desk.read(YELLOWED)
    receipt = desk.regrade()
    assert (receipt.grade, receipt.flaws, receipt.quantity) == (Grade.G1, (Flaw.CHIPPED,), 3)
    assert sum(bench.picture.ledger.counts.values()) == 3, "put right, not counted again"
    assert list(bench.picture.ledger.readings(TILE)) == [(Grade.G1, (Flaw.CHIPPED,))]
    bench.undo()
    assert grades(bench) == {"5 FLAWED": 3}
    assert not bench.picture.ledger.readings(TILE)


def test_a_grade_that_eyes_found_and_half_steps_from_it(bench: Bench) -> None:
    counted(bench, "ti 22 wh *3")
    desk = bench.grading
    desk.give(Grade.G4)
    desk.half_step(down=False)
    assert grades(bench) == {"4-5 REST": 3}
    desk.give(Grade.G3)
    assert grades(bench) == {"3 FADED": 3}
    desk.half_step(down=True)
    last = desk.view().last
    assert last is not None
    assert (last.words, last.grade, last.where) == ("3 × tile 2x2 · white", Grade.G2_3, "FADED")
    with pytest.raises(DataError, match="has grade 2-3 already"):
        desk.give(Grade.G2_3)
    desk.give(Grade.G1)
    with pytest.raises(DataError, match="lowest there is"):
        desk.half_step(down=True)
    desk.give(Grade.G5)
    with pytest.raises(DataError, match="highest there is"):
        desk.half_step(down=False)


def test_pieces_of_one_shade_are_not_graded_by_the_steps_of_another(bench: Bench) -> None:
    counted(bench, "ti 22 wh")
    desk = bench.grading
    desk.choose("red")
    desk.read("#b8331e")
    for act in (desk.count, desk.regrade, lambda: desk.give(Grade.G4), lambda: desk.half_step(down=True)):
        with pytest.raises(DataError, match="The last tally is white, and red is judged here"):
            act()
    assert grades(bench) == {"5 REST": 1}


def test_what_is_missing_is_said(bench: Bench) -> None:
    desk = bench.grading
    with pytest.raises(DataError, match="Nothing has been counted yet"):
        desk.give(Grade.G4)
    counted(bench, "ti 22 wh")
    with pytest.raises(DataError, match="No reading was typed yet"):
        desk.count()
    with pytest.raises(DataError, match="no colour reading"):
        desk.read("yellowish")
    assert desk.view().reading == ""
    bench.write_up("T-01")
    bench.enter("pl24 re")
    assert bench.sitting.in_hand().what is What.LINE
    desk.read(YELLOWED)
    with pytest.raises(DataError, match="no grade and no bin"):
        desk.count()
    last = desk.view().last
    assert last is not None
    assert last.on_list


def test_a_shade_of_no_known_colour_needs_an_unaged_piece(bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        for name, shade in list(draft.shades.items()):
            draft.shades[name] = type(shade)(name)
    bench.reload()
    counted(bench, "ti 22 wh")
    desk = bench.grading
    desk.read(YELLOWED)
    assert (desk.view().scale, desk.view().judgement) == (None, None)
    with pytest.raises(DataError, match="nothing to judge white against"):
        desk.regrade()
    desk.refer("#f4f4f0")
    assert desk.regrade().grade is Grade.G1


def test_a_bench_without_shades_has_nothing_to_judge(tmp_path: Path) -> None:
    with Bench.create(tmp_path / "new") as bench:
        bench.grading.turn(1)
        assert bench.grading.view().shade == ""
        with pytest.raises(DataError, match="no shade to judge yet"):
            bench.grading.refer("#f4f4f0")


def test_256_colours_say_what_change_they_show(bench: Bench) -> None:
    counted(bench, "ti 22 wh")
    bench.grading.read(YELLOWED)
    assert bench.grading.view().nearest is None
    few = bench.grading.view(in_256=True).nearest
    assert few is not None
    assert few.reading is not None
    assert few.changes[0] == 0.0
    assert [change == 0.0 for change in few.changes] == [number == few.steps[0] for number in few.steps]
