"""The commands of the welcome: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at

_TARGETS = at("targets")
_WELCOME = at("welcome")


FIRST_COMMANDS: tuple[Command, ...] = (
    _TARGETS("add", "a", "add a set", "Bring in a set's list from a file, or write one up from its manual."),
    _WELCOME(
        "file",
        "1",
        "a list",
        "Bring in a set's list from a file: type the start of its name, or drop it on the window.",
        rank=2,
    ),
    _WELCOME("manual", "2", "a manual", "Write a set's list up from its manual: type its code and name first.", rank=3),
    _WELCOME("nothing", "3", "the pile", "Count with nothing but the pile; parts are learnt as you type.", rank=4),
    _WELCOME("demo", "d", "the demo", "Leave this bench as it is and open the demo.", rank=5),
    _WELCOME("yes", "y", "yes", "Yes, bring it in."),
    _WELCOME("back", "escape", "to the bench", "To the bench as it is.", rank=6),
)
