"""The commands of the weighing screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_WEIGH = at("weigh")


WEIGH_COMMANDS: tuple[Command, ...] = (
    *moving("weigh"),
    _WEIGH("piece", "/", "piece", "Name what lies on the scale, as on the entry line.", rank=2),
    _WEIGH(
        "load",
        "l",
        "load",
        "Put on the scale what is to be counted: grams with the cup, then of the cup alone.",
        rank=3,
    ),
    _WEIGH(
        "handful",
        "h",
        "handful",
        "A handful counted by hand: pieces, grams with the cup, then of the cup alone.",
        rank=4,
    ),
    _WEIGH("cup", "c", "cup", "Say what the empty cup weighs, for readings without their own."),
    _WEIGH(
        "scale",
        "s",
        "scale",
        "Tell the scale's smallest step in grams, how its readings differ, how pieces do in percent.",
    ),
    _WEIGH("drop", "backspace", "take off", "Take the last handful off the scale, then the load."),
    _WEIGH(
        "count",
        "enter",
        "count",
        "Count the number that fits best, as a tally marked as weighed; asks for {weigh.yes} first.",
        rank=5,
    ),
    _WEIGH("yes", "y", "yes", "Yes, count them."),
    _WEIGH(
        "by-hand",
        "*",
        "by hand",
        "Type how many they are, counted by hand: that is counted, and the weights are learnt from.",
    ),
    _WEIGH("learn", "n", "note", "Note the handfuls alone; nothing is counted."),
    _WEIGH(
        "confirm",
        "=",
        "confirm",
        "Type how many the load under the cursor had, counted by hand; its tally is put right.",
    ),
    _WEIGH(
        "strike", "delete", "strike", "Learn nothing from the weighing under the cursor; or again. Its tally stays."
    ),
    _WEIGH(
        "pile",
        "p",
        "pile",
        "How large the pile is: type grams of what is uncounted, of its crate, then handfuls, with semicolons between.",
    ),
    _WEIGH("undo", "u", "undo", "Undo the last tally, then the one before."),
    _WEIGH("back", "escape", "back", "Back to the screen before.", rank=6),
)
