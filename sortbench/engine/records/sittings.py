"""Figures of sittings: pieces a minute, over all of a sitting, over its course, and by way of entry.

A rate is pieces over time at work, with the interval of :mod:`sortbench.engine.pace`. For a sitting each entry is a
cycle that ends with it, so what happened since the entry before (a piece set aside, a tally put right) is part of its
time; for a way of entry only the gap right before its entries is. An entry after a pause has no time of its own and is
left out of the rate, not out of the count.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sortbench.engine.pace import PaceMeter
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


class _Way:
    """Sums over entries of one way."""

    def __init__(self) -> None:
        self.entries = self.pieces = self.touched = 0
        self.work_s = 0.0
        self.meter = PaceMeter()

    def add(self, step: Step) -> None:
        self.entries += 1
        self.pieces += step.pieces
        self.touched += step.touched
        if step.gap_s is not None:
            self.work_s += step.gap_s
            self.meter.time(step.pieces, step.gap_s)

    def join(self, other: _Way) -> None:
        self.entries += other.entries
        self.pieces += other.pieces
        self.touched += other.touched
        self.work_s += other.work_s
        self.meter.join(other.meter)


class _Work:
    """Sums over a sitting, or over several."""

    def __init__(self, steps: Iterable[Step] = ()) -> None:
        self.began: float | None = None
        self.ended: float | None = None
        self.ways: dict[str, _Way] = {}
        self.work_s = self.backward_s = self.pause_s = 0.0
        self.jumps = 0
        self.meter = PaceMeter()
        self.cycles: list[_Cycle] = []
        self.pauses: list[Pause] = []
        start = 0.0
        for step in steps:
            self._pass(step)
            if step.way:
                way = self.ways.get(step.way)
                if way is None:
                    way = self.ways[step.way] = _Way()
                way.add(step)
                if step.gap_s is not None:  # with all time at work since the entry before
                    length = self.work_s - start
                    self.cycles.append(_Cycle(start, length, step.pieces))
                    self.meter.time(step.pieces, length)
                    start = self.work_s

    def _pass(self, step: Step) -> None:
        """Take in the time of a record, whatever it says."""
        if step.at_s is not None:
            self._span(step.at_s, step.at_s)
        if step.gap_s is not None:
            self.work_s += step.gap_s
            if step.backward:
                self.backward_s += step.gap_s
        elif step.pause_s:
            self.pauses.append(Pause(self.work_s, step.pause_s))
            self.pause_s += step.pause_s
        self.jumps += step.jumped

    def _span(self, began: float, ended: float) -> None:
        self.began = began if self.began is None or began < self.began else self.began
        self.ended = ended if self.ended is None or ended > self.ended else self.ended

    def join(self, other: _Work) -> None:
        """Take in another sitting; its course and its pauses stay its own."""
        if other.began is not None and other.ended is not None:
            self._span(other.began, other.ended)
        for name, way in other.ways.items():
            self.ways.setdefault(name, _Way()).join(way)
        self.work_s += other.work_s
        self.backward_s += other.backward_s
        self.pause_s += other.pause_s
        self.jumps += other.jumps
        self.meter.join(other.meter)

    def figures(self, name: str = "") -> SittingFigures:
        """What the sums come to."""
        ways = [
            WayFigures(way, sums.entries, sums.pieces, sums.touched, sums.work_s, _rate(sums.meter))
            for way, sums in self.ways.items()
        ]
        return SittingFigures(
            name,
            self.began,
            self.ended,
            sum(each.entries for each in ways),
            sum(each.pieces for each in ways),
            sum(each.touched for each in ways),
            self.work_s,
            self.backward_s,
            _rate(self.meter),
            tuple(sorted(ways, key=lambda each: (-each.pieces, each.way))),
            _course(self.cycles, self.work_s) if name else (),
            tuple(self.pauses),
            self.pause_s,
            self.jumps,
        )


def figures_of(sittings: Mapping[str, Iterable[Step]]) -> tuple[tuple[SittingFigures, ...], SittingFigures]:
    """How sittings went, each by itself and all of them together.

    Args:
        sittings: by name, their records as work in their order.
    """
    together = _Work()
    each = []
    for name, steps in sittings.items():
        work = _Work(steps)
        together.join(work)
        each.append(work.figures(name))
    return tuple(each), together.figures()


def _rate(meter: PaceMeter) -> RateFigure:
    """Pieces a minute; the meter is that of the live pace."""
    pace = meter.pace()
    return RateFigure(meter.timed, pace.per_minute, pace.per_minute_low, pace.per_minute_high)


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
