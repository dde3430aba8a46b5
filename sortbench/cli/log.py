"""`sortbench log`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_json, answer_table

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sortbench.model.sheet import TallyRow


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench log --last 20",
        "sortbench log --sitting 20260301T093000Z",
        "sortbench log --json | jq '.rows[] | select(.holds | not)'",
    ),
)
@click.option("--last", type=click.IntRange(1), metavar="N", help="Only the last N records.")
@click.option("--sitting", metavar="START", help="Only sittings whose name starts so.")
@json_option
@click.pass_context
def log(ctx: click.Context, last: int | None, sitting: str | None, as_json: bool) -> None:
    """Every record of the log, oldest first; nothing is ever rewritten.

    A record marked VOID no longer counts: a later one takes it back.
    """
    from sortbench.desks.tally_rows import TallyRows

    with opened_bench(ctx) as bench:
        log = TallyRows(bench)
        rows: Iterable[TallyRow] = log.last(last, sitting or "") if last else log.of_sittings(sitting or "")
        if as_json:
            answer_json("tallies", rows)
            return
        table = [
            (
                f"{row.sitting}/{row.number}",
                row.at.partition(".")[0].removesuffix("Z").replace("T", " "),
                row.what,
                str(row.quantity) if row.quantity else "",
                bench.catalogue.part_name(row.part) if row.part else row.family,
                row.shade,
                _condition(row),
                _where(row),
                "" if row.holds else "VOID",
                row.voids,
            )
            for row in rows
        ]
    answer_table(
        (
            Heading("record"),
            Heading("time (UTC)"),
            Heading("what"),
            Heading("n", number=True),
            Heading("part", wide=True),
            Heading("shade", wide=True),
            Heading("grade, flaws", wide=True),
            Heading("where", wide=True),
            Heading(""),
            Heading("takes back", wide=True),
        ),
        table,
        "No sitting's name starts so." if sitting else "The log is empty.",
    )


def _condition(row: TallyRow) -> str:
    """Grade and flaws; for pieces judged anew those before and those after."""
    from sortbench.model.tally import What

    before = " ".join(filter(None, (row.grade, row.flaw)))
    if row.what != What.REGRADE:
        return before
    return f"{before or '-'} -> {' '.join(filter(None, (row.to_grade, row.to_flaw))) or '-'}"


def _where(row: TallyRow) -> str:
    """Where the pieces of a record lie, or came from and went; what became of them where they lie in no bin."""
    from sortbench.model.tally import Fate, What, place_words

    if row.what == What.RESERVE:
        return f"for {row.target}"
    here = place_words(row.bin, Fate(row.fate)) if row.fate else ""
    there = place_words(row.to_bin, Fate(row.to_fate)) if row.to_fate else ""
    return " -> ".join(filter(None, (here or row.target, there or row.to_fate))) or row.fate
