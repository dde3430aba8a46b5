"""The commands of the orders screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, at, moving

_ORDERS = at("orders")


ORDER_COMMANDS: tuple[Command, ...] = (
    *moving("orders"),
    _ORDERS(
        "all",
        "enter",
        "all came",
        "All that is awaited on the line came as described, on an order's head all of the order: it is counted.",
        rank=2,
    ),
    _ORDERS("good", "g", "one good", "One piece came as described: it is counted.", rank=3),
    _ORDERS(
        "some",
        "*",
        "some came",
        "Some came, or came otherwise: type how many, then a grade, a flaw or another piece as on the entry line.",
        rank=4,
    ),
    _ORDERS("short", "s", "one short", "One piece did not come."),
    _ORDERS("wrong", "w", "one wrong", "One piece came wrong and is not kept."),
    _ORDERS("damaged", "d", "one damaged", "One piece came damaged and is not kept."),
    _ORDERS("strike", "delete", "strike", "Strike what was noted last of the line's pieces that are not counted."),
    _ORDERS("undo", "u", "undo", "Undo the last tally, then the one before."),
    _ORDERS("sent", "p", "sent", "Note that the order was sent to the seller; or that it was not."),
    _ORDERS(
        "call-off",
        "c",
        "call off",
        "Wait for nothing more of the order; asks for {orders.yes} first. Or wait for it again.",
    ),
    _ORDERS("yes", "y", "yes", "Yes, call it off."),
    _ORDERS(
        "files", "f", "files", "Write the order as text to send, table and page into the folder orders of the bench."
    ),
    _ORDERS("standing", "l", "standing", "What neither orders nor offers cover; or the orders again."),
    _ORDERS("filter", "/", "filter", "Show only lines that hold the words typed."),
    _ORDERS(
        "back", "escape", "back", "Let go of a filter, then back to the orders, then to the screen before.", rank=5
    ),
)
