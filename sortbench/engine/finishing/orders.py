"""Orders as they stand: what came, what is still awaited, what they cost.

Pieces that came are tallies whose way names the order and the line. What arrived is worked out from those that hold,
so an order and the counts cannot tell different stories: undoing or correcting a tally changes both.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from sortbench.engine.ledger import Ledger
from sortbench.engine.planning.plan_case import step_price
from sortbench.model.catalogue import Catalogue
from sortbench.model.errors import DataError
from sortbench.model.money import as_amount, minor_units
from sortbench.model.offer import Offer, Seller
from sortbench.model.order import Order, OrderLine, Outcome
from sortbench.model.tally import PARCEL, Cell, Record, RecordId, What

_WAY = re.compile(r"parcel (P[1-9][0-9]{0,8})/([1-9][0-9]{0,5})")


class Purchase(NamedTuple):
    """Pieces to be bought: of which offer, how many, and the code of the target they are for (empty: none)."""

    offer: str
    quantity: int
    target: str = ""


class LineState(NamedTuple):
    """How far one line of an order has come, in pieces.

    Attributes:
        number: from 1.
        line: what was ordered.
        name: the part in words.
        counted: pieces counted out of the parcel, by outcome.
        told: pieces that are told of and not counted, by outcome.
        awaited: still to come; 0 once the order is called off.
        records: the tallies that hold.
    """

    number: int
    line: OrderLine
    name: str
    counted: Mapping[Outcome, int]
    told: Mapping[Outcome, int]
    awaited: int
    records: tuple[RecordId, ...]

    def of(self, outcome: Outcome) -> int:
        """Pieces with an outcome, counted or told of."""
        return self.counted.get(outcome, 0) + self.told.get(outcome, 0)


class OrderState(NamedTuple):
    """How far an order has come."""

    order: Order
    lines: tuple[LineState, ...]

    @property
    def pieces(self) -> int:
        """Pieces ordered."""
        return sum(state.line.quantity for state in self.lines)

    @property
    def awaited(self) -> int:
        """Pieces still to come."""
        return sum(state.awaited for state in self.lines)

    @property
    def words(self) -> str:
        """How it stands, in a word or two."""
        if self.order.called_off:
            return "called off"
        if not self.awaited:
            return "settled"
        came = any(state.counted or state.told for state in self.lines)
        return "partly here" if came else "awaited" if self.order.placed else "not sent yet"


def way_of(order: str, number: int) -> str:
    """The way of tallies of pieces that came on a line of an order."""
    return f"{PARCEL}{order}/{number}"


def arrivals(ledger: Ledger) -> dict[tuple[str, int], list[Record]]:
    """Tallies that hold and name a line of an order, by the order's id and the line's number."""
    found: dict[tuple[str, int], list[Record]] = {}
    for record in ledger.told(lambda what, way: what is What.TALLY and way.startswith(PARCEL)):
        named = _WAY.fullmatch(record.way)
        if named is not None:
            found.setdefault((named[1], int(named[2])), []).append(record)
    return found


def outcome_of(line: OrderLine, cell: Cell) -> Outcome:
    """What pieces that came on a line are, held against what was ordered.

    Pieces of which the seller told no grade cannot be of a lower one.
    """
    if cell.kind != line.kind:
        return Outcome.WRONG
    faded = line.grade is not None and cell.grade is not None and cell.grade < line.grade
    return Outcome.DAMAGED if faded or not set(cell.flaws) <= set(line.flaws) else Outcome.GOOD


def states_of(orders: Iterable[Order], ledger: Ledger, catalogue: Catalogue) -> tuple[OrderState, ...]:
    """All orders as they stand, in their order."""
    orders = tuple(orders)
    came = arrivals(ledger) if orders else {}
    return tuple(
        OrderState(
            order,
            tuple(
                _state(order, number, line, came.get((order.id, number), []), catalogue)
                for number, line in enumerate(order.lines, 1)
            ),
        )
        for order in orders
    )


def _state(order: Order, number: int, line: OrderLine, records: Sequence[Record], catalogue: Catalogue) -> LineState:
    counted: dict[Outcome, int] = {}
    for record in records:
        if record.cell is not None:
            outcome = outcome_of(line, record.cell)
            counted[outcome] = counted.get(outcome, 0) + record.quantity
    told: dict[Outcome, int] = {}
    for remark in order.remarks:
        if remark.line == number and not remark.struck:
            told[remark.outcome] = told.get(remark.outcome, 0) + remark.quantity
    settled = sum(counted.values()) + sum(told.values())
    awaited = 0 if order.called_off else max(0, line.quantity - settled)
    name = catalogue.part_name(line.kind.part)
    return LineState(number, line, name, counted, told, awaited, tuple(record.id for record in records))


def totals(order: Order) -> tuple[tuple[str, Decimal], ...]:
    """What an order costs, shipping included: currencies and exact amounts, the order's own currency first."""
    sums = {order.currency: order.shipping}
    for line in order.lines:
        code = line.currency or order.currency
        sums[code] = sums.get(code, Decimal(0)) + line.price * line.quantity
    return tuple(sums.items())


def goods(order: Order) -> Decimal | None:
    """What the pieces cost without shipping, exact; None where they are not all in the order's currency."""
    if any(line.currency not in ("", order.currency) for line in order.lines):
        return None
    return sum((line.price * line.quantity for line in order.lines), Decimal(0))


def left_of(offers: Mapping[str, Offer], states: Iterable[OrderState]) -> dict[str, int]:
    """Pieces of each offer that no open order waits for, by its id."""
    left = {offer.id: offer.stock for offer in offers.values()}
    for state in states:
        for line in state.lines:
            if line.line.offer in left:
                left[line.line.offer] = max(0, left[line.line.offer] - line.awaited)
    return left


def draft_orders(
    purchases: Iterable[Purchase],
    offers: Mapping[str, Offer],
    sellers: Mapping[str, Seller],
    states: Sequence[OrderState],
    catalogue: Catalogue,
) -> tuple[Order, ...]:
    """One order a seller for what is to be bought; without id and time, the sellers in the order of the purchases.

    Shipping is what the seller asks for the weight. A piece of a part without a weight adds nothing to it.

    Raises:
        DataError: nothing is to be bought, no such offer, more than it has left, or too heavy a parcel.
    """
    wanted: dict[str, dict[tuple[str, str], int]] = {}
    for purchase in purchases:
        found = offers.get(purchase.offer)
        if found is None:
            raise DataError(f"No offer is called {purchase.offer[:40]!r}.", "`sortbench import offers` brings them in.")
        lines = wanted.setdefault(found.seller, {})
        key = purchase.offer, purchase.target
        lines[key] = lines.get(key, 0) + purchase.quantity
    if not wanted:
        raise DataError("There is nothing to order.", "Name offers and how many pieces: sortbench orders new OFFER*3")
    left = left_of(offers, states)
    for lines in wanted.values():
        for (offer, _), quantity in lines.items():
            if quantity > left[offer]:
                raise DataError(
                    f"Offer {offer} has {left[offer]:,} left beside what is on order, and {quantity:,} are asked for.",
                    "Order fewer, or bring in the seller's offers anew.",
                )
            left[offer] -= quantity
    return tuple(_draft(sellers[seller], lines, offers, catalogue) for seller, lines in wanted.items())


def _draft(
    seller: Seller, wanted: Mapping[tuple[str, str], int], offers: Mapping[str, Offer], catalogue: Catalogue
) -> Order:
    lines = []
    for (key, target), quantity in wanted.items():
        offer = offers[key]
        currency = "" if offer.currency == seller.currency else offer.currency
        lines.append(OrderLine(key, offer.kind, offer.grade, offer.flaws, offer.price, quantity, target, currency))
    grams = sum((catalogue.mass_g(line.kind.part) or 0.0) * line.quantity for line in lines)
    steps = [(step.up_to_g * 1000, minor_units(step.price, seller.currency)) for step in seller.steps]
    extra = step_price(steps, round(grams * 1000))
    if extra is None:
        raise DataError(
            f"{seller.name} sends no parcel of {grams:,.0f} g.",
            f"Order fewer pieces at once: {seller.steps[-1].up_to_g:,} g is the most.",
        )
    shipping = seller.shipping + as_amount(extra, seller.currency)
    return Order("", seller.name, seller.currency, tuple(lines), shipping, "")
