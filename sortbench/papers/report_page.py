"""A report of a bench as one HTML page: to look at, to print on A4, to hand on."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sortbench.desks.report_desk import BenchReport
from sortbench.papers.own_files import kept_folder, page_head, write_own_file
from sortbench.papers.report_drawings import PATTERNS, swatch_style
from sortbench.papers.report_lists import missing, spares
from sortbench.papers.report_sections import bins, conditions, head, targets, wash, work
from sortbench.papers.report_style import STYLE

FOLDER, FILE = "reports", "report.html"
"""The folder of a bench that its report is written into, and the file."""

_GENERATOR = '<meta name="generator" content="sortbench report">'
_SECTIONS = (
    ("targets", "Crates", targets, ""),
    ("bins", "Bins", bins, ""),
    ("conditions", "Shades and condition", conditions, ""),
    ("wash", "Wash", wash, ""),
    ("work", "How the work went", work, ""),
)
_LISTS = (
    ("missing", "What is missing", missing, ' class="list"'),
    ("spares", "What is spare", spares, ' class="list"'),
)


def page_of(report: BenchReport, *, brief: bool = False) -> str:
    """A report as one HTML page that needs nothing else: no scripts, no files beside it, nothing from a network.

    Args:
        brief: leave the lists out: line by line what is missing, and heap by heap what is spare.
    """
    sections = _SECTIONS if brief else _SECTIONS + _LISTS
    style = STYLE + swatch_style(_colours(report))
    lines = [*page_head(f"Bench {report.name}", _GENERATOR, style), PATTERNS, "<main>"]
    links = " ".join(f'<a href="#{place}">{title}</a>' for place, title, _, _ in sections)
    lines += head(report, f'<nav aria-label="Parts of this report">{links}</nav>')
    for place, title, rows, look in sections:
        lines += [f'<section id="{place}"{look}>', f"<h2>{title}</h2>", *rows(report), "</section>"]
    if brief:
        lines.append('<p class="quiet">The lists of what is missing and what is spare were left out.</p>')
    return "\n".join([*lines, "</main>", "</body>", "</html>"]) + "\n"


def _colours(report: BenchReport) -> Iterator[str]:
    figures = report.figures
    yield from (each.rgb for each in figures.shades)
    yield from (row.rgb for each in figures.targets for row in each.lacks)
    yield from (heap.rgb for heap in figures.spares)


def write_report(path: Path, page: str, *, overwrite: bool = False) -> None:
    """Write a page that `page_of` made. An earlier one in its place is replaced.

    Raises:
        UsageError, WriteError, BenchError: see :func:`sortbench.papers.own_files.write_own_file`.
    """
    start = page[: page.index(_GENERATOR) + len(_GENERATOR)]
    write_own_file(path, page.encode(), start.encode(), "report", overwrite=overwrite)


def keep_report(folder: Path, page: str) -> Path:
    """Write the page into a folder of the bench; an earlier one is replaced.

    Returns:
        The file.

    Raises:
        UsageError: something else lies in its place.
        WriteError: the disk refused.
        BenchError: the folder in the bench is a symbolic link.
    """
    kept = kept_folder(folder, FOLDER, "name another place: --html FILE")
    write_report(kept / FILE, page)
    return kept / FILE
