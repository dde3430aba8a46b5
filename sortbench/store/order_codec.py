"""Orders as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, TypeVar

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.order import Order, OrderLine, Outcome, Remark, checked_order
from sortbench.model.standing import StandingNote, checked_note
from sortbench.store.document_fields import (
    Document,
    flag_in,
    known,
    list_in,
    text_in,
    texts_in,
    whole_in,
    without_empty,
)

_ORDER = frozenset({*Order._fields})
_LINE = frozenset({"offer", "part", "shade", "grade", "flaws", "price", "quantity", "target", "currency"})
_REMARK = frozenset({*Remark._fields})
_STANDING = frozenset({"target", "part", "shade", "since"})

_Word = TypeVar("_Word", Flaw, Outcome)


def order_document(order: Order) -> Document:
    """An order, its amounts as texts; what is not told is left out.

    Raises:
        DataError: the order cannot be.
    """
    order = checked_order(order)
    told = {
        "shipping": str(order.shipping),
        "lines": [_line_document(line) for line in order.lines],
        "remarks": [
            without_empty(**remark._asdict() | {"outcome": remark.outcome.value, "struck": remark.struck or None})
            for remark in order.remarks
        ],
        "called_off": order.called_off or None,
    }
    return without_empty(**order._asdict() | told)


def order_from(document: Mapping[str, Any]) -> Order:
    """An order again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _ORDER)
    return checked_order(
        Order(
            text_in(document, "id"),
            text_in(document, "seller"),
            text_in(document, "currency"),
            tuple(_line_from(line) for line in list_in(document, "lines")),
            _amount(document, "shipping"),
            text_in(document, "made"),
            text_in(document, "placed", ""),
            tuple(_remark_from(remark) for remark in list_in(document, "remarks")),
            flag_in(document, "called_off"),
            text_in(document, "note", ""),
        )
    )


def standing_document(note: StandingNote) -> Document:
    """A note of the standing list.

    Raises:
        DataError: it cannot be.
    """
    note = checked_note(note)
    return {"target": note.target, "part": note.kind.part, "shade": note.kind.shade, "since": note.since}


def standing_from(document: Mapping[str, Any]) -> StandingNote:
    """A note of the standing list again; raises as ``order_from``."""
    known(document, _STANDING)
    kind = Kind(text_in(document, "part"), text_in(document, "shade"))
    return checked_note(StandingNote(text_in(document, "target"), kind, text_in(document, "since")))


def _line_document(line: OrderLine) -> Document:
    return without_empty(
        offer=line.offer,
        part=line.kind.part,
        shade=line.kind.shade,
        grade=line.grade.label if line.grade else None,
        flaws=[flaw.value for flaw in line.flaws],
        price=str(line.price),
        quantity=line.quantity,
        target=line.target,
        currency=line.currency,
    )


def _line_from(document: Any) -> OrderLine:
    known(document, _LINE)
    return OrderLine(
        text_in(document, "offer"),
        Kind(text_in(document, "part"), text_in(document, "shade")),
        Grade.from_label(text_in(document, "grade")) if "grade" in document else None,
        flaws_of(_word(Flaw, word) for word in texts_in(document, "flaws")),
        _amount(document, "price"),
        whole_in(document, "quantity") or 0,
        text_in(document, "target", ""),
        text_in(document, "currency", ""),
    )


def _remark_from(document: Any) -> Remark:
    known(document, _REMARK)
    return Remark(
        text_in(document, "at"),
        whole_in(document, "line") or 0,
        whole_in(document, "quantity") or 0,
        _word(Outcome, text_in(document, "outcome")),
        text_in(document, "note", ""),
        flag_in(document, "struck"),
    )


def _amount(document: Mapping[str, Any], field: str) -> Decimal:
    try:
        return Decimal(text_in(document, field))
    except InvalidOperation:
        raise DataError(f"The field {field!r} is no amount of money.") from None


def _word(words: type[_Word], word: str) -> _Word:
    try:
        return words(word)
    except ValueError:
        raise DataError(f"{word[:40]!r} is no {words.__name__.casefold()}.") from None
