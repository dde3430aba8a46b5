"""The commands of the orders screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command

ORDER_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"orders.{name}", (key,), label, text, "orders")
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
        "orders.all",
        ("enter",),
        "all came",
        "All that is awaited on the line came as described, on an order's head all of the order: it is counted.",
        "orders",
        rank=2,
    ),
    Command("orders.good", ("g",), "one good", "One piece came as described: it is counted.", "orders", rank=3),
    Command(
        "orders.some",
        ("*",),
        "some came",
        "Some came, or came otherwise: type how many, then a grade, a flaw or another piece as on the entry line.",
        "orders",
        rank=4,
    ),
    Command("orders.short", ("s",), "one short", "One piece did not come.", "orders"),
    Command("orders.wrong", ("w",), "one wrong", "One piece came wrong and is not kept.", "orders"),
    Command("orders.damaged", ("d",), "one damaged", "One piece came damaged and is not kept.", "orders"),
    Command(
        "orders.strike",
        ("delete",),
        "strike",
        "Strike what was noted last of the line's pieces that are not counted.",
        "orders",
    ),
    Command("orders.undo", ("u",), "undo", "Undo the last tally, then the one before.", "orders"),
    Command(
        "orders.sent", ("p",), "posted", "Note that the order was sent to the seller; or that it was not.", "orders"
    ),
    Command(
        "orders.call-off",
        ("c",),
        "call off",
        "Wait for nothing more of the order; asks for y first. Or wait for it again.",
        "orders",
    ),
    Command("orders.yes", ("y",), "yes", "Yes, call it off.", "orders"),
    Command(
        "orders.files",
        ("f",),
        "files",
        "Write the order as text to send, table and page into the folder orders of the bench.",
        "orders",
    ),
    Command(
        "orders.standing", ("l",), "standing", "What neither orders nor offers cover; or the orders again.", "orders"
    ),
    Command("orders.filter", ("/",), "filter", "Show only lines that hold the words typed.", "orders"),
    Command(
        "orders.back",
        ("escape",),
        "back",
        "Let go of a filter, then back to the orders, then to the screen before.",
        "orders",
        rank=5,
    ),
)
