"""`sortbench records`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sortbench.desks.records_desk import SittingFigures, WorkRecords
    from sortbench.papers.record_words import Figures

_WIDTH, _HEIGHT, _BLOCKS = 72, 8, 20
"""Characters of a plot with its axes, and of the course of a sitting in a table."""


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench records",
        "sortbench records --sitting 20260301T093000Z",
        "sortbench records --html records.html",
        "sortbench records --json | jq '.rows[1:][] | [.sitting, .per_minute]'",
    ),
)
@click.option("--sitting", metavar="START", help="Only sittings whose names start so; of one alone also its course.")
@click.option(
    "--html",
    "page",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write a page with plots, and every course.",
)
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@json_option
@click.pass_context
def records(ctx: click.Context, sitting: str | None, page: Path | None, overwrite: bool, as_json: bool) -> None:
    """How the work went: pieces a minute, by sitting and by way of entry; what was put right; what spot checks found.

    Times are those of the log. A gap of more than two minutes is a pause and no work. A sitting's rate is over all its
    time at work, a way's over the time that led right to its tallies; the range after it holds the true rate in about
    95 of 100 cases. "put right" is the share of tallies that were corrected or taken back since. Pieces of parcels and
    of count sheets are left out. Spot checks are put together once they are done.

    With one sitting left, its course is shown: time at work from left to right, pauses cut out and marked. --json has
    the course of every sitting; its first row is all of them together.
    """
    from sortbench.desks.records_desk import work_records
    from sortbench.papers.records_page import mappings_of, page_of, write_records

    with opened_bench(ctx) as bench:
        found = work_records(bench, sitting or "")
    if page is not None:
        write_records(page, page_of(found), overwrite=overwrite)
        say(f"Written: {page}")
    if as_json:
        answer_mappings("records", mappings_of(found))
    elif page is None:
        _show(found, alone=bool(sitting) and len(found.sittings) == 1)


def _show(found: WorkRecords, alone: bool) -> None:
    from sortbench.desks.records_desk import checks_together
    from sortbench.papers.plots import blocks
    from sortbench.papers.record_words import RULE, checks_rule, checks_table, sittings_table, summary, ways_table

    if not found.sittings:
        say("No pieces of the pile were counted yet.")
        return
    say(summary(found.together))
    if alone:
        _show_course(found.sittings[0])
    else:
        course = [blocks([each.per_minute for each in sitting.course], _BLOCKS) for sitting in found.sittings]
        _answer(sittings_table(found.sittings), ("course", course) if _prints("".join(course)) else None)
    write("\n")
    _answer(ways_table(found.together.ways))
    if found.checks:
        write("\n")
        together = checks_together(found.checks)
        _answer(checks_table(found.checks, together))
        if rule := checks_rule(found.checks, together):
            say(rule)
    say(RULE)


def _show_course(figures: SittingFigures) -> None:
    from sortbench.papers.plots import plot
    from sortbench.papers.record_words import course_table, span

    if figures.course:
        whole = figures.course[-1].to_s
        rows = plot(
            [each.per_minute for each in figures.course],
            _WIDTH,
            _HEIGHT,
            (span(0), span(whole)),
            [pause.after_s / whole for pause in figures.pauses],
        )
        if _prints("".join(rows)):
            write("\n".join(("pieces a minute over the time at work", *rows)) + "\n\n")
    for pause in figures.pauses:
        say(f"a pause of {span(pause.length_s)} after {span(pause.after_s)} at work")
    _answer(course_table(figures.course))


def _answer(figures: Figures, more: tuple[str, Sequence[str]] | None = None) -> None:
    """A table, with one more column of texts if there is one."""
    columns = [Heading(title, number=number) for title, number in zip(figures.headings, figures.numbers, strict=True)]
    rows = [list(row) for row in figures.rows]
    if more is not None:
        columns.append(Heading(more[0], wide=True))
        rows = [[*row, text] for row, text in zip(rows, more[1], strict=True)]
    answer_table(columns, rows, "Nothing was timed.")


def _prints(text: str) -> bool:
    """Whether standard output can show these characters; the figures of a plot stand in a table in any case."""
    try:
        text.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True
