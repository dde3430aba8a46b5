"""The network solver, and the one that shares small components at once, against worked problems of textbooks,
published optima, and scipy's linear programs.

The textbook problems are cited from memory; that each has the optimum given is worked out again here by scipy's HiGHS.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import pytest
from orlib_warehouses import COSTS_IN, DEMANDS, UNIT_COSTS
from scipy.optimize import linprog

from sortbench.engine.sharing.at_once import share_at_once
from sortbench.engine.sharing.network import Network


class Worked(NamedTuple):
    """A problem with its published optimum: units at each source, units wanted at each place, the cost of each way."""

    source: str
    supplies: tuple[int, ...]
    demands: tuple[int, ...]
    costs: tuple[tuple[int, ...], ...]
    optimum: int


WORKED = (
    Worked(
        "F. L. Hitchcock, The distribution of a product from several sources to numerous localities, "
        "J. Math. Phys. 20 (1941) 224-230: the paper's example",
        (25, 25, 50),
        (15, 20, 30, 35),
        ((10, 5, 6, 7), (8, 2, 7, 6), (9, 3, 4, 8)),
        535,
    ),
    Worked(
        "G. B. Dantzig, Linear Programming and Extensions (1963), section 3-3: two canneries, three warehouses. "
        "Distances in hundreds of miles; at 9 dollars a case and hundred miles the optimum is 153,675 dollars",
        (350, 600),
        (325, 300, 275),
        ((25, 17, 18), (25, 18, 14)),
        153_675 // 9,
    ),
    Worked(
        "W. L. Winston, Operations Research: Applications and Algorithms, transportation chapter: three power plants, "
        "four cities",
        (35, 50, 40),
        (45, 20, 30, 30),
        ((8, 6, 10, 9), (9, 12, 13, 7), (14, 9, 16, 5)),
        1020,
    ),
    Worked(
        "H. A. Taha, Operations Research: An Introduction, transportation chapter: three silos, four mills",
        (15, 25, 10),
        (5, 15, 15, 15),
        ((10, 2, 20, 11), (12, 7, 9, 20), (4, 14, 16, 18)),
        435,
    ),
    Worked(
        "W. L. Winston, Operations Research: Applications and Algorithms, assignment: four machines, four jobs",
        (1, 1, 1, 1),
        (1, 1, 1, 1),
        ((14, 5, 8, 7), (2, 12, 6, 5), (7, 8, 3, 9), (2, 4, 6, 10)),
        15,
    ),
    Worked(
        "H. W. Kuhn, The Hungarian method for the assignment problem, Naval Res. Logist. Quart. 2 (1955) 83-97: the "
        "ratings of four persons for four jobs add up to 27 at most; here a rating r costs -r",
        (1, 1, 1, 1),
        (1, 1, 1, 1),
        ((-8, -7, -9, -9), (-5, -2, -7, -8), (-6, -1, -4, -9), (-2, -3, -2, -6)),
        -27,
    ),
)


class Plan:
    """A transportation problem laid into a network, nothing sent yet.

    Args:
        demands: units wanted at each place.
        gains: what a unit delivered there is worth.
        costs: a row a source; None where there is no way.
    """

    def __init__(self, demands: Sequence[int], gains: Sequence[int], costs: Sequence[Sequence[int | None]]) -> None:
        self.network = Network()
        self.gains, self.costs, self.room = gains, costs, demands
        self.places = [self.network.demand(n, gain) for n, gain in zip(demands, gains, strict=True)]
        self.sources = [
            self.network.supply(
                [(place, cost) for place, cost in zip(self.places, row, strict=True) if cost is not None]
            )
            for row in costs
        ]
        self.there = [0] * len(costs)

    def bring(self, source: int, units: int) -> None:
        """Units come to a source; below 0 they go."""
        self.network.change(self.sources[source], units)
        self.there[source] += units

    def flows(self) -> list[list[int]]:
        """Units from each source to each place; what cannot be is found here."""
        table = []
        for number, source in enumerate(self.sources):
            flow = self.network.flow(source)
            row = [flow.get(place, 0) for place in self.places]
            assert all(units > 0 for units in flow.values())
            assert sum(row) == sum(flow.values())
            assert self.network.spare(source) == self.there[number] - sum(row) >= 0
            assert all(cost is not None for cost, units in zip(self.costs[number], row, strict=True) if units)
            table.append(row)
        assert all(sum(column) <= n for column, n in zip(zip(*table, strict=True), self.room, strict=True))
        return table

    def cost(self) -> int:
        """What the ways taken cost, without the gains."""
        rows = zip(self.flows(), self.costs, strict=True)
        return sum(units * (cost or 0) for row, costs in rows for units, cost in zip(row, costs, strict=True))

    def worth(self) -> int:
        """Gains less costs."""
        return (
            sum(units * gain for row in self.flows() for units, gain in zip(row, self.gains, strict=True)) - self.cost()
        )

    def best(self) -> int:
        """The greatest worth there can be, by a linear program."""
        ways = [(i, j, cost) for i, row in enumerate(self.costs) for j, cost in enumerate(row) if cost is not None]
        if not ways:
            return 0
        rows = np.zeros((len(self.costs) + len(self.room), len(ways)))
        for column, (i, j, _) in enumerate(ways):
            rows[i, column] = rows[len(self.costs) + j, column] = 1
        found = linprog([cost - self.gains[j] for _, j, cost in ways], A_ub=rows, b_ub=[*self.there, *self.room])
        assert found.status == 0
        return round(-float(found.fun))


def full_plan(supplies: Sequence[int], demands: Sequence[int], costs: Sequence[Sequence[int]]) -> Plan:
    """All units sent for the least cost: a unit delivered is worth more than any detour could cost."""
    worth = 1 + 2 * len(supplies) * max(abs(cost) for row in costs for cost in row)
    plan = Plan(demands, [worth] * len(demands), costs)
    for source, units in enumerate(supplies):
        plan.bring(source, units)
    return plan


@pytest.mark.parametrize("problem", WORKED, ids=lambda problem: problem.source.split(",")[0])
def test_worked_problems_reach_their_published_optimum(problem: Worked) -> None:
    plan = full_plan(problem.supplies, problem.demands, problem.costs)
    assert sum(map(sum, plan.flows())) == sum(problem.demands)
    assert plan.cost() == problem.optimum
    assert plan.worth() == plan.best()


@pytest.mark.parametrize("problem", WORKED, ids=lambda problem: problem.source.split(",")[0])
def test_worked_problems_unit_by_unit(problem: Worked) -> None:
    """Brought in and partly taken out again unit by unit, in an order drawn at random: the same optimum."""
    chance = random.Random(1955)
    units = [source for source, n in enumerate(problem.supplies) for _ in range(n)]
    extra = chance.choices(range(len(problem.supplies)), k=20)
    acts = [(source, 1) for source in units + extra]
    chance.shuffle(acts)
    plan = full_plan([0] * len(problem.supplies), problem.demands, problem.costs)
    for source, by in acts + [(source, -1) for source in extra]:
        plan.bring(source, by)
    assert sum(map(sum, plan.flows())) == sum(problem.demands)
    assert plan.cost() == problem.optimum


# Capacitated warehouse location: with the best warehouses open, what is left is a transportation problem


class Warehouses(NamedTuple):
    """Capacity and fixed cost of a warehouse (one of them has none), and the published optimum."""

    capacity: int
    fixed: int
    free: int
    optimum: float
    open: tuple[int, ...]


# Which warehouses are open at the optimum is not published; it was worked out with HiGHS from the whole problem.
LOCATION = {
    "cap41": Warehouses(5_000, 7_500, 10, 1_040_444.375, (0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13)),
    "cap51": Warehouses(10_000, 17_500, 10, 1_025_208.225, (1, 2, 3, 5, 6, 7, 10, 12)),
}


def location_cost(problem: Warehouses, opened: Sequence[int]) -> float | None:
    """Fixed costs and transport with some warehouses open; None if they do not hold enough."""
    costs = [[row[warehouse] for row in UNIT_COSTS] for warehouse in opened]
    plan = full_plan([problem.capacity] * len(opened), DEMANDS, costs)
    if sum(map(sum, plan.flows())) < sum(DEMANDS):
        return None
    return plan.cost() / COSTS_IN + problem.fixed * sum(warehouse != problem.free for warehouse in opened)


@pytest.mark.parametrize("name", LOCATION)
def test_transport_from_the_best_warehouses_reaches_the_published_optimum(name: str) -> None:
    problem = LOCATION[name]
    assert location_cost(problem, problem.open) == pytest.approx(problem.optimum, abs=5e-4)


@pytest.mark.parametrize("name", LOCATION)
def test_no_warehouse_opened_or_closed_beats_the_published_optimum(name: str) -> None:
    """A solver that finds too little would show here: the optimum holds for every choice of warehouses."""
    problem = LOCATION[name]
    for warehouse in range(len(UNIT_COSTS[0])):
        cost = location_cost(problem, sorted(set(problem.open) ^ {warehouse}))
        assert cost is None or cost >= problem.optimum - 5e-4


# At random, against linear programs


@pytest.mark.parametrize("seed", range(60))
def test_every_change_leaves_the_optimum(seed: int) -> None:
    """Units come and go; gains may be less than a way costs, costs may be below 0, and some ways are missing."""
    chance = random.Random(seed)
    sources, places = chance.randint(1, 6), chance.randint(1, 6)
    top = chance.choice((3, 20, 10**6))
    costs = [
        [chance.randint(-top // 4, top) if chance.random() < 0.7 else None for _ in range(places)]
        for _ in range(sources)
    ]
    plan = Plan([chance.randint(1, 5) for _ in range(places)], [chance.randint(0, top) for _ in range(places)], costs)
    for _ in range(10):
        source = chance.randrange(sources)
        out = plan.there[source] and chance.random() < 0.4
        plan.bring(source, -chance.randint(1, plan.there[source]) if out else chance.randint(1, 4))
        assert plan.worth() == plan.best()
    for source, units in enumerate(plan.there[:]):
        plan.bring(source, -units)
    assert plan.worth() == 0


def test_costs_wider_than_a_machine_word_are_exact() -> None:
    """Two ways that differ in the last digit of a number no float and no 64-bit integer holds."""
    big = 10**60
    plan = Plan([1], [10 * big], [[3 * big + 1], [3 * big]])
    plan.bring(0, 1)
    plan.bring(1, 1)
    assert plan.flows() == [[0], [1]]


def test_more_than_there_is_cannot_be_taken_out() -> None:
    plan = Plan([2], [5], [[1]])
    plan.bring(0, 1)
    with pytest.raises(ValueError):
        plan.network.change(plan.sources[0], -2)


# Shared at once


def at_once(rooms: Sequence[int], heaps: Sequence[int], gains: Sequence[Sequence[int | None]]) -> int:
    """What is gained in all when heaps are shared at once; what cannot be is found here."""
    ways = [[(place, gain) for place, gain in enumerate(row) if gain is not None] for row in gains]
    got = share_at_once(rooms, heaps, ways)
    assert all(units > 0 for flows in got for units in flows.values())
    assert all(sum(flows.values()) <= room for flows, room in zip(got, rooms, strict=True))
    assert all(sum(flows.get(heap, 0) for flows in got) <= units for heap, units in enumerate(heaps))
    may = [dict(each) for each in ways]
    return sum(units * may[heap][place] for place, flows in enumerate(got) for heap, units in flows.items())


def largest(rooms: Sequence[int], heaps: Sequence[int], gains: Sequence[Sequence[int | None]]) -> int:
    """The same by the network, brought in unit by unit."""
    top = max((gain for row in gains for gain in row if gain is not None), default=0)
    costs = [[None if gain is None else top - gain for gain in row] for row in gains]
    plan = Plan(rooms, [top] * len(rooms), costs)
    for heap, units in enumerate(heaps):
        for _ in range(units):
            plan.bring(heap, 1)
    return plan.worth()


@pytest.mark.parametrize("problem", WORKED, ids=lambda problem: problem.source.split(",")[0])
def test_worked_problems_shared_at_once(problem: Worked) -> None:
    worth = 1 + 2 * len(problem.supplies) * max(abs(cost) for row in problem.costs for cost in row)
    gains = [[worth - cost for cost in row] for row in problem.costs]
    assert at_once(problem.demands, problem.supplies, gains) == worth * sum(problem.demands) - problem.optimum


@pytest.mark.parametrize("name", LOCATION)
def test_transport_from_the_best_warehouses_shared_at_once(name: str) -> None:
    problem = LOCATION[name]
    worth = 10**12
    gains = [[worth - row[warehouse] for row in UNIT_COSTS] for warehouse in problem.open]
    cost = worth * sum(DEMANDS) - at_once(DEMANDS, [problem.capacity] * len(problem.open), gains)
    fixed = problem.fixed * sum(warehouse != problem.free for warehouse in problem.open)
    assert cost / COSTS_IN + fixed == pytest.approx(problem.optimum, abs=5e-4)


@pytest.mark.parametrize("block", range(4))
def test_sharing_at_once_gains_as_much_as_the_network_and_linear_programs(block: int) -> None:
    """Gains below 0, missing ways, heaps and lines of no units, ties and numbers of many digits are all met."""
    for seed in range(block, 400, 4):
        chance = random.Random(seed)
        places, sources = chance.randint(1, 7), chance.randint(1, 8)
        top = chance.choice((2, 20, 10**6))
        rooms = [chance.randint(0, 5) for _ in range(places)]
        heaps = [chance.randint(0, 6) for _ in range(sources)]
        density = chance.choice((0.3, 0.7, 1))
        gains = [
            [chance.randint(-top // 4, top) if chance.random() < density else None for _ in range(places)]
            for _ in range(sources)
        ]
        found = at_once(rooms, heaps, gains)
        assert found == largest(rooms, heaps, gains), seed
        plan = Plan(rooms, [0] * places, [[None if gain is None else -gain for gain in row] for row in gains])
        plan.there = heaps
        assert found == plan.best(), seed
        big = 10**60
        wide = [[None if gain is None else gain * big + at for at, gain in enumerate(row)] for row in gains]
        assert at_once(rooms, heaps, wide) == largest(rooms, heaps, wide), seed
