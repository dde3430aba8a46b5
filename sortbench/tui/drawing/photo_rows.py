"""The photo screen: the picture in half blocks with its marks, and the pieces with what is read from them."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.engine.condition.photo_board import CellMark, PhotoRow, PhotoView, cell_size, rim
from sortbench.tui.drawing.bench_rows import POINTER
from sortbench.tui.drawing.judge_rows import Colours
from sortbench.tui.drawing.list_rows import headings, wrapped
from sortbench.tui.drawing.words import joined, plural
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

UPPER, CURSOR = "▀", "╋"
_SHADES = " ░▒▓█"
_BLACK = "000000"
_LAYOUT = (
    Column(1),
    Column(3, align="right"),
    Column(2, drop=2),
    Column(3),
    Column(8, 11, drop=1),
    Column(10, align="right"),
    Column(4, 9, drop=3),
    Column(6, 12, align="right", drop=4),
)
_NAMES = ("", "no.", "", "gr.", "may be", "difference", "rank", "yellower")
_MOST_LINES = 8
"""Lines one note may take."""

Cell = tuple[int, int]
"""Column and line of a cell of the picture."""


def head_row(view: PhotoView, width: int, keys: Keymap = OWN_KEYS) -> Row:
    """Which picture it is, and what is counted from it."""
    if not view.name:
        return clip((("photo ", "title"), ("no picture in hand", "text")), width)
    kind: Row = ((view.kind, "strong"),) if view.kind else ((keys.said("{photo.kind} names the kind"), "warning"),)
    grid = f"{view.grid[0]} × {view.grid[1]} pieces a mark"
    parts: list[Row] = [
        (("photo ", "title"), (view.name, "strong")),
        ((f"{view.width:,} × {view.height:,}", "quiet"),),
        kind,
        ((f"card reflects {view.reflectance:.0%}", "quiet"),),
        ((grid, "wanted"),) if view.grid != (1, 1) else (),
    ]
    return clip(joined(parts), width)


# -- the picture


def picture_rows(
    view: PhotoView,
    cursor: Cell,
    pending: CellMark | None,
    colours: Colours,
    width: int,
    height: int,
    keys: Keymap = OWN_KEYS,
) -> tuple[Row, ...]:
    """The picture; the rims of marks carry their letter or number, the cell under the cursor a cross.

    Args:
        pending: the rectangle from a corner to the cursor.
    """
    if not view.preview:
        text = (
            "Lay a white or grey card, one unaged piece and the pieces side by side in even daylight, and take one "
            f"picture. {keys.label('photo.open')} takes it in hand."
        )
        return wrapped(text, "quiet", width, height)
    across, down = cell_size(view.preview)
    letters: dict[Cell, Span] = {}
    for mark in view.marks:
        letters |= _rim(mark, "held")
    if pending is not None:
        letters |= _rim(pending, "chosen")
    letters[cursor] = (CURSOR, "chosen")
    return tuple(
        tuple(letters.get((column, line)) or _cell(view, column, line, colours) for column in range(across))
        for line in range(down)
    )


def _rim(mark: CellMark, style: str) -> dict[Cell, Span]:
    return {cell: (letter, style) for cell, letter in rim(mark).items()}


def _cell(view: PhotoView, column: int, line: int, colours: Colours) -> Span:
    upper = view.preview[2 * line][column]
    lower = view.preview[2 * line + 1][column] if 2 * line + 1 < len(view.preview) else _BLACK
    if colours.enough:
        return UPPER, f"#{upper} on #{lower}"
    bright = sum(bytes.fromhex(upper + lower)) / (6 * 256)
    return _SHADES[int(bright * len(_SHADES))], "text"


# -- the pieces


def result_rows(view: PhotoView, chosen: int | None, coloured: bool, width: int) -> tuple[Row, ...]:
    """The pieces in the order of their numbers, then what is doubtful.

    Args:
        chosen: number of the piece under the cursor.
        coloured: whether swatches mean anything.
    """
    rows: list[Row] = []
    if view.trouble:
        rows += [*wrapped(view.trouble, "error", width, _MOST_LINES), ()]
    elif view.missing:
        rows += [*wrapped(view.missing if view.name else "", "wanted", width, _MOST_LINES), ()]
    if view.rows:
        rows.append(headings(_LAYOUT, _NAMES, width))
        rows += [_result(row, row.number == chosen, coloured, width) for row in view.rows]
        rows.append(())
    for note in view.notes:
        rows += wrapped(f"· {note}", "quiet", width, _MOST_LINES)
    for caution in view.cautions:
        rows += wrapped(f"! {caution}", "quiet", width, _MOST_LINES)
    return tuple(rows)


def _result(row: PhotoRow, chosen: bool, coloured: bool, width: int) -> Row:
    look = "chosen" if chosen else "text"
    start: Sequence[Span | Row] = (
        (POINTER if chosen else " ", "key"),
        (str(row.number), look),
        ("  ", f"#{row.rgb}" if coloured else "text"),
    )
    if row.difference is None:
        return clip((*columns(_LAYOUT[:3], start, 8), (" ", "text"), ("not judged", "warning")), width)
    yellower = "" if row.yellowness_change is None else f"{row.yellowness_change:+.1f}"
    cells = (
        *start,
        (row.grade, "strong"),
        (row.band if row.band != row.grade else "", "quiet"),
        (_with_u(row.difference, row.difference_u), look),
        (row.ranks, "quiet"),
        (yellower, "quiet"),
    )
    return columns(_LAYOUT, cells, width)


def _with_u(value: float, u: float | None) -> str:
    return f"{value:.1f}" if u is None else f"{value:.1f} ± {2.0 * u:.1f}"


def row_words(row: PhotoRow) -> str:
    """One piece in full."""
    if row.difference is None:
        return f"piece {row.number} was not judged: {row.why_not}"
    band = f", by its uncertainty {row.band}" if row.band != row.grade else ""
    parts = [
        f"piece {row.number}: grade {row.grade}{band}",
        f"difference {_with_u(row.difference, row.difference_u)} ({row.limit})",
        f"rank {row.ranks}",
    ]
    if row.yellowness_change is not None:
        parts.append(f"yellowness {row.yellowness_change:+.1f}")
    else:
        parts.append(f"no yellowness: {row.why_no_yellowness}")
    return "; ".join([*parts, *row.notes])


def count_words(view: PhotoView) -> str:
    """What is asked before pieces are counted."""
    judged = [row for row in view.rows if row.grade]
    left = len(view.rows) - len(judged)
    grades = list(dict.fromkeys(row.grade for row in sorted(judged, key=lambda row: -(row.rating or 0.0))))
    each = ", ".join(f"{grade} ({sum(row.grade == grade for row in judged)})" for grade in grades)
    rest = f" {left} not judged, not counted." if left else ""
    return f"Count {plural(len(judged), 'piece')} as {view.kind}: grade {each}?{rest}"
