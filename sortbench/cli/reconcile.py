"""`sortbench reconcile`."""

from __future__ import annotations

from contextlib import nullcontext
from typing import TYPE_CHECKING

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.kinds import find_kind
from sortbench.cli.progress import waiting
from sortbench.cli.say import say
from sortbench.model.target import Policy

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desks.reconcile_desk import WhatIf

BY = {"count": False, "value": True}
_CODES = complete_from(target_codes)


def _read_ranks(ctx: click.Context, param: click.Parameter, values: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    """``CODE=N``, as often as given."""
    found = []
    for value in values:
        code, _, rank = value.rpartition("=")
        if not (code and rank.isascii() and rank.isdecimal()):
            raise click.BadParameter(f"{value!r} does not say a target and a rank, as in T-03=1.", ctx, param)
        found.append((code, int(rank)))
    return tuple(found)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench reconcile",
        "sortbench reconcile T-03 --short",
        "sortbench reconcile --spare",
        "sortbench reconcile --rank T-05=1 --park T-02",
        "sortbench reconcile --policy showpiece --keep",
        "sortbench reconcile --refuse T-03 'plate 2x4 white' 'plate 2x4 cream'",
        "sortbench reconcile --explain 'plate 2x4 white'",
        "sortbench reconcile --best-order --by value",
        "sortbench reconcile T-03 --json | jq '.rows[] | select(.short > 0)'",
    ),
)
@click.argument("targets", nargs=-1, metavar="[TARGET]...", shell_complete=_CODES)
@click.option("--short", is_flag=True, help="Of lines, only those that still lack pieces.")
@click.option("--spare", is_flag=True, help="Instead: every piece that no line has, and where it lies.")
@click.option("--explain", metavar="KIND", help="Instead: why the pieces of a kind go where they go.")
@click.option(
    "--rank",
    "ranks",
    callback=_read_ranks,
    multiple=True,
    metavar="CODE=N",
    help="What if a target had this rank? 1 comes first; targets of one rank are filled evenly.",
)
@click.option("--park", multiple=True, metavar="CODE", help="What if it took nothing?", shell_complete=_CODES)
@click.option("--unpark", multiple=True, metavar="CODE", help="What if it took pieces again?", shell_complete=_CODES)
@click.option(
    "--refuse",
    nargs=3,
    multiple=True,
    metavar="CODE KIND STAND-IN",
    help="What if on this target the one kind might not stand in for the other?",
)
@click.option("--allow", nargs=3, multiple=True, metavar="CODE KIND STAND-IN", help="What if it might again?")
@click.option(
    "--policy",
    type=click.Choice([policy.value for policy in Policy]),
    help="What if every target came before any in good condition (complete), or the first in the best condition "
    "before the others (showpiece)?",
)
@click.option("--best-order", is_flag=True, help="What if ranks were such that the most targets are complete?")
@click.option(
    "--by",
    type=click.Choice(list(BY)),
    default="count",
    help="For the best order: how many targets, or what they are worth together.",
)
@click.option("--keep", is_flag=True, help="Write what was asked with the options above.")
@json_option
@click.pass_context
def reconcile(
    ctx: click.Context,
    targets: tuple[str, ...],
    short: bool,
    spare: bool,
    explain: str | None,
    ranks: tuple[tuple[str, int], ...],
    park: tuple[str, ...],
    unpark: tuple[str, ...],
    refuse: tuple[tuple[str, str, str], ...],
    allow: tuple[tuple[str, str, str], ...],
    policy: str | None,
    best_order: bool,
    by: str,
    keep: bool,
    as_json: bool,
) -> None:
    """Counts against targets: who gets which pieces, what is short, what is spare.

    Without TARGET, how far each target is filled. With TARGET, each of its lines: the pieces it has, where they lie,
    and what would improve it.

    \b
    present      pieces that are there, in any grade
    to standard  of these, pieces whose grade, flaws and period are all right
    stand-ins    of these, pieces of another kind than the list asks for

    What-if options show what would come of a change, for every target, as in "12 -> 14"; nothing is written without
    --keep. Kinds are named in words, as on an entry line.
    """
    from sortbench.cli import reconcile_view as view
    from sortbench.desks.reconcile_desk import Outlook
    from sortbench.desks.reconcile_desk import keep as write

    if explain is not None and (targets or spare or short):
        raise click.UsageError("--explain is about a kind; leave TARGET, --short and --spare out.", ctx)
    if spare and (targets or short):
        raise click.UsageError("--spare is about what no target has; leave TARGET and --short out.", ctx)
    if short and not targets:
        raise click.UsageError("--short is about lines; name a TARGET.", ctx)
    if both := sorted({*park} & {*unpark}):
        raise click.UsageError(f"{both[0]} cannot be parked and not be parked.", ctx)
    with opened_bench(ctx) as bench:
        what_if = _what_if(bench, ranks, park, unpark, refuse, allow, policy)
        if best_order:
            what_if = _best_order(bench, what_if, BY[by])
        elif keep and what_if.is_empty:
            raise click.UsageError("--keep writes what the what-if options say; say what is to change.", ctx)
        with nullcontext() if what_if.is_empty else waiting("sharing out anew"):
            outlook = Outlook(bench, what_if)
        if explain is not None:
            view.explain(outlook, find_kind(bench, explain), as_json)
        elif spare:
            view.spares(outlook, as_json)
        elif targets:
            view.lines(outlook, targets, short, as_json)
        else:
            view.targets(outlook, as_json)
        if keep:
            say(write(bench, what_if).text)
        elif outlook.words:
            say(f"What if: {outlook.words}. Nothing is written; --keep writes it.")
        elif best_order or not what_if.is_empty:
            say("All of it is so already.")


def _what_if(
    bench: Bench,
    ranks: tuple[tuple[str, int], ...],
    park: tuple[str, ...],
    unpark: tuple[str, ...],
    refuse: tuple[tuple[str, str, str], ...],
    allow: tuple[tuple[str, str, str], ...],
    policy: str | None,
) -> WhatIf:
    from sortbench.desks.reconcile_desk import WhatIf

    what_if = WhatIf().with_ranks(dict(ranks))
    for code in park:
        what_if = what_if.with_parked(code, True)
    for code in unpark:
        what_if = what_if.with_parked(code, False)
    for allowed, changes in ((False, refuse), (True, allow)):
        for code, wanted, instead in changes:
            what_if = what_if.with_stand_in(code, find_kind(bench, wanted), find_kind(bench, instead), allowed)
    return what_if.with_policy(Policy(policy)) if policy else what_if


def _best_order(bench: Bench, what_if: WhatIf, by_value: bool) -> WhatIf:
    """The change, with the ranks that complete the most; says what these complete."""
    from sortbench.desks.reconcile_desk import with_best_order

    with waiting("looking for the best order"):
        found = with_best_order(bench, what_if, by_value)
    say(found.words)
    return found.what_if
