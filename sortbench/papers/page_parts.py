"""Parts of HTML pages: tables of figures, and plots as inline SVG. Every plot stands beside the figures that it shows.

Lines and letters of a plot have the colour of the text around it, so it follows a dark ground and prints as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import accumulate

from sortbench.engine.records.sittings import Interval, SittingFigures
from sortbench.papers.own_files import page_text
from sortbench.papers.plots import top_of
from sortbench.papers.record_words import Figures, moment, span

_WIDTH, _HEIGHT, _LEFT, _ABOVE = 640, 150, 44, 8
_FLOOR = _ABOVE + _HEIGHT

PLOT_STYLE = """
figure { margin: 1mm 0 2mm; break-inside: avoid; }
svg.plot { display: block; width: 100%; height: auto; }
svg.plot text { font-size: 10px; fill: currentColor; }
svg.plot rect { fill: #888; }
svg.plot path { fill: none; stroke: currentColor; }
"""
"""How plots look, for the style of a page."""


_LONG, _STRETCH = 24, 10
"""Letters of a word that may not be broken, and those of a stretch of a longer one."""


@lru_cache(maxsize=1 << 14)  # names and places stand in row after row
def cell_text(text: str) -> str:
    """A text for a cell of a table: as `page_text`, and its long words may be broken, so that the page holds them."""
    return " ".join("<wbr>".join(map(page_text, _stretches(word))) for word in text.split(" "))


def _stretches(word: str) -> list[str]:
    if len(word) <= _LONG:
        return [word]
    return [word[at : at + _STRETCH] for at in range(0, len(word), _STRETCH)]


def table(figures: Figures) -> Iterator[str]:
    """A table, or a sentence where there are no rows."""
    if not figures.rows:
        yield "<p>There are none.</p>"
        return
    kinds = [" class=n" if number else "" for number in figures.numbers]
    heads = "".join(f'<th scope="col"{k}>{page_text(h)}</th>' for k, h in zip(kinds, figures.headings, strict=True))
    yield f"<table><thead><tr>{heads}</tr></thead><tbody>"
    for row in figures.rows:
        yield f"<tr>{''.join(f'<td{k}>{cell_text(c)}</td>' for k, c in zip(kinds, row, strict=True))}</tr>"
    yield "</tbody></table>"


def sittings_plot(sittings: Sequence[SittingFigures]) -> Iterator[str]:
    """A column a sitting that has a rate, with the interval as a line over it; nothing where none has."""
    told = [(each, each.rate) for each in sittings if each.rate.per_minute is not None]
    if not told:
        return
    top = top_of([figure.high for _, figure in told])
    step = (_WIDTH - _LEFT) / len(told)
    shapes = []
    for at, (_, figure) in enumerate(told):
        left = _LEFT + at * step
        shapes.append(_column(left + step * 0.1, step * 0.8, figure.per_minute or 0.0, top))
        if figure.low is not None and figure.high is not None:
            middle, low, high = left + step / 2, _above(figure.low, top), _above(figure.high, top)
            shapes.append(f'<path d="M{middle:.1f} {low:.1f}V{high:.1f}"/>')
    ends = (moment(told[0][0].began), moment(told[-1][0].began) if len(told) > 1 else "")
    yield from _plot("Pieces a minute, sitting by sitting, with 95 % intervals", top, ends, shapes)


def course_plot(figures: SittingFigures) -> Iterator[str]:
    """A column an interval of time at work; pauses are lines through the plot. The sitting has a course."""
    whole, top = figures.course[-1].to_s, top_of([each.per_minute for each in figures.course])

    def across(at_s: float) -> float:
        return _LEFT + (_WIDTH - _LEFT) * at_s / whole

    def column(each: Interval) -> str:
        left = across(each.from_s)
        return _column(left, max(0.5, across(each.to_s) - left - 0.7), each.per_minute, top)

    shapes = [column(each) for each in figures.course]
    shapes += [_broken(across(pause.after_s)) for pause in figures.pauses]
    words = "Pieces a minute over the time at work" + ("; broken lines are pauses" if figures.pauses else "")
    yield from _plot(words, top, (span(0), span(whole)), shapes)


def progress_plot(sittings: Sequence[SittingFigures], pile: int | None = None) -> Iterator[str]:
    """Pieces counted so far over the time at work of all sittings; nothing where nobody's work was timed.

    Within a sitting the line follows its course. What it counted in no time of its own is added at its end, so that
    the line ends at what the sittings come to.

    Args:
        sittings: the oldest first.
        pile: pieces of the whole pile, drawn as a line across; None where nobody told.
    """
    whole = sum(each.work_s for each in sittings)
    if whole <= 0:
        return
    points, start_s, before = [(0.0, 0.0)], 0.0, 0
    for each in sittings:
        sums = accumulate(part.pieces for part in each.course)
        points += [(start_s + part.to_s, before + pieces) for part, pieces in zip(each.course, sums, strict=True)]
        start_s, before = start_s + each.work_s, before + each.pieces
        points.append((start_s, float(before)))
    top = top_of([pile, *(pieces for _, pieces in points)])

    def across(at_s: float) -> float:
        return _LEFT + (_WIDTH - _LEFT) * at_s / whole

    line = "L".join(f"{across(at_s):.1f} {_above(pieces, top):.1f}" for at_s, pieces in points)
    shapes = [f'<path d="M{line}" stroke-width="2"/>']
    begins = list(accumulate(each.work_s for each in sittings[:-1]))
    shapes += [_broken(across(at_s)) for at_s in begins if at_s > 0]
    words = "Pieces counted over the time at work" + ("; broken lines stand where a sitting began" if begins else "")
    if pile is not None:
        shapes.append(f'<path d="M{_LEFT} {_above(pile, top):.1f}H{_WIDTH}" stroke-dasharray="1 3" stroke-width="2"/>')
        words += f"; the dotted line is the pile, {pile:,} pieces"
    yield from _plot(words, top, (span(0), span(whole)), shapes)


def _above(value: float, top: float) -> float:
    return _ABOVE + _HEIGHT * (1 - value / top)


def _broken(at: float) -> str:
    return f'<path d="M{at:.1f} {_ABOVE}V{_FLOOR}" stroke-dasharray="3 3"/>'


def _column(left: float, width: float, value: float, top: float) -> str:
    high = _above(value, top)
    return (
        f'<rect x="{left:.1f}" y="{high:.1f}" width="{width:.1f}" height="{_FLOOR - high:.1f}">'
        f"<title>{value:.1f}</title></rect>"
    )


def _plot(words: str, top: float, ends: tuple[str, str], shapes: Iterable[str]) -> Iterator[str]:
    yield "<figure>"
    yield f'<svg class="plot" viewBox="0 0 {_WIDTH} {_FLOOR + 18}" role="img" aria-label="{page_text(words)}">'
    yield from shapes
    yield f'<path d="M{_LEFT} {_ABOVE}V{_FLOOR}H{_WIDTH}"/>'
    yield f'<text x="{_LEFT - 4}" y="{_ABOVE + 8}" text-anchor="end">{top:,g}</text>'
    yield f'<text x="{_LEFT - 4}" y="{_FLOOR}" text-anchor="end">0</text>'
    yield f'<text x="{_LEFT}" y="{_FLOOR + 14}">{page_text(ends[0])}</text>'
    yield f'<text x="{_WIDTH}" y="{_FLOOR + 14}" text-anchor="end">{page_text(ends[1])}</text>'
    yield f"</svg>\n<figcaption>{page_text(words)}.</figcaption></figure>"
