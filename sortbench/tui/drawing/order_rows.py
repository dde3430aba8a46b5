"""The orders screen: each order with its lines and boxes to tick, and the standing list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from rich.cells import cell_len

from sortbench.model.order import Outcome
from sortbench.tui.drawing.bench_rows import FULL, POINTER
from sortbench.tui.drawing.list_rows import headings, holds_words, searchable
from sortbench.tui.drawing.pick_rows import OPEN, PARTLY
from sortbench.tui.drawing.words import condition, joined, plural, swatch
from sortbench.tui.widgets.rows import Column, Row, Span, clip, columns

if TYPE_CHECKING:
    from sortbench.desks.orders_desk import LineState, OrderState, StandingRow
    from sortbench.model.lot import Expense
    from sortbench.model.order import OrderLine

NO_ORDERS: tuple[Row, ...] = (
    (("Nothing was ordered yet.", "text"),),
    (("{targets}, {targets.plan} and {plan.order}", "key"), (" order what the plan would buy.", "text")),
    (
        ("{orders.sellers}", "key"),
        (" brings sellers in from a table, then ", "text"),
        ("{orders.offers}", "key"),
        (" their offers.", "text"),
    ),
    (("In a shell, ", "quiet"), ("sortbench orders new OFFER*3", "key"), (" makes one of single offers.", "quiet")),
)
NO_STANDING: tuple[Row, ...] = ((("Orders and offers cover all that is lacking.", "text"),),)
NO_MATCH: tuple[Row, ...] = ((("No line holds these words; {orders.back} shows all.", "text"),),)

_STANDING_NAMES = ("", "target", "line", "", "part", "shade", "lacks", "ordered", "offered", "standing", "since")
_STANDING = (
    Column(1),
    Column(6, 12),
    Column(4, align="right"),
    Column(1),
    Column(8, 44),
    Column(6, 18, drop=1),
    Column(6, align="right"),
    Column(7, align="right", drop=2),
    Column(7, align="right", drop=2),
    Column(8, align="right"),
    Column(10, drop=3),
)


class Item(NamedTuple):
    """A row of the list: the head of an order, or one of its lines.

    Attributes:
        state: the order.
        line: None for the head.
        rgb: of the line's shade, empty where it is not known.
        pay: what the order costs, in words.
    """

    state: OrderState
    line: LineState | None
    rgb: str
    pay: str


def items_in_view(items: Sequence[Item], words: str) -> tuple[Item, ...]:
    """Lines that hold all the words, under the heads of their orders; all lines of a head that holds them."""
    if not words:
        return tuple(items)
    heads = {item.state.order.id for item in items if item.line is None and holds_words(_text(item), words)}
    kept = [item for item in items if item.line and (item.state.order.id in heads or holds_words(_text(item), words))]
    seen = heads | {item.state.order.id for item in kept}
    return tuple(item for item in items if (item.line is None and item.state.order.id in seen) or item in kept)


def _text(item: Item) -> str:
    order, line = item.state.order, item.line
    if line is None:
        return searchable(order.id, order.seller, item.state.words, order.note)
    told = line.line
    return searchable(line.name, told.kind.part, told.kind.shade, told.target, _described(told))


def head_row(states: Sequence[OrderState], standing: int, in_standing: bool, width: int) -> Row:
    """Which list it is, and how much is in both.

    Args:
        standing: pieces on the standing list.
        in_standing: whether that is the one in sight.
    """
    awaited = sum(state.awaited for state in states)
    parts: list[Row] = [
        (
            ("orders", "quiet" if in_standing else "held"),
            (f" {len(states):,}, {plural(awaited, 'piece')} to come", "text"),
        ),
        (("l", "key"), (" standing list", "held" if in_standing else "quiet"), (f" {standing:,}", "wanted")),
    ]
    return clip(joined(parts), width)


def order_row(item: Item, chosen: bool, width: int) -> Row:
    """The head of an order."""
    state = item.state
    order = state.order
    to_come = f"{state.awaited:,} of {plural(state.pieces, 'piece')} to come" if state.awaited else ""
    look = {"settled": "good", "called off": "quiet", "not sent yet": "warning"}.get(state.words, "text")
    parts: list[Row] = [
        ((POINTER if chosen else " ", "key"), (order.id, "key"), (f" {order.seller}", "chosen" if chosen else "title")),
        ((state.words, look),),
        ((to_come, "wanted"),) if to_come else (),
        ((item.pay, "quiet"),),
    ]
    return clip(joined(parts, " · "), width)


def layout_of(items: Iterable[Item]) -> tuple[Column, ...]:
    """Columns of lines, as wide as what stands in them needs; what came has the rest."""
    lines = [item.line for item in items if item.line is not None]

    def fitted(texts: Iterable[str], least: int, most: int) -> int:
        return max(least, min(max((cell_len(text) for text in texts), default=0), most))

    return (
        Column(1),
        Column(1),
        Column(fitted((str(line.number) for line in lines), 1, 4), align="right"),
        Column(1),
        Column(8, fitted((line.name for line in lines), 8, 32)),
        Column(5, fitted((line.line.kind.shade for line in lines), 5, 18), drop=1),
        Column(fitted((_described(line.line) for line in lines), 1, 18), drop=2),
        Column(fitted(map(_to_come, lines), 6, 14), align="right"),
        Column(6, None, drop=3),
    )


def _described(line: OrderLine) -> str:
    """Grade and flaws as the seller tells them; empty where nothing is told."""
    return condition(line.grade, line.flaws) if line.grade or line.flaws else ""


def _to_come(line: LineState) -> str:
    return f"{line.awaited:,} of {line.line.quantity:,}"


def outcome_words(line: LineState) -> str:
    """What became of a line's pieces, ``2 good, 1 short``; empty where nothing is known."""
    return ", ".join(f"{n:,} {outcome.value}" for outcome in Outcome if (n := line.of(outcome)))


def line_row(layout: tuple[Column, ...], item: Item, chosen: bool, width: int) -> Row:
    """One line of an order: its box, what was ordered, what is to come and what came."""
    line = item.line
    assert line is not None, "heads are drawn by order_row"
    came = outcome_words(line)
    box = PARTLY if came and line.awaited else OPEN if line.awaited else FULL
    look = "chosen" if chosen else ("text" if line.awaited else "quiet")
    amiss = bool(line.of(Outcome.WRONG) or line.of(Outcome.DAMAGED) or line.of(Outcome.SHORT))
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (box, "key" if line.awaited else "good"),
        (str(line.number), "quiet"),
        (swatch(item.rgb, line.line.kind.shade),),
        (line.name, look),
        (line.line.kind.shade, look),
        (_described(line.line), "quiet"),
        (_to_come(line), "strong" if line.awaited else "quiet"),
        (came, "warning" if amiss else "good"),
    ]
    return columns(layout, cells, width)


def item_words(item: Item) -> str:
    """The row under the cursor in full."""
    state, line = item.state, item.line
    order = state.order
    if line is None:
        note = f" · {order.note}" if order.note else ""
        return f"{order.id} of {order.made[:10]} from {order.seller}: {state.words}; {item.pay} to pay{note}"
    told = line.line
    pieces = " · ".join(filter(None, (line.name, told.kind.shade, _described(told))))
    price = f"{told.price:,} {told.currency or order.currency}"
    words = f"{told.quantity:,} × {pieces}, {price} each, offer {told.offer}"
    words += f", for {told.target}" if told.target else ""
    came = outcome_words(line)
    notes = [each.note for each in order.remarks if each.line == line.number and each.note and not each.struck]
    return words + (f"; {came}" if came else "") + "".join(f"; {note}" for note in notes)


def spent(expenses: Sequence[Expense]) -> str:
    """What the lot ledger has of an order, as a clause; empty where it has nothing."""
    if not expenses:
        return ""
    amounts: dict[str, Decimal] = {}
    for each in expenses:
        amounts[each.currency] = amounts.get(each.currency, Decimal(0)) + each.amount
    words = " + ".join(f"{amount:,} {currency}" for currency, amount in amounts.items())
    return f"; {words} {'struck in' if expenses[0].struck else 'noted in'} the lot ledger"


# -- the standing list


def standing_in_view(rows: Sequence[StandingRow], words: str) -> tuple[StandingRow, ...]:
    """The rows that hold all the words."""
    return tuple(
        row
        for row in rows
        if not words or holds_words(searchable(row.target, row.name, row.part_name, row.kind.shade), words)
    )


def standing_headings(width: int) -> Row:
    """What the columns of the standing list are called."""
    return headings(_STANDING, _STANDING_NAMES, width)


def standing_row(row: StandingRow, rgb: str, chosen: bool, width: int) -> Row:
    """A line that lacks pieces, and how far orders and offers cover it."""
    look = "chosen" if chosen else "text"
    cells: list[str | Span | Row] = [
        (POINTER if chosen else " ", "key"),
        (row.target, "key"),
        (str(row.number), "quiet"),
        (swatch(rgb, row.kind.shade),),
        (row.part_name, look),
        (row.kind.shade, look),
        (f"{row.short:,}", "text"),
        (f"{row.ordered:,}", "quiet"),
        (f"{row.offered:,}", "quiet"),
        (f"{row.standing:,}", "wanted"),
        (row.since[:10], "quiet"),
    ]
    return columns(_STANDING, cells, width)


def standing_words(row: StandingRow) -> str:
    """A row of the standing list in full."""
    return (
        f"{row.name}, line {row.number}: {row.part_name} · {row.kind.shade}: {row.short:,} lacking, "
        f"{row.ordered:,} on order, {row.offered:,} offered; {row.standing:,} cannot be had at present"
        + (f", seen first on {row.since[:10]}" if row.since else "")
    )
