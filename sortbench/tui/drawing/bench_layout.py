"""Where the panels of the bench screen lie on its board, for any size of terminal. Pure.

The whole screen is one board, with the entry line lying on it: one widget that repaints the lines that changed answers
a key faster than six that each repaint their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from sortbench.tui.widgets.rows import Row, beside, rim

NARROW, WIDE, SHORT = 64, 160, 32
"""Columns below which panels stand in one column, columns from which crates and bins stand side by side, and lines
below which results and keypad share one place."""
HEAD, ENTRY, ANSWER, FOOT = 1, 1, 2, 1
"""Lines of the head, of the entry line, of the answer to the last key, and of the footer."""
_RESULTS, _PAD, _PAD_SHORT = 9, 14, 13
_GAP = 1


class Panel(NamedTuple):
    """A panel's place on the board, its rim included.

    Attributes:
        name: ``results``, ``pad``, ``tallies``, ``targets`` or ``bins``.
        left, top: its corner, in cells from the board's.
        width, height: in cells.
    """

    name: str
    left: int
    top: int
    width: int
    height: int

    @property
    def room(self) -> int:
        """Rows under the rim."""
        return max(0, self.height - 1)


@lru_cache(maxsize=64)
def arrange(width: int, height: int, keypad: bool, crates: int) -> tuple[Panel, ...]:
    """The panels that fit, each with some room.

    Args:
        width, height: of the board, in cells.
        keypad: whether the keypad is on; where results and keypad share one place, it decides which is seen.
        crates: targets there are.
    """
    top = HEAD + ENTRY + ANSWER
    below = height - FOOT
    if width < NARROW:
        return _one_column(width, top, below, keypad, crates)
    short = height < SHORT
    left = width * (40 if width >= WIDE else 55) // 100 - _GAP
    panels = _stack(0, top, left, below, _left(keypad, short))
    if width >= WIDE:
        middle = (width - left - 2 * _GAP) // 2
        panels += _stack(left + _GAP, top, middle, below, [("targets", 0)])
        panels += _stack(left + middle + 2 * _GAP, top, width - left - middle - 2 * _GAP, below, [("bins", 0)])
        return tuple(panels)
    share = max(3, min(crates + 1, (below - top) // 2))
    panels += _stack(left + _GAP, top, width - left - _GAP, below, [("targets", share), ("bins", 0)])
    return tuple(panels)


def _left(keypad: bool, short: bool) -> list[tuple[str, int]]:
    if not short:
        return [("results", _RESULTS), ("pad", _PAD), ("tallies", 0)]
    return [("pad", _PAD_SHORT) if keypad else ("results", _RESULTS), ("tallies", 0)]


def _one_column(width: int, top: int, below: int, keypad: bool, crates: int) -> tuple[Panel, ...]:
    """Crates and bins keep at least two rows each, for an overflow must be seen whatever is typed."""
    lines = below - top
    first = max(2, min(_PAD_SHORT if keypad else _RESULTS, lines - 6))
    share = max(3, min(crates + 1, (lines - first) // 2))
    names = [("pad" if keypad else "results", first), ("targets", share), ("bins", 0)]
    return tuple(_stack(0, top, width, below, names))


def _stack(left: int, top: int, width: int, below: int, names: Sequence[tuple[str, int]]) -> list[Panel]:
    """Panels one under the other; a height of 0 takes what is left."""
    panels = []
    for name, wanted in names:
        height = min(wanted or below - top, below - top)
        if height < 2:
            break
        panels.append(Panel(name, left, top, width, height))
        top += height
    return panels


def panel_at(panels: Sequence[Panel], x: int, y: int) -> tuple[str, int] | None:
    """The panel under a cell of the board and the row in it, from 0; None on a rim or outside."""
    for panel in panels:
        if panel.left <= x < panel.left + panel.width and panel.top < y < panel.top + panel.height:
            return panel.name, y - panel.top - 1
    return None


def board_rows(
    head: Row,
    answer: Sequence[Row],
    foot: Row,
    panels: Sequence[Panel],
    content: Mapping[str, tuple[Row, Sequence[Row]]],
    height: int,
) -> list[Row]:
    """All lines of the board.

    Args:
        head, answer, foot: lines over the whole width.
        panels: from :func:`arrange`.
        content: title and rows of each panel by name; rows beyond its room are left out.
        height: lines the board has.
    """
    columns: dict[int, list[Panel]] = {}
    for panel in panels:
        columns.setdefault(panel.left, []).append(panel)
    stacks = [(stack[0].width, _lines(stack, content, height)) for _, stack in sorted(columns.items())]
    room = tuple(width for width, _ in stacks)
    rows: list[Row] = [head, (), *answer]
    for y in range(len(rows), height - FOOT):
        rows.append(_beside(tuple(lines[y] for _, lines in stacks), room))
    return [*rows[: height - FOOT], foot]


def _lines(stack: Sequence[Panel], content: Mapping[str, tuple[Row, Sequence[Row]]], height: int) -> list[Row]:
    """The lines of one column of panels, by line of the board."""
    lines: list[Row] = [()] * height
    for panel in stack:
        title, rows = content.get(panel.name, ((), ()))
        lines[panel.top] = _rim(title, panel.width)
        for y, row in enumerate(rows[: panel.room], panel.top + 1):
            lines[y] = row
    return lines


@lru_cache(maxsize=128)
def _rim(title: Row, width: int) -> Row:
    return rim(title, "", width)


@lru_cache(maxsize=128)
def _beside(rows: tuple[Row, ...], room: tuple[int, ...]) -> Row:
    return beside(rows, room, _GAP)
