"""The commands of the weighing screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

WEIGH_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"weigh.{name}", (key,), label, text, "weigh")
        for name, key, label, text in (
            ("up", "up", "up", "One line up."),
            ("down", "down", "down", "One line down."),
            ("page-up", "pageup", "page up", "One page up."),
            ("page-down", "pagedown", "page down", "One page down."),
            ("first", "home", "first", "To the first line."),
            ("last", "end", "last", "To the last line."),
        )
    ),
    Command("weigh.piece", ("/",), "piece", "Name what lies on the scale, as on the entry line.", "weigh", rank=2),
    Command(
        "weigh.load",
        ("l",),
        "load",
        "Put on the scale what is to be counted: grams with the cup, then of the cup alone.",
        "weigh",
        rank=3,
    ),
    Command(
        "weigh.handful",
        ("h",),
        "handful",
        "A handful counted by hand: pieces, grams with the cup, then of the cup alone.",
        "weigh",
        rank=4,
    ),
    Command("weigh.cup", ("c",), "cup", "Say what the empty cup weighs, for readings without their own.", "weigh"),
    Command(
        "weigh.scale",
        ("s",),
        "scale",
        "Tell the scale's smallest step in grams, how its readings differ, how pieces do in percent.",
        "weigh",
    ),
    Command("weigh.drop", ("backspace",), "take off", "Take the last handful off the scale, then the load.", "weigh"),
    Command(
        "weigh.count",
        ("enter",),
        "count",
        "Count the number that fits best, as a tally marked as weighed; asks for y first.",
        "weigh",
        rank=5,
    ),
    Command("weigh.yes", ("y",), "yes", "Yes, count them.", "weigh"),
    Command(
        "weigh.by-hand",
        ("*",),
        "by hand",
        "Type how many they are, counted by hand: that is counted, and the weights are learnt from.",
        "weigh",
    ),
    Command("weigh.learn", ("n",), "note", "Note the handfuls alone; nothing is counted.", "weigh"),
    Command(
        "weigh.confirm",
        ("=",),
        "confirm",
        "Type how many the load under the cursor had, counted by hand; its tally is put right.",
        "weigh",
    ),
    Command(
        "weigh.strike",
        ("delete",),
        "strike",
        "Learn nothing from the weighing under the cursor; or again. Its tally stays.",
        "weigh",
    ),
    Command(
        "weigh.pile",
        ("p",),
        "pile",
        "How large the pile is: type grams of what is uncounted, of its crate, then handfuls, with semicolons between.",
        "weigh",
    ),
    Command("weigh.undo", ("u",), "undo", "Undo the last tally, then the one before.", "weigh"),
    Command("weigh.back", ("escape",), "back", "Back to the screen before.", "weigh", rank=6),
)
