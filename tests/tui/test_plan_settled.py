"""The plan screen: locks and limits that stay, single offers, orders of the plan, what is on order, what is spare."""

from __future__ import annotations

from decimal import Decimal
from threading import Event, Thread, current_thread, main_thread
from typing import Any

import pytest

from sortbench.bench import Bench
from sortbench.desks import plan_search
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.plan_desk import Change, Put, make_plan, settle
from sortbench.desks.plan_settings import Limits, Settled, keep_terms, settled_of, terms_of
from sortbench.model.catalogue import Kind
from sortbench.model.errors import WriteError
from sortbench.model.grade import Grade
from sortbench.model.offer import Offer
from sortbench.model.plan_lock import Choice, Lock
from sortbench.store.documents import Documents, Draft
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.orders import OrdersScreen
from sortbench.tui.screens.plan import PlanScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import line_with, lines, press, text
from tests.tui.planning import planned, with_market

SIZES = ((80, 24), (120, 36))
ARCH = Kind("arch-1x6x2", "brick red")
DEARER = Offer("O9", "Attic & Co", ARCH, Grade.G5, (), Decimal("3.00"), 1)


@pytest.fixture
def bench(bench: Bench) -> Bench:
    return with_market(bench, DEARER)


async def test_locks_and_limits_outlast_the_sitting(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, *"/arch", "enter", "right", *"m9 2", "enter")
        await planned(pilot, bench)
        assert "budget 9.00" in text(app)
    with Bench.open(bench.path) as later:
        kept, lost = settled_of(later)
        assert kept == Settled((Lock("T-07", 3, Choice.OPEN, "", ARCH),), Limits(Decimal("9.00"), 2))
        assert not lost
        later.planning.begin(lambda: None)
        later.planning.wait()
        view = later.planning.view()
        assert [line.choice for line in view.lines if line.key == ("T-07", 3)] == [Choice.OPEN]
        assert view.limits == kept.limits


async def test_what_is_let_go_is_let_go_on_disk(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, "enter", "down", "down", "enter")
        await planned(pilot, bench)
        assert len(bench.folder.documents.load().locks) == 2
        await press(pilot, "u", *"m-", "enter")
        await planned(pilot, bench)
        assert not bench.folder.documents.load().locks


async def test_a_lock_that_cannot_be_written_holds_for_now_and_says_so(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise WriteError("The disk is full.", "Make room.")

    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        monkeypatch.setattr(Documents, "_write", refuse)
        await press(pilot, *"/arch", "enter", "right")
        await planned(pilot, bench)
        assert "could not be kept, and hold for now only: The disk is full." in text(app)
        assert "leave open" in line_with(app, "◆")
        monkeypatch.undo()
        assert not bench.folder.documents.load().locks
        await press(pilot, "r")
        await planned(pilot, bench)
        assert "could not be kept" not in text(app)
        assert [lock.line for lock in bench.folder.documents.load().locks.values()] == [("T-07", 3)]


async def test_a_slow_disk_keeps_no_key_waiting(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Keys are answered while a lock is written; those struck meanwhile are the next write, in their order."""
    writers: list[Thread] = []
    go_on, write = Event(), Documents._write

    def slow(documents: Documents, draft: Draft, version: int) -> None:
        writers.append(current_thread())
        assert current_thread() is main_thread() or go_on.wait(30)
        write(documents, draft, version)

    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        monkeypatch.setattr(Documents, "_write", slow)
        await press(pilot, *"/arch", "enter", "right")
        assert "T-07 line 3 is locked: leave open" in text(app)
        bench.refresh()
        await press(pilot, "left", "left", "down")
        assert len(writers) == 1 and main_thread() not in writers
        assert not bench.folder.documents.load().locks
        first = bench.planning.view().locks["T-07", 3]
        go_on.set()
        await planned(pilot, bench)
        assert list(bench.folder.documents.load().locks.values()) == [first] and len(writers) == 2
        assert bench.documents.locks == bench.folder.documents.load().locks
        assert "The bench changed" not in text(app), "what this sitting wrote is no change from elsewhere"
    bench.planning.lock(("T-07", 1), Choice.OPEN)
    bench.planning.close()
    assert len(bench.folder.documents.load().locks) == 2, "struck right before the end"


async def test_a_line_is_locked_to_one_offer(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, *"/arch", "enter", "+")
        assert "T-07 line 3 is locked: buy, offer O2 of Mill Lane Bricks, 0.80 EUR, has 2" in text(app)
        await press(pilot, "+")
        assert "T-07 line 3 is locked: buy, offer O9 of Attic & Co, 3.00 EUR, has 1" in text(app)
        await planned(pilot, bench)
        assert "Attic & Co" in line_with(app, "◆")
        assert [lock.offer for lock in bench.documents.locks.values()] == ["O9"]
        await press(pilot, "-", "-")
        await planned(pilot, bench)
        assert [lock.offer for lock in bench.documents.locks.values()] == ["O9"], "before the cheapest is the dearest"
        await press(pilot, "escape", *"/slope", "enter", "enter", "escape")
        await planned(pilot, bench)
        assert len(bench.planning.view().locks) == 2


async def test_a_lock_of_an_offer_that_is_gone_is_told_and_dropped(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, *"/arch", "enter", "+", "+")
        await planned(pilot, bench)
        with bench.folder.documents.edit() as draft:
            del draft.offers["O9"]
        bench.reload()
        await press(pilot, "r")
        await planned(pilot, bench)
        assert "The lock on T-07 line 3 is dropped: there is no offer O9 any more." in text(app)
        assert not bench.folder.documents.load().locks


async def test_the_plan_becomes_orders(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        bought = sum(line.quantity for line in bench.planning.view().lines if line.price is not None)
        await press(pilot, "o")
        assert f"Make 2 orders of the plan that is shown, {bought} pieces in all? y does it" in text(app)
        await press(pilot, "down")
        assert not bench.documents.orders, "any other key leaves it"
        await press(pilot, "o", "y")
        await pilot.pause()
        assert isinstance(app.screen, OrdersScreen)
        assert sum(line.quantity for order in bench.documents.orders.values() for line in order.lines) == bought
        await press(pilot, "escape")
        await pilot.pause()
        await planned(pilot, bench)
        assert isinstance(app.screen, PlanScreen)
        view = bench.planning.view()
        assert not [line for line in view.lines if line.price is not None], "what is on order is not planned again"
        assert "on order" in line_with(app, "arch 1x6x2")
        assert "waits for an order" in line_with(app, "slope 45 2x2")
        await press(pilot, "o")
        assert "✗ This plan buys nothing." in text(app)
        await press(pilot, "end", "home", *"/arch", "enter", "enter")
        assert "What is on order comes in any case." in text(app)
        assert not bench.planning.view().locks


async def test_an_old_plan_is_not_ordered(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        OrdersDesk(bench).new([Purchase("O4", 1, "T-03")])
        await press(pilot, "o")
        assert "✗ The bench changed since this was worked out." in text(app)
        assert list(bench.documents.orders) == ["P1"]


async def test_orders_made_elsewhere_meanwhile_are_not_made_twice(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sortbench.tui.app.FOLLOW_S", 3_600)  # the key comes before the next look, however slow it is
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, "o")
        with Bench.open(bench.path) as other:
            OrdersDesk(other).new([Purchase("O4", 1, "T-03")])
        await press(pilot, "y")
        assert "since it was planned what to buy" in text(app)
        assert list(bench.folder.documents.load().orders) == ["P1"]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_what_is_worth_finishing_and_what_is_spare(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    with bench.folder.documents.edit() as draft:
        draft.targets["T-03"] = draft.targets["T-03"]._replace(value=40)
        draft.targets["T-07"] = draft.targets["T-07"]._replace(value=3)
    bench.reload()
    keep_terms(bench, terms_of(bench)._replace(spare=Decimal("0.5")))
    bench.enter("gr pl 12 *3")
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, "l")
        assert "Spares are listed once it is asked which targets are worth finishing: w." in text(app)
        await press(pilot, "w")
        await planned(pilot, bench)
        assert_golden(app, f"plan-spares-{size[0]}x{size[1]}")
        await press(pilot, "escape")
        assert "not worth finishing T-07" in text(app)
        assert_golden(app, f"plan-worth-{size[0]}x{size[1]}")
        totals = bench.planning.view().totals
        assert totals is not None
        assert totals.value == 4_000
        await press(pilot, "w")
        await planned(pilot, bench)
        assert "not worth finishing" not in text(app)


async def test_spares_are_filtered_and_keys_of_the_plan_say_where_they_belong(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, "w", "l")
        await planned(pilot, bench)
        await press(pilot, *"/brick", "enter")
        assert "plate 2x4" not in "\n".join(lines(app)[6:20])
        await press(pilot, "right")
        assert "✗ That is for the plan: l shows it." in text(app)
        await press(pilot, "escape", "escape")
        assert "choice" in text(app)
        assert not bench.planning.view().locks


async def test_the_screen_is_left_and_entered_with_a_lock_struck(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        await press(pilot, *"/arch", "enter", "right", "escape", "escape")
        await press(pilot, "b")
        await planned(pilot, bench)
        assert [lock.line for lock in bench.folder.documents.load().locks.values()] == [("T-07", 3)]


async def test_the_question_is_put_together_aside_of_the_bench_as_it_was(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pieces counted meanwhile wait for nothing, and do no harm to the plan."""
    go, began, threads = Event(), Event(), []
    real = plan_search.put_together

    def gated(*args: Any) -> Put:
        threads.append(current_thread())
        began.set()
        assert go.wait(20)
        return real(*args)

    monkeypatch.setattr(plan_search, "put_together", gated)
    before = make_plan(bench)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        assert began.wait(20)
        bench.enter("arch red *2")
        await press(pilot, "down", "up")
        assert bench.planning.is_working
        go.set()
        await planned(pilot, bench)
        totals = bench.planning.view().totals
        assert totals == before.totals
        assert "The bench changed since this was worked out: r plans anew." in text(app)
        await press(pilot, "r")
        await planned(pilot, bench)
        assert bench.planning.view().totals == make_plan(bench).totals != before.totals
    assert all(thread is not main_thread() for thread in threads)


async def test_what_the_command_line_settles_is_seen(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        with Bench.open(bench.path) as other:
            settle(other, Change((Lock("T-07", 3, Choice.OPEN),), limits=Limits(None, 1)))
        bench.refresh()
        await press(pilot, "r")
        await planned(pilot, bench)
        assert "leave open" in line_with(app, "◆")
        assert "of at most 1" in text(app)


async def test_offers_that_are_damaged_are_told_and_counting_goes_on(app: SortbenchApp, bench: Bench) -> None:
    path = bench.path / "bench.json"
    path.write_text(path.read_text().replace('"0.80"', '"lots"'))
    bench.reload()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        assert "table 'offers'" in " ".join(text(app).split())
        await press(pilot, "down", "+", "right", "enter", "o", "l", "w")
        await planned(pilot, bench)
        bench.enter("arch red *2")
