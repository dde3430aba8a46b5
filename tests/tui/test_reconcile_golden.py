"""The reconcile screen and the pick list as a whole, in three sizes."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from tests.tui.golden import assert_golden
from tests.tui.looking import press
from tests.tui.reconciling import reconciled

SIZES = ((80, 24), (120, 36), (200, 60))


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """The bench of the reconcile screen's tests, with some spares and a coarse count."""
    reconciled(bench)
    bench.enter("br pl 12 *7")
    bench.hold_shade("white")
    bench.count_coarse("B2", 2)
    bench.hold_shade("")
    return bench


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_reconcile(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f6", "right", "down")
        assert_golden(app, f"reconcile-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_reconcile_with_something_tried_out(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f6", "down", "+", "down", "right", "down", "right", "down", "a", "k")
        assert_golden(app, f"reconcile-tried-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_spares(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f6", "end", "right")
        assert_golden(app, f"reconcile-spares-{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_pick_list(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f6", "p")
        await pilot.pause()
        await press(pilot, "enter", *"*2", "enter", "down")
        assert_golden(app, f"pick-{size[0]}x{size[1]}")
