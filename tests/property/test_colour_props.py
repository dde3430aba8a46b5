"""Colour: what must hold for any colour."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.condition.change_rating import colour_change, grade_of, rating
from sortbench.engine.condition.ciede2000 import ciede2000
from sortbench.engine.condition.colour import (
    Lab,
    decode,
    encode,
    hex_to_lab,
    in_gamut,
    lab_to_hex,
    lab_to_srgb,
    lab_to_xyz,
    parse_reading,
    srgb_to_lab,
    xyz_to_lab,
)
from sortbench.engine.condition.judging import judge
from sortbench.engine.condition.yellowness import yellowness_scope
from sortbench.model.errors import DataError

shares = st.floats(0.0, 1.0)
rgbs = st.tuples(shares, shares, shares)
labs = st.builds(Lab, st.floats(0.0, 100.0), st.floats(-120.0, 120.0), st.floats(-120.0, 120.0))
changes = st.floats(0.0, 120.0)


@given(st.integers(0, 0xFFFFFF))
def test_eight_bits_there_and_back(value: int) -> None:
    text = f"{value:06x}"
    lab = hex_to_lab(text)
    assert lab_to_hex(lab) == text
    assert in_gamut(lab)
    assert parse_reading(f"#{text}") == lab


@given(rgbs)
def test_srgb_there_and_back(rgb: tuple[float, float, float]) -> None:
    assert lab_to_srgb(srgb_to_lab(rgb)) == pytest.approx(rgb, abs=1e-9)


@given(labs)
def test_lab_there_and_back(lab: Lab) -> None:
    assert xyz_to_lab(lab_to_xyz(lab)) == pytest.approx(lab, abs=1e-9)


@given(shares, shares)
def test_the_curve_rises_and_is_undone(one: float, other: float) -> None:
    assert encode(decode(one)) == pytest.approx(one, abs=1e-12)
    assert (decode(one) < decode(other)) is (one < other)


@given(labs, labs)
def test_differences_are_the_same_both_ways_and_none_with_itself(one: Lab, other: Lab) -> None:
    for figure in (ciede2000, colour_change):
        assert figure(one, other) == pytest.approx(figure(other, one), abs=1e-7)
        assert figure(one, other) >= 0.0
        assert figure(one, one) == pytest.approx(0.0, abs=1e-7)


@given(changes, changes)
def test_a_larger_change_never_has_a_better_grade(one: float, other: float) -> None:
    smaller, larger = sorted((one, other))
    assert rating(smaller) >= rating(larger)
    assert grade_of(rating(smaller)) >= grade_of(rating(larger))
    assert 1.0 <= rating(larger) <= 5.0


@given(labs, labs, st.floats(0.0, 3.0))
def test_the_grade_lies_in_its_band_and_more_doubt_never_narrows_it(piece: Lab, reference: Lab, u: float) -> None:
    narrow, wide = judge(piece, reference, Lab(u, u, u)), judge(piece, reference, Lab(u, u, u), Lab(u, u, u))
    assert narrow.worst <= narrow.grade <= narrow.best
    assert wide.worst <= narrow.worst
    assert wide.best >= narrow.best
    assert (narrow.yellowness is None) <= (narrow.yellowness_change is None)
    assert (narrow.yellowness_change is None) is bool(narrow.why_no_yellowness)


@given(labs)
def test_a_scope_is_within_or_gives_its_reason(lab: Lab) -> None:
    scope = yellowness_scope(lab_to_xyz(lab))
    assert scope.within is not bool(scope.reason)
    assert not (scope.within and scope.neutral)


@given(st.text(max_size=60) | st.from_regex(r"(lab|xyz) [-+0-9.,e ]{0,30}", fullmatch=True))
def test_whatever_is_typed_is_a_colour_of_a_piece_or_is_refused(text: str) -> None:
    try:
        lab = parse_reading(text)
    except DataError as refused:
        assert refused.mend
    else:
        assert -1e-9 <= lab.lightness <= 100.0
        assert max(abs(lab.a), abs(lab.b)) <= 128.0
