"""The commands of the screens that look a bin over: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_SPOT = at("spot")
_RECOUNT = at("recount")


CHECK_COMMANDS: tuple[Command, ...] = (
    *moving("spot", "recount"),
    _SPOT(
        "note", "*", "note", "Type what pieces of the sample are, as on the entry line; Enter alone ends it.", rank=2
    ),
    _SPOT("missing", "m", "missing", "A drawn number that the bin has no piece for.", rank=3),
    _SPOT("left-over", "x", "left over", "A piece more lies in the bin than was counted."),
    _SPOT("strike", "delete", "strike", "Strike what was noted last.", rank=4),
    _SPOT("on", "right", "next view", "From the finds to the drawn numbers, then to the chances."),
    _SPOT("back-on", "left", "view before", "From the chances to the numbers, then to the finds."),
    _SPOT("new", "n", "new check", "Plan another check of the bin; nothing is drawn before {spot.draw}."),
    _SPOT("older", "o", "older", "The check of this bin before; after the first the last again."),
    _SPOT("draw", "enter", "draw", "Draw the check that is planned."),
    _SPOT("level", "l", "level", "Plan by another inspection level: I, II, III."),
    _SPOT("limit", "a", "limit", "Plan by another acceptance quality limit."),
    _SPOT("drawing", "d", "how drawn", "Plan to count pieces off by drawn numbers, or to take one blind scoop."),
    _SPOT("back", "escape", "back", "Let go of what is planned; then back to the bins.", rank=5),
    _RECOUNT("begin", "enter", "begin", "Begin to recount the bin."),
    _RECOUNT("note", "*", "note", "Type what lies in the bin, as on the entry line; Enter alone ends it.", rank=2),
    _RECOUNT("strike", "delete", "take back", "Take what was noted last back.", rank=3),
    _RECOUNT(
        "end",
        "e",
        "end",
        "All pieces are noted: end the recount and show the first count; asks for {recount.yes} first. Or open it "
        "again.",
        rank=4,
    ),
    _RECOUNT("take", "t", "take over", "Put the tallies of the first count right; asks for {recount.yes} first."),
    _RECOUNT("new", "n", "again", "Plan another recount of the bin."),
    _RECOUNT("yes", "y", "yes", "Yes, do it."),
    _RECOUNT("back", "escape", "back", "Back to the bins.", rank=5),
)
