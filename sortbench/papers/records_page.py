"""Records of the work as one HTML page with plots, and as plain values for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sortbench.desks.records_desk import (
    CheckFigures,
    Interval,
    RateFigure,
    SittingFigures,
    WorkRecords,
    checks_together,
)
from sortbench.model.errors import WriteError
from sortbench.papers.own_files import page_head, page_text, write_own_file
from sortbench.papers.plots import top_of
from sortbench.papers.record_words import (
    RULE,
    Figures,
    checks_table,
    course_table,
    moment,
    sittings_table,
    span,
    summary,
    ways_table,
)
from sortbench.sitting import stamp

FOLDER = "records"
"""The folder of a bench that pages of records are written into."""

_GENERATOR = '<meta name="generator" content="sortbench records">'
_WIDTH, _HEIGHT, _LEFT, _ABOVE = 640, 150, 44, 8
_STYLE = """
* { box-sizing: border-box; }
html { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; color: #111; background: #fff;
  font: 10.5pt/1.4 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 16pt; margin: 0 0 1mm; }
h2 { font-size: 11.5pt; margin: 6mm 0 1mm; break-after: avoid; }
p { margin: 0 0 1.5mm; }
svg { width: 100%; height: auto; margin: 1mm 0; break-inside: avoid; }
svg text { font-size: 10px; fill: #111; }
table { width: 100%; border-collapse: collapse; margin: 0 0 2mm; }
th { text-align: left; font-weight: 600; padding: 0.8mm 1.5mm; border-bottom: 0.4mm solid #111; }
td { padding: 0.5mm 1.5mm; border-bottom: 0.2mm solid #aaa; }
tr { break-inside: avoid; }
.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
"""


def page_of(records: WorkRecords) -> str:
    """Records as one HTML page that needs nothing else: no scripts, no files beside it, nothing from a network.

    Beside each plot stands the table of the figures that it shows.
    """
    title = "Records of the work"
    lines = [*page_head(title, _GENERATOR, _STYLE), f"<h1>{title}</h1>", *_page_body(records), "</body>", "</html>"]
    return "\n".join(lines) + "\n"


def _page_body(records: WorkRecords) -> Iterator[str]:
    yield f"<p>{page_text(summary(records.together))}</p>"
    yield f"<p>{page_text(RULE)}</p>"
    yield "<h2>Ways of entry</h2>"
    yield from _table(ways_table(records.together.ways))
    yield "<h2>Spot checks</h2>"
    if records.checks:
        yield from _table(checks_table(records.checks, checks_together(records.checks)))
    else:
        yield "<p>No spot check of the counts is on record.</p>"
    yield "<h2>Sittings</h2>"
    yield from _sittings_plot(records.sittings)
    yield from _table(sittings_table(records.sittings))
    for each in records.sittings:
        if each.course:
            yield f"<h2>Sitting {page_text(each.sitting)}</h2>\n<p>{page_text(summary(each))}</p>"
            yield from _course_plot(each)
            yield from _table(course_table(each.course))


def _table(figures: Figures) -> Iterator[str]:
    if not figures.rows:
        yield "<p>There are none.</p>"
        return
    kinds = [" class=n" if number else "" for number in figures.numbers]
    heads = "".join(f'<th scope="col"{k}>{page_text(h)}</th>' for k, h in zip(kinds, figures.headings, strict=True))
    yield f"<table><thead><tr>{heads}</tr></thead><tbody>"
    for row in figures.rows:
        yield f"<tr>{''.join(f'<td{k}>{page_text(c)}</td>' for k, c in zip(kinds, row, strict=True))}</tr>"
    yield "</tbody></table>"


def _sittings_plot(sittings: Sequence[SittingFigures]) -> Iterator[str]:
    """A column a sitting that has a rate, with the interval as a line over it."""
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
            shapes.append(f'<path d="M{middle:.1f} {low:.1f}V{high:.1f}" stroke="#111"/>')
    ends = (moment(told[0][0].began), moment(told[-1][0].began) if len(told) > 1 else "")
    yield from _plot("Pieces a minute, sitting by sitting, with 95 % intervals", top, ends, shapes)


def _course_plot(figures: SittingFigures) -> Iterator[str]:
    """A column an interval of time at work; pauses are lines through the plot."""
    whole, top = figures.course[-1].to_s, top_of([each.per_minute for each in figures.course])

    def across(at_s: float) -> float:
        return _LEFT + (_WIDTH - _LEFT) * at_s / whole

    def column(each: Interval) -> str:
        left = across(each.from_s)
        return _column(left, max(0.5, across(each.to_s) - left - 0.7), each.per_minute, top)

    shapes = [column(each) for each in figures.course]
    shapes += [
        f'<path d="M{across(pause.after_s):.1f} {_ABOVE}V{_ABOVE + _HEIGHT}" stroke="#111" stroke-dasharray="3 3"/>'
        for pause in figures.pauses
    ]
    words = "Pieces a minute over the time at work" + ("; broken lines are pauses" if figures.pauses else "")
    yield from _plot(words, top, (span(0), span(whole)), shapes)


def _above(value: float, top: float) -> float:
    return _ABOVE + _HEIGHT * (1 - value / top)


def _column(left: float, width: float, value: float, top: float) -> str:
    high = _above(value, top)
    return (
        f'<rect x="{left:.1f}" y="{high:.1f}" width="{width:.1f}" height="{_ABOVE + _HEIGHT - high:.1f}" '
        f'fill="#888"><title>{value:.1f}</title></rect>'
    )


def _plot(words: str, top: float, ends: tuple[str, str], shapes: Iterable[str]) -> Iterator[str]:
    floor = _ABOVE + _HEIGHT
    yield f'<svg viewBox="0 0 {_WIDTH} {floor + 18}" role="img" aria-label="{page_text(words)}">'
    yield from shapes
    yield f'<path d="M{_LEFT} {_ABOVE}V{floor}H{_WIDTH}" fill="none" stroke="#111"/>'
    yield f'<text x="{_LEFT - 4}" y="{_ABOVE + 8}" text-anchor="end">{top:g}</text>'
    yield f'<text x="{_LEFT - 4}" y="{floor}" text-anchor="end">0</text>'
    yield f'<text x="{_LEFT}" y="{floor + 14}">{page_text(ends[0])}</text>'
    yield f'<text x="{_WIDTH}" y="{floor + 14}" text-anchor="end">{page_text(ends[1])}</text>'
    yield f"</svg>\n<p>{page_text(words)}.</p>"


def write_records(path: Path, page: str, *, overwrite: bool = False) -> None:
    """Write a page that `page_of` made. An earlier one in its place is replaced.

    Raises:
        UsageError, WriteError, BenchError: see :func:`sortbench.papers.own_files.write_own_file`.
    """
    start = page[: page.index(_GENERATOR) + len(_GENERATOR)]
    write_own_file(path, page.encode(), start.encode(), "page of records", overwrite=overwrite)


def keep_page(folder: Path, records: WorkRecords) -> Path:
    """Write the page into a folder of the bench; an earlier one is replaced.

    Returns:
        The file.

    Raises:
        UsageError: something else lies in its place.
        WriteError: the disk refused.
    """
    kept = folder / FOLDER
    try:
        kept.mkdir(exist_ok=True)
    except OSError as error:
        raise WriteError(
            f"The folder {kept} cannot be made: {error.strerror or error}.", "Make room, or mend its rights."
        ) from error
    write_records(kept / "records.html", page_of(records))
    return kept / "records.html"


def mappings_of(records: WorkRecords) -> list[dict[str, Any]]:
    """Records as plain values: a row for all sittings together, then one a sitting."""
    checks = [_check_mapping(each) for each in records.checks]
    found = checks_together(records.checks)
    return [
        _sitting_mapping(records.together)
        | {"spot_checks": checks, "spot_checks_together": _check_mapping(found) if found else None},
        *(_sitting_mapping(each) for each in records.sittings),
    ]


def _sitting_mapping(figures: SittingFigures) -> dict[str, Any]:
    row: dict[str, Any] = {
        "sitting": figures.sitting or None,
        "began": _time(figures.began),
        "ended": _time(figures.ended),
        "tallies": figures.entries,
        "quantity": figures.pieces,
        "put_right": figures.touched,
        "work_s": round(figures.work_s, 3),
        "put_right_s": round(figures.backward_s, 3),
        "pause_s": round(figures.pause_s, 3),
        "clock_jumps": figures.jumps,
        **_rate_mapping(figures.rate),
        "ways": [
            {
                "way": each.way,
                "tallies": each.entries,
                "quantity": each.pieces,
                "put_right": each.touched,
                "work_s": round(each.work_s, 3),
                **_rate_mapping(each.rate),
            }
            for each in figures.ways
        ],
    }
    if figures.sitting:
        row["course"] = [
            {
                "from_s": round(each.from_s, 3),
                "to_s": round(each.to_s, 3),
                "quantity": round(each.pieces, 3),
                "per_minute": round(each.per_minute, 3),
            }
            for each in figures.course
        ]
        row["pauses"] = [
            {"after_s": round(each.after_s, 3), "length_s": round(each.length_s, 3)} for each in figures.pauses
        ]
    return row


def _time(at_s: float | None) -> str | None:
    return None if at_s is None else stamp(datetime.fromtimestamp(at_s, UTC))


def _rate_mapping(figure: RateFigure) -> dict[str, Any]:
    def rounded(value: float | None) -> float | None:
        return None if value is None else round(value, 3)

    return {
        "timed": figure.timed,
        "per_minute": rounded(figure.per_minute),
        "per_minute_low": rounded(figure.low),
        "per_minute_high": rounded(figure.high),
    }


def _check_mapping(each: CheckFigures) -> dict[str, Any]:
    return {
        "spot_check": each.check or None,
        "at": each.at or None,
        "bin": each.bin or None,
        "looked": each.looked,
        "wrong": each.wrong,
        "share": round(each.error.estimate, 6),
        "share_low": round(each.error.low, 6),
        "share_high": round(each.error.high, 6),
    }
