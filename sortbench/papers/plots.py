"""Small plots made of characters. Each begins at nought, and each stands beside the figures that it shows.

A dot pattern of Unicode's block *Braille Patterns* (U+2800 to U+28FF) has two columns of four dots; the code point says
which are raised, a bit a dot: dots 1 to 3 and 7 are the left column from above, 4 to 6 and 8 the right one (The Unicode
Standard, 15.0, chart U+2800).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

NONE, NOUGHT = " ", "·"
"""In a line of blocks: no figure, and nought."""
_BLOCKS = "▁▂▃▄▅▆▇█"
_LEFT, _RIGHT = (0x40, 0x04, 0x02, 0x01), (0x80, 0x20, 0x10, 0x08)
"""The bits of the dots of a pattern's columns, from below."""
_ROWS = 4
_STEPS = (1, 1.5, 2, 3, 4, 5, 6, 8, 10)


def squeezed(values: Sequence[float | None], width: int) -> tuple[float | None, ...]:
    """At most ``width`` values: each is the mean of its neighbours that have one, as even groups as can be."""
    count = len(values)
    if count <= width or width < 1:
        return tuple(values)
    found: list[float | None] = []
    for at in range(width):
        known = [value for value in values[at * count // width : (at + 1) * count // width] if value is not None]
        found.append(sum(known) / len(known) if known else None)
    return tuple(found)


def top_of(values: Sequence[float | None]) -> float:
    """A round number that no value is above, and that the largest comes near to; 1 where none is above nought."""
    most = max((value for value in values if value is not None), default=0.0)
    if most <= 0:
        return 1.0
    unit = 10.0 ** math.floor(math.log10(most))
    return next((step * unit for step in _STEPS if step * unit >= most), 10 * unit)


def blocks(values: Sequence[float | None], width: int) -> str:
    """A line of blocks, one a value: from nought to the largest; a value above nought is at least the lowest block."""
    shown = squeezed(values, width)
    most = max((value for value in shown if value is not None), default=0.0)
    return "".join(_block(value, most) for value in shown)


def _block(value: float | None, most: float) -> str:
    if value is None:
        return NONE
    if value <= 0:
        return NOUGHT
    return _BLOCKS[min(7, max(0, math.ceil(8 * value / most) - 1))]


def dots(values: Sequence[float | None], width: int, height: int, top: float) -> tuple[str, ...]:
    """Columns of dots from nought up, in ``height`` lines of at most ``width`` characters.

    Every value has the same number of columns. One above nought has at least one dot, and only one that reaches
    ``top`` has all.

    Args:
        values: in their order; those that are None stay empty.
        top: what a full column stands for, above 0.
    """
    if width < 1 or height < 1 or not values:
        return ("",) * max(height, 0)
    shown = squeezed(values, 2 * width)
    each = 2 * width // len(shown)
    levels = [_level(value, top, height * _ROWS) for value in shown for _ in range(each)]
    levels += [0] * (len(levels) % 2)
    return tuple(
        "".join(
            chr(0x2800 + _bits(left - below, _LEFT) + _bits(right - below, _RIGHT))
            for left, right in zip(levels[::2], levels[1::2], strict=True)
        )
        for below in range((height - 1) * _ROWS, -1, -_ROWS)
    )


def _level(value: float | None, top: float, most: int) -> int:
    if value is None or value <= 0:
        return 0
    if value >= top:
        return most
    return min(max(1, round(most * value / top)), most - 1)


def _bits(level: int, column: tuple[int, ...]) -> int:
    return sum(column[: max(0, min(level, _ROWS))])


def plot(
    values: Sequence[float | None], width: int, height: int, ends: tuple[str, str], marks: Collection[float] = ()
) -> tuple[str, ...]:
    """A plot with its axes: what its height stands for at the left, the ends of its length below.

    Args:
        width, height: of all of it, in characters; it may be narrower.
        ends: what stands below its left and its right end.
        marks: places along it, as shares of its length 0 to 1, that are marked on the axis.

    Returns:
        Lines; none where there is no room.
    """
    top = top_of(values)
    label = f"{top:g}"
    room, lines = width - len(label) - 2, height - 2
    if room < 4 or lines < 1 or not values:
        return ()
    rows = dots(values, room, lines, top)
    length = len(rows[0])
    labels = [label, *[""] * (lines - 1)]
    axis = ["─"] * length
    for mark in marks:
        axis[min(length - 1, int(mark * length))] = "┴"
    below = ends[0] + ends[1].rjust(max(length - len(ends[0]), len(ends[1]) + 1))
    return (
        *(f"{name:>{len(label)}} │{row}" for name, row in zip(labels, rows, strict=True)),
        f"{'0':>{len(label)}} └{''.join(axis)}",
        " " * (len(label) + 2) + below,
    )
