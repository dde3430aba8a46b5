"""`sortbench wash`: what stays out of the tub, and batches on the clock."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "pull": ("sortbench.cli.wash_view:pull", "What must not go into the tub, why, and how to clean it instead."),
    "new": ("sortbench.cli.wash_note:new", "Begin a batch with its soak."),
    "stage": ("sortbench.cli.wash_note:stage", "Note that a stage of a batch begins."),
    "stir": ("sortbench.cli.wash_note:stir", "Note that a soaking batch was stirred."),
    "tray": ("sortbench.cli.wash_note:tray", "Say what an empty tray weighs."),
    "weigh": ("sortbench.cli.wash_note:weigh", "Note what a tray weighs while it dries."),
    "set": ("sortbench.cli.wash_note:set_", "Change a batch's name, usual times, scale or room."),
    "strike": ("sortbench.cli.wash_note:strike", "Strike what was noted by mistake, or bring it back."),
    "show": ("sortbench.cli.wash_view:show", "All batches, or everything noted of one."),
    "due": ("sortbench.cli.wash_view:due", "What is due, most urgent first."),
    "scrub": ("sortbench.cli.wash_scrub:scrub", "Pieces set aside for another wash, and how to clean them."),
    "scrubbed": ("sortbench.cli.wash_scrub:scrubbed", "They are clean: into the bins with them."),
    "dry-when": ("sortbench.cli.wash_view:dry_when", "The criterion of constant mass: show it, choose another."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench wash pull                   before the tub",
        "sortbench wash new 'whites, plates'   the soak begins",
        "sortbench wash stage W1 rinse",
        "sortbench wash stage W1 drying --at -20",
        "sortbench wash tray W1 410",
        "sortbench wash weigh W1 1265.5",
        "sortbench wash due",
    ),
)
def wash() -> None:
    """What must not go into the tub, and batches from the soak to dry, each stage on the clock.

    \b
    soak     one to two hours, stirred now and then
    rinse    in a colander
    spin
    scrub    by hand, where the tub was not enough
    drying   overnight; weighing a tray now and then says when it will be dry
    dry

    Times are common practice (no source) and yours to set. Nothing noted is deleted: what was wrong is struck.
    Where a command takes --at, 07:40 is the last such time, -20 is twenty minutes ago, -1:30 an hour and a half.
    """
