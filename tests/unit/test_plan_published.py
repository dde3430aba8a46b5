"""The plan's own solver against published optima of warehouse location: a seller with fixed shipping is a warehouse.

Source: J. E. Beasley, OR-Library: distributing test problems by electronic mail, J. Opl. Res. Soc. 41 (1990) 1069-1072,
files ``cap71`` to ``cap74``, ``cap131``, ``cap132`` (uncapacitated), ``cap41``, ``cap51``, ``cap81`` (capacitated), and
their optima. All of them have the customers of :mod:`orlib_warehouses`, and some of the fifty warehouses whose costs of
a unit stand in ``orlib_fifty_warehouses.txt``, in eightieths, a row a customer. They differ in fixed cost and capacity.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from orlib_warehouses import COSTS_IN, DEMANDS, UNIT_COSTS

from sortbench.engine.plan import solve
from sortbench.engine.planning.plan_case import Choice, Demand, PlanCase, Shop, Source, Way

FIFTY = tuple(
    tuple(map(int, row.split()))
    for row in (Path(__file__).parents[1] / "orlib_fifty_warehouses.txt").read_text(encoding="ascii").splitlines()
)
ALL = tuple(range(50))
SIXTEEN = (2, 6, 7, 10, 11, 12, 14, 15, 17, 21, 22, 24, 26, 28, 29, 32)
TWENTY_FIVE = (*SIXTEEN, 33, 36, 37, 40, 41, 42, 44, 45, 48)
FREE = 22
"""The one warehouse that costs nothing to open, in every file."""


def test_the_sixteen_warehouses_are_among_the_fifty() -> None:
    assert [tuple(row[place] for place in SIXTEEN) for row in FIFTY] == list(UNIT_COSTS)


@pytest.mark.parametrize(
    ("which", "fixed", "optimum"),
    [
        pytest.param(SIXTEEN, 7500, 932615.750, id="cap71"),
        pytest.param(SIXTEEN, 12500, 977799.400, id="cap72"),
        pytest.param(SIXTEEN, 17500, 1010641.450, id="cap73"),
        pytest.param(SIXTEEN, 25000, 1034976.975, id="cap74"),
        pytest.param(ALL, 7500, 793439.562, id="cap131"),
        pytest.param(ALL, 12500, 851495.325, id="cap132"),
    ],
)
def test_sellers_that_have_everything(which: tuple[int, ...], fixed: int, optimum: float) -> None:
    """Each customer is one piece; a warehouse sends it for what all the customer asks for would cost."""
    costs = [[quantity * row[place] for place in which] for quantity, row in zip(DEMANDS, FIFTY, strict=True)]
    case = _case([1] * len(DEMANDS), costs, tuple(Shop(0 if place == FREE else fixed * COSTS_IN) for place in which))
    _check(case, optimum)


@pytest.mark.parametrize(
    ("which", "fixed", "capacity", "optimum"),
    [
        pytest.param(SIXTEEN, 7500, 5000, 1040444.375, id="cap41"),
        pytest.param(SIXTEEN, 17500, 10000, 1025208.225, id="cap51"),
        pytest.param(TWENTY_FIVE, 7500, 5000, 838499.288, id="cap81"),
    ],
)
def test_sellers_whose_parcels_hold_so_much(which: tuple[int, ...], fixed: int, capacity: int, optimum: float) -> None:
    """Each unit is a piece that weighs one; the one step of shipping says what a parcel may weigh."""
    shops = tuple(Shop(0 if place == FREE else fixed * COSTS_IN, ((capacity, 0),)) for place in which)
    _check(_case(DEMANDS, [[row[place] for place in which] for row in FIFTY], shops, mg=1), optimum)


def _case(needs: tuple[int, ...] | list[int], costs: list[list[int]], shops: tuple[Shop, ...], mg: int = 0) -> PlanCase:
    sources, ways = [], []
    for demand, row in enumerate(costs):
        ways.append(Way(demand, -1, Choice.OPEN, 10 * max(row)))
        for shop, cost in enumerate(row):
            ways.append(Way(demand, len(sources), Choice.BUY, cost))
            sources.append(Source(needs[demand], shop, cost, mg))
    return PlanCase(tuple(map(Demand, needs)), tuple(sources), tuple(ways), shops)


def _check(case: PlanCase, optimum: float) -> None:
    plan = solve(case, seconds=300)
    assert plan.proven
    assert plan.cost / COSTS_IN == pytest.approx(optimum, rel=1e-6)
    # Everything that is paid is paid to somebody: nothing was left open.
    assert plan.outlay == plan.cost
