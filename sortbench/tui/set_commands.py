"""The commands of the screen of sets in the lot: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

SET_COMMANDS: tuple[Command, ...] = (
    Command(
        "targets.sets",
        ("i",),
        "which sets",
        "Which sets the lot probably holds: what was counted held against the library of lists and the targets.",
        "targets",
    ),
    *(
        Command(f"sets.{name}", (key,), label, text, "sets")
        for name, key, label, text in (
            ("up", "up", "up", "One line up."),
            ("down", "down", "down", "One line down."),
            ("page-up", "pageup", "page up", "One page up."),
            ("page-down", "pagedown", "page down", "One page down."),
            ("first", "home", "first", "To the first line."),
            ("last", "end", "last", "To the last line."),
        )
    ),
    Command(
        "sets.target",
        ("t",),
        "make target",
        "Make the list under the cursor a target, behind all others; asks for y first.",
        "sets",
        rank=2,
    ),
    Command("sets.yes", ("y",), "yes", "Yes, make it a target.", "sets"),
    Command("sets.filter", ("/",), "filter", "Show only sets that hold the words typed.", "sets", rank=3),
    Command("sets.back", ("escape",), "back", "Let go of a filter; then back to the screen before.", "sets", rank=5),
)
