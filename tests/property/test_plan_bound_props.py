"""Bounds of small plans drawn at random: none is above the cheapest plan, and what is left out is in no cheaper one."""

from __future__ import annotations

import math
from functools import cache

import pytest
from reference_plan import best_cost

from sortbench.engine import plan as plan_module
from sortbench.engine.plan import Plan, idle, solve
from sortbench.engine.planning import plan_bound
from sortbench.engine.planning.plan_bound import Bound, Node
from sortbench.engine.planning.plan_case import PlanCase, figures
from sortbench.engine.planning.plan_program import worthwhile
from tests.benchmarks.plan_instances import synthetic
from tests.property.test_plan_props import small_case

HAIR = 1e-6


@cache
def bound_of(seed: int) -> tuple[PlanCase, Bound, Node]:
    case = small_case(seed)
    bound = Bound(case, worthwhile(case), lambda: False)
    return case, bound, bound.root(60)


@cache
def plan_of(seed: int) -> Plan:
    return solve(small_case(seed))


@pytest.mark.parametrize("block", range(5))
def test_no_plan_costs_less_than_the_bound(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        case, _, node = bound_of(seed)
        assert node.bound <= best_cost(case) + HAIR, seed


@pytest.mark.parametrize("block", range(5))
def test_the_cheapest_plan_is_left_in_and_keeps_to_the_worths_of_parcels(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        case, bound, node = bound_of(seed)
        plan = plan_of(seed)
        taken = dict(plan.taken)
        assert taken.keys() <= set(bound.within(node, plan.cost + HAIR)) | _needless(case), seed
        for shop, worth in bound.worths(node).items():
            mg = sum(parcel.mg for parcel in plan.parcels if parcel.shop == shop)
            gained = sum(taken.get(place, 0) * each for place, each in worth.pieces)
            for (most, _), limit in zip(case.shops[shop].steps, worth.steps, strict=True):
                assert mg > most or gained <= limit + HAIR, seed


def _needless(case: PlanCase) -> set[int]:
    return set(range(len(case.ways))) - set(worthwhile(case))


@pytest.mark.parametrize("block", range(5))
def test_both_cases_of_a_parcel_together_hold_the_cheapest_plan(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        _, bound, node = bound_of(seed)
        plan = plan_of(seed)
        sent = {parcel.shop for parcel in plan.parcels}
        waiting = [node]
        while waiting and (node.decided == 0).any():
            node = next(each for each in waiting if _allows(each, sent))
            if (node.decided == 0).any():
                waiting = bound.part(node, plan.cost)
        assert node.bound <= plan.cost + HAIR, seed


def _allows(node: Node, sent: set[int]) -> bool:
    return all(side == 0 or (side > 0) == (shop in sent) for shop, side in enumerate(node.decided))


@pytest.mark.parametrize("block", range(10))
def test_a_plan_found_case_by_case_is_as_cheap_as_trying_everything(
    block: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plan_module, "_FEW_SHOPS", 0)
    monkeypatch.setattr(plan_bound, "_FEW_SHOPS", 0)
    monkeypatch.setattr(plan_bound, "_FEW_OPEN", 0)
    monkeypatch.setattr(plan_bound, "_LIKELY", 1)
    monkeypatch.setattr(plan_bound, "_FROM_NOTHING", plan_bound._FROM_NOTHING._replace(rounds=100))
    for seed in range(block * 20, block * 20 + 20):
        case = small_case(seed)
        plan = solve(case)
        known = figures(case, dict(plan.taken))
        assert known is not None, seed
        assert plan.proven, seed
        assert (plan.cost, plan.outlay, plan.parcels) == (known.cost, known.outlay, known.parcels), seed
        assert plan.cost == best_cost(case), seed


@pytest.mark.parametrize("seed", range(1, 5))
def test_case_by_case_and_all_at_once_come_to_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    case = synthetic(14, 25, seed)._replace(parcels=(None, 3)[seed % 2], budget=(None, None, 900)[seed % 3])
    by_cases = solve(case)
    monkeypatch.setattr(plan_module, "_FEW_SHOPS", math.inf)
    at_once = solve(case)
    assert by_cases.proven
    assert at_once.proven
    assert by_cases.cost == at_once.cost <= figures_of(case)


def figures_of(case: PlanCase) -> int:
    known = figures(case, idle(case))
    assert known is not None
    return known.cost
