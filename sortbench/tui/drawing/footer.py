"""The footer: the keys at hand, from the registry."""

from __future__ import annotations

from functools import lru_cache

from sortbench.tui.drawing.words import joined
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import Place, Situation, footer, key_label
from sortbench.tui.widgets.rows import Row, clip

_EDITING = frozenset(("enter", "escape", "backspace", "delete", "left", "right"))


@lru_cache(maxsize=64)
def footer_row(keys_now: Keymap, place: Place, situation: Situation, width: int) -> Row:
    """At most six keys of a place, help first; what cannot be done now is dimmed, not hidden."""
    keys: list[Row] = []
    for key, command in footer(keys_now.commands, place):
        off = bool(command.why_not(situation))
        look = ("key-off", "key-off") if off else ("key", "quiet")
        keys.append(((key_label(key), look[0]), (f" {command.label}", look[1])))
    return clip(joined(keys), width)


@lru_cache(maxsize=64)
def typing_footer_row(keys_now: Keymap, place: Place, width: int) -> Row:
    """The keys of a place while a line is typed on it: what prints is text then, so only the others are named."""
    keys: list[Row] = []
    for _, command in footer(keys_now.commands, place):
        key = next((key for key in command.keys if len(key) > 1), "")
        if key and key not in _EDITING:
            keys.append(((key_label(key), "key"), (f" {command.label}", "quiet")))
    return clip(joined(keys), width)
