"""What a report draws: bars of targets, trays filled with the shades that lie in them, swatches.

Areas are told apart by pattern as well as by colour, and each drawing has its figures in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sortbench.desks.report_desk import BinFigures, ShadePieces
from sortbench.engine.board import BinRow
from sortbench.papers.own_files import page_text

PATTERNS = (
    '<svg class="patterns" aria-hidden="true"><defs>'
    '<pattern id="part" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<path d="M-1 6L6 -1M-1 1L1 -1M4 6L6 4"/></pattern>'
    '<pattern id="maybe" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<circle cx="2.5" cy="2.5" r="0.9"/></pattern>'
    '<pattern id="unknown" width="6" height="6" patternUnits="userSpaceOnUse"><path d="M0 0L6 6M0 6L6 0"/></pattern>'
    "</defs></svg>"
)
"""The patterns that areas are filled with; once a page, before anything that is drawn."""

FULL, PART, MAYBE, NONE = 'class="full"', 'fill="url(#part)"', 'fill="url(#maybe)"', 'fill="none"'
"""How areas are filled: to standard, present, possible; what is missing stays empty."""
_UNKNOWN = 'fill="url(#unknown)"'

_BAR, _THICK = 240, 18
_SIDE, _RIM, _FLOOR, _TOP = 6, 26, 74, 6
"""A tray in its drawing of 120 by 78: its walls, the height it is full at, its floor, and how far a heap may rise."""
_MOST_LAYERS = 6


def bar(parts: Sequence[tuple[int, str]], whole: int, words: str) -> str:
    """A bar of some parts of a whole, from the left; the rest stays empty.

    Args:
        parts: how many, and how that is filled.
        whole: what the length of the bar stands for; at least the sum of the parts.
        words: what it shows.
    """
    shapes, at = [], 0.0
    for pieces, look in parts:
        if pieces > 0 and whole > 0:
            width = (_BAR - 2) * pieces / whole
            shapes.append(f'<rect x="{1 + at:.1f}" y="1" width="{width:.1f}" height="{_THICK - 2}" {look}/>')
            if at:
                shapes.append(f'<path class="edge" d="M{1 + at:.1f} 1V{_THICK - 1}"/>')
            at += width
    return (
        f'<svg class="bar" viewBox="0 0 {_BAR} {_THICK}" role="img" '
        f'aria-label="{page_text(words)}">{"".join(shapes)}'
        f'<rect class="rim" x="1" y="1" width="{_BAR - 2}" height="{_THICK - 2}"/></svg>'
    )


def key(looks: Iterable[tuple[str, str]]) -> str:
    """What the fillings of bars mean.

    Args:
        looks: how an area is filled, and what that means.
    """
    items = (
        f'<li><svg viewBox="0 0 28 13" aria-hidden="true"><rect x="1" y="1" width="26" height="11" {look}/>'
        f'<rect class="rim" x="1" y="1" width="26" height="11"/></svg>{page_text(words)}</li>'
        for look, words in looks
    )
    return f'<ul class="key">{"".join(items)}</ul>'


def swatch(rgb: str) -> str:
    """A shade's colour, by a class of :func:`swatch_style`; crossed lines where nobody told it.

    There may be tens of thousands on a page, and a drawing for each takes a browser far longer. The shade's name
    stands beside it.
    """
    return f'<i class="swatch {f"c{page_text(rgb)}" if rgb else "unknown"}"></i>'


def swatch_style(colours: Iterable[str]) -> str:
    """The classes of the swatches of some colours; those that are not known need none."""
    return "".join(f".c{rgb} {{ background: #{rgb}; }}\n" for rgb in sorted({*colours} - {""}))


def tray(found: BinFigures) -> str:
    """A tray from the side, filled as high as it is full, in layers of the shades in it; the most lies lowest.

    One that overflows is heaped above its rim. One that nobody told the capacity of has a broken rim, and stands half
    full whatever lies in it.
    """
    row, share = found.row, found.row.share
    height = (_FLOOR - _RIM) * (0.5 if share is None else share)
    height = min(height, _FLOOR - _TOP) if row.pieces > 0 else 0.0
    layers, whole = _layers(found.shades), sum(each.pieces for each in found.shades)
    shapes = [f'<rect class="inside" x="{_SIDE}" y="{_RIM}" width="{120 - 2 * _SIDE}" height="{_FLOOR - _RIM}"/>']
    at = float(_FLOOR)
    for each, look in layers if whole else ():
        thick = height * each.pieces / whole
        at -= thick
        shapes.append(
            f'<rect x="{_SIDE}" y="{at:.1f}" width="{120 - 2 * _SIDE}" height="{thick:.1f}" {look}>'
            f"<title>{page_text(shade_words(each))}: {each.pieces:,}</title></rect>"
            f'<rect class="edge" x="{_SIDE}" y="{at:.1f}" width="{120 - 2 * _SIDE}" height="{thick:.1f}"/>'
        )
    words = f"{row.label}: {fill_words(row)}; {', '.join(f'{shade_words(each)} {each.pieces:,}' for each, _ in layers)}"
    rim = f'<path class="rim open" d="M{_SIDE} {_RIM}H{120 - _SIDE}"/>' if share is None else ""
    return (
        f'<svg viewBox="0 0 120 78" role="img" aria-label="{page_text(words.rstrip("; "))}">{"".join(shapes)}{rim}'
        f'<path class="rim" stroke-width="2.5" d="M{_SIDE - 3} {_RIM}H{_SIDE}V{_FLOOR}H{120 - _SIDE}V{_RIM}h3"/></svg>'
    )


def _layers(shades: Sequence[ShadePieces]) -> list[tuple[ShadePieces, str]]:
    """The shades that are drawn by themselves, then all others together."""
    if len(shades) > _MOST_LAYERS:
        rest = shades[_MOST_LAYERS - 1 :]
        others = ShadePieces(f"{len(rest)} other shades", "", sum(each.pieces for each in rest))
        return [*_layers(shades[: _MOST_LAYERS - 1]), (others, MAYBE)]
    return [(each, f'fill="#{page_text(each.rgb)}"' if each.rgb else _UNKNOWN) for each in shades]


def shade_words(each: ShadePieces) -> str:
    """A shade's name, or that nobody looked at it."""
    return each.shade or "shade not looked at"


def fill_words(row: BinRow) -> str:
    """What a bin holds of what it can hold, in words."""
    words = f"{row.pieces:,}" + (f" of {row.capacity:,}" if row.capacity else "")
    words += " piece" if row.pieces == 1 and not row.capacity else " pieces"
    if row.capacity_g is not None and row.grams is not None:
        more = "at least " if row.grams_unknown else ""
        words += f", {more}{row.grams:,.0f} of {row.capacity_g:,.0f} g"
    return words
