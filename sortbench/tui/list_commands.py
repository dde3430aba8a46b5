"""The commands of the screens with a list: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation, at, moving

_TARGETS = at("targets")
_BINS = at("bins")
_LOG = at("log")
_RECONCILE = at("reconcile")
_PICK = at("pick")
_STATEMENT = at("statement")
_HELP = at("help")
_COMMANDS = at("commands")


def _no_trial(situation: Situation) -> str:
    return "" if situation.trial else "nothing is being tried out"


LIST_COMMANDS: tuple[Command, ...] = (
    *moving("targets", "bins", "log", "reconcile", "pick", "statement", "plan", "help"),
    *(
        Command(f"{place}.back", ("escape",), "back", "Let go of a filter; then back to the bench.", place, rank=5)
        for place in ("targets", "bins", "log")
    ),
    _TARGETS("next", "right", "next target", "Show the next target.", rank=2),
    _TARGETS("previous", "left", "previous", "Show the target before."),
    *(_TARGETS(f"to-{n}", f"{n}", f"target {n}", f"Show target {n}, counted by rank.") for n in range(1, 10)),
    _TARGETS("find", "g", "go to", "Go to a target: type how a word of its name begins."),
    _TARGETS("filter", "/", "filter", "Show only lines that hold the words typed."),
    _TARGETS("short", "s", "short only", "Show only lines with pieces missing, or all again.", rank=3),
    _TARGETS(
        "write-up",
        "w",
        "write up",
        "Write up this target's list at the bench: tallies go to its lines, not to bins; or end that.",
        rank=4,
    ),
    _TARGETS("pick", "p", "pick list", "The pick list of this target, to tick off at the table."),
    _TARGETS("statement", "t", "statement", "What can truly be told a buyer of this target."),
    _TARGETS("plan", "b", "what to buy", "What to keep, treat, move or buy, at the least cost."),
    _TARGETS("orders", "o", "orders", "Orders to sellers, what came of them, the standing list."),
    _TARGETS("new", "n", "new", "A new target: type its code, name and year."),
    _BINS("content", "right", "content", "Move the cursor into what lies in the bin.", rank=2),
    _BINS("bins", "left", "bins", "Move the cursor back to the bins."),
    _BINS("split", "s", "split", "Split the bin that overflows as proposed; asks for {bins.yes} first.", rank=3),
    _BINS("spot", "c", "check", "A spot check of the bin, to see whether its count is good."),
    _BINS("recount", "r", "recount", "A second person counts the bin blindly, to compare."),
    _BINS("new", "n", "new bin", "A new bin: type its label and what belongs in it; asks for {bins.yes} first."),
    _BINS("yes", "y", "yes", "Yes, split the bin, or put the new one up."),
    _BINS("weigh", "w", "weigh", "Count more pieces by weight: of the kind under the cursor, or others.", rank=4),
    _LOG("filter", "/", "filter", "Show only records that hold the words typed.", rank=2),
    _LOG("hour-back", "h", "hour back", "To what was noted an hour ago; from there, one hour further back."),
    _LOG("void", "delete", "void", "Void the selected record; asks for {log.yes} first. The log keeps both.", rank=3),
    _LOG("yes", "y", "yes", "Yes, void the record."),
    _RECONCILE("further", "right", "further in", "From the crates to the lines, then to the pieces."),
    _RECONCILE("out", "left", "further out", "From the pieces to the lines, then to the crates."),
    _RECONCILE("higher", "+", "rank up", "Try the target one rank up.", rank=2),
    _RECONCILE("lower", "-", "rank down", "Try the target one rank down."),
    _RECONCILE("level", "=", "same rank", "Try the target on the rank of the one above: both are then filled evenly."),
    _RECONCILE("park", "0", "park", "Try the target parked, so that it takes nothing; or no longer."),
    _RECONCILE(
        "stand-in", "a", "stand-in", "Try the stand-in under the cursor refused for this target; or allowed again."
    ),
    _RECONCILE(
        "policy",
        "c",
        "policy",
        "Try the other policy: every target as complete as can be, or the first as well filled as can be.",
    ),
    _RECONCILE(
        "keep",
        "k",
        "keep",
        "Keep what is tried out; asks for {reconcile.yes} first. Until then nothing is written.",
        _no_trial,
        rank=3,
    ),
    _RECONCILE("yes", "y", "yes", "Yes, keep it."),
    _RECONCILE(
        "back",
        "escape",
        "back",
        "Let go of a question, of what is tried out, of a filter; then back to the bench.",
        rank=5,
    ),
    _RECONCILE(
        "explain",
        "e",
        "why",
        "Say why the pieces under the cursor go where they go, and what else there would be; or show them again.",
    ),
    _RECONCILE("short", "s", "short only", "Show only lines with pieces missing, or all again."),
    _RECONCILE("filter", "/", "filter", "Show only lines that hold the words typed."),
    _RECONCILE("pick", "p", "pick list", "The pick list of this target, to tick off at the table.", rank=4),
    _RECONCILE("statement", "t", "statement", "What can truly be told a buyer of this target."),
    _RECONCILE("plan", "b", "what to buy", "What to keep, treat, move or buy, at the least cost."),
    _PICK(
        "take",
        "enter",
        "tick off",
        "Tick the row off: its pieces go into the crate, and the cursor to the next row.",
        rank=2,
    ),
    _PICK("some", "*", "some", "Tick off only some of the row's pieces: type how many."),
    _PICK(
        "put-back", "backspace", "put back", "Take the tick away: the pieces go from the crate back into a bin.", rank=3
    ),
    _PICK("next", "right", "next target", "The pick list of the next target."),
    _PICK("previous", "left", "previous", "The pick list of the target before."),
    _PICK("open", "s", "open only", "Show only rows that are not ticked off, or all again.", rank=4),
    _PICK("filter", "/", "filter", "Show only rows that hold the words typed."),
    _PICK("back", "escape", "back", "Let go of a filter; then back to the screen that showed the target.", rank=5),
    _STATEMENT(
        "write",
        "w",
        "write",
        "Write the statement as text, Markdown and HTML into the folder statements of the bench.",
        rank=2,
    ),
    _STATEMENT(
        "as-shared",
        "a",
        "box or pick",
        "Speak of what the target would have if it were picked now; or of what lies in its crate again.",
        rank=3,
    ),
    _STATEMENT("next", "right", "next target", "The statement of the next target.", rank=4),
    _STATEMENT("previous", "left", "previous", "The statement of the target before."),
    _STATEMENT("back", "escape", "back", "Back to the screen that showed the target.", rank=5),
    *moving("commands")[:4],
    _COMMANDS(
        "run", "enter", "do it", "Do the command under the cursor; of another screen's, go to that screen.", rank=2
    ),
    _COMMANDS("close", "escape", "close", "Close the list of commands; nothing is done.", rank=3),
    _HELP("close", ("escape", "q"), "close", "Close the help sheet; so does the key that opened it.", rank=2),
)
