"""Records of the work: what a sitting's log says of time, pieces, ways of entry, and of what was put right."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from sortbench.engine.ledger import Ledger
from sortbench.engine.records.sittings import (
    MOST_INTERVALS,
    Pause,
    SittingFigures,
    figures_of,
)
from sortbench.engine.records.steps import seconds_of, steps_of
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.papers.record_words import rate, rate_range, span, summary

START = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
PLATE = Cell("B1", "plate-2x4", "white", "", Grade.G5, ())
FIRST, SECOND = "20260301T093000Z-aaaaaa", "20260302T093000Z-bbbbbb"


def at(seconds: float) -> str:
    return (START + timedelta(seconds=seconds)).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Log:
    """A log that is written record by record."""

    def __init__(self) -> None:
        self.records: list[Record] = []

    def add(
        self,
        seconds: float | str,
        what: What = What.TALLY,
        quantity: int = 1,
        way: str = "pad",
        voids: RecordId | None = None,
        cell: Cell | None = PLATE,
        sitting: str = FIRST,
    ) -> RecordId:
        rid = RecordId(sitting, 1 + sum(record.id.sitting == sitting for record in self.records))
        when = seconds if isinstance(seconds, str) else at(seconds)
        self.records.append(Record(rid, when, what, cell, quantity, voids=voids, way=way))
        return rid

    def void(self, seconds: float, rid: RecordId, sitting: str = FIRST) -> RecordId:
        return self.add(seconds, What.VOID, 0, "undo", rid, None, sitting)

    def sittings(self) -> dict[str, SittingFigures]:
        ledger = Ledger(self.records)
        each, self.together = figures_of(steps_of(self.records, ledger.holds))
        return {figures.sitting: figures for figures in each}

    def first(self) -> SittingFigures:
        return self.sittings()[FIRST]


def steady(gaps: Sequence[float], quantity: int = 1, way: str = "pad") -> Log:
    log = Log()
    now = 0.0
    log.add(now, What.OPEN, 0, "", cell=None)
    for gap in gaps:
        now += gap
        log.add(now, quantity=quantity, way=way)
    return log


def test_a_worked_example() -> None:
    """30 gaps of 2 s and 4 s in turn, one piece each; worked by hand from the formulas in Cochran 1977, section 2.11.

    R = 30/90 a second; d = 1 - g/3 = +-1/3; s2 = 30/9/29 = 0.114943; c = sqrt(s2/30) = 0.0618984; t(29) = 2.0452, so
    exp(t c) = 1.13496.
    """
    figures = steady([4.0, 2.0] * 15).first()
    assert (figures.entries, figures.pieces, figures.touched, figures.work_s) == (30, 30, 0, 90.0)
    assert figures.rate.timed == 30
    assert figures.rate.per_minute == pytest.approx(20)
    assert figures.rate.low == pytest.approx(17.622, abs=0.001)
    assert figures.rate.high == pytest.approx(22.699, abs=0.001)
    assert (rate(figures.rate), rate_range(figures.rate)) == ("20.0", "17.6 to 22.7")
    assert figures.ways == (figures.ways[0]._replace(way="pad", entries=30, pieces=30, work_s=90.0, rate=figures.rate),)
    assert summary(figures) == "30 pieces in 30 tallies, 0:01:30 at work, 20.0 a minute (17.6 to 22.7)."


def test_too_few_tallies_have_no_rate() -> None:
    figures = steady([3.0] * 29).first()
    assert (figures.rate.timed, figures.rate.per_minute) == (29, None)
    assert (rate(figures.rate), rate_range(figures.rate)) == ("-", "")
    assert summary(figures) == "29 pieces in 29 tallies, 0:01:27 at work."
    assert summary(figures_of({})[1]) == "0 pieces in 0 tallies, 0:00:00 at work."


def test_pauses_and_a_clock_that_goes_back_are_no_work() -> None:
    log = Log()
    for seconds in (0, 5, 125.001, 130, 100, 104):
        log.add(seconds)
    log.add("in the morning")
    log.add(110)
    figures = log.first()
    # 0-5 is work, then a pause of 120.001 s, 5 s, a jump back, 4 s; a record without a time is passed over: 6 s.
    assert figures.work_s == pytest.approx(5 + 4.999 + 4 + 6)
    assert [each.after_s for each in figures.pauses] == [5.0]
    assert figures.pause_s == figures.pauses[0].length_s == pytest.approx(120.001)
    assert (figures.jumps, figures.entries, figures.pieces) == (1, 8, 8)
    assert figures.rate.timed == 4
    assert figures.began == START.timestamp() and figures.ended == START.timestamp() + 130
    assert "the clock went back once" in summary(figures)


@pytest.mark.parametrize("text", ["", "yesterday", "2026-13-01T00:00:00Z"])
def test_what_is_no_time_is_none(text: str) -> None:
    assert seconds_of(text) is None


def test_times_of_any_zone_are_one_clock() -> None:
    assert seconds_of("2026-03-01T10:30:00+01:00") == seconds_of("2026-03-01T09:30:00Z") == START.timestamp()
    assert seconds_of("2026-03-01T09:30:00") == START.timestamp()


def test_what_stands_of_an_entry_is_told_whoever_put_it_right() -> None:
    log = Log()
    wrong = log.add(0, quantity=5)
    log.add(2, quantity=3)
    gone = log.add(4, quantity=9)
    log.void(6, gone)
    back = log.add(8, quantity=2)
    log.void(10, log.void(9, back))
    once = log.add(20, quantity=50, voids=wrong, sitting=SECOND)
    log.add(25, quantity=4, voids=once, sitting=SECOND)
    log.add(30, quantity=1, sitting=SECOND)
    ledger = Ledger(log.records)
    first, second = log.sittings().values()
    assert (first.entries, first.pieces, first.touched) == (4, 4 + 3 + 2, 2)
    assert (second.entries, second.pieces, second.touched) == (1, 1, 0)
    assert first.pieces + second.pieces == ledger.of_pile
    assert (first.backward_s, second.backward_s) == (2 + 1 + 1, 5)
    assert (first.work_s, second.work_s) == (10, 10)


def test_only_what_was_counted_out_of_the_pile_is_an_entry() -> None:
    log = Log()
    log.add(0)
    log.add(3, way="parcel P1/1", quantity=7)
    log.add(6, way="sheet", quantity=40)
    log.add(9, cell=PLATE._replace(bin="T-07", fate=Fate.CRATE), way="shell", quantity=5)
    log.add(12, What.MOVE, 1, "pad")
    log.add(15, What.LINE, 6, "typed")
    log.add(20, way="typed", quantity=2)
    figures = log.first()
    assert (figures.entries, figures.pieces, figures.work_s) == (2, 3, 20)
    assert {each.way: (each.pieces, each.work_s) for each in figures.ways} == {"typed": (2, 5.0), "pad": (1, 0.0)}


def test_the_course_cuts_pauses_out_and_spreads_a_long_entry() -> None:
    log = steady([10.0] * 60)  # 600 s: intervals of 30 s
    figures = log.first()
    assert [each.to_s - each.from_s for each in figures.course] == [30.0] * 20
    assert all(each.per_minute == pytest.approx(6) for each in figures.course)
    log.add(10_000)  # a pause
    log.add(10_045, quantity=9)
    course = log.first().course
    assert [(each.from_s, each.to_s) for each in course[-2:]] == [(600, 630), (630, 645)]
    assert [each.pieces for each in course[-2:]] == [pytest.approx(6), pytest.approx(3)]
    assert log.first().pauses == (Pause(600.0, 9400.0),)


def test_a_short_rest_at_the_end_goes_with_the_interval_before() -> None:
    assert [(each.from_s, each.to_s) for each in steady([7.0] * 2).first().course] == [(0, 14)]
    long = steady([100.0] * 2000).first().course
    assert len(long) <= MOST_INTERVALS
    assert long[-1].to_s == 200_000
    assert steady([0.0] * 5).first().course == ()


def test_sittings_together_have_no_course_and_one_rate() -> None:
    log = steady([4.0, 2.0] * 15)
    for n in range(31):
        log.add(1000 + 3 * n, sitting=SECOND, way="typed", quantity=2)
    log.sittings()
    both = log.together
    assert (both.entries, both.pieces, both.work_s, both.course, both.pauses) == (61, 92, 180, (), ())
    # The first entry of the second sitting has no time of its own: 90 pieces in 180 s.
    assert both.rate.per_minute == pytest.approx(30)
    assert [each.way for each in both.ways] == ["typed", "pad"]


@pytest.mark.parametrize(("seconds", "words"), [(0, "0:00:00"), (59.6, "0:01:00"), (36_061, "10:01:01")])
def test_spans_read_as_on_a_clock(seconds: float, words: str) -> None:
    assert span(seconds) == words


def test_what_opens_a_log_leaves_no_first_tally_that_took_no_time() -> None:
    records = [Record(RecordId(FIRST, 1), at(0), What.OPEN)]
    records += [Record(RecordId(FIRST, 2 + n), at(4 * n), What.TALLY, PLATE, 1, way="pad") for n in range(61)]
    ledger = Ledger(records)
    rate_of = figures_of(steps_of(records, ledger.holds))[1].rate
    # 60 gaps of four seconds, a piece each. The first tally has no time of its own: its record opened the log.
    assert (rate_of.timed, rate_of.per_minute) == (60, pytest.approx(15.0))
