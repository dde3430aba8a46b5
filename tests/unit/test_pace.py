"""Pieces a minute and time left: against a worked example, printed tables and simulated sittings."""

from __future__ import annotations

import math
import random

import pytest

from sortbench.engine.pace import MIN_TIMED, PAUSE_S, Pace, PaceMeter, Pile, pile_of, student_975


def steady(tallies: int, gap_s: float = 3.0, quantity: int = 1) -> PaceMeter:
    meter = PaceMeter()
    for n in range(tallies):
        meter.add(n * gap_s, quantity)
    return meter


def test_a_worked_example() -> None:
    """30 gaps of 2 s and 4 s in turn, one piece each; worked by hand from the formulas in Cochran 1977, section 2.11.

    R = 30/90 a second; d = 1 - g/3 = +-1/3; s2 = 30/9/29 = 0.114943; c = sqrt(s2/30) = 0.0618984; t(29) = 2.0452, so
    exp(t c) = 1.13496. For 100 more: sqrt(s2 (1/30 + 1/100)) = 0.0705751, factor 1.15528, 300 s.
    """
    times = [0.0]
    for n in range(30):
        times.append(times[-1] + (2.0 if n % 2 else 4.0))
    meter = PaceMeter()
    for at_s in times:
        meter.add(at_s, 1)
    pace = meter.pace(131)
    assert pace.counted == 31
    assert pace.per_minute == pytest.approx(20)
    assert pace.per_minute_low == pytest.approx(17.622, abs=0.001)
    assert pace.per_minute_high == pytest.approx(22.699, abs=0.001)
    assert pace.left_pieces == 100
    assert pace.left_s == pytest.approx(300)
    assert pace.left_low_s == pytest.approx(259.68, abs=0.01)
    assert pace.left_high_s == pytest.approx(346.58, abs=0.02)
    assert pace.why == "From 30 tallies in 2 min of work."


@pytest.mark.parametrize(
    ("freedom", "printed"), [(10, 2.228), (19, 2.093), (20, 2.086), (29, 2.045), (30, 2.042), (60, 2.000), (100, 1.984)]
)
def test_students_t_as_printed(freedom: int, printed: float) -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, column 0.975 (values from memory)."""
    assert student_975(freedom) == pytest.approx(printed, abs=0.0006)


def test_students_t_is_refused_where_the_expansion_fails() -> None:
    with pytest.raises(ValueError, match="9 degrees"):
        student_975(9)


@pytest.mark.parametrize("quantities", [[1], [1] * 7 + [2, 2, 4]], ids=["single pieces", "small heaps"])
@pytest.mark.parametrize("timed", [MIN_TIMED, 200])
@pytest.mark.parametrize("shape", [1, 2])
def test_intervals_hold_the_truth_as_often_as_they_say(shape: int, timed: int, quantities: list[int]) -> None:
    """1,000 sittings with gamma gaps: the share held has a standard error of 0.7 points; 95 % less and plus three."""
    draw = random.Random(shape * 1000 + timed)
    truth = sum(quantities) / len(quantities) / 3.0 * 60
    rate_held = time_held = 0
    for _ in range(1000):
        meter, now = PaceMeter(), 0.0
        meter.add(now, 1)
        for _ in range(timed):
            now += draw.gammavariate(shape, 3.0 / shape)
            meter.add(now, draw.choice(quantities))
        pace = meter.pace(meter.counted + 150)
        more, seconds = 0, 0.0
        while more < 150:
            more += draw.choice(quantities)
            seconds += draw.gammavariate(shape, 3.0 / shape)
        assert pace.per_minute_low and pace.per_minute_high and pace.left_low_s and pace.left_high_s
        rate_held += pace.per_minute_low <= truth <= pace.per_minute_high
        time_held += pace.left_low_s <= seconds <= pace.left_high_s
    assert 930 <= rate_held <= 970
    assert 930 <= time_held <= 970


def test_nothing_is_claimed_before_enough_was_timed() -> None:
    before = steady(MIN_TIMED).pace(500)
    assert (before.per_minute, before.left_s) == (None, None)
    assert before.left_pieces == 500 - MIN_TIMED
    assert before.why == "Too early to say: 1 more tally in a row to time."
    assert steady(MIN_TIMED + 1).pace(500).per_minute == pytest.approx(20)
    assert PaceMeter().pace() == Pace(
        0, None, None, None, None, None, None, None, f"Too early to say: {MIN_TIMED} more tallies in a row to time."
    )


def test_a_pause_is_no_work_and_is_said() -> None:
    meter = steady(40)
    meter.add(40 * 3.0 + PAUSE_S, 1)
    meter.add(40 * 3.0 + PAUSE_S + 3.0, 1)
    assert meter.pace().per_minute == pytest.approx(20)
    assert "1 pause over 120 s left out" in meter.pace().why


def test_a_gap_as_long_as_the_threshold_is_work() -> None:
    meter = steady(40)
    meter.add(39 * 3.0 + PAUSE_S, 1)
    assert meter.pauses == 0
    assert meter.pace().per_minute == pytest.approx(40 / (39 * 3 + 120) * 60)


def test_a_clock_set_back_spoils_nothing() -> None:
    meter = steady(40)
    for n in range(10):
        meter.add(-3600.0 + n * 3.0, 1)
    pace = meter.pace()
    assert pace.per_minute == pytest.approx(20)
    assert pace.counted == 50
    assert "the clock went back once" in pace.why


def test_a_tally_taken_back_counts_as_work_that_led_back() -> None:
    meter = steady(40)
    meter.add(40 * 3.0, -1)
    assert meter.counted == 39
    assert meter.pace().per_minute == pytest.approx((39 - 1) / (40 * 3) * 60)


def test_more_taken_back_than_counted_has_no_pace() -> None:
    meter = steady(35)
    meter.add(110.0, -60)
    assert meter.pace(10).per_minute is None
    assert "taken back" in meter.pace(10).why


def test_tallies_all_at_one_moment_have_no_pace() -> None:
    assert steady(40, gap_s=0.0).pace().why == "No time passed between the tallies, so no pace can be given."


def test_a_pile_larger_than_said_is_told() -> None:
    for meter in (steady(12), steady(40)):
        pace = meter.pace(10)
        assert (pace.left_pieces, pace.left_s) == (0, 0.0)
        assert (
            pace.why == f"The pile was larger than said: {meter.counted - 10} pieces more counted than it was to hold."
        )
    assert "1 piece more" in steady(11).pace(10).why


def test_a_pile_just_done_is_told() -> None:
    for meter in (steady(12), steady(40)):
        pace = meter.pace(meter.counted)
        assert (pace.left_pieces, pace.left_low_s, pace.left_high_s) == (0, 0.0, 0.0)
        assert pace.why == "The whole pile is counted."


def test_without_a_pile_nothing_is_said_of_what_is_left() -> None:
    pace = steady(40).pace()
    assert (pace.left_pieces, pace.left_s, pace.left_low_s) == (None, None, None)


def test_perfectly_even_tallies_leave_no_scatter() -> None:
    pace = steady(4000, gap_s=0.7, quantity=3).pace(99_999)
    assert pace.per_minute_low == pytest.approx(pace.per_minute_high)


def test_wild_scatter_stays_finite() -> None:
    meter = PaceMeter()
    for n in range(40):
        meter.add(n * 1.0, 99_999 if n == 5 else (-2500 if n == 6 else 1))
    pace = meter.pace(10_000_000)
    assert pace.left_high_s is not None and math.isfinite(pace.left_high_s)
    assert pace.left_low_s is not None and pace.left_s is not None
    assert 0 < pace.left_low_s < pace.left_s < pace.left_high_s


@pytest.mark.parametrize("when", [math.nan, math.inf])
def test_what_is_no_time_is_refused_and_counts_nothing(when: float) -> None:
    meter = PaceMeter()
    with pytest.raises(ValueError, match="no time"):
        meter.add(when, 1)
    assert meter.counted == 0


def test_a_pile_whose_size_is_an_interval_widens_the_time_left() -> None:
    """Worked by hand: the factors of pace and pile add as squares of their logarithms, each side by itself."""
    meter = steady(61, gap_s=3.0)
    for n in range(61, 91):
        meter.add(n * 3.0 + (1 if n % 2 else -1), 1)
    plain = meter.pace(1091)
    wide = meter.pace(Pile(1091, 891, 1591))
    assert (wide.left_pieces, wide.left_pieces_low, wide.left_pieces_high) == (1000, 800, 1500)
    assert wide.left_s == plain.left_s
    assert plain.left_s is not None and plain.left_low_s is not None and plain.left_high_s is not None
    down = math.hypot(math.log(plain.left_s / plain.left_low_s), math.log(1000 / 800))
    up = math.hypot(math.log(plain.left_high_s / plain.left_s), math.log(1500 / 1000))
    assert wide.left_low_s == pytest.approx(plain.left_s / math.exp(down))
    assert wide.left_high_s == pytest.approx(plain.left_s * math.exp(up))
    assert meter.pace(Pile(1091, 1091, 1091)) == plain, "a size without doubt adds none"


def test_the_doubt_about_a_pile_stays_as_it_gets_smaller() -> None:
    meter = steady(200)
    pace = meter.pace(Pile(210, 180, 260))
    assert (pace.left_pieces, pace.left_pieces_low, pace.left_pieces_high) == (10, 0, 60)
    assert pace.left_low_s == 0
    assert pace.left_high_s == pytest.approx(60 * 3.0, rel=0.01)
    passed = meter.pace(Pile(190, 180, 260))
    assert (passed.left_pieces, passed.left_pieces_high) == (0, 60)
    assert (passed.left_low_s, passed.left_s) == (0, 0)
    assert passed.left_high_s == pytest.approx(180)
    done = meter.pace(Pile(150, 140, 180))
    assert (done.left_pieces_high, done.left_high_s) == (0, 0)
    early = steady(3).pace(Pile(2, 1, 9))
    assert (early.left_pieces, early.left_s, early.left_high_s) == (0, None, None), "seven more, at no known pace"


def test_time_left_of_an_estimated_pile_holds_the_truth() -> None:
    """1,000 sittings; the pile is known to within a tenth, one standard deviation of its logarithm."""
    draw, held = random.Random(31), 0
    for _ in range(1000):
        meter, at = PaceMeter(), 0.0
        for _ in range(101):
            meter.add(at, 1)
            at += draw.gammavariate(2, 1.5)
        left = draw.randrange(300, 900)
        estimate = left * math.exp(draw.gauss(0, 0.1))
        ends = (round(101 + estimate * math.exp(sign * 1.96 * 0.1)) for sign in (-1, 1))
        pace = meter.pace(Pile(round(101 + estimate), *ends))
        truth = sum(draw.gammavariate(2, 1.5) for _ in range(left))
        assert pace.left_low_s is not None and pace.left_high_s is not None
        held += pace.left_low_s <= truth <= pace.left_high_s
    assert 0.93 <= held / 1000 <= 0.97


@pytest.mark.parametrize(
    ("settings", "pile"),
    [
        ({}, None),
        ({"pile": 500}, Pile(500, 500, 500)),
        ({"pile": 500, "pile_range": [400, 700]}, Pile(500, 400, 700)),
        ({"pile": 500, "pile_range": [600, 700]}, Pile(500, 500, 500)),
        ({"pile": 500, "pile_range": "wide"}, Pile(500, 500, 500)),
        ({"pile": 500, "pile_range": [1, 2, 3]}, Pile(500, 500, 500)),
        ({"pile": "many"}, None),
        ({"pile": True}, None),
        ({"pile": -3}, None),
    ],
)
def test_what_settings_say_of_a_pile(settings: dict[str, object], pile: Pile | None) -> None:
    assert pile_of(settings) == pile
