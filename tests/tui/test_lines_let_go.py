"""Screens that are closed leave no lines behind, however often they are opened."""

from __future__ import annotations

import gc

from textual.strip import Strip

from sortbench.tui.app import SortbenchApp
from tests.tui.looking import press

ROUND = ("f3", "f4", "f6", "f7", "f2")


def lines_held() -> int:
    """Drawn lines that something still refers to."""
    gc.collect()
    return sum(isinstance(each, Strip) for each in gc.get_objects())


async def test_lines_of_closed_screens_are_let_go(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        for _ in range(3):
            await press(pilot, *ROUND)
        before = lines_held()
        for _ in range(4):
            await press(pilot, *ROUND)
        # The screen closed last may still be on its way out.
        assert lines_held() <= before + 2 * 36
