"""Labels laid out on sheets: what is drawn where, in millimetres from the upper left corner of the sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from sortbench.desks.label_desk import Label, Tint
from sortbench.engine.labelling.code_square import QUIET, Modules
from sortbench.model.errors import UsageError

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height in millimetres: A4 by ISO 216, Letter 8.5 by 11 inches (ANSI/ASME Y14.1)."""
USUAL = (62.0, 36.0)
"""A label's width and height if nobody says otherwise, in millimetres."""
LEAST = (40.0, 20.0)
"""The smallest label on which a code and a few words have room."""

_EDGE, _GAP = 10.0, 2.0
"""Blank edge of a sheet, and between labels to cut along; most printers leave no more than 6 mm blank."""
_PAD = 2.5
LEAST_MODULE = 0.38
"""Millimetres that the smallest square of a code may measure. Common practice, no source: 15 mil, which hand-held
scanners and telephones read at arm's length."""
_LARGEST_MARK, _LEAST_MARK = 10.0, 3.0
_NAME, _TEXT = 3.4, 2.7
"""Letters of a name and of other words: height of the type in millimetres."""
_LEADING = 1.25
_HAIR = 1e-6
"""Millimetres that rounding may add to a text whose size was reckoned to fit."""
_SWATCH = (5.0, 3.2)

Measure = Callable[[str, float, bool], float]
"""How wide a text is: the text, the size of the type, whether it is bold; millimetres."""


class Words(NamedTuple):
    """A line of text; ``y`` is where its letters stand."""

    x: float
    y: float
    size: float
    text: str
    bold: bool = False


class Patch(NamedTuple):
    """A framed area of one colour; without one it is crossed, for nobody told the colour."""

    x: float
    y: float
    width: float
    height: float
    rgb: str


class Square(NamedTuple):
    """A code whose dark modules begin at ``x`` and ``y``, each ``module`` wide and high."""

    x: float
    y: float
    module: float
    modules: Modules


class Placed(NamedTuple):
    """A label on a sheet: its frame, and what is drawn in it."""

    x: float
    y: float
    width: float
    height: float
    label: Label
    square: Square
    words: tuple[Words, ...]
    patches: tuple[Patch, ...]


class Sheet(NamedTuple):
    """One sheet of paper."""

    width: float
    height: float
    labels: tuple[Placed, ...]


def wide(text: str, size: float, bold: bool = False) -> float:
    """About how wide a text is in a plain typeface: no letter is reckoned narrower than it is in Helvetica bold."""
    return size * sum(_letter(char) for char in text)


def _letter(char: str) -> float:
    if char in "ijl|.,;:'!()[]{}/\\ ftr-I·`":
        return 0.39
    if char in "mwMW@%—…ÆŒæœ":
        return 1.0
    if char.isupper() or not char.isascii() or char in "&+<=>~#^":
        return 1.0 if ord(char) > 0x24F else 0.79
    return 0.62


def sheets_of(
    labels: Sequence[Label],
    squares: Sequence[Modules],
    paper: tuple[float, float],
    size: tuple[float, float] = USUAL,
    measure: Measure = wide,
) -> tuple[Sheet, ...]:
    """Labels on as many sheets as they need, row by row.

    Args:
        labels: at least one.
        squares: the code of each.
        paper: width and height in millimetres.
        size: width and height of a label in millimetres.
        measure: how wide texts are in the typeface that is drawn with.

    Raises:
        UsageError: such labels do not fit on the paper, or are too small for their codes.
    """
    width, height = size
    across = int((paper[0] - 2 * _EDGE + _GAP + 1e-9) // (width + _GAP)) if width > 0 else 0
    down = int((paper[1] - 2 * _EDGE + _GAP + 1e-9) // (height + _GAP)) if height > 0 else 0
    if width < LEAST[0] or height < LEAST[1] or across < 1 or down < 1:
        raise UsageError(
            f"A label of {width:g}x{height:g} mm cannot be.",
            f"Give at least {LEAST[0]:g}x{LEAST[1]:g} and at most "
            f"{paper[0] - 2 * _EDGE:g}x{paper[1] - 2 * _EDGE:g} mm on this paper.",
        )
    sheets, each_sheet = [], across * down
    for start in range(0, len(labels), each_sheet):
        placed = []
        for at, label in enumerate(labels[start : start + each_sheet]):
            x = _EDGE + at % across * (width + _GAP)
            y = _EDGE + at // across * (height + _GAP)
            placed.append(_placed(x, y, size, label, squares[start + at], measure))
        sheets.append(Sheet(*paper, tuple(placed)))
    return tuple(sheets)


def _placed(x: float, y: float, size: tuple[float, float], label: Label, modules: Modules, measure: Measure) -> Placed:
    width, height = size
    side = min(height - 1.0, width * 0.45)
    module = side / (len(modules) + 2 * QUIET)
    if module < LEAST_MODULE:
        need = LEAST_MODULE * (len(modules) + 2 * QUIET)
        raise UsageError(
            f"The code of {label.mark[:40]!r} would be too fine to be scanned on a label of {width:g}x{height:g} mm.",
            f"Make labels at least {need / 0.45:.0f}x{need + 1.0:.0f} mm with --size, or shorten the label.",
        )
    square = Square(x + 0.5 + QUIET * module, y + (height - side) / 2 + QUIET * module, module, modules)
    left, room = x + 0.5 + side, width - 0.5 - side - _PAD
    words, patches = _text(label, left, y + _PAD, room, y + height - _PAD, measure)
    return Placed(x, y, width, height, label, square, words, patches)


def _text(
    label: Label, left: float, top: float, room: float, bottom: float, measure: Measure
) -> tuple[tuple[Words, ...], tuple[Patch, ...]]:
    """Mark, name, tints and words from above to where the room ends."""
    words: list[Words] = []
    patches: list[Patch] = []
    size = min(_LARGEST_MARK, (bottom - top) * 0.4, room / max(measure(label.mark, 1.0, True), 1e-9))
    size = max(size, _LEAST_MARK)
    y = top + size * 0.8
    words.append(Words(left, y, size, cut(label.mark, room, size, True, measure), True))
    for line in _wrapped(label.name, room, _NAME, True, measure, 2):
        y += _NAME * _LEADING
        words.append(Words(left, y, _NAME, line, True))
    y += 1.6
    fit = max(1, int((bottom - y - len(label.words) * _TEXT * _LEADING) // (_SWATCH[1] + 0.8)))
    for tint, name in _shown(label.tints, fit):
        if y + _SWATCH[1] > bottom:
            break
        if tint is not None:
            patches.append(Patch(left, y, *_SWATCH, tint.rgb))
        at = left + (_SWATCH[0] + 1.2 if tint is not None else 0.0)
        words.append(Words(at, y + _SWATCH[1] - 0.6, _TEXT, cut(name, left + room - at, _TEXT, False, measure)))
        y += _SWATCH[1] + 0.8
    for text in label.words:
        fit = int((bottom - y + _TEXT * 0.2) // (_TEXT * _LEADING))
        for line in _wrapped(text, room, _TEXT, False, measure, fit):
            y += _TEXT * _LEADING
            words.append(Words(left, y - _TEXT * 0.2, _TEXT, line))
    return tuple(words), tuple(patches)


def _shown(tints: Sequence[Tint], fit: int) -> Iterator[tuple[Tint | None, str]]:
    """Tints as far as there is room for them, then how many there are beside."""
    if len(tints) <= fit:
        yield from ((tint, tint.shade) for tint in tints)
        return
    yield from ((tint, tint.shade) for tint in tints[: fit - 1])
    yield None, f"and {len(tints) - fit + 1} more shades" if fit > 1 else f"{len(tints)} shades"


def cut(text: str, room: float, size: float, bold: bool, measure: Measure) -> str:
    """A text that has no more than its room; where it had to be cut it ends in three dots."""
    if measure(text, size, bold) <= room + _HAIR:
        return text
    while text and measure(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def _wrapped(text: str, room: float, size: float, bold: bool, measure: Measure, most: int) -> list[str]:
    """A text broken between words into at most so many lines."""
    lines: list[str] = []
    for word in text.split():
        if lines and measure(f"{lines[-1]} {word}", size, bold) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    if len(lines) > most > 0:
        lines[most - 1 :] = [" ".join(lines[most - 1 :])]
    return [cut(line, room, size, bold, measure) for line in lines[: max(most, 0)]]
