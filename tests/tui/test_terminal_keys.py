"""What common terminals deliver for the registry's keys, and that every command has a key that reaches it in each.

``terminal_keys.csv`` holds what terminals send, copied from the terminfo database of ncurses 6.4 (20221231) with
``infocmp``, in its own notation; the header names the capabilities as terminfo(5) has them.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from textual import events
from textual._xterm_parser import XTermParser

from sortbench.model.settings import Remap
from sortbench.tui.keys import COMMANDS, OFTEN_TAKEN, PLACES, Place, key_name, keys_in
from sortbench.tui.remaps import keymap_of
from sortbench.tui.screens.bench import ALONE

CAPABILITIES = {
    **{"kcuu1": "up", "kcud1": "down", "kcub1": "left", "kcuf1": "right", "khome": "home", "kend": "end"},
    **{"kpp": "pageup", "knp": "pagedown", "kdch1": "delete", "kbs": "backspace"},
    **{f"kf{n}": f"f{n}" for n in range(1, 13)},
}
"""Capabilities of terminfo(5), and what the registry calls those keys."""
UNTRANSLATED = {
    **{"up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D", "home": "\x1b[H", "end": "\x1b[F"},
}
"""Cursor keys while no program asked for application mode; terminfo tells of that mode only. From "XTerm Control
Sequences", section PC-Style Function Keys, as far as remembered."""
ONE_BYTE = {"enter": "\r", "escape": "\x1b", "tab": "\t"} | {f"ctrl+{chr(96 + n)}": chr(n) for n in range(1, 27)}
"""Control characters (ECMA-48): Ctrl and a letter is the letter's place in the alphabet."""

TAKEN: dict[str, dict[str, str]] = {
    "Linux console": {
        "shift+tab": "sent as Esc and Tab (kcbt of terminfo's entry linux)",
        **{f"shift+f{n}": "sent as another key, or not at all (kf13 of terminfo's entry linux)" for n in range(1, 13)},
    },
    "xterm": {},
    "GNOME Terminal and others (VTE)": {
        "f1": "its help (from memory)",
        "f10": "its menu (from memory)",
        "f11": "fills the screen (from memory)",
    },
    "Konsole": {"f1": "its handbook (from memory)", "f11": "fills the screen (from memory)"},
    "rxvt-unicode": {},
    "macOS Terminal": {"f11": "the system shows the desktop (from memory)"},
    "Windows Terminal": {"f11": "fills the screen (from memory)", "ctrl+v": "pastes (from memory)"},
    "tmux": {"ctrl+b": "begins tmux's own commands (tmux(1), DEFAULT KEY BINDINGS)"},
    "GNU screen": {"ctrl+a": "begins screen's own commands (screen(1), GETTING STARTED)"},
    "an editor's terminal panel": {
        "f1": "the editor's commands (from memory)",
        "f10": "the editor's menu or its debugger (from memory)",
        "f11": "fills the screen or is the debugger's (from memory)",
        "ctrl+p": "opens a file in the editor (from memory)",
        "ctrl+q": "leaves the editor (from memory)",
    },
}
"""Keys that terminals keep or change where nobody changed their settings. A Mac's keyboard sends function keys with Fn
held, its Terminal Home, End and the page keys with Shift held (from memory): they arrive, so they are not here."""
FOUND_BY_WORDS = {("an editor's terminal panel", "leave")}
"""Commands without a key that is delivered: the list of commands (``:``) does them."""

TABLE = list(csv.DictReader((Path(__file__).parent / "terminal_keys.csv").open(encoding="utf-8", newline="")))


def sent(terminfo: str) -> str:
    r"""Characters out of terminfo's notation: ``\E`` is escape, ``^?`` delete."""
    return terminfo.replace("\\E", "\x1b").replace("^?", "\x7f")


def read(sequence: str) -> list[str]:
    """The keys that Textual reads in what a terminal sends, as the registry calls them."""
    parser = XTermParser()
    found = [*parser.feed(sequence), *parser.feed("")]
    return [key_name(event.key, event.character) for event in found if isinstance(event, events.Key)]


@pytest.mark.parametrize("row", TABLE, ids=[row["terminal"] for row in TABLE])
def test_what_a_terminal_sends_is_read_as_that_key(row: dict[str, str]) -> None:
    for capability, key in CAPABILITIES.items():
        assert read(sent(row[capability])) == [key], capability


@pytest.mark.parametrize(("key", "sequence"), [*UNTRANSLATED.items(), *ONE_BYTE.items()])
def test_keys_that_no_terminfo_tells_of_are_read_too(key: str, sequence: str) -> None:
    same = {"ctrl+i": "tab", "ctrl+j": "enter", "ctrl+m": "enter", "ctrl+h": "backspace"}
    assert read(sequence) == [same.get(key, key)]


def test_every_key_of_the_registry_is_in_the_table() -> None:
    known = {*CAPABILITIES.values(), *ONE_BYTE}
    assert {key for command in COMMANDS for key in command.keys if len(key) > 1} <= known
    assert {row["terminal"] for row in TABLE} == set(TAKEN) - {"an editor's terminal panel"}


@pytest.mark.parametrize("terminal", TAKEN)
@pytest.mark.parametrize("place", PLACES)
def test_every_command_has_a_key_that_the_terminal_delivers(terminal: str, place: Place) -> None:
    alone = {command: key for key, command in ALONE.items()} if place == "typing" else {}
    for command in COMMANDS:
        keys = {*keys_in(command, place), *filter(None, [alone.get(command.id)])}
        # The list of commands says on its line what its keys do: Esc closes it, too, and it names all others.
        known = (terminal, command.id) in FOUND_BY_WORDS or place == "commands"
        if place in command.places and keys and not known:
            assert keys - set(TAKEN[terminal]), f"{command.id} has only {keys}"


def test_a_remap_to_a_key_that_terminals_keep_is_told_of() -> None:
    taken = {key for terminal, keys in TAKEN.items() if terminal != "an editor's terminal panel" for key in keys}
    assert set(OFTEN_TAKEN) == taken


def test_such_a_key_alone_is_refused_and_beside_another_taken() -> None:
    for key in OFTEN_TAKEN:
        assert "no key that reaches it everywhere" in str(keymap_of({"pin": Remap((key,), 1)})[1])
        if not any(key in command.keys for command in COMMANDS):
            assert keymap_of({"pin": Remap((key, "ctrl+x"), 1)})[1] == ()
