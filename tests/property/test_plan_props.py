"""Small plans drawn at random: the plan is as cheap as the best found by trying everything, and breaks no rule."""

from __future__ import annotations

from random import Random

import pytest
from reference_plan import best_cost

from sortbench.engine.plan import idle, solve
from sortbench.engine.planning.plan_case import Choice, Demand, Group, PlanCase, Shop, Source, Way, figures


def small_case(seed: int) -> PlanCase:
    """A few lines, sellers and pieces, with every sort of rule in some of the cases."""
    rng = Random(seed)
    groups = tuple(Group(rng.randint(0, 400)) for _ in range(rng.choice((0, 0, 1, 2))))
    shops = tuple(
        Shop(
            rng.randint(0, 120),
            rng.choice(((), ((5, 0), (9, 60)), ((3, 20), (6, 10), (20, 90)))),
            rng.choice((0, 0, 60, 150)),
        )
        for _ in range(rng.randint(1, 3))
    )
    demands, sources, ways = [], [], []
    for number in range(rng.randint(1, 3)):
        need = rng.randint(1, 3)
        group = rng.randrange(len(groups)) if groups and rng.random() < 0.7 else -1
        demands.append(Demand(need, group))
        if group < 0 or rng.random() < 0.3:
            ways.append(Way(number, -1, Choice.OPEN, rng.randint(20, 200)))
        if rng.random() < 0.6:
            sources.append(Source(rng.randint(1, need), home=number if rng.random() < 0.4 else -1))
            place, blemish = len(sources) - 1, rng.randint(0, 90)
            ways.append(Way(number, place, Choice.KEEP, blemish))
            if rng.random() < 0.5:
                ways.append(Way(number, place, Choice.TREAT, rng.randint(5, 60), rng.randint(1, 2)))
            if number and rng.random() < 0.5:
                ways.append(Way(rng.randrange(number), place, Choice.MOVE, rng.randint(0, 90)))
        for shop in range(len(shops)):
            if rng.random() < 0.7:
                price = rng.randint(5, 80)
                sources.append(Source(rng.randint(1, 4), shop, price, rng.randint(1, 4)))
                ways.append(Way(number, len(sources) - 1, Choice.BUY, price + rng.choice((0, 0, 7))))
                if number and rng.random() < 0.4:
                    ways.append(Way(rng.randrange(number), len(sources) - 1, Choice.STAND_IN, price + 15))
    budget = rng.choice((None, None, 0, rng.randint(0, 400)))
    return PlanCase(
        tuple(demands), tuple(sources), tuple(ways), shops, groups, budget, rng.choice((None, None, 0, 1, 2))
    )


@pytest.mark.parametrize("block", range(10))
def test_a_plan_is_as_cheap_as_trying_everything(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        case = small_case(seed)
        plan = solve(case)
        known = figures(case, dict(plan.taken))
        assert known is not None, seed
        assert plan.proven, seed
        assert (plan.cost, plan.outlay, plan.parcels) == (known.cost, known.outlay, known.parcels), seed
        assert plan.cost == best_cost(case), seed


def test_doing_nothing_is_always_possible() -> None:
    for seed in range(300):
        case = small_case(seed)
        assert figures(case, idle(case)) is not None, seed
