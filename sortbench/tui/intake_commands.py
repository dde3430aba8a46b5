"""The commands that bring lists in where they are lacking: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at

_BINS = at("bins")
_BRING = at("bring")


INTAKE_COMMANDS: tuple[Command, ...] = (
    _BINS("import", "i", "bring in", "Bring bins in from a file: CSV or TSV, shown before anything is written."),
    *(
        command
        for own in (at("plan"), at("orders"))
        for command in (
            own("offers", "i", "offers in", "Bring in what sellers offer from a file, shown before it is written."),
            own("sellers", "I", "sellers in", "Bring sellers in from a file, shown before anything is written."),
        )
    ),
    _BRING("file", "i", "a file", "Name a file: type the start of its name, or drop it on the window.", rank=2),
    _BRING("yes", "y", "yes", "Yes, bring it in."),
    _BRING("back", "escape", "back", "Let go of the file; then back to the screen before.", rank=5),
)
