"""The plan: each rule of a case by itself, and what becomes of a search that is stopped."""

from __future__ import annotations

import sys

import pytest

from sortbench.engine.plan import gap_of, solve
from sortbench.engine.planning.plan_case import Choice, Demand, Group, PlanCase, Shop, Source, Way, figures
from sortbench.model.errors import UsageError
from tests.benchmarks.plan_instances import cheapest_offers, synthetic

HOLE = Way(0, -1, Choice.OPEN, 100)


def one_seller(shop: Shop, *, stock: int = 5, price: int = 10, need: int = 3, budget: int | None = None) -> PlanCase:
    """One line of holes and one seller."""
    ways = (HOLE, Way(0, 0, Choice.BUY, price))
    return PlanCase((Demand(need),), (Source(stock, 0, price, 1000),), ways, (shop,), budget=budget)


def bought(case: PlanCase) -> int:
    plan = solve(case)
    assert plan.proven
    return sum(taken.quantity for taken in plan.taken if case.ways[taken.way].choice is Choice.BUY)


def test_what_is_cheaper_than_the_holes_is_bought() -> None:
    plan = solve(one_seller(Shop(50)))
    assert (plan.cost, plan.outlay, plan.bound, plan.gap) == (80, 80, 80, 0)
    assert plan.parcels == ((0, 3, 30, 50, 3000),)


def test_shipping_dearer_than_the_holes_is_not_paid() -> None:
    assert bought(one_seller(Shop(271))) == 0
    assert bought(one_seller(Shop(269))) == 3


def test_no_more_is_bought_than_there_is() -> None:
    assert bought(one_seller(Shop(50), stock=2)) == 2


def test_a_budget_is_kept() -> None:
    assert bought(one_seller(Shop(50), budget=79)) == 2
    assert bought(one_seller(Shop(50), budget=59)) == 0


def test_an_order_that_comes_to_too_little_is_not_placed() -> None:
    assert bought(one_seller(Shop(50, minimum=31))) == 0
    assert bought(one_seller(Shop(50, minimum=30))) == 3


def test_a_parcel_stays_on_the_step_that_pays() -> None:
    assert bought(one_seller(Shop(50, ((2000, 0), (9000, 91))))) == 2
    assert bought(one_seller(Shop(50, ((2000, 0), (9000, 89))))) == 3
    assert bought(one_seller(Shop(50, ((2999, 0),)))) == 2


def test_pieces_never_thrown_away_are_used() -> None:
    ways = (HOLE, Way(0, 0, Choice.KEEP, 90), Way(0, 1, Choice.BUY, 10))
    for home, kept in ((-1, 0), (0, 1)):
        case = PlanCase((Demand(1),), (Source(1, home=home), Source(1, 0, 10)), ways, (Shop(0),))
        assert [taken.way for taken in solve(case).taken] == [1 if kept else 2]


def test_a_piece_moved_leaves_a_hole_where_it_was() -> None:
    ways = (
        HOLE,
        Way(0, 0, Choice.MOVE, 0),
        Way(1, 0, Choice.KEEP, 0),
        Way(1, -1, Choice.OPEN, 30),
    )
    case = PlanCase((Demand(1), Demand(1)), (Source(1),), ways)
    plan = solve(case)
    assert (plan.cost, [taken.way for taken in plan.taken]) == (30, [1, 3])


@pytest.mark.parametrize(("value", "cost"), [(59, 0), (61, -1)])
def test_a_target_is_finished_where_that_is_worth_it(value: int, cost: int) -> None:
    ways = (Way(0, 0, Choice.BUY, 10),)
    case = PlanCase((Demand(1, 0),), (Source(1, 0, 10),), ways, (Shop(50),), (Group(value),))
    plan = solve(case)
    assert (plan.cost, plan.settled) == (cost, (0,) if cost else ())


def test_a_search_without_time_keeps_what_lies_there() -> None:
    case = synthetic(8, 30)
    plan = solve(case, seconds=0)
    known = figures(case, dict(plan.taken))
    assert known is not None
    assert known.cost == plan.cost
    assert plan.bound <= plan.cost


def test_a_search_can_be_cancelled_and_gives_the_best_so_far() -> None:
    case = synthetic(14, 80)
    plan = solve(case, cancel=lambda: True)
    known = figures(case, dict(plan.taken))
    assert known is not None
    assert known.cost == plan.cost
    assert plan.cancelled or plan.proven
    assert plan.bound <= plan.cost


def test_progress_is_told_and_never_contradicts_the_end() -> None:
    case = synthetic(14, 80)
    told: list[tuple[int, float, float]] = []
    plan = solve(case, progress=lambda cost, bound, gap: told.append((cost, bound, gap)))
    for _, bound, gap in told:
        assert bound <= plan.cost + 1
        assert 0 <= gap <= 1


def test_a_gap_that_is_good_enough_ends_the_search() -> None:
    case = synthetic(10, 60)
    exact, rough = solve(case), solve(case, gap=0.05)
    assert exact.proven
    assert rough.gap <= 0.05
    assert exact.cost <= rough.cost <= exact.cost / 0.95 + 1


def test_a_plan_is_no_dearer_than_the_cheapest_offer_for_each_line() -> None:
    case = synthetic(10, 60)
    naive = figures(case, cheapest_offers(case))
    assert naive is not None
    assert solve(case).cost <= naive.cost


def test_nothing_to_settle_costs_nothing() -> None:
    plan = solve(PlanCase((), (), ()))
    assert (plan.cost, plan.taken, plan.proven) == (0, (), True)


def test_gaps() -> None:
    assert (gap_of(100, 90), gap_of(0, 0), gap_of(-10, -20)) == (0.1, 0, 1)


def test_without_the_solver_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    with pytest.raises(UsageError, match="pip install"):
        solve(one_seller(Shop(50)))
