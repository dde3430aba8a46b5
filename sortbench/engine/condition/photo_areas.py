"""Rectangles of a photograph as people write them, and whether they can be judged."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.photo import Area, Marks

HOW_TO_WRITE = (
    "Write left, top, width and height, as in 1200,340,200,160 (pixels of the picture standing upright) or "
    "30%,12%,5%,5% (of its width and height)."
)
LEAST_SIDE, LEAST_PIXELS = 6, 100
"""A rectangle has at least so many pixels each way, and so many in all."""
MOST_PIECES = 400
"""Pieces judged in one picture."""
INNER = 0.5
"""Share of a grid's cell, in each direction, that is looked at: its middle, so that nothing beside a piece counts."""

_NUMBER = re.compile(r"(\d{1,6}(?:\.\d{1,6})?)(%?)")
_GRID = re.compile(r"(\d{1,3})\s*[x×]\s*(\d{1,3})", re.IGNORECASE)


class Wish(NamedTuple):
    """A rectangle as it was asked for: each number with whether it is percent of the picture."""

    numbers: tuple[tuple[float, bool], ...]
    text: str

    def on(self, width: int, height: int) -> Area:
        """The rectangle on a picture of that size; it may lie outside."""
        (left, top, across, down), (w, h) = self.numbers, (width, height)
        x, y = _pixels(*left, w), _pixels(*top, h)
        # Sides are rounded where they end, so that 50%,0,50%,100% ends with the picture.
        return Area(
            round(x), round(y), round(x + _pixels(*across, w)) - round(x), round(y + _pixels(*down, h)) - round(y)
        )


class Grid(NamedTuple):
    """Pieces laid out in columns and lines within a rectangle."""

    wish: Wish
    columns: int
    lines: int

    def on(self, width: int, height: int) -> tuple[Area, ...]:
        """The middle of each cell on a picture of that size, line by line."""
        return cells(self.wish.on(width, height), self.columns, self.lines)


def _pixels(number: float, percent: bool, of: int) -> float:
    return number * of / 100.0 if percent else number


def parse_area(text: str) -> Wish:
    """A rectangle: ``1200,340,200,160`` or ``30%,12%,5%,5%``.

    Raises:
        DataError: it is none.
    """
    words = [word.strip() for word in text.split(",")]
    found = [_NUMBER.fullmatch(word) for word in words]
    numbers = tuple((float(each[1]), bool(each[2])) for each in found if each)
    if len(words) != 4 or len(numbers) != 4:
        raise DataError(f"{text.strip()[:60]!r} is no rectangle.", HOW_TO_WRITE)
    if any(percent and number > 100.0 for number, percent in numbers):
        raise DataError(f"{text.strip()[:60]!r} is more than the whole picture.", HOW_TO_WRITE)
    return Wish(numbers, text.strip())


def parse_grid(text: str) -> Grid:
    """A grid of pieces: ``10%,40%,80%,50%,6x3``, columns first.

    Raises:
        DataError: it is none, or has more cells than pieces are judged at once.
    """
    before, comma, last = text.rpartition(",")
    if not comma:
        raise DataError(
            f"{text.strip()[:60]!r} is no grid.",
            "Write a rectangle, then columns and lines, as in 10%,40%,80%,50%,6x3.",
        )
    columns, lines = parse_cells(last)
    return Grid(parse_area(before), columns, lines)


def parse_cells(text: str) -> tuple[int, int]:
    """Columns and lines of a grid: ``6x3``.

    Raises:
        DataError: they are none, or come to more cells than pieces are judged at once.
    """
    found = _GRID.fullmatch(text.strip())
    columns, lines = (int(found[1]), int(found[2])) if found else (0, 0)
    if not columns or not lines:
        raise DataError(f"{text.strip()[:60]!r} are no columns and lines.", "Write columns, x, lines, as in 6x3.")
    if columns * lines > MOST_PIECES:
        raise DataError(f"A grid of {columns} × {lines} has too many cells.", f"At most {MOST_PIECES} are judged.")
    return columns, lines


def cells(area: Area, columns: int, lines: int) -> tuple[Area, ...]:
    """The middle of each cell of a grid, line by line: half of it in each direction."""
    across, down = area.width / columns, area.height / lines
    margin = (1.0 - INNER) / 2.0
    found = []
    for line in range(lines):
        top = round(area.top + (line + margin) * down)
        bottom = round(area.top + (line + 1 - margin) * down)
        for column in range(columns):
            left = round(area.left + (column + margin) * across)
            right = round(area.left + (column + 1 - margin) * across)
            found.append(Area(left, top, right - left, bottom - top))
    return tuple(found)


def check_marks(marks: Marks, width: int, height: int) -> tuple[Area, Area, tuple[Area, ...]]:
    """The card, the reference and the pieces, all of them such as can be judged together.

    Raises:
        DataError: one is missing, outside the picture, too small, or shares pixels with another.
    """
    if marks.card is None:
        raise DataError(
            "No white or grey card is marked, and without one nothing can be said of colours.",
            "Lay a card beside the pieces, in the same light, and mark it.",
        )
    if marks.reference is None:
        raise DataError(
            "No unaged piece is marked as the reference.", "Lay one of the same shade beside the others, and mark it."
        )
    if not marks.pieces:
        raise DataError("No piece is marked.", "Mark at least one.")
    if len(marks.pieces) > MOST_PIECES:
        raise DataError(f"{len(marks.pieces)} pieces are marked.", f"At most {MOST_PIECES} are judged at once.")
    named = [("the card", marks.card), ("the reference", marks.reference)]
    named += [(f"piece {number}", area) for number, area in enumerate(marks.pieces, 1)]
    for name, area in named:
        _check(name, area, width, height)
    _check_apart(named)
    return marks.card, marks.reference, marks.pieces


def _check(name: str, area: Area, width: int, height: int) -> None:
    what = f"{name[0].upper()}{name[1:]} ({area})"
    if area.left < 0 or area.top < 0 or area.right > width or area.bottom > height:
        raise DataError(f"{what} lies outside the picture, which has {width:,} × {height:,} pixels.", HOW_TO_WRITE)
    if min(area.width, area.height) < LEAST_SIDE or area.width * area.height < LEAST_PIXELS:
        raise DataError(
            f"{what} has too few pixels.",
            f"At least {LEAST_SIDE} each way and {LEAST_PIXELS} in all; mark more of it, or go closer with the camera.",
        )


def _check_apart(named: Sequence[tuple[str, Area]]) -> None:
    for at, (name, area) in enumerate(named):
        for other, beside in named[:at]:
            if area.overlaps(beside):
                raise DataError(
                    f"{name[0].upper()}{name[1:]} ({area}) shares pixels with {other} ({beside}).",
                    "Mark each of them by itself, well inside its edges.",
                )
