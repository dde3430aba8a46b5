"""The commands of the plan screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at

_PLAN = at("plan")


_SHOWN = ("keep", "treat", "move", "buy", "stand-in", "leave open", "on order")

PLAN_COMMANDS: tuple[Command, ...] = (
    _PLAN(
        "lock", "enter", "lock", "Lock the choice under the cursor and plan the rest anew; or let it go again.", rank=2
    ),
    _PLAN("next", "right", "other choice", "Lock the line to its next choice.", rank=3),
    _PLAN("previous", "left", "previous", "Lock the line to its choice before."),
    _PLAN(
        "dearer", "+", "next offer", "Lock the line to one offer: the next dearer one, after the dearest the cheapest."
    ),
    _PLAN("cheaper", "-", "offer before", "Lock the line to one offer: the next cheaper one."),
    _PLAN("unlock-all", "u", "unlock all", "Let go of all that is locked."),
    *(
        _PLAN(
            f"show.{choice.replace(' ', '-')}",
            str(number),
            choice,
            "Show only one choice, by its place: keep, treat, move, buy, stand-in, leave open, on order.",
        )
        for number, choice in enumerate(_SHOWN, 1)
    ),
    _PLAN("show.all", "0", "all", "Show all choices."),
    _PLAN("filter", "/", "filter", "Show only lines that hold the words typed."),
    _PLAN("limits", "m", "limits", "Most to be paid to sellers, and most parcels: 40, or 40 12; - for no limit."),
    _PLAN(
        "worth",
        "w",
        "worth",
        "Ask which targets are worth finishing, and what becomes spare of the others; or finish all again.",
    ),
    _PLAN("spares", "l", "spares", "What becomes spare, and what is so already; or the plan again."),
    _PLAN(
        "order",
        "o",
        "order",
        "Make an order for each seller of what the plan buys; asks for {plan.yes} first. Then the orders.",
    ),
    _PLAN("yes", "y", "yes", "Yes, make the orders."),
    _PLAN("again", "r", "plan anew", "Plan anew, with more time to look.", rank=4),
    _PLAN(
        "back",
        "escape",
        "back",
        "End the search and keep the best so far; let go of a filter; from the spares to the plan; then back to the "
        "screen before.",
        rank=5,
    ),
)
