"""Grades and flaws."""

from __future__ import annotations

import pytest

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of

# ISO 105-A05 (as ISO 105-A02, the grey scale it stands for): nine grades in half steps, 5 is no change, 1 the greatest.
ISO_105_A05 = ["1", "1-2", "2", "2-3", "3", "3-4", "4", "4-5", "5"]


def test_the_scale_is_the_published_one_from_worst_to_best() -> None:
    assert [grade.label for grade in sorted(Grade)] == ISO_105_A05
    assert max(Grade) is Grade.G5


@pytest.mark.parametrize("label", ISO_105_A05)
def test_a_label_is_read_back_however_its_dash_is_written(label: str) -> None:
    for written in (label, label.replace("-", "/"), label.replace("-", "\N{EN DASH}"), f" {label} "):
        assert Grade.from_label(written).label == label


@pytest.mark.parametrize("text", ["", "0", "6", "5-4", "4.5", "-1", "3-5", "five", "４", "1-2-3"])
def test_what_is_no_grade_is_refused_with_the_scale(text: str) -> None:
    with pytest.raises(DataError, match="Grades run from 5"):
        Grade.from_label(text)


def test_steps_go_by_whole_grades_and_stop_at_the_ends() -> None:
    down = [Grade.G5]
    while down[-1] is not Grade.G1:
        down.append(down[-1].step(down=True))
    assert [grade.label for grade in down] == ["5", "4", "3", "2", "1"]
    assert [grade.step(down=False).label for grade in reversed(down)] == ["2", "3", "4", "5", "5"]
    assert Grade.G1.step(down=True) is Grade.G1


def test_a_step_from_a_half_grade_goes_to_the_next_whole_one() -> None:
    assert (Grade.G4_5.step(down=True), Grade.G4_5.step(down=False)) == (Grade.G4, Grade.G5)
    assert (Grade.G1_2.step(down=True), Grade.G1_2.step(down=False)) == (Grade.G1, Grade.G2)


@pytest.mark.parametrize("flaw", list(Flaw))
def test_a_flaw_is_found_by_its_whole_name_in_any_spelling(flaw: Flaw) -> None:
    for written in (flaw.value, flaw.value.upper(), flaw.value.replace(" ", "-"), flaw.value.replace(" ", "_")):
        assert Flaw.from_text(written) is flaw


def test_a_flaw_is_found_by_its_start_if_that_is_its_own() -> None:
    assert Flaw.from_text("crack") is Flaw.CRACKED
    assert Flaw.from_text("worn") is Flaw.WORN
    with pytest.raises(DataError, match="could be: chipped, cracked"):
        Flaw.from_text("c")
    with pytest.raises(DataError, match="is no flaw; known are: bent"):
        Flaw.from_text("dusty")
    with pytest.raises(DataError, match="is no flaw"):
        Flaw.from_text("  ")


def test_flaws_are_sorted_and_none_is_there_twice() -> None:
    assert flaws_of([Flaw.WORN, Flaw.BENT, Flaw.WORN]) == (Flaw.BENT, Flaw.WORN)
