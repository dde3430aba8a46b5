"""The preview of a statement: read through, switched, written into the bench's folder."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.target import Line, Target
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.reconcile import ReconcileScreen
from sortbench.tui.screens.statement import StatementScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import line_with, lines, press, text
from tests.tui.reconciling import reconciled


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Glasshouse has nine of fifteen pieces: white plates, grey bricks, white bricks that stand in; none is picked."""
    return reconciled(bench)


async def test_it_tells_of_the_box_and_of_what_would_be_picked(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "f3", "t")
        assert isinstance(app.screen, StatementScreen)
        assert "T-07 Glasshouse · statement · 1 of 2 ›" in lines(app)[0]
        assert "Not complete: 0 of 15 pieces in the box, 15 missing" in text(app)
        await press(pilot, "a")
        assert "as it would be picked now" in lines(app)[1]
        assert "Would not be complete: 9 of 15 pieces would be there, 6 missing" in text(app)
        await press(pilot, "a", "escape")
        assert isinstance(app.screen, TargetsScreen)


async def test_it_follows_what_is_picked_from_the_reconcile_screen_too(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "f6", "p")
        await press(pilot, "enter", "escape", "t")
        await pilot.pause()
        assert "Not complete: 3 of 15 pieces in the box" in text(app)
        with Bench.open(bench.path) as other:
            other.picking("T-07").tick_all()
        bench.refresh()
        app.screen.bench_changed()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "Not complete: 9 of 15 pieces in the box" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, ReconcileScreen)
        await press(pilot, "end", "t")
        assert "nothing is stated of them" in line_with(app, "✗")


async def test_it_scrolls_to_its_end_and_switches_targets(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "t")
        assert "Line by line" not in text(app)
        await press(pilot, "end")
        assert "Line by line" in text(app)
        assert "plate 2x4, white: 0 of" in text(app)
        await press(pilot, "up", "pageup", "home")
        assert "Not complete" in text(app)
        await press(pilot, "end", "right")
        assert "T-03 Funicular Halt · statement · 2 of 2" in lines(app)[0]
        assert "Not complete" in text(app), "another statement begins at its top"
        await press(pilot, "left")
        assert "Glasshouse" in lines(app)[0]


async def test_it_is_written_into_the_folder_of_the_bench(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "f3", "t")
        await press(pilot, "w", "w")
        assert "written into" in line_with(app, "· written")
        folder = bench.path / "statements"
        assert sorted(path.name for path in folder.iterdir()) == [
            "statement-T-07.html",
            "statement-T-07.md",
            "statement-T-07.txt",
        ]
        assert "Not complete: 0 of 15 pieces" in (folder / "statement-T-07.txt").read_text("utf-8")
        (folder / "statement-T-07.md").write_text("a letter", "utf-8")
        await press(pilot, "w")
        assert "holds something else" in " ".join(text(app).split())
        assert (folder / "statement-T-07.md").read_text("utf-8") == "a letter"
    with Bench.open(bench.path) as again:
        assert again.target_rows() == bench.target_rows()


async def test_a_target_taken_off_meanwhile_makes_room_for_the_first(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f3", "t")
        for code in ("T-07", "T-03"):
            with Bench.open(bench.path) as other, other.folder.documents.edit() as draft:
                del draft.targets[code]
            bench.refresh()
            await press(pilot, "w")
        assert "There are no targets any more" in text(app)
        await press(pilot, "a", "right", "escape", "t")
        assert isinstance(app.screen, TargetsScreen)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_names_are_only_text(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    bench.add_target(Target("[0]", "[/ [red]x", 1990, lines=(Line(Kind("plate-1x2", "white"), 2),)))
    async with app.run_test(size=size) as pilot:
        app.over.statement("[0]")
        await pilot.pause()
        await press(pilot, "down", "end", "home", "a")
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 40:
            assert "[0] [/ [red]x" in lines(app)[0]


async def test_a_statement_left_before_it_stands_does_no_harm(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        for _ in range(5):
            app.over.statement("T-07")
            app.pop_screen()
        app.over.statement("T-07")
        app.leave()
        await pilot.pause()
