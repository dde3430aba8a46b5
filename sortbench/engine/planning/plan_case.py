"""A question for the plan, in whole numbers: what is to be settled, the ways there are, and what is paid for each.

Nothing here knows of targets or kinds: a demand is some pieces to be settled, a source some pieces that can be had. All
money is in whole minor units of the bench's own currency, all weights in milligrams.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sortbench.model.plan_lock import Choice as Choice

MANY = 10**9
"""More pieces than any line asks for."""


class Demand(NamedTuple):
    """Pieces to be settled together.

    Attributes:
        need: how many, from 1.
        group: place of the group it belongs to; below 0 it has to be settled in any case.
    """

    need: int
    group: int = -1


class Group(NamedTuple):
    """Demands that are settled all or not at all: a target that may be finished or given up.

    Attributes:
        value: what it is worth to have them settled.
    """

    value: int


class Shop(NamedTuple):
    """Where one parcel may come from.

    Attributes:
        shipping: for a parcel whatever is in it.
        steps: on top of that by weight, as pairs of the most milligrams and the price, the lightest first; what weighs
            more than the last reaches to is not sent. Empty: weight makes no difference.
        minimum: least that the pieces of a parcel must come to.
    """

    shipping: int
    steps: tuple[tuple[int, int], ...] = ()
    minimum: int = 0


class Source(NamedTuple):
    """Like pieces that can be had.

    Attributes:
        limit: how many, from 1.
        shop: place of the shop that sends them; below 0 they lie on the bench.
        price: paid for each to the shop.
        mg: weight of each.
        home: place of a demand that must use all of them (it, or others) whenever it is settled: pieces never thrown
            away. Below 0 there is none.
    """

    limit: int
    shop: int = -1
    price: int = 0
    mg: int = 0
    home: int = -1


class Way(NamedTuple):
    """One way to settle pieces of a demand.

    Attributes:
        demand: place of the demand.
        source: place of the source they come from; below 0 it needs none.
        choice: what this is.
        cost: of each piece, its price included.
        most: pieces of this demand that may be settled so.
    """

    demand: int
    source: int
    choice: Choice
    cost: int
    most: int = MANY


class PlanCase(NamedTuple):
    """The whole question. Every demand without a group must have a way that needs no source, and no limit.

    Attributes:
        budget: most that all shops together may be paid, shipping included; None: no limit.
        parcels: most shops that may send one; None: no limit.
    """

    demands: tuple[Demand, ...]
    sources: tuple[Source, ...]
    ways: tuple[Way, ...]
    shops: tuple[Shop, ...] = ()
    groups: tuple[Group, ...] = ()
    budget: int | None = None
    parcels: int | None = None


class Parcel(NamedTuple):
    """What one shop sends.

    Attributes:
        shop: its place.
        pieces: how many.
        goods: what they come to.
        shipping: what it costs to send them.
        mg: what they weigh.
    """

    shop: int
    pieces: int
    goods: int
    shipping: int
    mg: int


class Figures(NamedTuple):
    """What some choice of ways comes to, worked out exactly.

    Attributes:
        cost: everything: what is paid, and what the user set as the price of holes and blemishes, less what finished
            groups are worth.
        outlay: what is paid to shops.
        parcels: in the order of the shops.
        settled: places of the groups that are settled.
    """

    cost: int
    outlay: int
    parcels: tuple[Parcel, ...]
    settled: tuple[int, ...]


def figures(case: PlanCase, taken: Mapping[int, int]) -> Figures | None:
    """What a choice comes to, None where it breaks a rule of the case.

    Args:
        case: the question.
        taken: pieces by place of the way, each from 1.
    """
    got: Counter[int] = Counter()
    used: Counter[int] = Counter()
    cost = 0
    for place, quantity in taken.items():
        demand, source, _, each, most = case.ways[place]
        if not 0 < quantity <= most:
            return None
        got[demand] += quantity
        used[source] += quantity
        cost += each * quantity
    settled = _settled(case, got)
    if settled is None or not _within_limits(case, used, settled):
        return None
    parcels = _parcels(case, used)
    if parcels is None:
        return None
    outlay = sum(parcel.goods + parcel.shipping for parcel in parcels)
    too_dear = case.budget is not None and outlay > case.budget
    if too_dear or (case.parcels is not None and len(parcels) > case.parcels):
        return None
    cost += sum(parcel.shipping for parcel in parcels) - sum(case.groups[place].value for place in settled)
    return Figures(cost, outlay, parcels, tuple(sorted(settled)))


def _settled(case: PlanCase, got: Mapping[int, int]) -> set[int] | None:
    """Groups that are settled; None where a demand is settled by half."""
    open_groups = {demand.group for place, demand in enumerate(case.demands) if not got.get(place, 0)}
    for place, demand in enumerate(case.demands):
        wanted = 0 if demand.group >= 0 and demand.group in open_groups else demand.need
        if got.get(place, 0) != wanted:
            return None
    return {place for place in range(len(case.groups)) if place not in open_groups}


def _within_limits(case: PlanCase, used: Mapping[int, int], settled: set[int]) -> bool:
    for place, source in enumerate(case.sources):
        quantity = used.get(place, 0)
        if quantity > source.limit:
            return False
        if source.home >= 0 and quantity < source.limit:
            group = case.demands[source.home].group
            if group < 0 or group in settled:
                return False
    return True


def _parcels(case: PlanCase, used: Mapping[int, int]) -> tuple[Parcel, ...] | None:
    """What each shop sends, None where one does not send it."""
    pieces: Counter[int] = Counter()
    goods: Counter[int] = Counter()
    weights: Counter[int] = Counter()
    for place, quantity in used.items():
        source = case.sources[place] if place >= 0 else None
        if source is not None and source.shop >= 0:
            pieces[source.shop] += quantity
            goods[source.shop] += quantity * source.price
            weights[source.shop] += quantity * source.mg
    found = []
    for place in sorted(pieces):
        shop = case.shops[place]
        step = step_price(shop.steps, weights[place])
        if step is None or goods[place] < shop.minimum:
            return None
        found.append(Parcel(place, pieces[place], goods[place], shop.shipping + step, weights[place]))
    return tuple(found)


def step_price(steps: Sequence[tuple[int, int]], mg: int) -> int | None:
    """What a weight costs on top, 0 where there are no steps; None where it is more than the last reaches to."""
    if not steps:
        return 0
    # A heavier step may be the cheaper one; nobody pays more than that.
    return min((price for most, price in steps if mg <= most), default=None)
