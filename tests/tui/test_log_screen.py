"""The log screen: every record newest first, filtered, voided after a yes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Fate
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing import log_rows
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.log import LogScreen
from tests.small_bench import ticking
from tests.tui.conftest import furnish
from tests.tui.looking import line_with, lines, press, text

PLATE = Kind("plate-2x4", "white")
ARCH = Kind("arch-1x6x2", "brick red")


def rows(app: SortbenchApp) -> list[str]:
    """The lines of the list."""
    return [line for line in lines(app) if line[:3].strip(" ▸") in ("●", "○")]


@pytest.fixture
def counted(bench: Bench) -> Bench:
    """Three tallies."""
    for entry in ("wh pl 24 *3", "gr br 24 !3", "arch red #crack"):
        bench.enter(entry)
    return bench


async def test_newest_first_with_what_where_and_condition(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5")
        shown = rows(app)
        assert ["arch" in shown[0], "brick" in shown[1], "plate" in shown[2]] == [True, True, True]
        assert "cracked" in shown[0]
        assert "B2" in shown[0]
        assert shown[2].split("counted")[1].split()[0] == "3"
        assert "counted" in shown[2]


async def test_times_are_those_of_the_wall_clock(app: SortbenchApp, counted: Bench) -> None:
    local = datetime.fromisoformat(counted.log_rows()[-1].at).astimezone()
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5")
        assert f"{local:%Y-%m-%d %H:%M:%S}" in rows(app)[0]


async def test_delete_then_y_voids_and_both_records_stay(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", "down", "down", "delete")
        assert "y does it" in text(app)
        assert "3 × plate 2x4" in text(app)
        assert counted.picture.counted(PLATE) == 3
        await press(pilot, "y")
        assert counted.picture.counted(PLATE) == 0
        assert "voided: 3 × plate 2x4 white" in text(app)
        shown = rows(app)
        assert "taken back" in shown[0]
        assert "plate 2x4" in shown[0]
        assert "✗ void" in line_with(app, "▸")
        assert "plate 2x4" in line_with(app, "▸")  # the cursor stays on its record


async def test_any_other_key_than_y_voids_nothing(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5")
        for other in ("delete", "escape", "up", "z", "enter"):
            await press(pilot, "delete", other)
        await press(pilot, "escape", "y")
        assert counted.picture.ledger.pieces == 5


async def test_a_void_record_is_not_voided_again(app: SortbenchApp, counted: Bench) -> None:
    counted.undo()
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", "down", "delete")
        assert "void already" in line_with(app, "This record")


async def test_a_record_that_counts_nothing_says_why_it_cannot_be_voided(app: SortbenchApp, counted: Bench) -> None:
    counted.undo()
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", "delete")
        assert "cannot be voided" in text(app)
        assert "y does it" not in text(app)


async def test_moves_undos_and_redos_say_what_they_did(app: SortbenchApp, counted: Bench) -> None:
    counted.put_aside(Fate.WASH)
    counted.undo()
    counted.redo()
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5")
        shown = rows(app)
        assert "brought back" in shown[0]
        assert "arch" in shown[0]
        assert "taken back" in shown[1]
        assert "✗ void" in shown[1]
        assert "set aside" in shown[2]
        assert "from B2" in shown[2]


async def test_filter_by_words_in_any_order(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", *"/WHITE pla")
        assert len(rows(app)) == 1
        assert "1 of 3 records hold" in text(app)
        await press(pilot, "enter", "escape")
        assert len(rows(app)) == 3
        await press(pilot, *"/nothing like it")
        assert rows(app) == []
        assert "0 of" in text(app)
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_voiding_within_a_filter_voids_what_is_shown(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", *"/plate", "enter", "delete", "y")
        assert counted.picture.counted(PLATE) == 0
        assert counted.picture.ledger.pieces == 2


async def test_back_by_the_hour_within_what_a_filter_shows(tmp_path: Path) -> None:
    start = datetime.now(UTC) - timedelta(minutes=65)
    with furnish(Bench.create(tmp_path / "bench", ticking(start, seconds=30))) as bench:
        for number in range(60):
            bench.count(PLATE if number % 2 else ARCH, number + 1)
    app = SortbenchApp(lambda: Bench.open(tmp_path / "bench"))
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", *"/plate", "enter", "h")
        chosen = line_with(app, "▸")
        at = datetime.fromisoformat(" ".join(chosen.split()[2:4])).astimezone()
        assert timedelta(minutes=60) <= datetime.now(UTC) - at <= timedelta(minutes=63)
        assert "plate" in chosen
        await press(pilot, "h", "delete", "y")
        assert "voided: 2 × plate 2x4 white" in text(app), "there is none that is older, so this is the oldest"


async def test_own_and_other_sittings_are_told_apart(app: SortbenchApp, counted: Bench) -> None:
    with Bench.open(counted.path) as other:
        other.enter("wh pl 12 *2")
    async with app.run_test(size=(140, 30)) as pilot:
        app._follow()
        await press(pilot, "f5")
        assert "○" in line_with(app, "plate 1x2")
        assert "●" in line_with(app, "arch 1x6x2")
        while "plate 1x2" not in line_with(app, "▸"):
            await press(pilot, "down")
        assert f"of {other.sitting.id}" in text(app)


async def test_what_another_sitting_writes_appears_and_the_cursor_stays(app: SortbenchApp, counted: Bench) -> None:
    async with app.run_test(size=(140, 30)) as pilot:
        await press(pilot, "f5", "down")
        with Bench.open(counted.path) as other:
            other.enter("wh pl 12 *2")
        app._follow()
        await pilot.pause()
        assert "plate 1x2" in text(app)
        assert "brick 2x4" in line_with(app, "▸")


async def test_of_many_records_only_those_in_sight_are_drawn(
    app: SortbenchApp, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(400):
        bench.count(PLATE)
    drawn: list[int] = []
    real = log_rows.record_row

    def counting(*args: object) -> object:
        drawn.append(1)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(log_rows, "record_row", counting)
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f5")
        drawn.clear()
        await press(pilot, "end")
        assert 0 < len(drawn) <= 4 * 30
        assert "400 records" in text(app)
        assert "record 2 of this sitting" in text(app)  # the first one opened the sitting


async def test_an_empty_log_says_so(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f5")
        assert "nothing has been counted" in text(app)
        await press(pilot, "delete", "y", "down", "end", "/", "a", "enter")
        assert isinstance(app.screen, LogScreen)


@pytest.mark.parametrize("size", [(40, 20), (80, 24), (200, 60), (20, 6)])
async def test_every_size_is_drawn_and_void_stays_visible(
    app: SortbenchApp, counted: Bench, size: tuple[int, int]
) -> None:
    counted.undo()
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot, "f5", "down")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        if size[0] >= 40:
            assert "✗ void" in line_with(app, "▸")
