"""Figures of sittings: pieces a minute, over all of a sitting, over its course, and by way of entry.

A rate is pieces over time at work, with the interval of :mod:`sortbench.engine.pace`. For a sitting each entry is a
cycle that ends with it, so what happened since the entry before (a piece set aside, a tally put right) is part of its
time; for a way of entry only the gap right before its entries is. An entry after a pause has no time of its own and is
left out of the rate, not out of the count.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Sequence
from itertools import accumulate
from math import inf
from typing import NamedTuple

from sortbench.engine.pace import pace_of
from sortbench.engine.records.steps import Step

LENGTHS_S = (10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800)
"""Lengths of the intervals into which the course of a sitting is cut, in seconds: the first that gives few enough."""

MOST_INTERVALS = 40
"""Most intervals of one sitting, while a length above allows it."""


class RateFigure(NamedTuple):
    """Pieces a minute at work.

    Attributes:
        timed: entries that have a time of their own.
        per_minute: None where fewer than :data:`sortbench.engine.pace.MIN_TIMED` were timed, or they took no time to
            speak of, or nothing stands of them.
        low, high: 95 % interval of that.
    """

    timed: int
    per_minute: float | None
    low: float | None
    high: float | None


class WayFigures(NamedTuple):
    """Entries of one way.

    Attributes:
        way: the first word that the records tell: ``typed``, ``pad``, ``weighed``.
        entries: how many; void ones too.
        pieces: what stands of them.
        touched: entries that were put right or taken back.
        work_s: seconds at work that led to them.
        rate: pieces a minute.
    """

    way: str
    entries: int
    pieces: int
    touched: int
    work_s: float
    rate: RateFigure


class Interval(NamedTuple):
    """A part of a sitting's course.

    Attributes:
        from_s, to_s: seconds at work since the sitting began; pauses are cut out.
        pieces: pieces counted in it; those of an entry that took longer are spread over its time.
    """

    from_s: float
    to_s: float
    pieces: float

    @property
    def per_minute(self) -> float:
        """Pieces a minute."""
        return 60 * self.pieces / (self.to_s - self.from_s)


class Pause(NamedTuple):
    """A pause: after how many seconds at work, and how many seconds long."""

    after_s: float
    length_s: float


class SittingFigures(NamedTuple):
    """How one sitting went, or several together.

    Attributes:
        sitting: its name; empty for several together.
        began, ended: seconds since 1970 of the first and the last record that tells a time; None if none does.
        entries: tallies that counted pieces out of the pile, void ones too.
        pieces: what stands of them.
        touched: entries that were put right or taken back.
        work_s: seconds at work.
        backward_s: of these, seconds that led to putting right, taking back and bringing back.
        rate: pieces a minute.
        ways: by way of entry, most pieces first.
        course: intervals of time at work; empty where nothing was timed, and for several sittings.
        pauses: in their order; empty for several sittings.
        pause_s: seconds of all pauses.
        jumps: how often the clock ran backward.
    """

    sitting: str
    began: float | None
    ended: float | None
    entries: int
    pieces: int
    touched: int
    work_s: float
    backward_s: float
    rate: RateFigure
    ways: tuple[WayFigures, ...]
    course: tuple[Interval, ...]
    pauses: tuple[Pause, ...]
    pause_s: float
    jumps: int


class _Cycle(NamedTuple):
    """An entry with the time that belongs to it: from ``start_s`` at work on, so many seconds."""

    start_s: float
    length_s: float
    pieces: int


def figures_of(name: str, steps: Sequence[Step]) -> SittingFigures:
    """How one sitting went.

    Args:
        name: of the sitting.
        steps: its records as work, in their order.
    """
    work_s = sum(step.gap_s or 0.0 for step in steps)
    cycles = _cycles(steps)
    return _figures(name, steps, cycles, work_s)._replace(course=_course(cycles, work_s), pauses=tuple(_pauses(steps)))


def figures_together(sittings: Iterable[Sequence[Step]]) -> SittingFigures:
    """How several sittings went together; their course is left out, for it is each one's own."""
    all_steps: list[Step] = []
    cycles: list[_Cycle] = []
    for steps in sittings:
        all_steps += steps
        cycles += _cycles(steps)
    return _figures("", all_steps, cycles, sum(step.gap_s or 0.0 for step in all_steps))


def _figures(name: str, steps: Sequence[Step], cycles: Sequence[_Cycle], work_s: float) -> SittingFigures:
    entries = [step for step in steps if step.is_entry]
    times = [step.at_s for step in steps if step.at_s is not None]
    return SittingFigures(
        name,
        min(times, default=None),
        max(times, default=None),
        len(entries),
        sum(step.pieces for step in entries),
        sum(step.touched for step in entries),
        work_s,
        sum(step.gap_s or 0.0 for step in steps if step.backward),
        _rate([(cycle.pieces, cycle.length_s) for cycle in cycles]),
        _ways(entries),
        (),
        (),
        sum(step.pause_s for step in steps),
        sum(step.jumped for step in steps),
    )


def _cycles(steps: Iterable[Step]) -> list[_Cycle]:
    """Entries that were timed, each with all time at work since the one before."""
    cycles: list[_Cycle] = []
    now = start = 0.0
    for step in steps:
        now += step.gap_s or 0.0
        if step.is_entry and step.gap_s is not None:
            cycles.append(_Cycle(start, now - start, step.pieces))
            start = now
    return cycles


def _rate(cycles: Sequence[tuple[int, float]]) -> RateFigure:
    """Pieces a minute of cycles of pieces and seconds; the meter of the live pace does the sums."""
    times = accumulate((seconds for _, seconds in cycles), initial=0.0)
    pace = pace_of(times, [0, *(pieces for pieces, _ in cycles)], pause_s=inf)
    return RateFigure(len(cycles), pace.per_minute, pace.per_minute_low, pace.per_minute_high)


def _ways(entries: Iterable[Step]) -> tuple[WayFigures, ...]:
    by_way: dict[str, list[Step]] = {}
    for step in entries:
        by_way.setdefault(step.way, []).append(step)
    found = [
        WayFigures(
            way,
            len(steps),
            sum(step.pieces for step in steps),
            sum(step.touched for step in steps),
            sum(step.gap_s or 0.0 for step in steps),
            _rate([(step.pieces, step.gap_s) for step in steps if step.gap_s is not None]),
        )
        for way, steps in by_way.items()
    ]
    return tuple(sorted(found, key=lambda each: (-each.pieces, each.way)))


def _pauses(steps: Iterable[Step]) -> Iterable[Pause]:
    now = 0.0
    for step in steps:
        now += step.gap_s or 0.0
        if step.pause_s:
            yield Pause(now, step.pause_s)


def _course(cycles: Sequence[_Cycle], work_s: float) -> tuple[Interval, ...]:
    """The time at work in equal intervals; a short rest at the end goes with the last one."""
    if work_s <= 0:
        return ()
    length = next((each for each in LENGTHS_S if work_s <= each * MOST_INTERVALS), LENGTHS_S[-1])
    count = max(1, int(work_s / length + 0.5))
    ends = [float(length * at) for at in range(1, count)] + [work_s]
    pieces = [0.0] * count

    def place(at_s: float) -> int:
        return min(int(at_s // length), count - 1)

    for cycle in cycles:
        end = cycle.start_s + cycle.length_s
        first, last = place(cycle.start_s), place(end)
        if first == last or not cycle.length_s:
            pieces[last] += cycle.pieces
            continue
        for at in range(first, last + 1):
            begun = max(cycle.start_s, length * at)
            share = min(end, ends[at]) - begun
            pieces[at] += cycle.pieces * share / cycle.length_s
    starts = [0.0, *ends[:-1]]
    return tuple(Interval(start, end, n) for start, end, n in zip(starts, ends, pieces, strict=True))
