"""The plan of least cost: a mixed-integer program, solved by HiGHS with a proven bound.

A column for the pieces of each way, one for each parcel (0 or 1), one for each step of its shipping, one for each
group. No way takes more pieces than its source has, times its parcel: with a row for each single way, as is usual for
warehouses (a seller with fixed shipping is one), the bound is strong.

Once it is settled which parcels come, which step each is on and which groups are settled, the pieces follow at once;
so the search is for that, with pieces that may be parted, which is many times faster. Whole pieces are then found for
the choice, the choice is excluded, and the next best looked for, until that is no better even with parted pieces.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from typing import NamedTuple

from sortbench.engine.planning.plan_case import Choice, Figures, Parcel, PlanCase, figures
from sortbench.engine.planning.plan_program import Found, Program, Watcher

SECONDS = 30.0
"""How long is looked for the best plan unless something else is said."""

_HAIR = 1e-3  # of a minor unit: what the solver may be off by
_FEW_SHOPS = 40
_LIKELY = 14  # among many shops, these are tried by themselves first
_FIRST_SHARE = 0.25  # of the time
_FIRST_GAP = 0.003
_COMPLETING = 0.1  # of the time that is left, and of the gap, for whole pieces where the parcels are settled

Progress = Callable[[int, float, float], None]
"""Told now and then: cost of the best plan so far, the least that any plan can cost, and the gap between, 0 to 1."""


class Taken(NamedTuple):
    """Pieces settled one way: place of the way, and how many."""

    way: int
    quantity: int


class Plan(NamedTuple):
    """What to do.

    Attributes:
        taken: in the order of the ways.
        parcels: what each shop sends.
        settled: places of the groups that are settled.
        cost: all costs together, less what settled groups are worth; minor units.
        outlay: what is paid to shops, shipping included.
        bound: no plan at all costs less.
        proven: whether no plan costs less than this one.
        cancelled: whether somebody ended the search.
    """

    taken: tuple[Taken, ...]
    parcels: tuple[Parcel, ...]
    settled: tuple[int, ...]
    cost: int
    outlay: int
    bound: int
    proven: bool
    cancelled: bool = False

    @property
    def gap(self) -> float:
        """How much of the cost might be saved at most, 0 to 1."""
        return gap_of(self.cost, self.bound)


def gap_of(cost: float, bound: float) -> float:
    """The distance of a cost from the least that is possible, as a share of the cost."""
    return 0.0 if cost <= bound else min(1.0, (cost - bound) / max(1.0, abs(cost)))


def solve(
    case: PlanCase,
    *,
    seconds: float = SECONDS,
    gap: float = 0.0,
    progress: Progress | None = None,
    cancel: Callable[[], bool] | None = None,
) -> Plan:
    """The plan of least total cost, or the best that was found in time.

    There always is one: what nothing can be done about is left open, what nobody wants to change is kept.

    Args:
        case: the question.
        seconds: for how long is looked.
        gap: how far from the best is good enough, as a share of the cost; 0 asks for the best itself.
        progress: told about twice a second.
        cancel: asked about ten times a second; once it says yes the best so far is the answer. Ctrl+C does the same.

    Raises:
        UsageError: the solver is not installed.
    """
    return _Search(case, seconds, gap, progress, cancel).plan()


class _Search:
    """One search: what is the best so far, and what is proven of all others."""

    def __init__(
        self,
        case: PlanCase,
        seconds: float,
        gap: float,
        progress: Progress | None,
        cancel: Callable[[], bool] | None,
    ) -> None:
        self._case = case
        self._end = time.monotonic() + seconds
        self._gap = gap
        self._progress = progress
        self._taken = idle(case)
        known = figures(case, self._taken)
        assert known is not None, "a plan that leaves everything open breaks no rule"
        self._known = known
        self._excluded = math.inf  # least that any choice excluded so far can cost
        self._others = -math.inf  # least that any other can
        self._cancelled = False
        self._watcher = Watcher(self._told if progress else None, cancel)

    def plan(self) -> Plan:
        """Search."""
        if not self._case.ways:
            return _plan(self._taken, self._known, math.inf, False)
        program = Program(self._case)
        shops = list(program.shops)
        if len(shops) > _FEW_SHOPS:
            likely = program.likeliest(self._left, self._watcher)[:_LIKELY]
            program.allow(likely)
            found = program.look(self._left * _FIRST_SHARE, max(self._gap, _FIRST_GAP), self._watcher)
            self._take(program, found._replace(bound=-math.inf))  # of the other shops nothing is known
            program.allow(shops)
        if not program.yes_or_no:
            self._take(program, Found((), math.inf))
        while not self._ended:
            found = program.look(self._left, self._gap, self._watcher)
            if not self._take(program, found):
                break
            program.exclude(found.values)
        return _plan(self._taken, self._known, min(self._excluded, self._others), self._cancelled)

    @property
    def _left(self) -> float:
        return max(0.0, self._end - time.monotonic())

    @property
    def _ended(self) -> bool:
        bound = min(self._excluded, self._others)
        near = bound > self._known.cost - 1 + _HAIR or gap_of(self._known.cost, bound) <= self._gap
        return near or self._cancelled or not self._left

    def _take(self, program: Program, found: Found) -> bool:
        """Find whole pieces for what was found; False where nothing was."""
        self._cancelled = self._cancelled or found.cancelled
        self._others = max(self._others, found.bound)
        if program.yes_or_no and not len(found.values):
            return False
        # After a cancel too: the best so far is worth the moment that its whole pieces take.
        watcher = Watcher() if self._cancelled else self._watcher
        seconds = max(1.0, self._left * _COMPLETING)
        taken, bound = program.complete(found.values, seconds, self._gap * _COMPLETING, watcher)
        # What the solver says is held against the exact figures: there all sums are whole numbers.
        known = figures(self._case, taken) if taken else None
        if known is not None and known.cost <= self._known.cost:
            self._taken, self._known = taken, known
        self._excluded = min(self._excluded, bound)
        return True

    def _told(self, best: float, bound: float) -> None:
        assert self._progress is not None
        lowest = min(self._excluded, max(bound, self._others))
        cost = min(self._known.cost, round(best) if math.isfinite(best) else self._known.cost)
        self._progress(cost, lowest, gap_of(cost, lowest))


def _plan(taken: Mapping[int, int], known: Figures, lowest: float, cancelled: bool) -> Plan:
    # Costs are whole: what is less than one away from the bound reaches it.
    bound = known.cost if lowest > known.cost - 1 + _HAIR else min(known.cost, _whole_above(lowest))
    order = tuple(Taken(place, taken[place]) for place in sorted(taken))
    proven = bound >= known.cost
    return Plan(order, known.parcels, known.settled, known.cost, known.outlay, bound, proven, cancelled and not proven)


def _whole_above(lowest: float) -> int:
    """The least whole cost that is not below a bound."""
    return math.ceil(lowest - _HAIR) if math.isfinite(lowest) else -(10**15)


def idle(case: PlanCase) -> dict[int, int]:
    """The plan of doing nothing: what lies on the bench is kept as it is, all else left open."""
    left = [source.limit for source in case.sources]
    lacks = [demand.need if demand.group < 0 else 0 for demand in case.demands]
    taken: dict[int, int] = {}
    order = {Choice.KEEP: 0, Choice.TREAT: 1, Choice.OPEN: 2}
    for place in sorted(range(len(case.ways)), key=lambda place: order.get(case.ways[place].choice, 3)):
        demand, source, choice, _, most = case.ways[place]
        if choice not in order:
            break
        quantity = min(lacks[demand], most, left[source] if source >= 0 else most)
        if quantity > 0:
            taken[place] = quantity
            lacks[demand] -= quantity
            if source >= 0:
                left[source] -= quantity
    return taken
