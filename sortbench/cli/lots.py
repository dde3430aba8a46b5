"""`sortbench lots`: what was bought and spent, and what targets and spares have cost so far."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "new": ("sortbench.cli.lots_note:new", "Note a lot, and what it cost."),
    "spend": ("sortbench.cli.lots_note:spend", "Note money spent: soap, a parcel, a treatment."),
    "strike": ("sortbench.cli.lots_note:strike", "Strike an expense noted by mistake, or bring it back."),
    "worth": ("sortbench.cli.lots_note:worth", "Say what a piece without a value of its own is worth."),
    "list": ("sortbench.cli.lots_view:list_", "Every lot and every expense."),
    "show": ("sortbench.cli.lots_view:show", "What targets and spares have cost so far."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench lots new 'attic lot' --paid 120.00 --seller 'Attic & Co' --bought 2026-03-01 --pieces 6000",
        "sortbench lots spend 3.20 --on washing --note 'dish soap'",
        "sortbench lots spend 7.45 --on parcel --target T-03",
        "sortbench lots show",
    ),
)
def lots() -> None:
    """What was bought and spent, and what targets and spares have cost so far.

    \b
    How costs are shared:
      - Every expense is converted once into the bench's own currency (see
        `sortbench prices`), rounded half to even to the smallest coin.
      - An expense for one target is that target's alone.
      - All others are shared by worth, for no piece is tied to its lot. A target
        with a value weighs that value times the part of its pieces that it has;
        all other pieces weigh the worth of one piece each: what `sortbench lots
        worth` says, else the mean of targets with a value, else 1.
      - Pieces of the pile that are not counted yet take their share too: of what
        `sortbench pile` says, else of the estimates of all lots.
      - Shares are whole coins, by largest remainder: they add up to what was
        spent.
    """
