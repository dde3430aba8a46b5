"""Swatches to judge by eye: measured, each gives back the grade that stands beside it."""

from __future__ import annotations

import itertools

import pytest

from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import Lab, hex_to_lab, in_gamut, lab_to_hex
from sortbench.engine.condition.grade_steps import grade_scale
from sortbench.engine.condition.judging import judge
from sortbench.model.grade import Grade

# ISO 105-A02:1994, clause 2.4: CIELAB differences of the nine pairs of the grey scale and their tolerances, as a stored
# preview of EN 20105-A02 has them (the tolerances of 5, 1-2 and 1 from memory).
PAIRS = {
    "5": (0.0, 0.2),
    "4-5": (0.8, 0.2),
    "4": (1.7, 0.3),
    "3-4": (2.5, 0.35),
    "3": (3.4, 0.4),
    "2-3": (4.8, 0.5),
    "2": (6.8, 0.6),
    "1-2": (9.6, 0.7),
    "1": (13.6, 1.0),
}
SHADES = ["f4f4f0", "ffffff", "000000", "1b1b1b", "9ba19d", "b03a2e", "ffcf1a", "1a4fa3", "2e7d32", "e8dcb0", "ff00ff"]
CUBE = ["".join(f"{value:02x}" for value in each) for each in itertools.product((0, 128, 255), repeat=3)]


@pytest.mark.parametrize("rgb", sorted({*SHADES, *CUBE}))
def test_each_swatch_is_judged_as_the_grade_beside_it(rgb: str) -> None:
    scale = grade_scale(hex_to_lab(rgb))
    assert [step.grade.label for step in scale.steps] == list(PAIRS)
    assert scale.rgb == scale.steps[0].rgb == rgb
    assert not scale.cut
    for step in scale.steps:
        nominal, tolerance = PAIRS[step.grade.label]
        judged = judge(hex_to_lab(step.rgb), hex_to_lab(rgb))
        assert judged.grade is step.grade, step
        assert step.nominal == nominal
        assert judged.change == pytest.approx(step.change)
        assert abs(judged.change - nominal) <= tolerance, "a pair of the grey scale may be off by as much"


@pytest.mark.parametrize("rgb", ["f4f4f0", "9ba19d", "1a4fa3", "6a6e6c"])
def test_where_there_is_room_the_steps_go_yellower_and_a_little_darker(rgb: str) -> None:
    scale = grade_scale(hex_to_lab(rgb))
    assert scale.towards == "yellower and a little darker"
    labs = [hex_to_lab(step.rgb) for step in scale.steps]
    assert [lab.b for lab in labs] == sorted(lab.b for lab in labs)
    assert labs[-1].lightness < labs[0].lightness
    assert all(abs(lab.a - labs[0].a) < 1.0 for lab in labs), "less than a step of eight bits is worth"
    differences = [ciede2000(lab, labs[0]) for lab in labs]
    assert differences == sorted(differences)


def test_a_full_yellow_and_a_black_go_where_there_is_room_and_say_so() -> None:
    assert grade_scale(hex_to_lab("ffcf1a")).towards == "paler"
    black = grade_scale(hex_to_lab("000000"))
    assert "lighter" in black.towards
    assert hex_to_lab(black.steps[-1].rgb).lightness > 10.0


def test_a_reference_that_no_screen_shows_is_stood_for_by_the_nearest_that_it_does() -> None:
    green = Lab(60.0, -110.0, 60.0)
    assert not in_gamut(green)
    scale = grade_scale(green)
    assert scale.cut
    assert scale.rgb == lab_to_hex(green)
    shown = hex_to_lab(scale.rgb)
    assert [judge(hex_to_lab(step.rgb), shown).grade for step in scale.steps] == sorted(Grade, reverse=True)
