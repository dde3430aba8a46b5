"""The commands that are at hand everywhere, and those of the bench: part of the one registry in
:mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation, no_last, no_redo


def _no_result(situation: Situation) -> str:
    return "" if situation.results else "there is no result to move to"


BENCH_COMMANDS: tuple[Command, ...] = (
    Command("help", ("?", "f1"), "help", "Show all keys and the entry line's grammar.", "everywhere", rank=1),
    Command("bench", ("f2",), "bench", "Go to the bench.", "everywhere"),
    Command(
        "targets", ("f3",), "targets", "Targets line by line: have, need, short, and where they lie.", "everywhere"
    ),
    Command("bins", ("f4",), "bins", "Bins and what is in them.", "everywhere"),
    Command("log", ("f5",), "log", "Every record of the log.", "everywhere"),
    Command(
        "reconcile",
        ("f6",),
        "reconcile",
        "Who gets which piece, what is short, what is spare; ranks and stand-ins can be tried out.",
        "everywhere",
    ),
    Command(
        "washing",
        ("f7",),
        "wash",
        "Batches from the soak to dry, each on the clock; what waits for a wash; what must not go into the tub.",
        "everywhere",
    ),
    Command(
        "judge",
        ("f8",),
        "judge",
        "How yellow a piece is: swatches of the nine grades to hold it against, and colour readings.",
        "everywhere",
    ),
    Command("commands", ("ctrl+p", ":"), "find", "Find a command by words and do it.", "everywhere"),
    Command("theme", ("ctrl+t",), "theme", "The next theme: dark, light, high contrast, colour-safe.", "everywhere"),
    Command("leave", ("f10", "ctrl+q"), "leave", "Leave. Everything counted is on disk already.", "everywhere", rank=6),
    Command("undo", ("ctrl+z",), "undo", "Undo the last tally, then the one before.", "bench", no_last),
    Command("bench.wash", ("f9",), "wash again", "Set the last piece aside for another wash.", "bench", no_last),
    Command("redo", ("ctrl+y",), "redo", "Bring back what was undone last.", "bench", no_redo),
    Command(
        "count",
        ("enter",),
        "count",
        "Count the highlighted result; on an empty line, the same again.",
        "typing",
        rank=2,
    ),
    Command(
        "result.up",
        ("up",),
        "previous",
        "Highlight the result above; on an empty line, pick an earlier tally.",
        "typing",
        _no_result,
    ),
    Command(
        "result.down",
        ("down",),
        "next",
        "Highlight the result below; on an empty line, pick a later tally.",
        "typing",
        _no_result,
        rank=4,
    ),
    Command("pad", ("escape",), "keypad", "Leave typing for the keypad.", "typing", rank=3),
    *(Command(f"slot.{n}", (n,), f"slot {n}", f"Count one piece into slot {n}.", "pad") for n in "789456123"),
    *(
        Command(f"page.{n}", (key,), f"page {n}", f"Page {n} of the keypad, for the next slot key.", "pad")
        for n, key in enumerate("asdfghjkl", 1)
    ),
    Command(
        "shade",
        ("0",),
        "shades",
        "Shade tray: a digit names the next piece's shade, {shade} after it holds that shade; {shade} {shade} for "
        "more, {shade} {pad.undo} none.",
        "pad",
        rank=3,
    ),
    Command("again", ("enter",), "again", "Count the same again.", "pad", no_last, rank=4),
    Command("grade.down", ("-",), "grade down", "Lower the grade of the last tally.", "pad", no_last),
    Command("grade.up", ("+",), "grade up", "Raise the grade of the last tally.", "pad", no_last),
    Command("wash", ("*",), "wash again", "Set the last piece aside for another wash.", "pad", no_last),
    Command("discard", ("x",), "discard", "Discard the last piece: counted, kept in no bin.", "pad", no_last),
    Command("pad.undo", (".", ",", "u"), "undo", "Undo the last tally, then the one before.", "pad", no_last, rank=5),
    Command("pad.redo", ("U",), "redo", "Bring back what was undone last.", "pad", no_redo),
    Command("pin", ("p",), "pin", "Pin a slot so that a reshuffle leaves it, or let it go; then its digit.", "pad"),
    Command("reshuffle", ("r",), "reshuffle", "Deal the slots anew; asks for {yes} first.", "pad"),
    Command("yes", ("y",), "yes", "Yes, deal the slots anew.", "pad"),
    Command("coarse", ("v",), "coarse", "Swap the slots between kinds and bins: a bin alone is a coarse count.", "pad"),
    Command("cancel", ("escape",), "cancel", "Close what waits for a digit or a yes; no count changes.", "pad"),
    Command("pick.earlier", ("up",), "earlier", "Pick an earlier tally.", "pad", no_last),
    Command("pick.later", ("down",), "later", "Pick a later tally; past the newest it is let go.", "pad", no_last),
    Command("pick.void", ("delete",), "void", "Void the picked tally; redo brings it back.", "pad", no_last),
    Command("typing", ("/",), "typing", "Back to typing.", "pad", rank=2),
)
