"""The footer: the keys at hand, from the registry."""

from __future__ import annotations

from functools import lru_cache

from sortbench.tui.drawing.words import joined
from sortbench.tui.keys import COMMANDS, Place, Situation, footer, key_label
from sortbench.tui.widgets.rows import Row, clip


@lru_cache(maxsize=64)
def footer_row(place: Place, situation: Situation, width: int) -> Row:
    """At most six keys of a place, help first; what cannot be done now is dimmed, not hidden."""
    keys: list[Row] = []
    for key, command in footer(COMMANDS, place):
        off = bool(command.why_not(situation))
        keys.append(
            ((key_label(key), "key-off" if off else "key"), (f" {command.label}", "key-off" if off else "quiet"))
        )
    return clip(joined(keys), width)
