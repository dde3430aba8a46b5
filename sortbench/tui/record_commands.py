"""The commands of the records screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

RECORD_COMMANDS: tuple[Command, ...] = (
    Command("log.records", ("r",), "records", "How fast it went, by sitting and by way of entry.", "log", rank=4),
    *(
        Command(f"records.{name}", (key,), label, text, "records")
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
        "records.course",
        ("enter", "right"),
        "course",
        "The course of the sitting: a line for each stretch of time at work.",
        "records",
        rank=2,
    ),
    Command("records.sittings", ("left",), "sittings", "Back to the sittings.", "records", rank=3),
    Command(
        "records.write",
        ("w",),
        "write",
        "Write all records with their plots as a page into the folder records of the bench.",
        "records",
        rank=4,
    ),
    Command("records.back", ("escape",), "back", "Back to the sittings, then to the screen before.", "records", rank=5),
)
