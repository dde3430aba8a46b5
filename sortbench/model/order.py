"""What was ordered from a seller, and what is told of pieces that did not come."""

from __future__ import annotations

import re
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.money import checked_amount, currency_code
from sortbench.model.target import MAX_QUANTITY

_ID = re.compile(r"P[1-9][0-9]{0,8}")


class Outcome(StrEnum):
    """What became of ordered pieces."""

    GOOD = "good"  # came as described
    WRONG = "wrong"  # another kind came
    DAMAGED = "damaged"  # a lower grade, or flaws, that the offer did not tell of
    SHORT = "short"  # did not come


class OrderLine(NamedTuple):
    """Like pieces of one order.

    Attributes:
        offer: id of the offer they were ordered from; the rest is as it was told then.
        kind, grade, flaws: as described by the seller; no grade where nobody said.
        price: of one piece.
        quantity: pieces, 1 to MAX_QUANTITY.
        target: code of the target they are for; empty for none in particular.
        currency: of the price; empty: the order's.
    """

    offer: str
    kind: Kind
    grade: Grade | None
    flaws: Flaws
    price: Decimal
    quantity: int
    target: str = ""
    currency: str = ""


class Remark(NamedTuple):
    """What is told of ordered pieces that are not counted: they did not come, or came and were not kept.

    Attributes:
        at: RFC 3339 time in UTC, for reading only.
        line: number of the line, from 1.
        quantity: pieces.
        outcome: any but ``GOOD``: good pieces are counted.
        note: in the user's words.
        struck: it was told by mistake, or does not hold any more.
    """

    at: str
    line: int
    quantity: int
    outcome: Outcome
    note: str = ""
    struck: bool = False


class Order(NamedTuple):
    """One order to one seller. Pieces that came are not kept here: they are tallies, which name the order.

    Attributes:
        id: the key, ``P1``.
        seller: the seller's name.
        currency: of shipping, and of lines that name none.
        lines: at least one.
        shipping: what the parcel costs.
        made: RFC 3339 time in UTC, for reading only.
        placed: when it was sent to the seller, likewise; empty if it was not yet.
        remarks: in the order in which they were told.
        called_off: nothing more is awaited of it.
        note: in the user's words.
    """

    id: str
    seller: str
    currency: str
    lines: tuple[OrderLine, ...]
    shipping: Decimal
    made: str
    placed: str = ""
    remarks: tuple[Remark, ...] = ()
    called_off: bool = False
    note: str = ""


def checked_order(order: Order) -> Order:
    """The same order with its amounts in the decimals of their currencies, once all can be.

    Raises:
        DataError: a malformed id, no seller, no line, an amount or a quantity out of range, or a remark on no line.
    """
    if not _ID.fullmatch(order.id):
        raise DataError(f"{order.id[:20]!r} is no number of an order.", "They are P1, P2 and so on.")
    if not (order.seller and order.lines):
        raise DataError("An order needs a seller and at least one line.")
    currency = currency_code(order.currency)
    for remark in order.remarks:
        if not 1 <= remark.line <= len(order.lines) or remark.outcome is Outcome.GOOD:
            raise DataError(f"Order {order.id} tells what cannot be of line {remark.line}.")
        _check_quantity(remark.quantity)
    return order._replace(
        currency=currency,
        shipping=checked_amount(order.shipping, currency),
        lines=tuple(_checked_line(line, currency) for line in order.lines),
    )


def _checked_line(line: OrderLine, currency: str) -> OrderLine:
    if not (line.offer and line.kind.part and line.kind.shade):
        raise DataError("A line of an order needs an offer, a part and a shade.")
    _check_quantity(line.quantity)
    own = currency_code(line.currency) if line.currency else ""
    return line._replace(currency=own, price=checked_amount(line.price, own or currency))


def _check_quantity(quantity: int) -> None:
    if not 1 <= quantity <= MAX_QUANTITY:
        raise DataError(f"{quantity} pieces cannot be ordered.", f"Give 1 to {MAX_QUANTITY}.")
