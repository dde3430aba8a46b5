"""The commands of the screens with a list: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation


def _no_trial(situation: Situation) -> str:
    return "" if situation.trial else "nothing is being tried out"


LIST_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"{place}.{name}", (key,), label, text, place)
        for place in ("targets", "bins", "log", "reconcile", "pick", "statement", "plan", "help")
        for name, key, label, text in (
            ("up", "up", "up", "One line up."),
            ("down", "down", "down", "One line down."),
            ("page-up", "pageup", "page up", "One page up."),
            ("page-down", "pagedown", "page down", "One page down."),
            ("first", "home", "first", "To the first line."),
            ("last", "end", "last", "To the last line."),
        )
    ),
    *(
        Command(f"{place}.back", ("escape",), "back", "Let go of a filter; then back to the bench.", place, rank=5)
        for place in ("targets", "bins", "log")
    ),
    Command("targets.next", ("right",), "next target", "Show the next target.", "targets", rank=2),
    Command("targets.previous", ("left",), "previous", "Show the target before.", "targets"),
    Command("targets.filter", ("/",), "filter", "Show only lines that hold the words typed.", "targets"),
    Command(
        "targets.short", ("s",), "short only", "Show only lines with pieces missing, or all again.", "targets", rank=3
    ),
    Command(
        "targets.write-up",
        ("w",),
        "write up",
        "Write up this target's list at the bench: tallies go to its lines, not to bins; or end that.",
        "targets",
        rank=4,
    ),
    Command("targets.pick", ("p",), "pick list", "The pick list of this target, to tick off at the table.", "targets"),
    Command("targets.statement", ("t",), "statement", "What can truly be told a buyer of this target.", "targets"),
    Command("targets.plan", ("b",), "what to buy", "What to keep, treat, move or buy, at the least cost.", "targets"),
    Command("targets.orders", ("o",), "orders", "Orders to sellers, what came of them, the standing list.", "targets"),
    Command("targets.new", ("n",), "new", "A new target: type its code, name and year.", "targets"),
    Command("bins.content", ("right",), "content", "Move the cursor into what lies in the bin.", "bins", rank=2),
    Command("bins.bins", ("left",), "bins", "Move the cursor back to the bins.", "bins"),
    Command(
        "bins.split", ("s",), "split", "Split the bin that overflows as proposed; asks for y first.", "bins", rank=3
    ),
    Command("bins.spot", ("c",), "check", "A spot check of the bin, to see whether its count is good.", "bins"),
    Command("bins.recount", ("r",), "recount", "A second person counts the bin blindly, to compare.", "bins"),
    Command("bins.yes", ("y",), "yes", "Yes, split the bin.", "bins"),
    Command(
        "bins.weigh",
        ("w",),
        "weigh",
        "Count more pieces by weight: of the kind under the cursor, or others.",
        "bins",
        rank=4,
    ),
    Command("log.filter", ("/",), "filter", "Show only records that hold the words typed.", "log", rank=2),
    Command(
        "log.void",
        ("delete",),
        "void",
        "Void the selected record; asks for y first. The log keeps both.",
        "log",
        rank=3,
    ),
    Command("log.yes", ("y",), "yes", "Yes, void the record.", "log"),
    Command(
        "reconcile.further", ("right",), "further in", "From the crates to the lines, then to the pieces.", "reconcile"
    ),
    Command(
        "reconcile.out", ("left",), "further out", "From the pieces to the lines, then to the crates.", "reconcile"
    ),
    Command("reconcile.higher", ("+",), "rank up", "Try the target one rank up.", "reconcile", rank=2),
    Command("reconcile.lower", ("-",), "rank down", "Try the target one rank down.", "reconcile"),
    Command(
        "reconcile.level",
        ("=",),
        "same rank",
        "Try the target on the rank of the one above: both are then filled evenly.",
        "reconcile",
    ),
    Command(
        "reconcile.park", ("0",), "park", "Try the target parked, so that it takes nothing; or no longer.", "reconcile"
    ),
    Command(
        "reconcile.stand-in",
        ("a",),
        "stand-in",
        "Try the stand-in under the cursor refused for this target; or allowed again.",
        "reconcile",
    ),
    Command(
        "reconcile.policy",
        ("c",),
        "policy",
        "Try the other policy: every target as complete as can be, or the first as well filled as can be.",
        "reconcile",
    ),
    Command(
        "reconcile.keep",
        ("k",),
        "keep",
        "Keep what is tried out; asks for y first. Until then nothing is written.",
        "reconcile",
        _no_trial,
        rank=3,
    ),
    Command("reconcile.yes", ("y",), "yes", "Yes, keep it.", "reconcile"),
    Command(
        "reconcile.back",
        ("escape",),
        "back",
        "Let go of a question, of what is tried out, of a filter; then back to the bench.",
        "reconcile",
        rank=5,
    ),
    Command(
        "reconcile.explain",
        ("e",),
        "why",
        "Say why the pieces under the cursor go where they go, and what else there would be; or show them again.",
        "reconcile",
    ),
    Command("reconcile.short", ("s",), "short only", "Show only lines with pieces missing, or all again.", "reconcile"),
    Command("reconcile.filter", ("/",), "filter", "Show only lines that hold the words typed.", "reconcile"),
    Command(
        "reconcile.pick",
        ("p",),
        "pick list",
        "The pick list of this target, to tick off at the table.",
        "reconcile",
        rank=4,
    ),
    Command("reconcile.statement", ("t",), "statement", "What can truly be told a buyer of this target.", "reconcile"),
    Command(
        "reconcile.plan", ("b",), "what to buy", "What to keep, treat, move or buy, at the least cost.", "reconcile"
    ),
    Command(
        "pick.take",
        ("enter",),
        "tick off",
        "Tick the row off: its pieces go into the crate, and the cursor to the next row.",
        "pick",
        rank=2,
    ),
    Command("pick.some", ("*",), "some", "Tick off only some of the row's pieces: type how many.", "pick"),
    Command(
        "pick.put-back",
        ("backspace",),
        "put back",
        "Take the tick away: the pieces go from the crate back into a bin.",
        "pick",
        rank=3,
    ),
    Command("pick.next", ("right",), "next target", "The pick list of the next target.", "pick"),
    Command("pick.previous", ("left",), "previous", "The pick list of the target before.", "pick"),
    Command("pick.open", ("s",), "open only", "Show only rows that are not ticked off, or all again.", "pick", rank=4),
    Command("pick.filter", ("/",), "filter", "Show only rows that hold the words typed.", "pick"),
    Command(
        "pick.back",
        ("escape",),
        "back",
        "Let go of a filter; then back to the screen that showed the target.",
        "pick",
        rank=5,
    ),
    Command(
        "statement.write",
        ("w",),
        "write",
        "Write the statement as text, Markdown and HTML into the folder statements of the bench.",
        "statement",
        rank=2,
    ),
    Command(
        "statement.as-shared",
        ("a",),
        "box or pick",
        "Speak of what the target would have if it were picked now; or of what lies in its crate again.",
        "statement",
        rank=3,
    ),
    Command("statement.next", ("right",), "next target", "The statement of the next target.", "statement", rank=4),
    Command("statement.previous", ("left",), "previous", "The statement of the target before.", "statement"),
    Command("statement.back", ("escape",), "back", "Back to the screen that showed the target.", "statement", rank=5),
    Command(
        "help.close", ("escape", "q"), "close", "Close the help sheet; so does the key that opened it.", "help", rank=2
    ),
)
