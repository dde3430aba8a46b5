"""`sortbench bins`."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_json, answer_table
from sortbench.cli.say import say


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench bins", "sortbench bins --over", "sortbench bins --json"),
)
@click.option("--over", is_flag=True, help="Only bins that hold more than they can.")
@json_option
@click.pass_context
def bins(ctx: click.Context, over: bool, as_json: bool) -> None:
    """What lies in each bin, in the order in which the rules are tried.

    A bin that overflows is marked OVER, with a proposal how to split it.
    """
    from sortbench.desks.sheet_desk import bin_rows

    with opened_bench(ctx) as bench:
        rows = [row for row in bench.bin_rows() if row.overflowing or not over]
        if as_json:
            labels = {row.label for row in rows}
            answer_json("bins", [row for row in bin_rows(bench) if row.bin in labels])
            return
        table = []
        for row in rows:
            grams = "" if row.grams is None else f"{row.grams:,.0f}"
            if row.grams_unknown and row.grams is not None:
                grams = f">{grams}"
            table.append(
                (
                    row.label,
                    row.rule,
                    f"{row.pieces:,}",
                    f"{row.capacity:,}" if row.capacity else "",
                    grams,
                    f"{row.capacity_g:,g}" if row.capacity_g else "",
                    "OVER" if row.overflowing else "",
                    row.place,
                )
            )
        answer_table(
            (
                Heading("bin"),
                Heading("takes", wide=True),
                Heading("pieces", number=True),
                Heading("holds", number=True),
                Heading("g", number=True),
                Heading("holds g", number=True),
                Heading(""),
                Heading("place", wide=True),
            ),
            table,
            "No bin overflows." if over else "No bins yet: `sortbench import bins` or `sortbench add bin`.",
        )
        for row in rows:
            if row.overflowing and (proposal := bench.split_proposal(row.label)):
                say(f"{row.label}: {proposal}")
