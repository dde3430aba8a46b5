"""The list of commands: found by words, those at hand first, with the way to the others."""

from __future__ import annotations

from typing import NamedTuple

from sortbench.tui.drawing.list_rows import holds_words, searchable
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import Command, Place, Situation, key_label, keys_in
from sortbench.tui.widgets.rows import Column, Row, columns

WAYS: dict[Place, tuple[str, ...]] = {
    "typing": ("bench",),
    "pad": ("bench", "pad"),
    "targets": ("targets",),
    "sets": ("targets", "targets.sets"),
    "welcome": ("targets", "targets.add"),
    "bins": ("bins",),
    "spot": ("bins", "bins.spot"),
    "recount": ("bins", "bins.recount"),
    "weigh": ("bins", "bins.weigh"),
    "log": ("log",),
    "records": ("log", "log.records"),
    "reconcile": ("reconcile",),
    "pick": ("targets", "targets.pick"),
    "statement": ("targets", "targets.statement"),
    "plan": ("targets", "targets.plan"),
    "orders": ("targets", "targets.orders"),
    "wash": ("washing",),
    "judge": ("judge",),
    "photo": ("judge", "judge.photo"),
    "bring": ("bins", "bins.import"),
}
"""The commands that lead to a place from anywhere, in order."""
_OF_EVERY_LIST = frozenset({"up", "down", "page-up", "page-down", "first", "last", "back", "yes"})
"""Commands that every list has: of other places they are no news."""
NO_COMMAND: Row = (("No command's words begin so. {commands.close} closes the list.", "quiet"),)


class Listed(NamedTuple):
    """A command of the list.

    Attributes:
        command: with the keys in force.
        key: the key to show.
        help: what it does, in a sentence.
        way: what leads to where it is at hand, empty if it is at hand already.
        why_not: why it cannot be done now; empty when it can.
    """

    command: Command
    key: str
    help: str
    way: str
    why_not: str


def listed(keys: Keymap, place: Place, situation: Situation, words: str) -> tuple[Listed, ...]:
    """Commands that hold all words typed, each as the start of one of theirs.

    Those at hand in the place come first; within them, the one whose label the words are, those whose label holds
    them, those whose sentence does; then the order of the help sheet.
    """
    found: list[tuple[tuple[bool, int], Listed]] = []
    for command in keys.commands:
        here = place in command.places
        own = command.id.rpartition(".")[2]
        if not here and (command.places[0] not in WAYS or own in _OF_EVERY_LIST):
            continue
        sentence = keys.said(command.help)
        text = searchable(command.label, sentence, command.id.replace(".", " "), command.where)
        if not holds_words(text, words):
            continue
        shown = keys_in(command, place if here else command.places[0])
        way = "" if here else " ".join(keys.label(each) for each in WAYS[command.places[0]])
        why_not = keys.said(command.why_not(situation)) if here else ""
        label = command.label.casefold()
        tier = 0 if label == words.strip().casefold() else 1 if holds_words(searchable(label), words) else 2
        one = Listed(command, key_label(shown[0]) if shown else "", sentence, way, why_not)
        found.append(((not here, tier), one))
    return tuple(one for _, one in sorted(found, key=lambda each: each[0]))


def command_row(one: Listed, width: int, chosen: bool) -> Row:
    """Its key, its label, and what it does, or why it cannot be done, or what leads to it."""
    off = bool(one.way or one.why_not)
    layout = (
        Column(1),
        Column(12 if width >= 64 else 7),
        Column(14),
        Column(max(width - (32 if width >= 64 else 27), 4)),
    )
    keys = f"{one.way} {one.key}" if one.way else one.key
    text = one.why_not or one.help
    style = "cursor" if chosen else ""
    return columns(
        layout,
        [
            ("▸" if chosen else " ", style or "key"),
            (keys, style or ("key-off" if off else "key")),
            (one.command.label, style or ("quiet" if off else "strong")),
            (text, style or ("quiet" if off else "text")),
        ],
        width,
    )
