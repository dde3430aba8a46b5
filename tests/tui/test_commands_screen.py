"""The list of commands: every command is found by words, and done as if its key had been struck."""

from __future__ import annotations

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing.command_rows import WAYS, listed
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import COMMANDS, PLACES, Place, Situation, key_label, keys_in
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.commands import CommandsScreen
from sortbench.tui.screens.help import HelpScreen
from sortbench.tui.screens.reconcile import ReconcileScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.looking import enter, line_with, lines, press, text

ALL = Situation(last=True, redoable=True, results=1, trial=True, picture=True)


def ids(place: Place, words: str, situation: Situation = ALL) -> list[str]:
    return [one.command.id for one in listed(Keymap(), place, situation, words)]


# What is found


@pytest.mark.parametrize("place", [place for place in PLACES if place not in ("commands", "help")])
def test_every_command_at_hand_is_found_by_its_label_and_by_its_id(place: Place) -> None:
    for command in COMMANDS:
        if place in command.places:
            assert command.id in ids(place, command.label)
            assert command.id in ids(place, command.id.replace(".", " "))


@pytest.mark.parametrize("place", [place for place in PLACES if place not in ("commands", "help")])
def test_those_at_hand_come_first_and_all_of_them_are_there(place: Place) -> None:
    found = listed(Keymap(), place, ALL, "")
    here = [one for one in found if not one.way]
    assert {one.command.id for one in here} == {c.id for c in COMMANDS if place in c.places}
    assert found[: len(here)] == tuple(here)
    for one in here:
        assert one.key == (key_label(keys_in(one.command, place)[0]) if keys_in(one.command, place) else "")


def test_every_place_has_a_way_that_leads_there() -> None:
    everywhere = {c.id for c in COMMANDS if c.where == "everywhere"}
    assert set(WAYS) == set(PLACES) - {"help", "commands"}
    for way in WAYS.values():
        assert way[0] in everywhere
        assert {*way} <= {c.id for c in COMMANDS}


def test_a_label_that_holds_the_words_comes_before_a_sentence_that_does() -> None:
    assert ids("pad", "undo")[0] == "undo"
    assert ids("pad", "pin")[0] == "pin"
    assert ids("pad", "again")[:2] == ["again", "bench.wash"]


def test_all_words_must_be_there_in_any_order() -> None:
    assert ids("reconcile", "cursor why")[0] == "reconcile.explain"
    assert ids("reconcile", "why zebra") == []


def test_case_and_braces_and_brackets_are_only_text() -> None:
    assert ids("typing", "UNDO") == ids("typing", "undo")
    assert ids("typing", "[/") == ids("typing", "{help}") == []


def test_what_cannot_be_done_says_why() -> None:
    [why] = [one.why_not for one in listed(Keymap(), "pad", Situation(), "") if one.command.id == "pad.undo"]
    assert why == "nothing has been counted yet"


def test_remapped_keys_are_shown() -> None:
    [key] = [one.key for one in listed(Keymap({"pin": ["P"]}), "pad", ALL, "pin") if one.command.id == "pin"]
    assert key == "P"


# The screen


@pytest.mark.parametrize("key", ["ctrl+p", ":"])
async def test_it_opens_on_the_empty_line_and_escape_closes_it(app: SortbenchApp, key: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, key)
        assert isinstance(app.screen, CommandsScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)
        await press(pilot, "w", "h")
        assert "> wh" in text(app)


async def test_a_colon_within_an_entry_is_text(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "w", ":")
        assert isinstance(app.screen, BenchScreen)
        assert "> w:" in text(app)


async def test_words_find_a_command_and_enter_does_it(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "ctrl+p", *"undo", "enter")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        assert bench.picture.ledger.pieces == 0


async def test_letters_that_come_before_the_list_stands_are_not_lost(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        assert isinstance(app.screen, BenchScreen)
        app.over.commands(app.screen)
        await press(pilot, *"pieces go")
        assert "find: pieces go" in text(app)


async def test_what_stands_on_the_entry_line_is_counted_from_the_list(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *"wh pl 24 *2", "ctrl+p")
        await press(pilot, *"count highlighted", "enter")
        await pilot.pause()
        assert bench.picture.ledger.pieces == 2


async def test_a_slot_of_the_keypad_is_counted_from_the_list(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, "wh pl 24")
        await press(pilot, "escape", ":")
        await press(pilot, *"again", "enter")
        await pilot.pause()
        assert bench.picture.ledger.pieces == 2


async def test_a_filter_begins_on_the_screen_that_asked(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", ":")
        await press(pilot, *"filter", "enter")
        await pilot.pause()
        assert isinstance(app.screen, TargetsScreen)
        await press(pilot, *"arch")
        assert "filter: arch" in text(app)


async def test_a_command_of_another_screen_leads_there(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p")
        await press(pilot, *"policy")
        assert "F6" in line_with(app, "Try the other")
        await press(pilot, "enter")
        await pilot.pause()
        assert isinstance(app.screen, ReconcileScreen)
        await press(pilot, "escape")
        assert isinstance(app.screen, BenchScreen)


async def test_up_and_down_and_a_click_choose(app: SortbenchApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "ctrl+p")
        await press(pilot, "down", "down", "down")
        assert "▸" in line_with(app, "Bins and what is in them")
        await pilot.click("#list", offset=(5, 2))
        await pilot.pause()
        assert "▸" in line_with(app, "Go to the bench")
        await press(pilot, "down", "down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, BinsScreen)


async def test_words_that_find_nothing_do_nothing_and_stay(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p", *"[/ zebra", "enter")
        assert isinstance(app.screen, CommandsScreen)
        assert "No command" in text(app)
        assert "find: [/ zebra" in text(app)


async def test_help_lies_over_it_and_leads_back(app: SortbenchApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p", "f1")
        await pilot.pause()
        assert isinstance(app.screen, HelpScreen)
        assert "keys of the list of commands" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, CommandsScreen)


@pytest.mark.parametrize("size", [(20, 6), (40, 20), (200, 60)])
async def test_it_stands_in_any_size(app: SortbenchApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "ctrl+p")
        await pilot.resize_terminal(*size)
        await press(pilot, *"u", "pagedown", "pageup")
        assert all(len(line) <= size[0] for line in lines(app))
