"""`sortbench orders`: what was ordered from sellers, what came, and what cannot be had."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "new": ("sortbench.cli.orders_note:new", "Make an order for each seller."),
    "from-plan": ("sortbench.cli.orders_note:from_plan", "Make orders of what the plan would buy."),
    "text": ("sortbench.cli.orders_view:text", "An order to send: text, table, page."),
    "sent": ("sortbench.cli.orders_note:sent", "Note that an order was sent."),
    "arrive": ("sortbench.cli.orders_note:arrive", "Count what came in a parcel."),
    "tell": ("sortbench.cli.orders_note:tell", "Note pieces that did not come, or are not kept."),
    "strike": ("sortbench.cli.orders_note:strike", "Strike what was told, or call an order off."),
    "list": ("sortbench.cli.orders_view:list_", "Every order and how it stands."),
    "show": ("sortbench.cli.orders_view:show", "An order line by line."),
    "standing": ("sortbench.cli.orders_view:standing", "What neither orders nor offers cover."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench orders from-plan --budget 40",
        "sortbench orders text P1 --html order.html",
        "sortbench orders sent P1",
        "sortbench orders arrive P1 2 5",
        "sortbench orders arrive P1 3 1 --as '!3 #cracked'",
        "sortbench orders tell P1 4 2 short",
        "sortbench orders standing",
    ),
)
def orders() -> None:
    """What was ordered from sellers, what came of it, and what cannot be had.

    Pieces that come are counted like all others, into bins. Each such tally names its order, and what arrived is worked
    out from the tallies that hold: undo or correct one, and the order follows.
    """
