"""Lots and expenses as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from sortbench.model.errors import DataError
from sortbench.model.lot import Expense, Lot, Spent, checked_expense, checked_lot
from sortbench.store.document_fields import Document, flag_in, known, text_in, whole_in, without_empty

_LOT = frozenset({*Lot._fields})
_EXPENSE = frozenset({*Expense._fields})


def lot_document(lot: Lot) -> Document:
    """A lot; what is not told is left out.

    Raises:
        DataError: the lot holds what cannot be.
    """
    return without_empty(**checked_lot(lot)._asdict())


def lot_from(document: Mapping[str, Any]) -> Lot:
    """A lot again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _LOT)
    return checked_lot(
        Lot(
            text_in(document, "code"),
            text_in(document, "name"),
            text_in(document, "bought", ""),
            text_in(document, "seller", ""),
            whole_in(document, "pieces"),
            text_in(document, "note", ""),
        )
    )


def expense_document(expense: Expense) -> Document:
    """An expense, its amount as text; what is not told is left out.

    Raises:
        DataError: the expense holds what cannot be.
    """
    document = checked_expense(expense)._asdict()
    told = {"what": expense.what.value, "amount": str(document["amount"]), "struck": expense.struck or None}
    return without_empty(**document | told)


def expense_from(document: Mapping[str, Any]) -> Expense:
    """An expense again; raises as ``lot_from``."""
    known(document, _EXPENSE)
    try:
        amount = Decimal(text_in(document, "amount"))
    except InvalidOperation:
        raise DataError("The field 'amount' is no amount of money.") from None
    word = text_in(document, "what")
    if word not in list(Spent):
        raise DataError(f"{word[:40]!r} is nothing that money is spent on.")
    return checked_expense(
        Expense(
            text_in(document, "id"),
            text_in(document, "at"),
            Spent(word),
            amount,
            text_in(document, "currency"),
            text_in(document, "lot", ""),
            text_in(document, "target", ""),
            text_in(document, "note", ""),
            flag_in(document, "struck"),
            text_in(document, "order", ""),
        )
    )
