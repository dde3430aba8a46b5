"""The help sheet: made from the registry and the grammar, complete, scrollable, easy to leave."""

from __future__ import annotations

import pytest

from sortbench.bench import GRAMMAR, Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing.help_rows import sheet_rows
from sortbench.tui.keys import COMMANDS, PLACES, Place, help_rows
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.help import HelpScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import lines, press, text


def plain(place: Place, width: int) -> str:
    return "\n".join("".join(span for span, _ in row) for row in sheet_rows(place, GRAMMAR, "/bench", width))


@pytest.mark.parametrize("place", PLACES)
def test_every_key_of_a_place_and_all_of_the_grammar_stand_on_the_sheet(place: Place) -> None:
    sheet = plain(place, 200)
    for keys, _, sentence in help_rows(COMMANDS, place):
        if keys:
            assert keys in sheet
            assert sentence in sheet
    for example, meaning in GRAMMAR:
        assert example in sheet
        assert meaning in sheet


def test_narrow_sheets_lose_no_word() -> None:
    words = plain("log", 40).split()
    for _, _, sentence in help_rows(COMMANDS, "log"):
        for word in sentence.split():
            assert word in words


async def test_it_opens_from_the_bench_and_names_folder_and_logs(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(200, 60)) as pilot:
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        assert "keys while typing" in text(app)
        assert "gr pl 2x4" in text(app)
        await press(pilot, "end")
        assert "Bench folder:" in text(app)
        assert "tallies/" in text(app)


@pytest.mark.parametrize("key", ["escape", "q", "?", "f1"])
async def test_it_closes_and_leads_back_to_where_it_was_asked_for(app: SortbenchApp, key: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "?")
        assert "keys of the targets screen" in text(app)
        await press(pilot, key)
        assert isinstance(app.screen, TargetsScreen)


async def test_it_scrolls(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f1")
        top = lines(app)[1]
        await press(pilot, "down")
        assert lines(app)[1] != top
        await press(pilot, "pagedown", "home")
        assert lines(app)[1] == top
        await press(pilot, "end")
        assert "sound." in text(app)


async def test_what_is_typed_on_the_bench_is_still_there_afterwards(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "w", "h", "f1", "escape")
        assert isinstance(app.screen, BenchScreen)
        assert "> wh" in text(app)
        await press(pilot, "i")
        assert "> whi" in text(app)


@pytest.mark.parametrize("size", [(40, 20), (200, 60), (20, 6)])
async def test_it_survives_resizing(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f1")
        await pilot.resize_terminal(*size)
        await press(pilot, "pagedown")
        assert all(len(line) <= size[0] for line in lines(app))


async def test_from_the_sheet_one_key_leads_to_another_screen(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f1", "f3")
        assert isinstance(app.screen, TargetsScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)
