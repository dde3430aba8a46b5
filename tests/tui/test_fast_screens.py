"""Screens that come and go faster than they are made."""

from __future__ import annotations

import pytest

from sortbench.tui.app import SortbenchApp


@pytest.mark.parametrize("place", ["targets", "bins", "log", "reconcile"])
async def test_a_screen_left_before_it_stands_does_no_harm(app: SortbenchApp, place: str) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        for _ in range(5):
            app.show_place(place)
            app.show_place("bench")
        await pilot.pause()
        app.show_place(place)
        app.leave()
        await pilot.pause()


async def test_help_closed_before_it_stands_does_no_harm(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        for _ in range(5):
            app.over.help("typing")
            app.pop_screen()
        app.over.help("typing")
        app.leave()
        await pilot.pause()


async def test_a_pick_list_left_before_it_stands_does_no_harm(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        for _ in range(5):
            app.show_place("reconcile")
            app.over.pick("T-07")
            app.pop_screen()
            app.over.pick("T-07")
            app.show_place("bench")
        await pilot.pause()
        app.over.pick("T-07")
        app.leave()
        await pilot.pause()


async def test_a_look_that_comes_when_the_screens_are_gone_is_no_fault(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
    assert not app.screen_stack
    app._follow()  # its timer may fire once more while the app is being taken down
