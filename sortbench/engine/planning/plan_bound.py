"""What every plan costs at least, and which parcels it may have: prices are raised, and cases told apart.

The prices of :mod:`plan_relaxed` are moved to where its bound is highest, by steps along the difference between what is
asked for and what is sent (subgradients): M. Held, P. Wolfe and H. P. Crowder, Validation of subgradient optimization,
Mathematical Programming 6 (1974) 62-88. A parcel is judged there as a whole, step of shipping by step, so the bound is
better than that of the program with nothing whole, and it is found many times faster. Where it is not good enough, a
parcel is picked that comes at some prices and not at others, and both cases are looked at with prices of their own.

Two more things follow from the prices: what a parcel may gain at most on each step is a row that makes the program as
good as this bound, and what would cost too much is left out of it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.planning.plan_case import PlanCase
from sortbench.engine.planning.plan_relaxed import Point, Relaxed, Worth

if TYPE_CHECKING:
    from sortbench.engine.planning.plan_relaxed import Numbers

_KEPT = 0.6  # of the last direction, which keeps the prices from going to and fro
_SHRINK = 0.6  # of what is hoped for, when it is not found
_FLAT = 1e-9
_MEMORY = 0.02  # weight of a round in how often a parcel comes


_FEW_SHOPS = 18
_FEW_OPEN = 2
_SLACK = 1e-6  # of a worth: a rounded sum must not forbid a parcel that reaches it
_LIKELY = 12
_LIKELY_SHARE = 1.4


class _Pace(NamedTuple):
    """How prices are raised.

    Attributes:
        hope: what the first steps hope to gain, as a share of the bound.
        enough: what is too little to hope for.
        patience: rounds that may bring nothing before less is hoped for.
        rounds: at most.
    """

    hope: float
    enough: float
    patience: int
    rounds: int


_FROM_NOTHING = _Pace(0.1, 2e-5, 40, 3000)
_FROM_NEAR = _Pace(0.05, 5e-3, 12, 150)


class Node(NamedTuple):
    """Plans with some parcels settled.

    Attributes:
        bound: none of them costs less.
        prices: at which that is so.
        decided: of each shop, above 0 if a parcel comes from it, below 0 if none does, 0 if that is left open.
        often: at which share of the last prices each parcel came.
    """

    bound: float
    prices: Numbers
    decided: Numbers
    often: Numbers


class Bound:
    """Bounds of a case.

    Args:
        case: the question; there is at least one shop.
        ways: places of the ways that a plan may need.
        stops: asked each round whether to end.
    """

    def __init__(self, case: PlanCase, ways: Sequence[int], stops: Callable[[], bool]) -> None:
        import numpy as np

        self._np = np
        self._case = case
        self._relaxed = Relaxed(case, ways)
        self._stops = stops

    def root(self, seconds: float) -> Node:
        """All plans. The same case comes to the same prices, unless its time runs out."""
        np, shops = self._np, self._relaxed.shops
        end = time.monotonic() + seconds
        node = Node(0.0, self._relaxed.first_prices(), np.zeros(shops), np.zeros(shops))
        return self._raised(node, _FROM_NOTHING, lambda bound: time.monotonic() > end)

    def part(self, node: Node, cost: float) -> list[Node]:
        """Both cases of one parcel that is left open, with and without it, where they may cost as little as that."""
        np = self._np
        left = np.flatnonzero(node.decided == 0)
        shop = left[np.argmin(np.abs(node.often[left] - 0.5))]
        found = []
        for side in (1.0, -1.0):
            decided = node.decided.copy()
            decided[shop] = side
            case = self._raised(node._replace(decided=decided), _FROM_NEAR, lambda bound: bound > cost)
            case = case._replace(bound=max(node.bound, case.bound))
            if case.bound <= cost:
                found.append(self._settled(case, cost))
        return found

    def _raised(self, node: Node, pace: _Pace, ends: Callable[[float], bool]) -> Node:
        """The same plans at better prices."""
        np, relaxed = self._np, self._relaxed
        best = now = relaxed.point(node.prices, node.decided)
        at = best_at = node.prices
        way, often, idle = np.zeros_like(at), node.often.copy(), 0
        hope = pace.hope * max(abs(now.bound), 1.0)
        for _ in range(pace.rounds):
            if hope < pace.enough * max(abs(best.bound), 1.0) or ends(best.bound) or self._stops():
                break
            way = now.rises + _KEPT * way
            if (length := float(way @ way)) < _FLAT:
                way = now.rises
                if (length := float(way @ way)) < _FLAT:
                    break  # no more is asked for than is sent: the bound is as high as it can be
            at = np.clip(at + (best.bound + hope - now.bound) / length * way, relaxed.lowest, relaxed.highest)
            now = relaxed.point(at, node.decided)
            often += _MEMORY * (now.opened - often)
            idle += 1
            if now.bound > best.bound:
                best, best_at, idle = now, at, 0
            if idle >= pace.patience:
                hope, idle = hope * _SHRINK, 0
                at, now, way = best_at, best, np.zeros_like(way)
        return Node(best.bound, best_at, node.decided, often)

    def _settled(self, node: Node, cost: float) -> Node:
        """Settle parcels whose other case would cost more than that."""
        np = self._np
        point = self._point(node)
        left, parcels = cost - point.bound, point.parcels
        decided = np.where((node.decided == 0) & (-parcels > left), -1.0, node.decided)
        if self._case.parcels is None:  # else another parcel may come in its place
            decided = np.where((decided == 0) & (parcels > left), 1.0, decided)
        return node._replace(decided=decided)

    def _point(self, node: Node) -> Point:
        return self._relaxed.point(node.prices, node.decided)

    # What follows from prices

    def ripe(self, node: Node) -> bool:
        """Whether so few parcels are left open that the program decides them at once."""
        return int((node.decided >= 0).sum()) <= _FEW_SHOPS or int((node.decided == 0).sum()) <= _FEW_OPEN

    def sending(self, node: Node) -> list[int]:
        """Shops that send a parcel for sure."""
        return [int(shop) for shop in self._np.flatnonzero(node.decided > 0)]

    def likely(self, node: Node) -> set[int]:
        """Shops among which there should be those of a good plan: more than send a parcel at the last prices."""
        np = self._np
        order = np.lexsort((-self._point(node).parcels, -node.often))
        return {int(shop) for shop in order[: max(_LIKELY, round(_LIKELY_SHARE * float(node.often.sum())))]}

    def within(self, node: Node, cost: float) -> list[int]:
        """Places of the ways that a plan of these may take if it costs at most so much."""
        np, relaxed = self._np, self._relaxed
        point = self._point(node)
        parcels = np.where(node.decided > 0, 0, np.where(node.decided < 0, np.inf, np.maximum(0, -point.parcels)))
        loss = np.append(parcels, 0)[relaxed.shop] + np.where(relaxed.forced, 0, np.maximum(0, -point.gain))
        return [int(place) for place in relaxed.ways[loss <= cost - point.bound]]

    def worths(self, node: Node) -> dict[int, Worth]:
        """What a parcel can be worth at most at these prices, for each shop whose shipping goes by weight."""
        np, relaxed = self._np, self._relaxed
        point = self._point(node)
        found = {}
        for shop, of in enumerate(self._case.shops):
            some = np.flatnonzero((relaxed.shop == shop) & (point.gain > 0))
            if of.steps and len(some):
                pieces = zip(relaxed.ways[some].tolist(), point.gain[some].tolist(), strict=True)
                first = relaxed.first_step[shop]
                most = point.most[first : first + len(of.steps)] * (1 + _SLACK) + _SLACK
                found[shop] = Worth(tuple(pieces), tuple(most.tolist()))
        return found
