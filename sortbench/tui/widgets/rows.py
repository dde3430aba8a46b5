"""Rows of a panel: spans of text with the name of a style, laid out by cell width. Pure; nothing here draws.

Widths are terminal cells as ``rich.cells`` counts them (East Asian wide characters take two, combining marks none).
Style names are those of ``palette.LOOKS``; text is data and never markup.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Literal, NamedTuple, overload

from rich.cells import cell_len, set_cell_size

Span = tuple[str, str]
"""Text and the name of its style."""
Row = tuple[Span, ...]
"""One line of a panel."""
Cell = str | Span | Row
"""What a column may hold: plain text, one span, or a row of spans such as a bar."""
Align = Literal["left", "right", "centre"]


class RowsOnDemand(Sequence[Row]):
    """Rows made only when they are asked for: of a list of ten thousand, those in sight.

    Args:
        count: how many there are.
        make: the row of an index from 0.
    """

    def __init__(self, count: int, make: Callable[[int], Row]) -> None:
        self._count, self._make = count, make

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, index: int) -> Row: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Row, ...]: ...
    def __getitem__(self, index: int | slice) -> Row | tuple[Row, ...]:
        if isinstance(index, slice):
            return tuple(self._make(each) for each in range(self._count)[index])
        return self._make(range(self._count)[index])


ELLIPSIS = "…"
STANDARD, PRESENT, POSSIBLE, EMPTY, OVERFLOW = "█", "▒", "░", "·", "▲"
"""What a bar is made of: up to standard (or simply there), present but below standard, possible if coarse pieces turn
out right, still empty, over the rim."""


def fit(text: str, width: int) -> str:
    """The text, cut to at most ``width`` cells; an ellipsis stands for what is cut off."""
    if width <= 0:
        return ""
    if (len(text) <= width and text.isascii()) or cell_len(text) <= width:
        return text
    # A wide character that does not fit leaves a blank cell behind, which would look like a gap before the ellipsis.
    return set_cell_size(text, width - 1).rstrip(" ") + ELLIPSIS


def pad(text: str, width: int, align: Align = "left") -> str:
    """The text in exactly ``width`` cells, cut or padded with blanks."""
    if align == "left" and len(text) <= width and text.isascii():
        return text.ljust(width)
    # A joiner at the end would swallow the blank behind it.
    fitted = fit(text, width).rstrip("\u200d")
    missing = width - cell_len(fitted)
    if missing <= 0:
        return fitted
    if align == "left":
        return fitted + " " * missing
    if align == "right":
        return " " * missing + fitted
    return " " * (missing // 2) + fitted + " " * (missing - missing // 2)


def row_width(row: Row) -> int:
    """Cells a row takes."""
    return sum([len(text) if text.isascii() else cell_len(text) for text, _ in row])


def clip(row: Row, width: int) -> Row:
    """The row, cut to at most ``width`` cells; an ellipsis stands for what is cut off."""
    if row_width(row) <= width:
        return row
    kept: list[Span] = []
    left = width
    for text, style in row:
        taken = cell_len(text)
        if taken >= left:  # what follows does not fit, so this span ends in the ellipsis even if it fits exactly
            kept.append((fit(text + ELLIPSIS, left), style))
            break
        kept.append((text, style))
        left -= taken
    return tuple(span for span in kept if span[0])


# -- bars


def bar_cells(value: int, total: int, width: int) -> int:
    """Cells of a bar that stand for ``value`` out of ``total``.

    Rounded down, but honest at both ends: nothing is drawn for 0 only, and all cells only when the total is reached.
    A bar of one cell cannot be both and stays empty until the total is reached.
    """
    if value <= 0 or width <= 0:
        return 0
    if value >= total:
        return width
    return min(max(value * width // total, 1), width - 1)


@lru_cache(maxsize=512)
def bar(value: int, total: int, width: int) -> Row:
    """A plain bar: how much of a total is there."""
    full = bar_cells(value, total, width)
    return _spans((STANDARD * full, "standard"), (EMPTY * (width - full), "empty"))


@lru_cache(maxsize=512)
def fill_bar(standard: int, present: int, total: int, width: int, possible: int = 0) -> Row:
    """How far a target is filled: to standard, present below standard, possible and empty are told by glyph and style.

    ``present`` counts all pieces, those to standard among them; ``possible`` counts these and what coarse pieces may
    bring at most.
    """
    solid = bar_cells(min(standard, present), total, width)
    held = max(bar_cells(present, total, width), solid)
    if present > standard and held == solid:  # a part too small to see is shown at the cost of the greater one
        if held < (width if present >= total else width - 1):
            held += 1
        elif solid > 1:
            solid -= 1
    hoped = max(bar_cells(possible, total, width), held)
    if possible > present and hoped == held < (width if possible >= total else width - 1):
        hoped += 1
    return _spans(
        (STANDARD * solid, "standard"),
        (PRESENT * (held - solid), "present"),
        (POSSIBLE * (hoped - held), "possible"),
        (EMPTY * (width - hoped), "empty"),
    )


@lru_cache(maxsize=512)
def load_bar(count: int, capacity: int, width: int) -> Row:
    """How full a bin is. Over capacity the whole bar stands for the count, and what lies over the rim is marked so."""
    if count <= capacity:
        return bar(count, capacity, width)
    within = min(capacity * width // count, width - 1) if width > 0 else 0
    return _spans((STANDARD * within, "standard"), (OVERFLOW * (width - within), "over"))


def _spans(*spans: Span) -> Row:
    return tuple(span for span in spans if span[0])


# -- columns


class Column(NamedTuple):
    """A column of a table of rows.

    Attributes:
        least: fewest cells it is worth showing in.
        most: most cells it takes; None takes what is left.
        align: where its text stands.
        drop: columns with the highest number go first when there is no room; 0 never goes.
    """

    least: int
    most: int | None = -1
    align: Align = "left"
    drop: int = 0

    @property
    def limit(self) -> int | None:
        """Most cells; ``least`` where nothing else was said."""
        return self.least if self.most == -1 else self.most


@lru_cache(maxsize=256)
def widths(columns: tuple[Column, ...], width: int, gap: int = 1) -> tuple[int, ...]:
    """Cells for each column so that all with their gaps fit into ``width``; 0 for a column dropped.

    Columns that never go are squeezed from the right when even they do not fit, to one cell and then to none.
    """
    kept = list(range(len(columns)))

    def needed() -> int:
        return sum(columns[i].least for i in kept) + gap * max(len(kept) - 1, 0)

    while needed() > width:
        worst = max(kept, key=lambda i: (columns[i].drop, i), default=None)
        if worst is None or columns[worst].drop == 0:
            break
        kept.remove(worst)
    while kept and len(kept) + gap * (len(kept) - 1) > width:  # no cell for each any more
        kept.pop()
    given = [0] * len(columns)
    left = width - gap * max(len(kept) - 1, 0)
    for place, i in enumerate(kept, 1):
        given[i] = min(columns[i].least, left - (len(kept) - place))
        left -= given[i]
    while left > 0:
        growing = [i for i in kept if columns[i].limit is None or given[i] < (columns[i].limit or 0)]
        if not growing:
            break
        for place, i in enumerate(growing):
            share = max(left // (len(growing) - place), 1)
            limit = columns[i].limit
            more = min(share, left) if limit is None else min(share, left, limit - given[i])
            given[i] += more
            left -= more
    return tuple(given)


def columns(layout: tuple[Column, ...], cells: Sequence[Cell], width: int, gap: int = 1) -> Row:
    """One row of a table.

    Args:
        layout: the columns.
        cells: one for each column: plain text, a span, or a row of spans such as a bar.
        width: cells the whole row has.
        gap: blanks between columns.
    """
    spans: list[Span] = []
    for column, cell, room in zip(layout, cells, widths(layout, width, gap), strict=True):
        if room == 0:
            continue
        if spans and gap:
            spans.append((" " * gap, "text"))
        spans.extend(_cell(cell, room, column.align))
    return tuple(spans)


def _cell(cell: Cell, room: int, align: Align) -> Row:
    if isinstance(cell, str):
        return ((pad(cell, room, align), "text"),)
    if len(cell) == 2 and isinstance(cell[0], str) and isinstance(cell[1], str):
        return ((pad(cell[0], room, align), cell[1]),)
    row = cell
    missing = room - row_width(row)
    if missing < 0:
        row = clip(row, room)
        missing = room - row_width(row)
    if missing <= 0:
        return row
    if align == "left":
        return (*row, (" " * missing, "text"))
    before = missing if align == "right" else missing // 2
    return _spans((" " * before, "text"), *row, (" " * (missing - before), "text"))


def beside(rows: Sequence[Row], room: Sequence[int], gap: int = 1) -> Row:
    """Rows of several panels on one line of a board, each cut or padded to its own cells."""
    spans: list[Span] = []
    for row, width in zip(rows, room, strict=True):
        if spans and gap:
            spans.append((" " * gap, "text"))
        spans.extend(_cell(row, width, "left"))
    return tuple(spans)


RIM_START = 3
"""Cells of a rim before its title."""


def rim(title: Row, note: str, width: int) -> Row:
    """The rim of a tray, seen from above: the title at its left, a note at its right."""
    if width < 6:
        return clip(title, width)
    name = clip(title, width - 6)
    room = width - 6 - row_width(name)
    tail = f" {fit(note, room - 3)} " if note and room >= 6 else ""
    line = "━" * (width - 5 - row_width(name) - cell_len(tail) - (1 if tail else 0))
    ends: Row = ((line, "rule"), (tail, "quiet"), ("━┑" if tail else "┑", "rule"))
    return (("┍━ ", "rule"), *name, (" ", "text"), *_spans(*ends))
