"""What an order costs whom, so that sending it can be noted as money spent.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from decimal import Decimal
from typing import NamedTuple

from sortbench.engine.finishing.orders import OrderState
from sortbench.model.money import as_amount, minor_units, share_out
from sortbench.model.order import Order, Outcome


class Charge(NamedTuple):
    """A part of what an order costs.

    Attributes:
        target: code of the one target that bears it; empty: it is shared.
        amount: exact, above 0, in the decimals of the currency.
        currency: a code of ISO 4217.
    """

    target: str
    amount: Decimal
    currency: str


def charges_of(order: Order) -> tuple[Charge, ...]:
    """What an order costs, target by target and currency by currency; the charges add up to what is to be paid.

    Each target bears its own pieces. Shipping is shared by the pieces, in whole coins by largest remainder.
    """
    pieces: dict[str, int] = {}
    sums: dict[tuple[str, str], Decimal] = {}
    for line in order.lines:
        key = line.target, line.currency or order.currency
        pieces[line.target] = pieces.get(line.target, 0) + line.quantity
        sums[key] = sums.get(key, Decimal(0)) + line.price * line.quantity
    units = minor_units(order.shipping, order.currency)
    for target, share in zip(pieces, share_out(units, list(pieces.values())), strict=True):
        key = target, order.currency
        sums[key] = sums.get(key, Decimal(0)) + as_amount(share, order.currency)
    return tuple(Charge(target, amount, currency) for (target, currency), amount in sums.items() if amount)


def is_to_pay(state: OrderState) -> bool:
    """Whether an order costs what it says: it was sent, and not called off before anything of it came.

    Where pieces of an order that is called off came, nobody knows here what was paid back, so it is left as it was.
    """
    order = state.order
    if not order.placed:
        return False
    return not order.called_off or any(
        line.of(outcome) for line in state.lines for outcome in Outcome if outcome is not Outcome.SHORT
    )
