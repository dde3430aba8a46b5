"""`sortbench weigh`: counting by weight."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "scale": ("sortbench.cli.weigh_note:scale", "What is known of the scale: show it, or tell it."),
    "count": ("sortbench.cli.weigh_count:count", "How many pieces lie on the scale; count them."),
    "learn": ("sortbench.cli.weigh_note:learn", "Note a handful that was counted by hand and weighed."),
    "confirm": ("sortbench.cli.weigh_note:confirm", "Note how many a weighed load had, counted by hand."),
    "masses": ("sortbench.cli.weigh_view:masses", "What pieces weigh, as learnt here."),
    "list": ("sortbench.cli.weigh_view:list_", "All weighings."),
    "strike": ("sortbench.cli.weigh_note:strike", "Learn nothing from a weighing; or again."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench weigh scale --step 0.1",
        "sortbench weigh count 'plate 2x4 white' 268.4 --tare 12.5 --handful 30:44.6",
        "sortbench weigh count 'plate 2x4 white' 268.4 --tare 12.5 --tally",
        "sortbench weigh confirm G1 143",
        "sortbench weigh masses",
    ),
)
def weigh() -> None:
    """Count small equal pieces by weight.

    \b
    1  Tell the scale's smallest step once.
    2  Count a handful of the pieces by hand and weigh it: that says what a piece weighs.
    3  Weigh the rest. The answer is a number with its 95 % interval.

    "Exactly 143" is said only where no other number fits and weighings like this one are right in 95 of 100. Otherwise
    it is told how many could be called exact, and how large a handful that takes. Handfuls, and loads that were
    counted by hand afterwards, teach what a part weighs: the next load needs no handful. Pieces of one part are taken
    to weigh the same in every shade.

    Uncertainties follow JCGM 100 (GUM): both readings are rounded to a step and scatter, the handful's pieces and
    those counted differ from one another.
    """
