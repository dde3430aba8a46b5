"""Plans to make of a given size: sellers with parcels by weight and least orders, lines with holes and aged pieces."""

from __future__ import annotations

from random import Random

from sortbench.engine.planning.plan_case import Choice, Demand, PlanCase, Shop, Source, Way


def synthetic(sellers: int, lines: int, seed: int = 1) -> PlanCase:
    """A case in cents and milligrams; every figure is drawn, none comes from a real seller.

    A seller has 25 % to 60 % of the kinds, each at a price around that of the kind, in a stock of 1 to 12. Three in ten
    ask for a least order, six in ten for more by weight. One line in four has pieces below its standard, which may be
    kept or treated; the others are holes.
    """
    rng = Random(seed)
    shops = []
    for _ in range(sellers):
        steps = ((100_000, 0), (500_000, 200), (2_000_000, 550)) if rng.random() < 0.6 else ()
        shops.append(
            Shop(rng.choice((250, 350, 450, 590)), steps, rng.choice((300, 500, 1000)) if rng.random() < 0.3 else 0)
        )
    demands: list[Demand] = []
    sources: list[Source] = []
    ways: list[Way] = []
    share = [rng.uniform(0.25, 0.6) for _ in shops]
    dear = [rng.uniform(0.8, 1.3) for _ in shops]
    for line in range(lines):
        need, typical = rng.choice((1, 1, 1, 2, 2, 4, 6)), rng.lognormvariate(2.7, 0.8)
        mg = round(rng.lognormvariate(7.1, 0.8))
        demands.append(Demand(need))
        hole = round(4 * typical) + 50
        ways.append(Way(line, -1, Choice.OPEN, hole))
        if rng.random() < 0.25:
            sources.append(Source(need))
            blemish = rng.randint(2, 40)
            ways.append(Way(line, len(sources) - 1, Choice.KEEP, blemish))
            ways.append(Way(line, len(sources) - 1, Choice.TREAT, 8 + blemish // 3))
        for shop in range(sellers):
            if rng.random() < share[shop]:
                price = max(1, round(typical * dear[shop] * rng.lognormvariate(0, 0.25)))
                sources.append(Source(rng.randint(1, 12), shop, price, mg))
                ways.append(Way(line, len(sources) - 1, Choice.BUY, price))
    return PlanCase(tuple(demands), tuple(sources), tuple(ways), tuple(shops))


def cheapest_offers(case: PlanCase) -> dict[int, int]:
    """What somebody does who looks at prices alone: for each line the cheapest way there is, shipping not thought of.

    Parcels that do not reach the least order of their seller are not sent: their pieces are then settled the cheapest
    other way, until all parcels are sent.
    """
    closed: set[int] = set()
    while True:
        taken = _greedy(case, closed)
        goods: dict[int, int] = {}
        for place, quantity in taken.items():
            source = case.ways[place].source
            if source >= 0 and case.sources[source].shop >= 0:
                shop = case.sources[source].shop
                goods[shop] = goods.get(shop, 0) + quantity * case.sources[source].price
        short = {shop for shop, sum_ in goods.items() if sum_ < case.shops[shop].minimum}
        if not short:
            return taken
        closed |= short


def _greedy(case: PlanCase, closed: set[int]) -> dict[int, int]:
    left = [source.limit for source in case.sources]
    lacks = [demand.need for demand in case.demands]
    taken: dict[int, int] = {}
    for place in sorted(range(len(case.ways)), key=lambda place: case.ways[place].cost):
        demand, source, _, _, most = case.ways[place]
        if source >= 0 and case.sources[source].shop in closed:
            continue
        quantity = min(lacks[demand], most, left[source] if source >= 0 else most)
        if quantity > 0:
            taken[place] = quantity
            lacks[demand] -= quantity
            if source >= 0:
                left[source] -= quantity
    return taken
