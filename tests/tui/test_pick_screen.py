"""The pick list: rows ticked off as their pieces go from the bins into the crate, and put back."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Fate, What
from sortbench.model.target import Line, Target
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.pick import PickScreen
from sortbench.tui.screens.reconcile import ReconcileScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import line_with, lines, press, text
from tests.tui.reconciling import reconciled


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Glasshouse has four white plates, one of them of grade 3, and three white bricks in B1, two grey ones in B2."""
    return reconciled(bench)


def in_crate(bench: Bench, code: str = "T-07") -> dict[str, int]:
    """Pieces in a crate by part and shade."""
    found: dict[str, int] = {}
    for cell, quantity in bench.picture.ledger.in_crate(code).items():
        name = f"{cell.part} {cell.shade}"
        found[name] = found.get(name, 0) + quantity
    return found


async def test_it_lists_what_to_take_by_bin(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        assert "T-07 Glasshouse · pick list · 1 of 2 ›" in lines(app)[0]
        assert "0/9 picked  9 pieces to take from 2 bins  6 short" in lines(app)[1]
        rows = [line.split() for line in lines(app) if "□" in line]
        assert [row[row.index("□") + 1] for row in rows] == ["B1", "B1", "B1", "B2"]
        assert "row 1, left" in line_with(app, "▸ □ B1")
        assert line_with(app, "3 w ≈ brick 2x4")


async def test_enter_ticks_off_row_after_row_into_the_crate(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter")
        assert in_crate(bench) == {"brick-2x4 white": 3}
        assert "picked: 3 × brick 2x4, white (B1)" in text(app)
        assert "3/9 picked" in lines(app)[1]
        assert "✓" in line_with(app, "3 w ≈ brick 2x4"), "the row stays where it stood"
        await press(pilot, "enter", "enter", "enter")
        assert in_crate(bench) == {"brick-2x4 white": 3, "plate-2x4 white": 4, "brick-2x4 grey, early": 2}
        assert "✓ all picked" in lines(app)[1]
        await press(pilot, "enter")
        assert sum(in_crate(bench).values()) == 9
        assert "ticked off already" in text(app)
        assert next(row.present for row in bench.target_rows() if row.code == "T-07") == 9, "picked pieces stay present"


async def test_backspace_puts_back_where_it_came_from(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", "up", "backspace")
        assert in_crate(bench) == {}
        assert "put back: 3 × brick 2x4, white (B1)" in text(app)
        assert {row.label: row.pieces for row in bench.bin_rows()} == {"B1": 8, "B2": 2, "B3": 0}
        await press(pilot, "backspace")
        assert "Nothing of this row has been picked" in line_with(app, "✗")


async def test_some_of_a_row_by_number(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, *"*2", "enter")
        assert in_crate(bench) == {"brick-2x4 white": 2}
        assert "1 of 3" in line_with(app, "▸ ◧ B1")
        await press(pilot, *"*2", "enter")
        assert "1 left to take, not '2'" in line_with(app, "✗")
        assert "how many: 2" in text(app)
        await press(pilot, "escape", *"*x", "enter")
        assert "not 'x'" in line_with(app, "✗")
        await press(pilot, "escape", "enter")
        assert in_crate(bench) == {"brick-2x4 white": 3}


async def test_what_is_picked_is_in_the_log_and_can_be_voided_there(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", "f5")
        assert "picked" in line_with(app, "▸")
        [move] = [row for row in bench.log_rows() if row.what is What.MOVE]
        assert (move.quantity, move.bin, move.to_bin, move.to_fate) == (3, "B1", "T-07", Fate.CRATE)
        await press(pilot, "delete", "y")
        assert in_crate(bench) == {}


async def test_keys_struck_faster_than_frames_tick_each_row_once(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await pilot.pause()
        await press(pilot, *["enter"] * 7)
        assert sum(in_crate(bench).values()) == 9
        assert len([row for row in bench.log_rows() if row.what is What.MOVE]) == 4


async def test_open_rows_only_and_a_filter(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", "s")
        assert "only rows that are not ticked off: 3" in text(app)
        assert "✓ B1" not in text(app)
        await press(pilot, "enter", "enter", "enter")
        assert "not ticked off: 0" in text(app)
        await press(pilot, "enter")
        assert "no row here to tick off" in line_with(app, "✗")
        await press(pilot, "s", *"/grey")
        assert "1 of 4 rows hold" in text(app)
        await press(pilot, "enter", "escape")
        assert "3 w ≈ brick 2x4" in text(app)
        assert isinstance(app.screen, PickScreen)


async def test_left_and_right_go_through_the_targets(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "right")
        assert "T-03 Funicular Halt · pick list · 2 of 2" in lines(app)[0]
        await press(pilot, "right", "enter")
        assert in_crate(bench, "T-03") == {"plate-2x4 white": 1}
        await press(pilot, "left", "left")
        assert "Glasshouse" in lines(app)[0]


async def test_it_leads_back_to_the_screen_that_asked_for_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "right", "p")
        await pilot.pause()
        assert "Funicular Halt · pick list" in lines(app)[0]
        await press(pilot, "escape")
        assert isinstance(app.screen, TargetsScreen)
        await press(pilot, "p")
        await pilot.pause()
        await press(pilot, "f6")
        assert isinstance(app.screen, ReconcileScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_what_was_picked_shows_on_the_reconcile_screen(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", "escape", "right", "down")
        assert "crate T-07 3" in text(app)


async def test_a_target_without_pieces_and_a_parked_one_say_so(app: SortbenchApp, bench: Bench) -> None:
    bench.add_target(Target("T-12", "Orchard Gate", 1991, lines=(Line(Kind("plate-1x2", "white"), 2),)))
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "end", "up", "p")
        await pilot.pause()
        assert "Nothing that was counted so far is for Orchard Gate" in text(app)
        await press(pilot, "enter", "backspace", *"*3", "enter")
        assert "no row here" in line_with(app, "✗")
        await press(pilot, "escape", "escape", "0", "k", "y", "p")
        await pilot.pause()
        assert "parked" in lines(app)[1]
        assert "0 on the reconcile screen (F6)" in text(app)


async def test_another_sitting_picks_from_the_same_list(app: SortbenchApp, bench: Bench) -> None:
    with Bench.open(bench.path) as other:
        async with app.run_test(size=(120, 30)) as pilot:
            await press(pilot, "f6", "p")
            other.picking("T-07").tick_all()
            bench.refresh()
            app.screen.bench_changed()  # type: ignore[attr-defined]
            await pilot.pause()
            assert "✓ all picked" in lines(app)[1]


async def test_a_target_taken_off_meanwhile_makes_room_for_the_first(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        for code in ("T-07", "T-03"):
            with Bench.open(bench.path) as other, other.folder.documents.edit() as draft:
                del draft.targets[code]
            bench.refresh()
            await press(pilot, "enter")
        assert "There are no targets any more" in text(app)
        assert isinstance(app.screen, PickScreen)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (120, 36), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_resizing_keeps_what_is_typed(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", *"/b")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 40:
            assert "filter: b" in text(app)
            assert "✓ B1" in text(app)


async def test_names_that_look_like_markup_are_only_text(app: SortbenchApp, bench: Bench) -> None:
    bench.add_target(Target("[0]", "[/ [red]x", 1990, lines=(Line(Kind("plate-1x2", "white"), 2),)))
    bench.enter("wh pl 12 @B3")
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f6", "end", "up", "p")
        await pilot.pause()
        assert "[0] [/ [red]x · pick list" in lines(app)[0]
        await press(pilot, "enter")
        assert "1/1 picked" in lines(app)[1]
