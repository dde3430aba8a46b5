"""Records of the work as one HTML page with plots, and as plain values for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sortbench.desks.records_desk import (
    CheckFigures,
    RateFigure,
    SittingFigures,
    WorkRecords,
    checks_together,
)
from sortbench.papers.own_files import kept_folder, page_head, page_text, write_own_file
from sortbench.papers.page_parts import PLOT_STYLE, course_plot, sittings_plot, table
from sortbench.papers.record_words import (
    RULE,
    checks_rule,
    checks_table,
    course_table,
    sittings_table,
    summary,
    ways_table,
)
from sortbench.sitting import stamp

FOLDER = "records"
"""The folder of a bench that pages of records are written into."""

_GENERATOR = '<meta name="generator" content="sortbench records">'
_STYLE = (
    PLOT_STYLE
    + """* { box-sizing: border-box; }
html { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; color: #111; background: #fff;
  font: 10.5pt/1.4 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
h1 { font-size: 16pt; margin: 0 0 1mm; }
h2 { font-size: 11.5pt; margin: 6mm 0 1mm; break-after: avoid; }
p { margin: 0 0 1.5mm; }
table { width: 100%; border-collapse: collapse; margin: 0 0 2mm; }
th { text-align: left; font-weight: 600; padding: 0.8mm 1.5mm; border-bottom: 0.4mm solid #111; }
td { padding: 0.5mm 1.5mm; border-bottom: 0.2mm solid #aaa; }
tr { break-inside: avoid; }
.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
"""
)


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
    yield from table(ways_table(records.together.ways))
    yield "<h2>Spot checks</h2>"
    if records.checks:
        together = checks_together(records.checks)
        yield from table(checks_table(records.checks, together))
        if rule := checks_rule(records.checks, together):
            yield f"<p>{page_text(rule)}</p>"
    else:
        yield "<p>No spot check of the counts is on record.</p>"
    yield "<h2>Sittings</h2>"
    yield from sittings_plot(records.sittings)
    yield from table(sittings_table(records.sittings))
    for each in records.sittings:
        if each.course:
            yield f"<h2>Sitting {page_text(each.sitting)}</h2>\n<p>{page_text(summary(each))}</p>"
            yield from course_plot(each)
            yield from table(course_table(each.course))


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
        BenchError: the folder in the bench is a symbolic link.
    """
    kept = kept_folder(folder, FOLDER)
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
        "sample": each.sample,
        "standing": each.standing.value if each.standing else None,
        "wrong": each.wrong,
        "share": round(each.error.estimate, 6),
        "share_low": round(each.error.low, 6),
        "share_high": round(each.error.high, 6),
    }
