"""`sortbench pile`."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings
from sortbench.cli.say import say


@click.command(cls=BenchCommand, epilog=examples("sortbench pile", "sortbench pile 2500", "sortbench pile --forget"))
@click.argument("pieces", type=int, required=False)
@click.option("--forget", is_flag=True, help="Forget the size; no time left is estimated then.")
@json_option
@click.pass_context
def pile(ctx: click.Context, pieces: int | None, forget: bool, as_json: bool) -> None:
    """Say how many PIECES the whole pile has, the counted ones included; without PIECES, show it.

    The app estimates the time left from it.
    """
    if forget and pieces is not None:
        raise click.UsageError("Give a size or --forget, not both.")
    with opened_bench(ctx) as bench:
        if forget or pieces is not None:
            bench.set_pile(pieces)
        counted = sum(bench.picture.ledger.counts.values())
        if as_json:
            answer_mappings("pile", [{"quantity": bench.pile, "counted": counted}])
        elif bench.pile is None:
            say(f"No pile size is given; {counted:,} pieces are counted.")
        else:
            click.echo(bench.pile)
            say(f"{counted:,} counted, {max(0, bench.pile - counted):,} left")
