"""`sortbench recount`: a second person counts a bin without seeing the first count."""

from __future__ import annotations

import click

from sortbench.cli.context import examples
from sortbench.cli.lazy import LazyGroup

COMMANDS = {
    "begin": ("sortbench.cli.recount_note:begin", "Begin to recount a bin."),
    "note": ("sortbench.cli.recount_note:note", "Note what lies in the bin."),
    "end": ("sortbench.cli.recount_note:end", "Everything is noted: compare."),
    "show": ("sortbench.cli.recount_view:show", "Both counts, heap by heap and record by record."),
    "list": ("sortbench.cli.recount_view:list_", "Every recount and what came of it."),
    "take": ("sortbench.cli.recount_note:take", "Put the first count right."),
    "strike": ("sortbench.cli.recount_note:strike", "Let a recount count for nothing."),
}


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    epilog=examples(
        "sortbench recount begin B7 --by Ann",
        "sortbench recount note R1 'pl 2x4 red *12' 'pl 2x4 red *2 !3'",
        "sortbench recount end R1",
        "sortbench recount take R1",
    ),
)
def recount() -> None:
    """A second person counts a bin without seeing the first count; then both are compared.

    What the second person notes is kept in the log at once, and changes no count. Nothing of the first count is shown
    until the recount is ended. Where the two differ, the recount may be taken over: tallies of the first count are put
    right, which the log shows like every correction.

    Pieces agree whose grades are at most half a step apart; without a grade on the entry, the grade is 5, as in
    counting.
    """
