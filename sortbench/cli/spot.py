"""`sortbench spot`: look at some pieces of a counted bin, and know what that says of the count."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "plan": ("sortbench.cli.spot_view:plan", "How many pieces to look at, and what that can tell."),
    "draw": ("sortbench.cli.spot_note:draw", "Draw a check of a bin."),
    "note": ("sortbench.cli.spot_note:note", "Note what the pieces of the sample are."),
    "strike": ("sortbench.cli.spot_note:strike", "Strike a find, or a whole check."),
    "show": ("sortbench.cli.spot_view:show", "A check: its numbers, finds and verdict."),
    "list": ("sortbench.cli.spot_view:list_", "Every check and how it stands."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench spot plan B7 --aql 1.5",
        "sortbench spot draw B7 --aql 1.5 --by Ann",
        "sortbench spot note S1 'pl 2x4 red *12' 'tile 1x1 white *3 !4'",
        "sortbench spot note S1 --missing 1",
        "sortbench spot show S1",
    ),
)
def spot() -> None:
    """Look at some pieces of a counted bin, and know what that says of the count.

    How many to look at and how many may be wrong comes from single sampling by ISO 2859-1, normal inspection. The check
    takes the count as it was when it was drawn.

    Which pieces: take all pieces out of the bin one by one, without choosing, and count them off; those whose numbers
    were drawn are looked at. Where the bin ends before a number, that piece is missing. With --scoop the sample is
    taken in one blind scoop instead. That is quicker, but it assumes that the bin was stirred so well that every piece
    is as likely in the scoop, and it cannot find that pieces are missing.

    Pieces left over once as many came out as were counted are noted with --left-over; they are none of the sample, but
    each weighs like a wrong piece when the count is accepted or not.

    A piece is wrong if the count has no such kind in the bin, or fewer than were found; if its grade is more than half
    a step off or its flaws are others; or if it is not there. A piece noted without a grade is held against the count
    by its kind alone.
    """
