"""`sortbench targets`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import Heading, answer_json, answer_table, number
from sortbench.cli.say import say

if TYPE_CHECKING:
    from sortbench.bench import Bench


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench targets",
        "sortbench targets T-02",
        "sortbench targets T-02 --short",
        "sortbench targets --json | jq -r '.rows[] | [.target, .short] | @tsv'",
    ),
)
@click.argument("code", required=False, shell_complete=complete_from(target_codes))
@click.option("--short", is_flag=True, help="Only what still lacks pieces.")
@json_option
@click.pass_context
def targets(ctx: click.Context, code: str | None, short: bool, as_json: bool) -> None:
    """How far each target is filled, or with CODE, each line of one.

    \b
    present      pieces that are there, in any grade
    to standard  of these, pieces whose grade, flaws and period are all right
    short        pieces that are missing
    waiting      pieces that are present and wait for a wash; told where there are any
    """
    with opened_bench(ctx) as bench:
        if code:
            _lines(bench, code, short, as_json)
        else:
            _all(bench, short, as_json)


def _all(bench: Bench, short: bool, as_json: bool) -> None:
    from sortbench.desks.sheet_desk import target_rows

    rows = [row for row in target_rows(bench) if row.short or not short]
    if as_json:
        answer_json("targets", rows)
        return
    waiting = any(row.waiting for row in rows)
    answer_table(
        (
            Heading("target"),
            Heading("name", wide=True),
            Heading("year", number=True),
            Heading("rank", number=True),
            Heading("pieces", number=True),
            Heading("present", number=True),
            Heading("to standard", number=True),
            Heading("short", number=True),
            *([Heading("waiting", number=True)] if waiting else []),
            Heading("lines", number=True),
        ),
        [
            (
                row.target,
                row.name,
                number(row.year),
                str(row.rank),
                str(row.quantity),
                str(row.present),
                str(row.to_standard),
                str(row.short),
                *([number(row.waiting)] if waiting else []),
                f"{row.complete}/{row.lines}",
            )
            for row in rows
        ],
        "Every target is complete." if bench.documents.targets else "No targets yet: `sortbench import targets`.",
    )
    _say_unknown(bench)


def _lines(bench: Bench, code: str, short: bool, as_json: bool) -> None:
    from sortbench.desks.sheet_desk import fill_rows

    rows = [row for row in fill_rows(bench, code) if row.short or not short]
    if as_json:
        answer_json("fills", rows)
        return
    places = {line.number: line.places for line in bench.line_rows(code)}
    answer_table(
        (
            Heading("line", number=True),
            Heading("part", wide=True),
            Heading("shade", wide=True),
            Heading("lowest"),
            Heading("pieces", number=True),
            Heading("present", number=True),
            Heading("to standard", number=True),
            Heading("short", number=True),
            Heading("period"),
            Heading("lie in", wide=True),
        ),
        [
            (
                str(row.line),
                bench.catalogue.part_name(row.part),
                row.shade,
                row.lowest,
                str(row.quantity),
                str(row.present),
                str(row.to_standard),
                str(row.short),
                row.period,
                ", ".join(f"{label or 'put aside'}: {pieces}" for label, pieces in places[row.line]),
            )
            for row in rows
        ],
        "Nothing is short." if short else "Its list is empty: write it up with `sortbench tally --target`.",
    )
    if rows:
        say(f"{sum(row.present for row in rows):,} of {sum(row.quantity for row in rows):,} pieces present")
    _say_unknown(bench, code)


def _say_unknown(bench: Bench, code: str = "") -> None:
    """Why pieces that are there do not count as to standard, where years are all that is missing."""
    unknown = sum(row.period_unknown for row in bench.target_rows() if code in ("", row.code))
    if unknown:
        say(
            f"{unknown:,} of them not to standard because years are not known: of parts, of shades or of the target. "
            "Import them with the lists."
        )
