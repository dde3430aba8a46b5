"""The solver runs one program at a time: two questions at once both get their answer, and who waits can give up."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event, Thread

import pytest

from sortbench.engine.plan import Plan, solve
from sortbench.engine.planning import solver
from sortbench.engine.planning.plan_case import figures
from sortbench.engine.planning.solver import turn
from sortbench.engine.reconciling.best_order import BestOrder, best_order
from tests.benchmarks.plan_instances import synthetic
from tests.unit.test_best_order import GREEDY, ONE_EACH, case, picture_of

PATIENCE_S = 120


def aside(question: Callable[[], None]) -> Thread:
    thread = Thread(target=question, daemon=True)
    thread.start()
    return thread


def test_two_questions_at_once_are_both_answered() -> None:
    sizes = ((8, 40), (14, 50))
    plans: dict[int, Plan] = {}

    def ask(place: int) -> None:
        plans[place] = solve(synthetic(*sizes[place]))

    threads = [aside(lambda place=place: ask(place)) for place in range(len(sizes))]  # type: ignore[misc]
    for thread in threads:
        thread.join(PATIENCE_S)
    assert {place: plan.proven for place, plan in plans.items()} == {0: True, 1: True}
    assert [plans[place].cost for place in range(len(sizes))] == [solve(synthetic(*size)).cost for size in sizes]


def test_a_plan_and_a_best_order_wait_for_one_another() -> None:
    orders: list[BestOrder] = []
    with turn() as mine:
        thread = aside(lambda: orders.append(best_order(picture_of(case(GREEDY, ONE_EACH)))))
        thread.join(3 * solver.EVERY_S)
        assert mine
        assert not orders, "it has to wait"
    thread.join(PATIENCE_S)
    assert orders[0].completed == ("T-02", "T-03")


def test_who_waits_can_give_up_and_has_the_plan_of_doing_nothing() -> None:
    question = synthetic(8, 30)
    asked, plans = Event(), list[Plan]()

    def gives_up() -> bool:
        asked.set()
        return True

    with turn():
        thread = aside(lambda: plans.append(solve(question, cancel=gives_up)))
        assert asked.wait(PATIENCE_S)
        thread.join(PATIENCE_S)
    (plan,) = plans
    known = figures(question, dict(plan.taken))
    assert known is not None
    assert (plan.cost, plan.cancelled, plan.parcels) == (known.cost, True, ())
    assert solve(question).proven, "the next has its turn"


def test_waiting_takes_nothing_from_the_time_for_the_search() -> None:
    question = synthetic(8, 30)
    plans: list[Plan] = []
    with turn():
        thread = aside(lambda: plans.append(solve(question, seconds=PATIENCE_S)))
        thread.join(3 * solver.EVERY_S)
    thread.join(PATIENCE_S)
    assert plans[0].proven


def test_a_fault_while_progress_is_told_leaves_the_solver_fit_for_the_next() -> None:
    def broken(cost: int, bound: float, gap: float) -> None:
        raise ValueError("nobody listens")

    with pytest.raises(ValueError, match="nobody listens"):
        solve(synthetic(30, 120), progress=broken)
    assert solve(synthetic(8, 30)).proven


def test_a_turn_ends_with_the_question_even_if_that_fails() -> None:
    with pytest.raises(ZeroDivisionError), turn():
        raise ZeroDivisionError
    with turn(lambda: True) as mine:
        assert mine
