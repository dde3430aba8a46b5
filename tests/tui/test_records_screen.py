"""The records screen: from the log, sittings and their course, the page written into the bench."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest
from working import START, Clock, count_for_a_while

from sortbench.bench import Bench
from sortbench.desks.spot_desk import SpotDesk
from sortbench.model.catalogue import Kind
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens import records as records_screen
from sortbench.tui.screens.log import LogScreen
from sortbench.tui.screens.records import RecordsScreen
from tests.tui.conftest import furnish
from tests.tui.golden import assert_golden
from tests.tui.looking import line_with, lines, press, text

KINDS = [Kind("plate-2x4", "white"), Kind("brick-2x4", "grey, early")]


@pytest.fixture
def worked(tmp_path: Path) -> Path:
    """A bench on which 200 acts of two sittings are a day apart."""
    path = tmp_path / "mill lane"
    clock = Clock(START)
    with Bench.create(path, clock) as bench:
        furnish(bench)
        count_for_a_while(bench, clock, KINDS, 80, seed=1)
    clock = Clock(START.replace(day=2))
    with Bench.open(path, clock) as bench:
        count_for_a_while(bench, clock, KINDS, 120, seed=2)
    return path


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_sittings_and_the_course_of_one(worked: Path, size: tuple[int, int]) -> None:
    name = f"{size[0]}x{size[1]}"
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f5", "r")
        await pilot.pause()
        assert isinstance(app.screen, RecordsScreen)
        assert "records  2 sittings" in lines(app)[0]
        assert "No spot check of the counts is on record." in text(app)
        await press(pilot, "enter")
        assert "Each sitting has a course of its own" in text(app)
        await press(pilot, "down")
        await pilot.pause()
        assert_golden(app, f"records-{name}")
        await press(pilot, "enter", "down")
        await pilot.pause()
        assert "course of the sitting of 2026-03-02 09:30" in lines(app)[0]
        assert_golden(app, f"records-course-{name}")
        await press(pilot, "end", "right", "left")
        assert line_with(app, "▸").split()[1:3] == ["2026-03-02", "09:30"], "the cursor is back on the sitting"
        await press(pilot, "enter", "escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)
    app.close_bench()


async def test_the_page_is_written_into_the_bench_and_spares_what_is_not_ours(worked: Path) -> None:
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f5", "r")
        await pilot.pause()
        await press(pilot, "w", "w")
        page = worked / "records" / "records.html"
        assert "records.html written into" in text(app)
        assert page.read_text("utf-8").startswith("<!doctype html>")
        page.write_text("my own words\n")
        await press(pilot, "w")
        assert "holds something else" in " ".join(text(app).split())
        assert page.read_text() == "my own words\n"
    app.close_bench()


async def test_what_another_sitting_counts_is_followed(worked: Path) -> None:
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f5", "r")
        await pilot.pause()
        await press(pilot, "end")
        assert line_with(app, "▸").split()[1:3] == ["2026-03-01", "09:30"]
        clock = Clock(START.replace(day=3))
        with Bench.open(worked, clock) as other:
            count_for_a_while(other, clock, KINDS, 5, seed=3)
        app.bench.refresh()
        app.screen.bench_changed()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "records  3 sittings" in lines(app)[0]
        assert line_with(app, "▸").split()[1:3] == ["2026-03-01", "09:30"], "the cursor stays on its sitting"
    app.close_bench()


async def test_an_empty_bench_says_what_comes_here(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f5", "r")
        await pilot.pause()
        assert "No pieces of the pile were counted yet." in text(app)
        await press(pilot, "down", "enter", "left", "end", "w", "escape")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)


@pytest.mark.parametrize("size", [(40, 20), (20, 6), (200, 60)])
async def test_every_size_is_drawn(worked: Path, size: tuple[int, int]) -> None:
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=size) as pilot:
        app.over.records()
        await pilot.pause()
        await press(pilot, "down", "enter", "end", "left", "home")
        assert all(len(line) <= size[0] for line in lines(app))
    app.close_bench()


async def test_spot_checks_beside_the_sittings_keep_their_intervals(worked: Path) -> None:
    """Columns that do not fit are left out; nothing is cut."""
    with Bench.open(worked) as bench:
        desk = SpotDesk(bench)
        label = next(cell.bin for cell in bench.picture.ledger.counts)
        desk.begin(label)
        for _ in range(3):
            desk.missing("S1")
        desk.begin(label)
        desk.note("S2", "pl 2x4 white")
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f5", "r")
        await pilot.pause()
        # Clopper-Pearson, none of three right: the lower end is the cube root of 0.025.
        assert line_with(app, "S1").rstrip().endswith("29.2 to 100.0 %")
        assert line_with(app, " done ").rstrip().endswith("29.2 to 100.0 %")
        assert line_with(app, "S2").split()[-4:] == ["2.5", "to", "100.0", "%"], "a kind not in the bin"
        assert "Checks that are not done are left out of those" in text(app)
    app.close_bench()


async def test_a_long_log_is_read_aside_and_keys_are_answered_meanwhile(
    worked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    released = Event()
    reads: list[bool] = []
    read = records_screen.work_records

    def slowly(bench: Bench) -> object:
        released.wait(20)
        reads.append(True)
        if len(reads) == 1:
            raise RuntimeError("changed while it was read")
        return read(bench)

    monkeypatch.setattr(records_screen, "AT_ONCE", 1)
    monkeypatch.setattr(records_screen, "work_records", slowly)
    app = SortbenchApp(lambda: Bench.open(worked))
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot, "f5", "r")
        assert "Reading the whole log" in text(app)
        await press(pilot, "w")
        assert "still being read" in text(app)
        await press(pilot, "enter", "down")
        await press(pilot, "escape")
        assert isinstance(app.screen, LogScreen)
        await press(pilot, "r")
        released.set()
        while not isinstance(app.screen, RecordsScreen) or app.screen.count == 0:
            await pilot.pause()
        await pilot.pause()
        assert "records  2 sittings" in lines(app)[0]
        assert len(reads) > 1, "what failed because the bench changed was read again"
    app.close_bench()
