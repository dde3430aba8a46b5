"""The commands of the screen of sets in the lot: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_TARGETS = at("targets")
_SETS = at("sets")


SET_COMMANDS: tuple[Command, ...] = (
    _TARGETS(
        "sets",
        "i",
        "which sets",
        "Which sets the lot probably holds: what was counted held against the library of lists and the targets.",
    ),
    *moving("sets"),
    _SETS(
        "target",
        "t",
        "make target",
        "Make the list under the cursor a target, behind all others; asks for {sets.yes} first.",
        rank=2,
    ),
    _SETS("yes", "y", "yes", "Yes, make it a target."),
    _SETS("filter", "/", "filter", "Show only sets that hold the words typed.", rank=3),
    _SETS("back", "escape", "back", "Let go of a filter; then back to the screen before.", rank=5),
)
