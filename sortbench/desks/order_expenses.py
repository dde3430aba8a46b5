"""Orders in the lot ledger: what was sent to a seller is money spent, noted once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from sortbench.desks.lot_desk import next_number
from sortbench.engine.finishing.order_costs import charges_of
from sortbench.model.lot import Expense, Spent, checked_expense

if TYPE_CHECKING:
    from sortbench.model.money import Rates
    from sortbench.model.order import Order
    from sortbench.store.documents import Draft


def expenses_of(expenses: Mapping[str, Expense], order: str) -> tuple[Expense, ...]:
    """The expenses that were noted when an order was sent, struck ones too."""
    return tuple(each for each in expenses.values() if each.order == order)


def settle_expenses(draft: Draft, order: Order, to_pay: bool, rates: Rates, now: str) -> None:
    """Let the ledger say that an order is paid for, or that it is not. What was noted once is never noted again.

    Args:
        draft: the documents while they are edited.
        to_pay: see :func:`sortbench.engine.finishing.order_costs.is_to_pay`.
        rates: of the bench, so that nothing is noted that could not be reckoned with.
        now: RFC 3339 time in UTC, for reading only.

    Raises:
        DataError: the bench has no rate for a currency of the order.
    """
    noted = expenses_of(draft.expenses, order.id)
    if to_pay and not noted:
        noted = tuple(_noted(draft.expenses, order, rates, now))
    for each in noted:
        draft.expenses[each.id] = each._replace(struck=not to_pay)


def _noted(expenses: dict[str, Expense], order: Order, rates: Rates, now: str) -> Iterable[Expense]:
    for charge in charges_of(order):
        rates.to_own(charge.amount, charge.currency)
        key = next_number("E", expenses)
        note = f"order {order.id}, {order.seller}"
        spent = Expense(
            key, now, Spent.PARCEL, charge.amount, charge.currency, target=charge.target, note=note, order=order.id
        )
        expenses[key] = checked_expense(spent)
        yield expenses[key]
