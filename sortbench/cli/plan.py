"""`sortbench plan`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.say import say

if TYPE_CHECKING:
    from sortbench.desks.plan_desk import Lock

CHOICES = ("keep", "treat", "move", "buy", "stand-in", "leave open")
_CODES = complete_from(target_codes)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench plan",
        "sortbench plan --budget 40 --parcels 3",
        "sortbench plan --lock T-03 12 keep --lock T-03 15 'leave open'",
        "sortbench plan --worth",
        "sortbench plan --time 120 --gap 1",
        "sortbench plan --json | jq '.rows[] | select(.choice == \"buy\")'",
    ),
)
@click.option("--budget", metavar="AMOUNT", help="Most to be paid to sellers, shipping included, in the bench's money.")
@click.option("--parcels", type=click.IntRange(0), metavar="N", help="Most parcels.")
@click.option(
    "--lock",
    "locks",
    nargs=3,
    multiple=True,
    metavar="CODE LINE CHOICE",
    help=f"Settle a line by hand; may be given several times. CHOICE: {', '.join(CHOICES)}.",
    shell_complete=_CODES,
)
@click.option("--worth", is_flag=True, help="Finish only those targets whose value is worth what it costs.")
@click.option(
    "--time",
    "seconds",
    type=click.FloatRange(0),
    default=30.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to look.",
)
@click.option(
    "--gap",
    type=click.FloatRange(0, 100),
    default=0.0,
    show_default=True,
    metavar="PERCENT",
    help="How far from the best is good enough.",
)
@json_option
@click.pass_context
def plan(
    ctx: click.Context,
    budget: str | None,
    parcels: int | None,
    locks: tuple[tuple[str, str, str], ...],
    worth: bool,
    seconds: float,
    gap: float,
    as_json: bool,
) -> None:
    """The cheapest way to finish: keep, treat, move, buy, take a stand-in, or leave open.

    All targets are planned together: every line that lacks pieces, or has some below its standard. The plan has the
    least total cost: what is paid to sellers, shipping by weight and least orders reckoned with, and what holes and
    blemishes cost as `sortbench prices` has them. Pieces that are printed, or that nobody offers, are never thrown
    away.

    It says how far from the best it may be; "proven" means that no plan costs less. Ctrl+C ends the search and shows
    the best so far. Limits that cannot be kept to make holes, never an error: what stands in the way is told. Nothing
    is written.

    --json adds "parcels", "total", "binding" and "notes" to the rows; all amounts are texts in the bench's money.
    """
    from sortbench.cli import plan_view as view
    from sortbench.desks.plan_desk import make_plan

    with opened_bench(ctx) as bench, _progress() as told:
        made = make_plan(
            bench,
            locks=[_lock(ctx, *lock) for lock in locks],
            budget=budget,
            parcels=parcels,
            worth=worth,
            seconds=seconds,
            gap=gap / 100,
            progress=told,
        )
    if as_json:
        view.as_json(made)
        return
    view.show(made, bench.catalogue.part_name)
    if not bench.documents.offers:
        say("No offers are known: `sortbench import sellers`, then `sortbench import offers`.")


def _lock(ctx: click.Context, code: str, number: str, choice: str) -> Lock:
    from sortbench.desks.plan_desk import Choice, Lock

    if not (number.isascii() and number.isdecimal()):
        raise click.BadParameter(f"{number!r} is no number of a line, as in --lock T-03 12 keep.", ctx)
    if choice not in CHOICES:
        raise click.BadParameter(f"{choice!r} is no choice. Give one of: {', '.join(CHOICES)}.", ctx)
    return Lock(code, int(number), Choice(choice))


@contextmanager
def _progress() -> Iterator[Callable[[int, float, float], None] | None]:
    """Show how the search goes, on standard error and only on a terminal."""
    import sys

    live, told = sys.stderr.isatty(), False

    def show(_: int, __: float, gap: float) -> None:
        nonlocal told
        told = True
        sys.stderr.write(f"\rlooking for the cheapest plan ... at most {gap:.1%} from the best; Ctrl+C takes it  ")
        sys.stderr.flush()

    try:
        yield show if live else None
    finally:
        if told:
            sys.stderr.write("\r" + " " * 78 + "\r")
            sys.stderr.flush()
