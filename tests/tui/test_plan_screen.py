"""The plan screen: choices and totals, locks and what they come to, the search ended by hand, limits, filters."""

from __future__ import annotations

import sys
from collections.abc import Callable
from decimal import Decimal
from threading import Event

import pytest

from sortbench.bench import Bench
from sortbench.desks.plan_desk import Choice, Lock, make_plan
from sortbench.desks.plan_settings import Settled
from sortbench.engine.plan import Plan, solve
from sortbench.engine.planning.plan_case import PlanCase
from sortbench.model.catalogue import Kind
from sortbench.model.target import Line, Target
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.plan import PlanScreen
from sortbench.tui.screens.reconcile import ReconcileScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import line_with, lines, press, text
from tests.tui.planning import planned, with_market

SIZES = ((80, 24), (120, 36))


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Glasshouse lacks bricks, arches and slopes; two sellers have some of them."""
    return with_market(bench)


class Slow:
    """A search that has found something, and goes on until somebody ends it."""

    def __init__(self) -> None:
        self.asked = 0
        self.told = Event()
        self._pause = Event()

    def __call__(
        self,
        case: PlanCase,
        *,
        seconds: float,
        progress: Callable[[int, float, float], None],
        cancel: Callable[[], bool],
    ) -> Plan:
        self.asked += 1
        progress(1_900, 1_425.0, 0.25)
        self.told.set()
        while not cancel():
            self._pause.wait(0.001)
        return solve(case)._replace(proven=False, cancelled=True, bound=0)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_plan_as_a_whole(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        assert_golden(app, f"plan-{size[0]}x{size[1]}")
        await press(pilot, "down", "down", "right")
        await planned(pilot, bench)
        await press(pilot, "f2", "f6", "b")
        await press(pilot, *"m3.90", "enter")
        await planned(pilot, bench)
        assert_golden(app, f"plan-locked-{size[0]}x{size[1]}")


async def test_totals_are_those_of_the_plan_and_add_up(app: SortbenchApp, bench: Bench) -> None:
    made = make_plan(bench)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "b")
        await planned(pilot, bench)
        totals = bench.planning.view().totals
        assert totals is not None
        parts = totals.goods + totals.shipping + totals.holes + totals.treating + totals.blemishes
        assert parts == totals.cost == made.plan.cost
        assert totals.goods + totals.shipping == made.plan.outlay
        assert f"all in all {Decimal(made.plan.cost) / 100:.2f} EUR" in text(app)
        assert "proven: no plan costs less" in lines(app)[0]
        await press(pilot, "escape")
        assert isinstance(app.screen, ReconcileScreen)


async def test_a_locked_choice_is_planned_around(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        before = bench.planning.view().totals
        await press(pilot, *"/arch", "enter")
        assert "buy" in line_with(app, "arch 1x6x2")
        await press(pilot, "right")
        assert "T-07 line 3 is locked: leave open" in text(app)
        await planned(pilot, bench)
        assert "leave open" in line_with(app, "◆")
        after = bench.planning.view().totals
        assert before is not None and after is not None
        asked_so = make_plan(bench, Settled((Lock("T-07", 3, Choice.OPEN),)))
        assert after.cost == asked_so.plan.cost
        assert after.holes >= before.holes + 2 * 200
        assert after.cost > before.cost, "nothing costs less than the plan of least cost"
        assert f"all in all {Decimal(after.cost) / 100:.2f} EUR" in text(app)
        assert "1 locked" in lines(app)[0]
        await press(pilot, "enter")
        await planned(pilot, bench)
        assert bench.planning.view().totals == before
        assert "◆" not in text(app)
        await press(pilot, "enter")
        await planned(pilot, bench)
        assert "buy" in line_with(app, "◆"), "Enter locks what the plan has"
        await press(pilot, "u")
        await planned(pilot, bench)
        assert "◆" not in text(app)


async def test_esc_ends_the_search_and_keeps_the_best(app: SortbenchApp, bench: Bench) -> None:
    bench.planning.solver = slow = Slow()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        assert slow.told.wait(10)
        await pilot.pause()
        assert "looking for" in lines(app)[0] or "looking … best" in lines(app)[0]
        await press(pilot, "2", "0", "down")
        assert bench.planning.is_working, "keys are answered and end nothing"
        await press(pilot, "escape")
        await planned(pilot, bench)
        assert isinstance(app.screen, PlanScreen)
        assert "stopped by hand" in lines(app)[0]
        assert "arch 1x6x2" in text(app)
        assert slow.asked == 1
        await press(pilot, "r")
        assert bench.planning.is_working
        await press(pilot, "f3")
        await planned(pilot, bench)
        assert not bench.planning.is_working, "a search nobody looks at is ended"


async def test_keys_struck_fast_are_one_search(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        bench.planning.solver = slow = Slow()
        await press(pilot, *["enter", "down"] * 4, "right", "right", "left")
        assert 0 < slow.asked < 7
        bench.planning.cancel()
        await planned(pilot, bench)
        assert len(bench.planning.view().locks) == 3, (
            "the second row is of the same line as the first, so it lets that go"
        )


async def test_only_one_choice_or_some_words(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        every = bench.planning.view().lines
        bought = [line for line in every if line.choice == "buy"]
        await press(pilot, "4")
        assert f"only buy: {len(bought)} of {len(every)} rows" in text(app)
        await press(pilot, "2")
        assert "No line is so." in text(app)
        await press(pilot, "enter", "right", "0")
        assert "only" not in text(app)
        await press(pilot, *"/mill", "enter")
        assert all("Mill" in line or "◆" not in line for line in lines(app))
        assert f"{sum(line.seller.startswith('Mill') for line in every)} of {len(every)} rows hold 'mill'" in text(app)
        await press(pilot, "escape", "4", "escape")
        assert isinstance(app.screen, PlanScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, TargetsScreen)


async def test_limits_bind_and_say_so(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await press(pilot, *"m- 1", "enter")
        await planned(pilot, bench)
        assert "1 parcel of at most 1" in text(app)
        assert "The limit of 1 parcel at most binds" in text(app)
        await press(pilot, *"mlots", "enter")
        assert "✗" in text(app)
        await press(pilot, "escape")
        await press(pilot, *"m-", "enter")
        await planned(pilot, bench)
        assert "binds" not in text(app)


async def test_a_bench_that_changed_is_said_and_a_lock_that_cannot_be_waits(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, *"/arch", "enter", "enter")
        await planned(pilot, bench)
        with Bench.open(bench.path) as other:
            other.enter("arch red *2")
        bench.refresh()
        app.screen.bench_changed()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "The bench changed since this was worked out: r plans anew." in text(app)
        await press(pilot, "escape", "r")
        await planned(pilot, bench)
        assert "The bench changed" not in text(app)
        assert "T-07 line 3 is locked to buy, which cannot be done now; it waits." in text(app)
        assert [lock.line for lock in bench.documents.locks.values()] == [("T-07", 3)]


async def test_without_offers_it_says_how_to_bring_them_in(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.offers.clear()
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        assert "I brings sellers in from a table, then i their offers" in text(app)
        assert "leave open" in text(app)


async def test_without_the_solver_it_says_how_to_install_it(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        assert "pip install" in text(app)
        await press(pilot, "enter", "right", "down")
        monkeypatch.undo()
        await press(pilot, "r")
        await planned(pilot, bench)
        assert "proven" in lines(app)[0]


async def test_nothing_to_plan(app: SortbenchApp, bench: Bench) -> None:
    with bench.folder.documents.edit() as draft:
        draft.targets.clear()
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f6", "b")
        await planned(pilot, bench)
        assert "Nothing is to be planned" in text(app)
        await press(pilot, "enter", "right", "4", "u")


@pytest.mark.parametrize("size", [(40, 20), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_names_are_only_text(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    bench.add_target(Target("[0]", "[/ [red]x", 1990, lines=(Line(Kind("plate-1x2", "white"), 2),)))
    async with app.run_test(size=size) as pilot:
        app.over.plan()
        await pilot.pause()
        await planned(pilot, bench)
        await press(pilot, "end", "home", "enter")
        await planned(pilot, bench)
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 40:
            assert "[0]" in text(app)


async def test_a_plan_left_before_it_stands_does_no_harm(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        for _ in range(5):
            app.over.plan()
            app.pop_screen()
        app.over.plan()
        app.leave()
        await pilot.pause()
    bench.planning.close()
    assert not bench.planning.is_working
