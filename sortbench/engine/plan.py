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
from collections.abc import Callable, Mapping, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from sortbench.engine.planning.plan_bound import Bound, Node
from sortbench.engine.planning.plan_case import Choice, Figures, Parcel, PlanCase, figures
from sortbench.engine.planning.plan_program import Found, Program, Watcher, worthwhile
from sortbench.engine.planning.solver import EVERY_S, need_solver, turn

SECONDS = 30.0
"""How long is looked for the best plan unless something else is said."""

_HAIR = 1e-3  # of a minor unit: what the solver may be off by
_FEW_SHOPS = 12  # the program is proven at once with so many
_PRICES_SHARE = 0.25  # of the time, for the first prices
_LEAD_SHARE = 0.25  # of the time that is left, for the likeliest shops
_LEAD_GAP = 0.003
_TELL_S = 0.5
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
        self._seconds, self._end = seconds, math.inf
        self._gap = gap
        self._progress, self._cancel = progress, cancel
        self._taken = idle(case)
        known = figures(case, self._taken)
        assert known is not None, "a plan that leaves everything open breaks no rule"
        self._known = known
        self._done = math.inf  # least that any plan costs of those that were looked at
        self._here = -math.inf  # of those that are looked at now
        self._rest = math.inf  # of those that wait
        self._cancelled = False
        self._asked = self._said = time.monotonic()
        self._watcher = Watcher(self._told if progress else None, cancel)

    def plan(self) -> Plan:
        """Search."""
        if self._case.ways:
            try:
                with turn(self._cancel) as mine:
                    self._cancelled = not mine
                    self._end = time.monotonic() + self._seconds
                    if mine:
                        self._look()
            except KeyboardInterrupt:
                self._cancelled = True
        else:
            self._here = math.inf
        return _plan(self._taken, self._known, self._least, self._cancelled)

    def _look(self) -> None:
        """Look at all plans."""
        need_solver("The plan")
        ways = worthwhile(self._case)
        sources = (self._case.ways[place].source for place in ways)
        shops = {self._case.sources[source].shop for source in sources if source >= 0} - {-1}
        if len(shops) > _FEW_SHOPS:
            self._look_by_cases(ways)
        else:
            self._exhaust(Program(self._case, ways))

    def _look_by_cases(self, ways: Sequence[int]) -> None:
        """Look at all plans by which shops send a parcel, those first that may be the cheapest."""
        bound = Bound(self._case, ways, self._stops)
        node = bound.root(self._left * _PRICES_SHARE)
        self._here = self._rest = node.bound
        if not self._ended:
            self._lead(bound, node)
        waiting, number = [(node.bound, 0, node)], 0
        while waiting and not self._ended:
            self._here, _, node = heappop(waiting)
            self._rest = waiting[0][0] if waiting else math.inf
            if bound.ripe(node):
                program = Program(self._case, bound.within(node, self._wanted), bound.worths(node))
                program.send(bound.sending(node))
                self._exhaust(program)
                self._done = min(self._done, self._here)
            else:
                for each in bound.part(node, self._wanted):
                    number += 1
                    heappush(waiting, (each.bound, number, each))
            self._here, self._rest = math.inf, waiting[0][0] if waiting else math.inf

    def _lead(self, bound: Bound, node: Node) -> None:
        """A good plan from the likeliest shops alone, which proves nothing of the others."""
        case = self._case
        likely = bound.likely(node) | {-1}
        within = bound.within(node, self._wanted)
        sources = [case.ways[place].source for place in within]
        ways = [
            place
            for place, source in zip(within, sources, strict=True)
            if source < 0 or case.sources[source].shop in likely
        ]
        program = Program(case, ways, bound.worths(node))
        found = program.look(self._left * _LEAD_SHARE, max(self._gap, _LEAD_GAP), self._watcher)
        if len(found.values):
            self._take(program, found)

    def _exhaust(self, program: Program) -> None:
        """Look at all plans that a program allows; what is known of them by then stands in ``_here``."""
        excluded, others = math.inf, self._here
        if not program.yes_or_no:
            self._here = self._take(program, Found((0.0,), math.inf))
            return
        while not self._ended and not self._enough(self._here):
            found = program.look(self._left, self._gap, self._watcher, self._wanted)
            others = max(others, found.bound)
            if len(found.values) and others <= self._wanted:
                excluded = min(excluded, self._take(program, found))
            self._here = min(excluded, others)
            if not len(found.values):
                return
            program.exclude(found.values)

    @property
    def _least(self) -> float:
        """No plan costs less, or the best so far does not."""
        return min(self._done, self._here, self._rest)

    @property
    def _wanted(self) -> float:
        """A plan that is better than the best so far costs no more: costs are whole."""
        return self._known.cost - 1 + _HAIR

    @property
    def _left(self) -> float:
        return max(0.0, self._end - time.monotonic())

    @property
    def _ended(self) -> bool:
        return self._enough(self._least) or self._cancelled or not self._left

    def _enough(self, bound: float) -> bool:
        return bound > self._wanted or gap_of(self._known.cost, bound) <= self._gap

    def _take(self, program: Program, found: Found) -> float:
        """Find whole pieces for what was found, and the least that any for the same parcels, steps and groups cost."""
        self._cancelled = self._cancelled or found.cancelled
        # After a cancel too: the best so far is worth the moment that its whole pieces take.
        watcher = Watcher() if self._cancelled else self._watcher
        seconds = max(1.0, self._left * _COMPLETING)
        taken, bound = program.complete(found.values, seconds, self._gap * _COMPLETING, watcher)
        # What the solver says is held against the exact figures: there all sums are whole numbers.
        known = figures(self._case, taken) if taken else None
        if known is not None and known.cost <= self._known.cost:
            self._taken, self._known = taken, known
        return bound

    def _stops(self) -> bool:
        """Whether the search is to end; asked often, so others are asked and told only now and then."""
        now = time.monotonic()
        if self._cancel is not None and now - self._asked >= EVERY_S:
            self._asked = now
            self._cancelled = self._cancelled or self._cancel()
        if self._progress is not None and now - self._said >= _TELL_S:
            self._said = now
            self._told(math.inf, -math.inf)
        return self._cancelled or now >= self._end

    def _told(self, best: float, bound: float) -> None:
        assert self._progress is not None
        lowest = min(self._done, self._rest, max(bound, self._here))
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
    """The plan of doing nothing: what lies on the bench is kept as it is, what is on order awaited."""
    left = [source.limit for source in case.sources]
    lacks = [demand.need if demand.group < 0 else 0 for demand in case.demands]
    taken: dict[int, int] = {}
    order = {Choice.KEEP: 0, Choice.AWAIT: 1, Choice.TREAT: 2, Choice.OPEN: 3}
    for place in sorted(range(len(case.ways)), key=lambda place: order.get(case.ways[place].choice, 4)):
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
