"""The preview of a statement: the same words as its files, wrapped to the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from sortbench.desks.statement_desk import about, list_words, sections, verdict
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Row, clip, pad

if TYPE_CHECKING:
    from sortbench.desks.statement_desk import Statement

_MOST_LINES = 400
"""Lines that one sentence may take: a statement is never cut short."""
_INDENT = 6
"""Cells before the words of a line of the list, for its number."""


def head_rows(stated: Statement, place: int, of: int, width: int, keys: Keymap = OWN_KEYS) -> tuple[Row, ...]:
    """Which target it is, and whether it speaks of the box or of what would be picked.

    Args:
        place: the target's place among all, from 0.
        of: how many there are.
    """
    top: Row = (
        ("‹ " if place else "  ", "key"),
        (stated.code, "key"),
        (f" {stated.name} ", "title"),
        (f"· statement · {place + 1} of {of}", "quiet"),
        (" ›" if place + 1 < of else "", "key"),
    )
    what = (
        keys.said("as it would be picked now; {statement.as-shared} shows what is in the box")
        if stated.as_shared
        else "what is in the box"
    )
    return clip(top, width), clip(((what, "warning" if stated.as_shared else "quiet"),), width)


def preview_rows(stated: Statement, width: int) -> tuple[Row, ...]:
    """All of a statement, in lines of at most so many cells."""
    return tuple(_rows(stated, width))


def _rows(stated: Statement, width: int) -> Iterator[Row]:
    yield from wrapped(about(stated), "quiet", width, _MOST_LINES)
    sure = stated.complete and not stated.impossible and not stated.as_shared
    yield from wrapped(verdict(stated), "good" if sure else "wanted", width, _MOST_LINES)
    for section in sections(stated):
        yield ()
        yield ((section.title, "title"),)
        for words in section.said:
            yield from wrapped(words, "text", width, _MOST_LINES)
        for item in section.items:
            for place, row in enumerate(wrapped(item, "text", max(width - 2, 1), _MOST_LINES)):
                yield (("  " if place else "- ", "quiet"), *row)
    if rows := list_words(stated):
        yield ()
        yield (("Line by line", "title"),)
        for number, words in rows:
            for place, row in enumerate(wrapped(words, "text", max(width - _INDENT, 1), _MOST_LINES)):
                yield ((pad("" if place else number, _INDENT - 2, "right") + "  ", "quiet"), *row)
