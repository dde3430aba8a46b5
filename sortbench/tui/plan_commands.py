"""The commands of the plan screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

_SHOWN = ("keep", "treat", "move", "buy", "stand-in", "leave open")

PLAN_COMMANDS: tuple[Command, ...] = (
    Command(
        "plan.lock",
        ("enter",),
        "lock",
        "Lock the choice under the cursor and plan the rest anew; or let it go again.",
        "plan",
        rank=2,
    ),
    Command("plan.next", ("right",), "other choice", "Lock the line to its next choice.", "plan", rank=3),
    Command("plan.previous", ("left",), "previous", "Lock the line to its choice before.", "plan"),
    Command(
        "plan.dearer",
        ("+",),
        "next offer",
        "Lock the line to one offer: the next dearer one, after the dearest the cheapest.",
        "plan",
    ),
    Command("plan.cheaper", ("-",), "offer before", "Lock the line to one offer: the next cheaper one.", "plan"),
    Command("plan.unlock-all", ("u",), "unlock all", "Let go of all that is locked.", "plan"),
    *(
        Command(
            f"plan.show.{choice.replace(' ', '-')}",
            (str(number),),
            choice,
            "Show only one choice, by its place: keep, treat, move, buy, stand-in, leave open.",
            "plan",
        )
        for number, choice in enumerate(_SHOWN, 1)
    ),
    Command("plan.show.all", ("0",), "all", "Show all choices.", "plan"),
    Command("plan.filter", ("/",), "filter", "Show only lines that hold the words typed.", "plan"),
    Command(
        "plan.limits",
        ("m",),
        "limits",
        "Most to be paid to sellers, and most parcels: 40, or 40 12; - for no limit.",
        "plan",
    ),
    Command(
        "plan.worth",
        ("w",),
        "worth",
        "Ask which targets are worth finishing, and what becomes spare of the others; or finish all again.",
        "plan",
    ),
    Command("plan.spares", ("l",), "spares", "What becomes spare, and what is so already; or the plan again.", "plan"),
    Command(
        "plan.order",
        ("o",),
        "order",
        "Make an order for each seller of what the plan buys; asks for y first. Then the orders.",
        "plan",
    ),
    Command("plan.yes", ("y",), "yes", "Yes, make the orders.", "plan"),
    Command("plan.again", ("r",), "plan anew", "Plan anew, with more time to look.", "plan", rank=4),
    Command(
        "plan.back",
        ("escape",),
        "back",
        "End the search and keep the best so far; let go of a filter; from the spares to the plan; then back to the "
        "screen before.",
        "plan",
        rank=5,
    ),
)
