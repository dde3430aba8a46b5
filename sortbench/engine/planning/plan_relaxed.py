"""A plan's question with prices on its demands: then each seller may be judged by itself.

Say that a settled piece of each demand is paid a price. At given prices each seller's best parcel is found by itself,
by filling it with the pieces that gain most for their weight. What the prices come to, less what sellers and bench can
gain at most, is less than any plan costs (Lagrangean relaxation of the demands): A. M. Geoffrion, Lagrangean relaxation
for integer programming, Mathematical Programming Study 2 (1974) 82-114.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.planning.plan_case import PlanCase

if TYPE_CHECKING:
    from numpy import bool_, float64, int64
    from numpy.typing import NDArray

    Numbers = NDArray[float64]
    Places = NDArray[int64]
    Flags = NDArray[bool_]

_LIGHTEST = 1e-6  # mg, for what weighs nothing; limits are whole, so half a milligram more makes up for it
_HALF = 0.5
_ROUNDED = 1e-12  # of all sums: what rounding may have added to a bound


class Worth(NamedTuple):
    """What a parcel can be worth at most, at some worth of each way's pieces: true of every parcel, whatever is in it.

    Attributes:
        pieces: places of ways and the worth of each piece, for those that are worth something.
        steps: the most that all pieces together are worth, in a parcel on each step of shipping.
    """

    pieces: tuple[tuple[int, float], ...]
    steps: tuple[float, ...]


class Point(NamedTuple):
    """What some prices come to.

    Attributes:
        bound: no plan costs less, of those with the parcels that are settled.
        rises: how the bound changes with each price.
        gain: of each way, what is left of the price of a piece when its cost is paid.
        parcels: of each shop, what its best parcel gains; below 0 it is better not sent.
        most: of each step of each shop's shipping, what the pieces in such a parcel gain at most.
        opened: which shops send a parcel.
    """

    bound: float
    rises: Numbers
    gain: Numbers
    parcels: Numbers
    most: Numbers
    opened: Flags


class Relaxed:
    """The question as arrays, and what prices come to.

    Prices are those of the demands, then of the shops' least orders, then of the budget; the last two as money for a
    piece of the usual price, so that all are of like size. Pieces may be parted, and several ways of one shop may come
    to more than there is or is asked for; so a parcel may look better than it is, never worse.

    Args:
        case: the question.
        ways: places of the ways that a plan may need.
    """

    def __init__(self, case: PlanCase, ways: Sequence[int]) -> None:
        import numpy as np

        self._np = np
        self._case = case
        some = [case.ways[place] for place in ways]
        self.ways = np.array(ways, "int64")
        self.demands, self.shops = len(case.demands), len(case.shops)
        self._need = np.array([demand.need for demand in case.demands], "float64")
        self._group = np.array([demand.group for demand in case.demands], "int64")
        self._value = np.array([group.value for group in case.groups], "float64")
        self._demand = np.array([way.demand for way in some], "int64")
        self._cost = np.array([way.cost for way in some], "float64")
        source = np.array([way.source for way in some], "int64")
        sources = [case.sources[way.source] if way.source >= 0 else None for way in some]
        self._price = np.array([each.price if each else 0 for each in sources], "float64")
        # What lies on the bench, and what needs no source, stands behind the last shop.
        self.shop = np.array([each.shop if each and each.shop >= 0 else self.shops for each in sources], "int64")
        limits = np.array([float(each.limit) if each else math.inf for each in sources])
        self._cap = np.minimum(np.minimum(self._need[self._demand], [float(way.most) for way in some]), limits)
        homes = [each is not None and each.home >= 0 and self._group[each.home] < 0 for each in sources]
        self.forced = np.array(homes, "bool") & (self.shop == self.shops)
        self._pools(source, limits, np.array([each.mg if each else 0 for each in sources], "float64"))
        self._shipping()
        bought = self._price[self.shop < self.shops]
        self._unit = max(1.0, float(bought.mean())) if len(bought) else 1.0
        self._span()

    def _pools(self, source: Places, limits: Numbers, mg: Numbers) -> None:
        """Ways that share some room: by what there is of them, or, in a shop, by what a demand asks for.

        Of the two one is looked at, in each shop the one without which more would be lost.
        """
        np = self._np
        by_source = np.where(source >= 0, source, -1 - self._demand)
        by_demand = self.shop * self.demands + self._demand
        over = []
        for pool, room in ((by_source, limits), (by_demand, self._need[self._demand])):
            _, first, place = np.unique(pool, return_index=True, return_inverse=True)
            more = np.maximum(0, np.bincount(place, self._cap) - room[first])
            over.append(np.bincount(self.shop[first], more, self.shops + 1))
        asked = (over[1] > over[0])[self.shop] & (self.shop < self.shops)
        pool = np.where(asked, by_demand + len(self._case.sources), by_source)
        room = np.where(asked | (source < 0), self._need[self._demand], limits)
        _, first, self._pool = np.unique(pool, return_index=True, return_inverse=True)
        self._room = room[first]
        self._shared = (np.bincount(self._pool) > 1)[self._pool]
        # Only among equally heavy pieces is the best for its weight the best: all weigh as the lightest that shares.
        lightest = np.full(len(first), math.inf)
        np.minimum.at(lightest, self._pool, np.maximum(mg, _LIGHTEST))
        self._mg = np.where(self.shop < self.shops, lightest[self._pool], 1.0)

    def _shipping(self) -> None:
        """Steps of all shops in one row; a shop without steps has one that reaches to any weight."""
        np = self._np
        steps = [(shop, *step) for shop, of in enumerate(self._case.shops) for step in (of.steps or ((math.inf, 0),))]
        self._step_shop = np.array([shop for shop, _, _ in steps], "int64")
        self._step_mg = np.array([mg for _, mg, _ in steps], "float64") + _HALF
        self._step_price = np.array([price for _, _, price in steps], "float64")
        self.first_step = np.searchsorted(self._step_shop, np.arange(self.shops))
        self._fixed = np.array([shop.shipping for shop in self._case.shops], "float64")
        self._minimum = np.array([shop.minimum for shop in self._case.shops], "float64")

    def _span(self) -> None:
        """Between what prices lie: dearer ones bring nothing, and sums of very large ones would be rounded."""
        np = self._np
        costs = (self._cost, self._value, self._fixed, self._step_price, self._minimum)
        self.highest = 4.0 * (1 + sum(float(np.abs(each).max(initial=0)) for each in costs))
        self.lowest = np.concatenate((np.full(self.demands, -self.highest), np.zeros(self.shops + 1)))

    def first_prices(self) -> Numbers:
        """Prices to begin with: the cheapest way of each demand."""
        np = self._np
        prices = np.full(self.demands, math.inf)
        np.minimum.at(prices, self._demand, self._cost)
        first: Numbers = np.append(np.where(np.isfinite(prices), prices, 0), np.zeros(self.shops + 1))
        return first

    def point(self, prices: Numbers, decided: Numbers) -> Point:
        """What prices come to.

        Args:
            prices: all of them.
            decided: of each shop, above 0 if it is settled that it sends a parcel, below 0 that it does not.
        """
        np, shops = self._np, self.shops
        paid, least, tight = prices[: self.demands], prices[self.demands : -1] / self._unit, prices[-1] / self._unit
        gain = paid[self._demand] - self._cost + self._price * (np.append(least, 0)[self.shop] - tight)
        some = np.flatnonzero((gain > 0) | self.forced)
        some = some[np.lexsort((-gain[some] / self._mg[some], self.shop[some]))]
        sent = self._roomed(some)
        total, weight = (
            np.concatenate(((0.0,), np.cumsum(each))) for each in (gain[some] * sent, self._mg[some] * sent)
        )
        ends = np.searchsorted(self.shop[some], np.arange(shops + 1))
        # All parcels lie in one row, the best pieces of each first: it is filled to the weight that a step allows.
        begin, end = ends[:-1][self._step_shop], ends[1:][self._step_shop]
        full = np.minimum(weight[begin] + self._step_mg, weight[end])
        most = np.interp(full, weight, total) - total[begin]
        parcels, step = self._best_steps(most - (1 + tight) * self._step_price)
        parcels = parcels - (1 + tight) * self._fixed - least * self._minimum
        opened = self._opened(parcels, decided)
        asked, bound = self._asked(paid)
        bound -= float(total[-1] - total[ends[-1]]) + float(parcels[opened].sum())
        bound -= _ROUNDED * float(np.abs(paid) @ self._need + np.abs(total).max())
        shop = self.shop[some]
        up_to = np.append(np.where(opened, full[step], -1.0), math.inf)
        sent = sent * np.clip((up_to[shop] - weight[:-1]) / np.maximum(np.diff(weight), _LIGHTEST), 0, 1)
        goods = np.bincount(shop, sent * self._price[some], shops + 1)[:-1]
        rises = np.zeros_like(prices)
        rises[: self.demands] = asked - np.bincount(self._demand[some], sent, self.demands)
        rises[self.demands : -1] = np.where(opened, self._minimum - goods, 0) / self._unit
        if (budget := self._case.budget) is not None:
            outlay = float((goods + np.where(opened, self._fixed + self._step_price[step], 0)).sum())
            bound -= tight * budget
            rises[-1] = (outlay - budget) / self._unit
        return Point(float(bound), rises, gain, parcels, most, opened)

    def _roomed(self, some: Places) -> Numbers:
        """Pieces of each way, the best first, as far as those that share room with it leave some."""
        np = self._np
        sent: Numbers = self._cap[some].copy()
        where = np.flatnonzero(self._shared[some])
        if len(where):
            where = where[np.argsort(self._pool[some[where]], kind="stable")]
            pool, pieces = self._pool[some[where]], sent[where]
            before = np.cumsum(pieces) - pieces
            starts = np.flatnonzero(np.concatenate(((True,), pool[1:] != pool[:-1])))
            before -= np.repeat(before[starts], np.diff(np.append(starts, len(pool))))
            sent[where] = np.clip(self._room[pool] - before, 0, pieces)
        return sent

    def _best_steps(self, net: Numbers) -> tuple[Numbers, Places]:
        """The most that each shop's parcel gains on any step, and the place of that step."""
        np = self._np
        best = np.maximum.reduceat(net, self.first_step)
        places = np.flatnonzero(net == best[self._step_shop])
        _, first = np.unique(self._step_shop[places], return_index=True)
        return best, places[first]

    def _opened(self, parcels: Numbers, decided: Numbers) -> Flags:
        np = self._np
        opened = ((parcels > 0) & (decided >= 0)) | (decided > 0)
        if (most := self._case.parcels) is not None and opened.sum() > most:
            opened[np.lexsort((-parcels, -decided))[most:]] = False
        return opened

    def _asked(self, paid: Numbers) -> tuple[Numbers, float]:
        """Pieces that demands ask for, and what the prices for them come to; a group where that is below its value."""
        np = self._np
        worth, alone = paid * self._need, self._group < 0
        bound = float(worth[alone].sum())
        if not len(self._value):
            return self._need, bound
        left = np.bincount(self._group[~alone], worth[~alone], len(self._value)) - self._value
        bound += float(np.minimum(left, 0).sum())
        return np.where(alone | (np.append(left, 0)[self._group] < 0), self._need, 0), bound
