"""The registry of commands: no key means two things, remaps are checked, texts for people come from it."""

from __future__ import annotations

import re

import pytest

from sortbench.model.settings import Remap
from sortbench.tui.keymap import OWN_KEYS
from sortbench.tui.keys import (
    COMMANDS,
    PLACES,
    TYPED,
    Situation,
    clashes,
    footer,
    help_rows,
    key_label,
    key_name,
    key_table,
    keymap,
    remapped,
)
from sortbench.tui.remaps import keymap_of


def messages(remaps: dict[str, list[str]]) -> list[str]:
    wanted = {name: Remap(tuple(keys), line) for line, (name, keys) in enumerate(remaps.items(), 1)}
    return [str(problem) for problem in keymap_of(wanted)[1]]


def test_the_registry_itself_has_no_problem() -> None:
    assert messages({}) == []
    assert clashes(COMMANDS) == ()


def test_no_two_commands_share_an_id() -> None:
    assert len({command.id for command in COMMANDS}) == len(COMMANDS)


@pytest.mark.parametrize("place", PLACES)
def test_no_two_commands_share_a_key_in_one_place(place: str) -> None:
    pairs = [(key, c.id) for c in COMMANDS if place in c.places for key in c.keys if place not in TYPED or len(key) > 1]
    assert len({key for key, _ in pairs}) == len(pairs)


def test_a_clash_is_found_and_both_sides_are_named() -> None:
    [message] = messages({"wash": ["x"]})
    assert "'wash'" in message and "'discard'" in message and "'x'" in message


def test_the_same_key_in_two_places_is_no_clash() -> None:
    assert keymap(COMMANDS, "typing")["enter"].id == "count"
    assert keymap(COMMANDS, "pad")["enter"].id == "again"


def test_an_unknown_id_names_the_nearest() -> None:
    [message] = messages({"discrad": ["q"]})
    assert "'discrad'" in message and "'discard'" in message


@pytest.mark.parametrize("key", ["ctrl+i", "ctrl+m", "ctrl+[", "ctrl+enter", "alt+x", "hyper+q", "\x07", "nosuch", ""])
def test_impossible_keys_are_refused(key: str) -> None:
    assert any(repr(key) in message for message in messages({"wash": [key]}))


def test_a_printable_key_cannot_act_while_typing() -> None:
    assert any("text" in message for message in messages({"count": ["c"]}))


def test_a_command_needs_a_key() -> None:
    assert any("'wash'" in message for message in messages({"wash": []}))


def test_a_good_remap_takes_effect() -> None:
    assert messages({"wash": ["w"]}) == []
    commands = remapped(COMMANDS, {"wash": ["w"]})
    assert keymap(commands, "pad")["w"].id == "wash"
    assert "*" not in keymap(commands, "pad")


def test_slots_lie_as_on_the_block() -> None:
    slots = [c.keys[0] for c in COMMANDS if c.id.startswith("slot.")]
    assert slots == list("789456123")


def test_a_destructive_key_is_no_neighbour_of_its_confirmation() -> None:
    rows = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
    where = {key: (x, y) for y, row in enumerate(rows) for x, key in enumerate(row)}
    keys = {c.id: c.keys[0] for c in COMMANDS}
    (x1, y1), (x2, y2) = where[keys["reshuffle"]], where[keys["yes"]]
    assert max(abs(x1 - x2), abs(y1 - y2)) > 1


def test_commands_say_why_they_cannot_be_done() -> None:
    pad = keymap(COMMANDS, "pad")
    nothing = Situation()
    assert "nothing has been counted" in pad["."].why_not(nothing)
    assert pad["."].why_not(Situation(last=True)) == ""
    assert "nothing was undone" in pad["U"].why_not(Situation(last=True))
    assert pad["U"].why_not(Situation(redoable=True)) == ""
    assert pad["?"].why_not(nothing) == ""


@pytest.mark.parametrize("place", PLACES)
def test_the_footer_is_short_and_starts_with_help(place: str) -> None:
    shown = footer(COMMANDS, place)  # type: ignore[arg-type]
    assert 2 <= len(shown) <= 6
    assert shown[0][1].id == "help"
    assert sum(len(key_label(key)) + 1 + len(c.label) + 2 for key, c in shown) <= 80


@pytest.mark.parametrize("place", PLACES)
def test_the_help_sheet_has_every_key_with_a_sentence(place: str) -> None:
    rows = help_rows(COMMANDS, place)  # type: ignore[arg-type]
    shown = {label for keys, _, _ in rows for label in keys.split(" ")}
    assert {key_label(key) for key in keymap(COMMANDS, place)} <= shown  # type: ignore[arg-type]
    assert all(keys and label and text.endswith(".") for keys, label, text in rows)


def test_the_table_for_the_readme_has_every_command() -> None:
    table = key_table(COMMANDS)
    assert all(f"`{key_label(key)}`" in table for command in COMMANDS for key in command.keys)
    numbered = [command for command in COMMANDS if command.id.startswith(("slot.", "page.", "targets.to-"))]
    assert all(OWN_KEYS.said(command.help) in table for command in COMMANDS if command not in numbered)
    rows = {re.sub(r"\b[1-9]\b", "1-9", command.help) for command in COMMANDS}
    assert table.count("\n") == len(rows) + 2


@pytest.mark.parametrize(
    ("key", "character", "name"),
    [
        ("7", "7", "7"),
        ("asterisk", "*", "*"),
        ("U", "U", "U"),
        ("multiply", None, "*"),
        ("decimal", None, "."),
        ("add", "+", "+"),
        ("enter", "\r", "enter"),
        ("escape", "\x1b", "escape"),
        ("space", " ", " "),
        ("ctrl+k", "\x0b", "ctrl+k"),
        ("alt+7", "7", "alt+7"),
        ("f2", None, "f2"),
    ],
)
def test_keys_are_named_alike_whatever_the_terminal_calls_them(key: str, character: str | None, name: str) -> None:
    assert key_name(key, character) == name


@pytest.mark.parametrize(
    ("key", "label"), [("f1", "F1"), ("ctrl+q", "Ctrl+Q"), ("escape", "Esc"), ("*", "*"), ("up", "Up")]
)
def test_keys_are_labelled_as_on_a_keyboard(key: str, label: str) -> None:
    assert key_label(key) == label
