"""`sortbench plan`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.say import say
from sortbench.cli.searching import progress_told, stopped_by_hand

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.plan_settings import Limits

CHOICES = ("keep", "treat", "move", "buy", "stand-in", "leave open")
_CODES = complete_from(target_codes)
_NONE = "none"


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench plan",
        "sortbench plan --budget 40 --parcels 3",
        "sortbench plan --budget none --try",
        "sortbench plan --lock T-03 12 keep --lock T-03 15 'leave open'",
        "sortbench plan --lock-offer T-03 12 M-17",
        "sortbench plan --unlock T-03 12",
        "sortbench plan --worth",
        "sortbench plan --time 120 --gap 1",
        "sortbench plan --json | jq '.rows[] | select(.choice == \"buy\")'",
    ),
)
@click.option(
    "--budget",
    metavar="AMOUNT",
    help="Most to be paid to sellers, shipping included, in the bench's money; 'none' for no limit.",
)
@click.option("--parcels", metavar="N", help="Most parcels; 'none' for no limit.")
@click.option(
    "--lock",
    "locks",
    nargs=3,
    multiple=True,
    metavar="CODE LINE CHOICE",
    help=f"Settle a line by hand; may be given several times. CHOICE: {', '.join(CHOICES)}.",
    shell_complete=_CODES,
)
@click.option(
    "--lock-offer",
    "offers",
    nargs=3,
    multiple=True,
    metavar="CODE LINE OFFER",
    help="Settle a line by buying from this one offer; may be given several times.",
    shell_complete=_CODES,
)
@click.option(
    "--unlock",
    "unlocked",
    nargs=2,
    multiple=True,
    metavar="CODE LINE",
    help="Let a line go again; may be given several times.",
    shell_complete=_CODES,
)
@click.option("--unlock-all", is_flag=True, help="Let all lines go first.")
@click.option("--try", "only_try", is_flag=True, help="Plan with these limits and locks, but keep none of them.")
@click.option("--worth", is_flag=True, help="Finish only those targets whose value is worth it; the rest are spares.")
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
    parcels: str | None,
    locks: tuple[tuple[str, str, str], ...],
    offers: tuple[tuple[str, str, str], ...],
    unlocked: tuple[tuple[str, str], ...],
    unlock_all: bool,
    only_try: bool,
    worth: bool,
    seconds: float,
    gap: float,
    as_json: bool,
) -> None:
    """The cheapest way to finish: keep, treat, move, buy, take a stand-in, or leave open.

    All targets are planned together: every line that lacks pieces, or has some below its standard. Pieces on order are
    not planned again. The plan has the least total cost: what is paid to sellers, shipping by weight and least orders
    reckoned with, and what holes and blemishes cost as `sortbench prices` has them. Pieces that are printed, or that
    nobody offers, are never thrown away.

    It says how far from the best it may be; "proven" means that no plan costs less. Ctrl+C ends the search and shows
    the best so far. Limits that cannot be kept to make holes, never an error: what stands in the way is told.

    Limits and locks are kept with the bench, for later plans and the app, until others are given; --try keeps none. A
    line that is locked to buy is left open only where no plan within the limits can do otherwise. A lock that cannot be
    done now waits, and is told; one whose line or offer is gone is told and dropped.

    --worth asks which targets are worth finishing: those whose value is more than they cost, and more than their pieces
    bring as spares. A spare brings the share of the lowest price offered for its kind that `sortbench prices --spare`
    sets; without it spares are worth nothing here. What becomes spare is listed.

    --json adds "parcels", "total", "spares", "locks", "limits", "binding" and "notes" to the rows; all
    amounts are texts in the bench's money.
    """
    from sortbench.cli import plan_view as view
    from sortbench.desks.plan_desk import Change, Choice, Lock, make_plan, settle

    wanted = tuple(Lock(code, _number(ctx, number), Choice(_choice(ctx, choice))) for code, number, choice in locks)
    wanted += tuple(Lock(code, _number(ctx, number), Choice.BUY, offer) for code, number, offer in offers)
    let_go = tuple((code, _number(ctx, number)) for code, number in unlocked)
    most = parcels if parcels in (None, _NONE) else str(_most(ctx, parcels))
    with opened_bench(ctx) as bench:
        change = Change(wanted, let_go, unlock_all, limits_from(bench, budget, most))
        settled, dropped = settle(bench, change, worth=worth, keep=not only_try)
        with progress_told() as told, stopped_by_hand() as stopped:
            made = make_plan(bench, settled, worth=worth, seconds=seconds, gap=gap / 100, progress=told, cancel=stopped)
    if as_json:
        view.as_json(made, dropped)
        return
    view.show(made, bench.catalogue.part_name)
    for words in dropped:
        say(words)
    if not bench.documents.offers:
        say("No offers are known: `sortbench import sellers`, then `sortbench import offers`.")


def limits_from(bench: Bench, budget: str | None, parcels: str | None) -> Limits | None:
    """Limits as they are given; None where none is. What is not given is as it is kept.

    Args:
        budget: an amount, or ``none``.
        parcels: a whole number, or ``none``.
    """
    from sortbench.desks.plan_settings import Limits, limits_of, terms_of
    from sortbench.model.money import amount_from

    if budget is None and parcels is None:
        return None
    kept = limits_of(bench) if budget is None or parcels is None else Limits()
    amount = (
        kept.budget if budget is None else None if budget == _NONE else amount_from(budget, terms_of(bench).currency)
    )
    return Limits(amount, kept.parcels if parcels is None else None if parcels == _NONE else int(parcels))


def _number(ctx: click.Context, text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 7):
        raise click.BadParameter(f"{text!r} is no number of a line, as in --lock T-03 12 keep.", ctx)
    return int(text)


def _most(ctx: click.Context, text: str) -> int:
    if not (text.isascii() and text.isdecimal() and len(text) < 7):
        raise click.BadParameter(f"{text!r} is no number of parcels, as in --parcels 3, or --parcels none.", ctx)
    return int(text)


def _choice(ctx: click.Context, choice: str) -> str:
    if choice not in CHOICES:
        raise click.BadParameter(f"{choice!r} is no choice. Give one of: {', '.join(CHOICES)}.", ctx)
    return choice
