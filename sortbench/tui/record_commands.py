"""The commands of the records screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_LOG = at("log")
_RECORDS = at("records")


RECORD_COMMANDS: tuple[Command, ...] = (
    _LOG("records", "r", "records", "How fast it went, by sitting and by way of entry.", rank=4),
    *moving("records"),
    _RECORDS(
        "course",
        ("enter", "right"),
        "course",
        "The course of the sitting: a line for each stretch of time at work.",
        rank=2,
    ),
    _RECORDS("sittings", "left", "sittings", "Back to the sittings.", rank=3),
    _RECORDS(
        "write",
        "w",
        "write",
        "Write all records with their plots as a page into the folder records of the bench.",
        rank=4,
    ),
    _RECORDS("back", "escape", "back", "Back to the sittings, then to the screen before.", rank=5),
)
