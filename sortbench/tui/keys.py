"""The one registry of commands: bindings, footer, help sheet and the README's table of keys are made from it.

Keys are written as a terminal tells them: a printable key is the character itself (``7``, ``*``, ``U``), others have
names (``enter``, ``f1``, ``ctrl+q``).
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sortbench.tui.bench_commands import BENCH_COMMANDS
from sortbench.tui.check_commands import CHECK_COMMANDS
from sortbench.tui.command import PLACES as PLACES
from sortbench.tui.command import TYPED as TYPED
from sortbench.tui.command import Command as Command
from sortbench.tui.command import Place as Place
from sortbench.tui.command import Situation as Situation
from sortbench.tui.first_commands import FIRST_COMMANDS
from sortbench.tui.intake_commands import INTAKE_COMMANDS
from sortbench.tui.judge_commands import JUDGE_COMMANDS
from sortbench.tui.list_commands import LIST_COMMANDS
from sortbench.tui.order_commands import ORDER_COMMANDS
from sortbench.tui.photo_commands import PHOTO_COMMANDS
from sortbench.tui.plan_commands import PLAN_COMMANDS
from sortbench.tui.record_commands import RECORD_COMMANDS
from sortbench.tui.set_commands import SET_COMMANDS
from sortbench.tui.wash_commands import WASH_COMMANDS
from sortbench.tui.weigh_commands import WEIGH_COMMANDS
from sortbench.tui.widgets.edited import EDITS

# -- the commands

COMMANDS: tuple[Command, ...] = (
    *BENCH_COMMANDS,
    *LIST_COMMANDS,
    *RECORD_COMMANDS,
    *PLAN_COMMANDS,
    *WEIGH_COMMANDS,
    *CHECK_COMMANDS,
    *SET_COMMANDS,
    *ORDER_COMMANDS,
    *WASH_COMMANDS,
    *JUDGE_COMMANDS,
    *PHOTO_COMMANDS,
    *INTAKE_COMMANDS,
    *FIRST_COMMANDS,
)
"""All commands, in the order of the help sheet."""


# -- names of keys

_LABELS = {
    "escape": "Esc",
    "enter": "Enter",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "delete": "Del",
    "backspace": "Backspace",
    " ": "Space",
}
_ID = re.compile(r"\{([a-z][a-z0-9.-]+)\}")
_NAMED = {f"f{n}" for n in range(1, 13)} | {
    *("escape", "enter", "tab", "backspace", "delete", "insert", "up", "down", "left", "right", "home", "end"),
    *("pageup", "pagedown"),
}
_WRITTEN = {
    **{label.lower(): key for key, label in _LABELS.items()},
    **{"return": "enter", "page up": "pageup", "page down": "pagedown", "ins": "insert"},
}
OFTEN_TAKEN = {
    "f1": "several terminal programs open their own help with it",
    "f10": "several terminal programs open their menu with it",
    "f11": "most terminal programs fill the screen with it",
    "ctrl+a": "GNU screen begins its own commands with it",
    "ctrl+b": "tmux begins its own commands with it",
    "ctrl+v": "some terminal programs paste with it",
    "shift+tab": "the Linux console sends it as Esc and Tab",
    **{f"shift+f{n}": "the Linux console does not send it" for n in range(1, 13)},
}
"""Keys that do not arrive everywhere: no command may have no other."""
_SAME_AS = {"ctrl+i": "tab", "ctrl+j": "enter", "ctrl+m": "enter", "ctrl+[": "escape", "ctrl+h": "backspace"}
# Textual calls the keys of a number block by other names when the terminal reports it apart from the digits.
_BLOCK = {
    "decimal": ".",
    "divide": "/",
    "multiply": "*",
    "subtract": "-",
    "add": "+",
    "space": " ",
    "return": "enter",
}


def key_name(key: str, character: str | None) -> str:
    """A key as this registry writes it, from what Textual's ``Key`` event says.

    Args:
        key: ``event.key``.
        character: ``event.character``; for a printable key it decides, whatever name the key has.
    """
    if key == "ctrl+j":
        return "enter"  # what a terminal makes of it while it still translates keys, before the program has it
    if key.startswith(("alt+", "ctrl+")):
        return key
    if character is not None and len(character) == 1 and character.isprintable():
        return character
    return _BLOCK.get(key, key)


def key_label(key: str) -> str:
    """A key as a person reads it on a keyboard."""
    if len(key) == 1:
        return _LABELS.get(key, key)
    parts = key.split("+")
    last = _LABELS.get(parts[-1]) or (parts[-1].upper() if len(parts) > 1 or parts[-1][0] == "f" else parts[-1].title())
    return "+".join([*(part.title() for part in parts[:-1]), last])


def key_labels(commands: Iterable[Command]) -> dict[str, str]:
    """Each command's first key as a person reads it, by id."""
    return {command.id: key_label(command.keys[0]) for command in commands}


def said(text: str, labels: Mapping[str, str]) -> str:
    """A text in which ids in braces stand for keys, ``{log.filter} filters``, with these keys.

    Raises:
        KeyError: no command has such an id.
    """
    return _ID.sub(lambda found: labels[found[1]], text)


# -- the keymap


class Clash(NamedTuple):
    """A key that would mean two commands in one place."""

    key: str
    place: Place
    one: Command
    other: Command


def remapped(commands: Iterable[Command], remaps: Mapping[str, Sequence[str]]) -> tuple[Command, ...]:
    """The commands with their keys replaced where a remap says so. Check the remaps first."""
    return tuple(
        command._replace(keys=tuple(remaps[command.id])) if command.id in remaps else command for command in commands
    )


def clashes(commands: Sequence[Command]) -> tuple[Clash, ...]:
    """Every key that means two commands in one place; once for each pair of commands."""
    found: dict[tuple[str, str, str], Clash] = {}
    for place in PLACES:
        taken: dict[str, Command] = {}
        for command, key in ((c, k) for c in commands if place in c.places for k in keys_in(c, place)):
            other = taken.setdefault(key, command)
            if other is not command:
                found.setdefault((key, other.id, command.id), Clash(key, place, other, command))
    return tuple(found.values())


def key_from(written: str) -> str:
    """A key as this registry writes it, from what a person may write for it: ``Esc``, ``Ctrl+Q``, ``PgUp``, ``space``.

    What is no key is given back in small letters.
    """
    if len(written) <= 1:
        return written
    key = "+".join(part.strip() for part in written.lower().split("+"))
    return _WRITTEN.get(key, key)


def keymap(commands: Iterable[Command], place: Place) -> dict[str, Command]:
    """Which command each key means in a place."""
    return {key: command for command in commands if place in command.places for key in keys_in(command, place)}


def keys_in(command: Command, place: Place) -> tuple[str, ...]:
    """The keys of a command in a place: where text is typed, a printable key is text."""
    return tuple(key for key in command.keys if place not in TYPED or len(key) > 1)


def impossible(key: str, command: Command) -> str:
    """Why a command cannot have a key; empty if it can."""
    if same := _SAME_AS.get(key):
        return f"terminals send it as {same}"
    if len(key) == 1:
        if not key.isprintable():
            return "it does not print"
        return "while typing it is text" if TYPED.issuperset(command.places) else ""
    if key == "ctrl+c":
        return "it is kept to say how to leave"
    if key in EDITS and not TYPED.isdisjoint(command.places):
        return "while typing it edits the line"
    if key in _NAMED or re.fullmatch(r"ctrl\+[a-z]", key) or re.fullmatch(r"shift\+(f[1-9]|f1[0-2]|tab)", key):
        return ""
    if key.startswith("alt+"):
        return "terminals send it as Esc and the key"
    if "+" in key:
        return "many terminals do not send it"
    near = difflib.get_close_matches(key, _NAMED, n=1)
    return "no key is called so" + (f"; did you mean {near[0]!r}" if near else "")


# -- for people


def footer(commands: Iterable[Command], place: Place, most: int = 6) -> tuple[tuple[str, Command], ...]:
    """What the footer shows in a place: the key to show and the command, help first, at most ``most``."""
    ranked = sorted((c for c in commands if place in c.places and c.rank), key=lambda c: c.rank)
    return tuple((keys_in(command, place)[0], command) for command in ranked[:most] if keys_in(command, place))


def help_rows(commands: Iterable[Command], place: Place) -> tuple[tuple[str, str, str], ...]:
    """Keys, label and sentence of every command in a place, in the registry's order.

    Commands that differ by a number only, as the slots do, share a row.
    """
    commands = tuple(commands)
    labels = key_labels(commands)
    rows: dict[str, tuple[list[str], str]] = {}
    for command in commands:
        if place in command.places and (found := keys_in(command, place)):
            keys, _ = rows.setdefault(_any_number(command.help), ([], command.label))
            keys += [key_label(key) for key in found]
    return tuple((" ".join(keys), label, said(sentence, labels)) for sentence, (keys, label) in rows.items())


def _any_number(sentence: str) -> str:
    return re.sub(r"\b[1-9]\b", "1-9", sentence)


def key_table(commands: Iterable[Command]) -> str:
    """The README's table of keys, in Markdown: commands that differ by a number or by the place share a row."""
    commands = tuple(commands)
    labels = key_labels(commands)
    rows: dict[str, tuple[list[str], list[str]]] = {}
    for command in commands:
        keys, places = rows.setdefault(_any_number(command.help), ([], []))
        keys += [label for key in command.keys if (label := f"`{key_label(key)}`") not in keys]
        if command.where not in places:
            places.append(command.where)
    lines = ["| key | where | what it does |", "|---|---|---|"]
    lines += [
        f"| {' '.join(keys)} | {', '.join(places)} | {said(help_, labels)} |" for help_, (keys, places) in rows.items()
    ]
    return "\n".join(lines) + "\n"
