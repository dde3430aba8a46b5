"""The wash on the clock: what is due when, told in the zone of the wall clock; times as people type them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest

from sortbench.engine.washing.wash_clock import Dryness, Urgency, all_due, due, due_line, entry_rows
from sortbench.engine.washing.wash_dryness import dryness, tray_states
from sortbench.engine.washing.wash_times import clock, read_time, read_weight, span
from sortbench.model.errors import DataError
from sortbench.model.wash import Batch, Entry, Stage, StageEvent, Stirring, Tray, Weighing

ZONE = timezone(timedelta(hours=2))
NINE = datetime(2026, 3, 4, 9, 0, tzinfo=ZONE)  # a Wednesday


def at(minutes: float) -> datetime:
    return NINE + timedelta(minutes=minutes)


def soaking(*stirred: float) -> Batch:
    """A batch that soaks from nine for an hour and a half, to be stirred every 20 minutes."""
    return Batch("W1", "whites", (StageEvent(Stage.SOAK, NINE), *(Stirring(at(each)) for each in stirred)))


def drying(*weighed: float, **figures: Any) -> Batch:
    entries: tuple[Entry, ...] = (
        StageEvent(Stage.SOAK, at(-120)),
        StageEvent(Stage.DRYING, NINE),
        *(Weighing(at(60 * place), "", grams) for place, grams in enumerate(weighed)),
    )
    return Batch("W2", "plates", entries)._replace(**figures)


@pytest.mark.parametrize(
    ("minutes", "stirred", "urgency", "short"),
    [
        (5, (), Urgency.LATER, "stir in 15 min"),
        (12, (), Urgency.SOON, "stir in 8 min"),
        (20, (), Urgency.NOW, "stir now"),
        (59, (20, 40), Urgency.SOON, "stir in 1 min"),
        (60, (20, 40), Urgency.NOW, "stir now"),
        (82, (20, 40, 75), Urgency.SOON, "soak over in 8 min"),  # the next stirring would be after the end
        (90, (20, 40, 75), Urgency.NOW, "soak over"),
        (104, (), Urgency.NOW, "soak over"),
        (115, (), Urgency.LATE, "soak over 25 min ago"),
    ],
)
def test_a_soak(minutes: float, stirred: tuple[float, ...], urgency: Urgency, short: str) -> None:
    found = due(soaking(*stirred), at(minutes))
    assert (found.stage, found.since, found.lasted, found.next) == (
        Stage.SOAK,
        NINE,
        span(at(minutes) - NINE),
        Stage.RINSE,
    )
    assert (found.urgency, found.short) == (urgency, short)


def test_a_stirring_that_was_forgotten_says_for_how_long() -> None:
    assert due(soaking(), at(45)).words == "stir now, due 25 min ago; soak over in 45 min"


def test_what_is_struck_counts_no_longer() -> None:
    batch = soaking(20)
    assert due(batch, at(25)).urgency is Urgency.LATER
    struck = batch._replace(entries=(batch.entries[0], batch.entries[1]._replace(struck=True)))
    assert due(struck, at(25)).short == "stir now"
    none = batch._replace(entries=tuple(entry._replace(struck=True) for entry in batch.entries))
    assert (due(none, at(25)).stage, due(none, at(25)).short, due(none, at(25)).next) == (None, "not begun", Stage.SOAK)


def test_a_stage_that_takes_minutes_is_asked_after_when_it_takes_hours() -> None:
    batch = Batch("W1", entries=(StageEvent(Stage.SOAK, at(-90)), StageEvent(Stage.SPIN, NINE)))
    assert (due(batch, at(10)).urgency, due(batch, at(10)).short) == (Urgency.LATER, "drying next")
    assert (due(batch, at(130)).urgency, due(batch, at(130)).short) == (Urgency.NOW, "spin for 2 h 10 min?")


def test_drying_goes_by_the_usual_time_until_something_better_is_known() -> None:
    batch = drying(drying_h=14.0)
    assert due(batch, at(0)).words == "should be dry about 23:00 (by the usual 14 h)"
    later = due(batch, at(15 * 60))
    assert (later.urgency, later.short) == (Urgency.NOW, "feel or weigh, dry?")
    known = Dryness(at=at(60 * 20), low=at(60 * 18), high=at(60 * 26), again=at(120), basis="by 4 weighings")
    found = due(batch, at(60), known)
    assert found.words == "should be dry about Thu 05:00, Thu 03:00 to Thu 11:00 (by 4 weighings)"
    assert (found.urgency, found.at) == (Urgency.LATER, at(60 * 20))
    again = due(batch, at(121), known)
    assert (again.urgency, again.short) == (Urgency.SOON, "weigh again, dry about Thu 05:00")
    assert due(batch, at(60 * 21), known).short == "weigh again, dry?"


def test_dry_is_said_by_the_criterion_only() -> None:
    found = due(drying(), at(60), Dryness(dry=True, basis="constant mass"))
    assert (found.urgency, found.short) == (Urgency.SOON, "dry by weight")
    noted = drying()._replace(entries=(*drying().entries, StageEvent(Stage.DRY, at(600))))
    assert (due(noted, at(700)).urgency, due(noted, at(700)).next) == (Urgency.NOTHING, None)


def test_what_presses_most_comes_first_and_the_line_names_two() -> None:
    dry = Batch("W0", entries=(StageEvent(Stage.DRY, at(-60)),))
    rinsing = Batch("W3", entries=(StageEvent(Stage.RINSE, at(5)),))
    late = soaking()._replace(code="W4", soak_h=0.5)
    rows = all_due([dry, drying(), rinsing, soaking(), late], at(50))
    assert [row.code for row in rows] == ["W4", "W1", "W2", "W3", "W0"]
    line = ("W4 soak over 20 min ago · W1 stir now · 2 more", "W4 soak over 20 min ago +3", True)
    assert due_line(rows) == line
    assert due_line(all_due([dry, drying()], at(50))) == ("W2 dry about 21:00", "W2 dry about 21:00", False)
    assert due_line(all_due([dry], at(50))) is None


def test_entries_keep_their_numbers_and_stand_by_time() -> None:
    batch = drying(900.0, 850.0, trays=(Tray("", 400.0),))
    back_dated = batch._replace(entries=(*batch.entries, StageEvent(Stage.RINSE, at(-30), struck=True)))
    rows = entry_rows(back_dated, at(90))
    assert [(row.number, row.clock, row.words, row.struck, row.net_g) for row in rows] == [
        (1, "07:00", "soak", False, None),
        (5, "08:30", "rinse", True, None),
        (2, "09:00", "drying", False, None),
        (3, "09:00", "900 g", False, 500.0),
        (4, "10:00", "850 g", False, 450.0),
    ]


# -- weighings


def curve(hours: int) -> list[float]:
    """Gross grams of a tray of 400 g with 500 g of pieces and 60 g of water, halved every hour; weighed hourly."""
    return [900 + 60 * 0.5**hour for hour in range(hours)]


def test_a_tray_without_its_empty_weight_is_never_dry() -> None:
    batch = drying(*curve(40), resolution_g=0.1)
    assert tray_states(batch)[0].mass is None
    found = dryness(batch)
    assert not found.dry and "empty weight is not known" in found.note
    assert dryness(batch._replace(trays=(Tray("", 400.0),))).dry


def test_the_curve_says_when_it_should_be_dry() -> None:
    """By arithmetic: from t on, 24 h lose 60 * 0.5**t g, less than 0.1 % of 500 g once t is above log2(120) = 6.907."""
    rounded = [round(grams, 1) for grams in curve(6)]
    found = dryness(drying(*rounded, resolution_g=0.1, trays=(Tray("", 400.0),)))
    assert found.at is not None and found.low is not None and found.high is not None
    assert found.low < NINE + timedelta(hours=6.907) < found.high
    assert abs((found.at - NINE).total_seconds() / 3600 - 6.907) < 0.2
    assert (found.dry, found.basis) == (False, "by 6 weighings")


def test_the_slowest_tray_decides() -> None:
    entries = [StageEvent(Stage.DRYING, NINE)]
    quick = [Weighing(at(60 * hour), "small", grams) for hour, grams in enumerate(curve(40))]
    slow = [Weighing(at(60 * hour), "big", 900 + 60 * 0.9**hour) for hour in range(40)]
    batch = Batch("W1", "", (*entries, *quick, *slow), (Tray("small", 400.0), Tray("big", 400.0)), resolution_g=0.1)
    assert [state.tray for state in tray_states(batch)] == ["small", "big"]
    found = dryness(batch)
    assert not found.dry and found.at is not None and found.at > at(60 * 40)
    assert dryness(batch._replace(entries=(*entries, *quick))).dry


def test_the_air_of_the_room_adjusts_the_usual_time() -> None:
    """Saturated air takes up nothing; damp air takes longer than dry air does."""
    usual, damp, dry = (dryness(drying(temp_c=20.0, rh_percent=rh)).at for rh in (50.0, 80.0, 30.0))
    assert usual is not None and damp is not None and dry is not None
    assert dry < usual < damp
    wet = drying(temp_c=20.0, rh_percent=100.0)
    found = due(wet, at(60), dryness(wet))
    assert (found.at, found.short) == (None, "drying 1 h")
    assert "takes up next to no water" in found.words


def test_few_weighings_ask_for_more_and_leave_the_usual_time() -> None:
    found = dryness(drying(960.0, 930.0, trays=(Tray("", 400.0),)))
    assert (found.at, found.again) == (NINE + timedelta(hours=12), at(60) + timedelta(hours=2))
    assert "too few weighings" in found.note


def test_weighings_before_the_drying_that_counts_say_nothing_of_it() -> None:
    batch = drying(*curve(10), trays=(Tray("", 400.0),))
    again = batch._replace(entries=(*batch.entries, StageEvent(Stage.DRYING, at(600))))
    assert tray_states(again) == ()


# -- times


def test_clock_times_near_and_far() -> None:
    assert clock(datetime(2026, 3, 4, 7, 40, tzinfo=UTC), NINE) == "09:40"
    assert clock(NINE + timedelta(days=1), NINE) == "Thu 09:00"
    assert clock(NINE - timedelta(days=2), NINE) == "Mon 09:00"
    assert clock(NINE - timedelta(days=7), NINE) == "2026-02-25 09:00"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.1, "1 min"), (25, "25 min"), (60, "1 h"), (190, "3 h 10 min"), (840, "14 h"), (60 * 72, "3 days")],
)
def test_spans(minutes: float, words: str) -> None:
    assert span(timedelta(minutes=minutes)) == words


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("", NINE),
        ("07:40", at(-80)),
        ("9:01", at(1)),  # two machines seldom agree to the minute
        ("23:30", at(-570)),  # yesterday's, for today's lies ahead
        ("-20", at(-20)),
        ("-1:30", at(-90)),
        ("2026-03-03 21:00", at(-720)),
        ("2026-03-03T21:00:00Z", at(-600)),
    ],
)
def test_times_as_they_are_typed(text: str, moment: datetime) -> None:
    assert read_time(text, NINE) == moment


@pytest.mark.parametrize(
    ("text", "weight"),
    [
        ("1265.5", (1265.5, "", NINE)),
        (" 1265,5g ", (1265.5, "", NINE)),
        ("844 big tray", (844.0, "big tray", NINE)),
        ("844 big @-20", (844.0, "big", at(-20))),
        ("844@07:40", (844.0, "", at(-80))),
    ],
)
def test_weights_as_they_are_typed(text: str, weight: tuple[float, str, datetime]) -> None:
    assert read_weight(text, NINE) == weight


@pytest.mark.parametrize("text", ["", "big", "1,265.5", "-3", "nan", "1e3", "844 @noon"])
def test_what_is_no_weight_is_refused(text: str) -> None:
    with pytest.raises(DataError):
        read_weight(text, NINE)


@pytest.mark.parametrize(
    "text", ["soon", "24:00", "7:60", "2026-03-04", "2026-03-04 12:00", "9999-12-31 23:59", "-", "20"]
)
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(DataError):
        read_time(text, NINE)
