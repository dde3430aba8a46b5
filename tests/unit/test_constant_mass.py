"""Dry or not: criteria of constant mass as written, scaled to shorter intervals, and on a balance with steps."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.washing.constant_mass import (
    CRITERIA,
    DEFAULT,
    Reading,
    Verdict,
    constant_mass,
    find_criterion,
    own_criterion,
)
from sortbench.model.errors import DataError
from tests.unit.test_drying import SERIES, readings

# Hour at which each synthetic series first has so many weighings so far apart, each change under 0.1 %: worked out
# by hand from the last weighing back, each time to the nearest one far enough before.
AS_WRITTEN = (
    (0, 1, 2, 24),
    (0, 24, 2, None),
    (0, 24, 3, None),
    (1, 1, 2, 72),
    (1, 24, 2, 72),
    (1, 24, 3, 96),
    (2, 1, 2, None),
    (2, 24, 2, None),
)


@pytest.mark.parametrize(("series", "apart", "weighings", "hour"), AS_WRITTEN)
def test_a_criterion_as_written(series: int, apart: float, weighings: int, hour: float | None) -> None:
    told = constant_mass(readings(SERIES[series][0]), own_criterion(0.1, apart, weighings))
    assert told.since_h == hour
    assert (told.verdict is Verdict.DRY) == (hour is not None)
    assert not told.scaled


def test_the_order_of_the_weighings_makes_no_difference() -> None:
    rows = readings(SERIES[1][0])
    assert constant_mass(rows[::-1]) == constant_mass(rows)


def test_a_shorter_interval_must_meet_a_smaller_change() -> None:
    # 500 g, 0.1 % in 24 h: 0.5 g in 24 h, so 0.125 g in 6 h, one step of the balance less.
    day = own_criterion(0.1, 24)
    fine = constant_mass(readings("0:560;18:500.11;24:500.00"), day, 0.01)
    assert (fine.verdict, fine.scaled, fine.since_h) == (Verdict.DRY, True, 24)
    assert "scaled" in fine.words
    assert constant_mass(readings("0:560;18:500.12;24:500.00"), day, 0.01).verdict is Verdict.UNDECIDED
    over = constant_mass(readings("0:560;18:500.14;24:500.00"), day, 0.01)
    assert over.verdict is Verdict.DRYING
    assert "lost 0.14 g in 6 h" in over.words


def test_without_the_step_of_the_balance_no_interval_is_scaled() -> None:
    told = constant_mass(readings("0:560;18:500;24:500"), own_criterion(0.1, 24))
    assert (told.verdict, told.again_h) == (Verdict.UNDECIDED, 42)
    assert "24 h between weighings" in told.words
    assert constant_mass(readings("0:560;18:500;42:500"), own_criterion(0.1, 24)).verdict is Verdict.DRY


def test_a_change_that_the_balance_cannot_see_proves_nothing() -> None:
    # 0.1 % of 300 g are 0.3 g: steps of 1 g show nothing of that, however long the mass stays.
    still = readings("0:310;24:300;48:300;72:300;96:300")
    told = constant_mass(still, DEFAULT, 1)
    assert (told.verdict, told.again_h) == (Verdict.UNDECIDED, None)
    assert "more than 1,000 g at once" in told.words
    assert "under 0.3 g" in told.words
    assert constant_mass(still, DEFAULT, 0.1).verdict is Verdict.DRY
    heavier = [Reading(row.hours, row.grams * 4) for row in still]
    assert constant_mass(heavier, DEFAULT, 1).verdict is Verdict.DRY


def test_a_coarse_balance_still_sees_a_tray_that_loses_much() -> None:
    told = constant_mass(readings("0:330;12:300"), own_criterion(0.1, 24), 1)
    assert told.verdict is Verdict.DRYING
    assert "lost 30 g in 12 h" in told.words


def test_two_weighings_in_a_row_by_minutes_prove_nothing() -> None:
    told = constant_mass(readings("0:520;7.9:500;8:500"), DEFAULT, 0.01)
    assert told.verdict is not Verdict.DRY
    assert told.again_h is not None
    just = constant_mass(readings("7.9:500;8:500"), DEFAULT, 0.01)
    assert just.verdict is Verdict.UNDECIDED
    assert "so short a time" in just.words


def test_it_says_from_when_another_weighing_helps() -> None:
    # 500 g, steps of 0.1 g: 0.5 g in 24 h, so a step is seen after 4.8 h.
    rows = readings("0:540;20:500.0;26:500.0")
    told = constant_mass(rows, DEFAULT, 0.1)
    assert told.verdict is Verdict.UNDECIDED
    assert told.again_h == pytest.approx(30.8)
    assert constant_mass([*rows, Reading(30.7, 500)], DEFAULT, 0.1).verdict is Verdict.UNDECIDED
    assert constant_mass([*rows, Reading(30.9, 500)], DEFAULT, 0.1).verdict is Verdict.DRY


def test_mass_that_comes_back_is_not_constant() -> None:
    told = constant_mass(readings("0:520;24:500;48:500;72:503"), DEFAULT, 0.1)
    assert told.verdict is Verdict.DRYING
    assert "gained 3 g" in told.words
    # A quiet pair around a jump is none either.
    assert constant_mass(readings("0:500;12:505;20:500"), own_criterion(0.1, 24), 0.01).verdict is not Verdict.DRY


def test_dry_counts_from_where_it_stayed_so() -> None:
    rows = readings("0:520;24:500;48:500;72:500;96:503;120:503;144:503")
    assert constant_mass(rows[:4]).since_h == 72
    assert constant_mass(rows[:5]).since_h is None
    assert constant_mass(rows).since_h == 144


@pytest.mark.parametrize(("text", "words"), [("", "no weighing"), ("3:500", "one weighing")])
def test_too_few_weighings(text: str, words: str) -> None:
    told = constant_mass(readings(text) if text else [], DEFAULT, 0.1)
    assert told.verdict is Verdict.UNDECIDED
    assert words in told.words


@given(
    st.floats(100, 3000),
    st.floats(0.005, 0.3),
    st.floats(0.01, 3),
    st.sampled_from((0.01, 0.1, 1.0)),
    st.lists(st.floats(0.05, 9), min_size=2, max_size=12),
    st.sampled_from(CRITERIA),
)
def test_what_is_called_dry_loses_no_more_than_the_criterion_allows(
    dry: float, wet: float, k: float, step: float, gaps: list[float], criterion: object
) -> None:
    assert isinstance(criterion, type(DEFAULT))
    times = [sum(gaps[:n]) for n in range(len(gaps) + 1)]

    def mass(t: float) -> float:
        return dry + dry * wet * exp(-k * t)

    told = constant_mass([Reading(t, round(mass(t) / step) * step) for t in times], criterion, step)
    if told.verdict is Verdict.DRY:
        later = mass(times[-1] + criterion.interval_h)
        assert mass(times[-1]) - later < (later + step) * criterion.change_pct / 100


def test_criteria_name_their_source_and_what_was_remembered() -> None:
    assert all("from memory" in each.source or "read" in each.source for each in CRITERIA)
    assert find_criterion(" 4H-0.2 ").interval_h == 4
    with pytest.raises(DataError, match="no criterion"):
        find_criterion("overnight")


@pytest.mark.parametrize("figures", [(0, 24, 2), (6, 24, 2), (0.1, 0, 2), (0.1, 2000, 2), (0.1, 24, 1), (0.1, 24, 11)])
def test_a_criterion_out_of_range_is_refused(figures: tuple[float, float, int]) -> None:
    with pytest.raises(DataError):
        own_criterion(*figures)
    with pytest.raises(DataError, match="steps"):
        constant_mass([Reading(0, 1)], DEFAULT, 0)
