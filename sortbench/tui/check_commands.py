"""The commands of the screens that look a bin over: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

CHECK_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"{place}.{name}", (key,), label, text, place)
        for place in ("spot", "recount")
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
        "spot.note",
        ("*",),
        "note",
        "Type what pieces of the sample are, as on the entry line; Enter alone ends it.",
        "spot",
        rank=2,
    ),
    Command("spot.missing", ("m",), "missing", "A drawn number that the bin has no piece for.", "spot", rank=3),
    Command("spot.left-over", ("x",), "left over", "A piece more lies in the bin than was counted.", "spot"),
    Command("spot.strike", ("delete",), "strike", "Strike what was noted last.", "spot", rank=4),
    Command("spot.on", ("right",), "next view", "From the finds to the drawn numbers, then to the chances.", "spot"),
    Command("spot.back-on", ("left",), "view before", "From the chances to the numbers, then to the finds.", "spot"),
    Command("spot.new", ("n",), "new check", "Plan another check of the bin; nothing is drawn before Enter.", "spot"),
    Command("spot.older", ("o",), "older", "The check of this bin before; after the first the last again.", "spot"),
    Command("spot.draw", ("enter",), "draw", "Draw the check that is planned.", "spot"),
    Command("spot.level", ("l",), "level", "Plan by another inspection level: I, II, III.", "spot"),
    Command("spot.limit", ("a",), "limit", "Plan by another acceptance quality limit.", "spot"),
    Command(
        "spot.drawing",
        ("d",),
        "how drawn",
        "Plan to count pieces off by drawn numbers, or to take one blind scoop.",
        "spot",
    ),
    Command("spot.back", ("escape",), "back", "Let go of what is planned; then back to the bins.", "spot", rank=5),
    Command("recount.begin", ("enter",), "begin", "Begin to recount the bin.", "recount"),
    Command(
        "recount.note",
        ("*",),
        "note",
        "Type what lies in the bin, as on the entry line; Enter alone ends it.",
        "recount",
        rank=2,
    ),
    Command("recount.strike", ("delete",), "take back", "Take what was noted last back.", "recount", rank=3),
    Command(
        "recount.end",
        ("e",),
        "end",
        "All pieces are noted: end the recount and show the first count; asks for y first. Or open it again.",
        "recount",
        rank=4,
    ),
    Command(
        "recount.take",
        ("t",),
        "take over",
        "Put the tallies of the first count right; asks for y first.",
        "recount",
    ),
    Command("recount.new", ("n",), "again", "Plan another recount of the bin.", "recount"),
    Command("recount.yes", ("y",), "yes", "Yes, do it.", "recount"),
    Command("recount.back", ("escape",), "back", "Back to the bins.", "recount", rank=5),
)
