"""Lots, and what was spent on them, on washing and on single targets. Nothing noted is ever deleted."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.money import checked_amount, currency_code
from sortbench.model.text import clean_name

MAX_CODE = 16
"""Longest code of a lot, in characters."""

MAX_PIECES = 10_000_000
"""Most pieces that a lot may be estimated at."""

_EXPENSE_ID = re.compile(r"E[1-9][0-9]{0,8}")


class Lot(NamedTuple):
    """A purchase: what came in together.

    Attributes:
        code: the key (``L1``).
        name: what it is called.
        bought: the day, as YYYY-MM-DD; empty if not told.
        seller: from whom; empty if not told.
        pieces: how many pieces it has, as the user estimates it, 1 to MAX_PIECES; None if not told.
        note: anything else.
    """

    code: str
    name: str
    bought: str = ""
    seller: str = ""
    pieces: int | None = None
    note: str = ""


class Spent(StrEnum):
    """What money was spent on."""

    LOT = "lot"  # the lot itself
    WASHING = "washing"  # soap, water, a strainer
    PARCEL = "parcel"  # pieces that were bought one by one, and their shipping
    TREATMENT = "treatment"
    OTHER = "other"


class Expense(NamedTuple):
    """Money that was spent.

    Attributes:
        id: the key (``E1``).
        at: when it was noted: RFC 3339 in UTC.
        what: on what.
        amount: how much, in the decimals of the currency.
        currency: a code of ISO 4217.
        lot: code of the lot that it is for; empty if for none.
        target: code of the one target that it is for; empty: it is shared.
        note: anything else.
        struck: whether it was noted wrongly: it is kept and counts for nothing.
        order: id of the order that it pays for, if it was noted when that was sent; empty if for none.
    """

    id: str
    at: str
    what: Spent
    amount: Decimal
    currency: str
    lot: str = ""
    target: str = ""
    note: str = ""
    struck: bool = False
    order: str = ""


def checked_lot(lot: Lot) -> Lot:
    """The same lot, once all its values can be.

    Raises:
        DataError: a code that is empty, too long or has a blank; a name with hidden characters; a day that is none; a
            number of pieces out of range.
    """
    if clean_name(lot.code, "code of the lot") != lot.code or " " in lot.code or len(lot.code) > MAX_CODE:
        raise DataError(f"{lot.code[:40]!r} is no code for a lot.", f"Use at most {MAX_CODE} characters, no blank.")
    texts = ("name of the lot", lot.name), ("name of the seller", lot.seller), ("note", lot.note)
    for what, text in texts:
        _check_text(what, text)
    if not lot.name:
        raise DataError("A lot needs a name.")
    if lot.bought:
        checked_day(lot.bought)
    if lot.pieces is not None and not 1 <= lot.pieces <= MAX_PIECES:
        raise DataError(f"A lot of {lot.pieces} pieces is not plausible.", f"Give 1 to {MAX_PIECES:,}.")
    return lot


def checked_expense(expense: Expense) -> Expense:
    """The same expense with its amount in the decimals of its currency, once all can be.

    Raises:
        DataError: a malformed key, no time, an unknown currency, or an amount that cannot be paid.
    """
    if not _EXPENSE_ID.fullmatch(expense.id):
        raise DataError(f"{expense.id[:40]!r} is no number of an expense.", "They run E1, E2, E3.")
    if not expense.at:
        raise DataError(f"The expense {expense.id} has no time.")
    _check_text("note", expense.note)
    currency = currency_code(expense.currency)
    return expense._replace(currency=currency, amount=checked_amount(expense.amount, currency))


def checked_day(text: str) -> str:
    """A day as YYYY-MM-DD.

    Raises:
        DataError: it is none.
    """
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or f"{day:%Y-%m-%d}" != text:
        raise DataError(f"{text[:20]!r} is no day.", "Write it as in 2026-03-01.")
    return text


def _check_text(what: str, text: str) -> None:
    if text and clean_name(text, what) != text:
        raise DataError(f"The {what} has blanks that do not show.", "Leave them out.")
