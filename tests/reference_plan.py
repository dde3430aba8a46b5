"""The best plan by trying everything: shares no code with the plan's own figures or solver."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from sortbench.engine.planning.plan_case import PlanCase


def best_cost(case: PlanCase) -> int:
    """What the cheapest plan costs. For a few demands of a few pieces only."""
    best: int | None = None
    for spreads in product(*(list(_spreads(case, place)) for place in range(len(case.demands)))):
        taken = [quantity for _, quantity in sorted(pair for spread in spreads for pair in spread)]
        ways = [place for place, _ in sorted(pair for spread in spreads for pair in spread)]
        cost = _cost(case, dict(zip(ways, taken, strict=True)))
        if cost is not None and (best is None or cost < best):
            best = cost
    assert best is not None
    return best


def _spreads(case: PlanCase, demand: int) -> Iterator[list[tuple[int, int]]]:
    """All ways to settle one demand; with a group, not settling it is one more."""
    ways = [place for place, way in enumerate(case.ways) if way.demand == demand]
    need, group = case.demands[demand]
    if group >= 0:
        yield []
    rooms = []
    for place in ways:
        way = case.ways[place]
        room = min(need, way.most)
        if way.source >= 0:
            room = min(room, case.sources[way.source].limit)
        rooms.append(room)
    for counts in product(*(range(room + 1) for room in rooms)):
        if sum(counts) == need:
            yield [(place, count) for place, count in zip(ways, counts, strict=True) if count]


def _cost(case: PlanCase, taken: dict[int, int]) -> int | None:
    """What a plan costs, None where it may not be."""
    cost = 0
    from_source = [0] * len(case.sources)
    settled = [0] * len(case.demands)
    for place, quantity in taken.items():
        way = case.ways[place]
        cost += way.cost * quantity
        settled[way.demand] += quantity
        if way.source >= 0:
            from_source[way.source] += quantity
    finished = set()
    for number, group in enumerate(case.groups):
        members = [place for place, demand in enumerate(case.demands) if demand.group == number]
        states = {settled[place] > 0 for place in members}
        if len(states) > 1:
            return None
        if states != {False}:
            finished.add(number)
            cost -= group.value
    for source, quantity in zip(case.sources, from_source, strict=True):
        if quantity > source.limit:
            return None
        if source.home >= 0:
            group_of_home = case.demands[source.home].group
            if (group_of_home < 0 or group_of_home in finished) and quantity < source.limit:
                return None
    paid = parcels = 0
    for number, shop in enumerate(case.shops):
        bought = [(s, q) for s, q in zip(case.sources, from_source, strict=True) if s.shop == number and q]
        if not bought:
            continue
        goods = sum(source.price * quantity for source, quantity in bought)
        weight = sum(source.mg * quantity for source, quantity in bought)
        sent = [price for most, price in shop.steps if weight <= most] if shop.steps else [0]
        if not sent or goods < shop.minimum:
            return None
        parcels += 1
        paid += goods + shop.shipping + min(sent)
        cost += shop.shipping + min(sent)
    if case.budget is not None and paid > case.budget:
        return None
    if case.parcels is not None and parcels > case.parcels:
        return None
    return cost
