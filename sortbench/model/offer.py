"""Who sells pieces, and what is offered."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.money import checked_amount, currency_code
from sortbench.model.target import MAX_QUANTITY

FULL_TRUST = 5
"""Trust in a seller runs from 1 to this; each point below costs the plan its price of doubt for every piece."""

MAX_GRAMS = 100_000
"""Heaviest parcel that a step of shipping may reach to."""


class ShippingStep(NamedTuple):
    """What shipping costs, on top of the fixed price, for a parcel of up to so many grams of pieces."""

    up_to_g: int
    price: Decimal


class Seller(NamedTuple):
    """Somebody who sends parcels.

    Attributes:
        name: the key.
        currency: of all amounts here, and of offers that name none; a code of ISO 4217.
        shipping: what a parcel costs whatever is in it.
        steps: what comes on top by weight, the lightest first; a parcel heavier than the last is not sent. Empty: the
            weight makes no difference.
        minimum: least worth of the pieces in an order.
        trust: 1 (pieces often come other than described) to 5 (they come as described).
        note: how to pay, or anything else.
    """

    name: str
    currency: str
    shipping: Decimal = Decimal(0)
    steps: tuple[ShippingStep, ...] = ()
    minimum: Decimal = Decimal(0)
    trust: int = FULL_TRUST
    note: str = ""


class Offer(NamedTuple):
    """Pieces that a seller has.

    Attributes:
        id: the key.
        seller: the seller's name.
        kind: what is offered.
        grade: as the seller describes it, None where nobody says.
        flaws: as the seller describes them.
        price: of one piece.
        stock: pieces to be had, from 1.
        currency: of the price; empty: the seller's.
    """

    id: str
    seller: str
    kind: Kind
    grade: Grade | None
    flaws: Flaws
    price: Decimal
    stock: int
    currency: str = ""


def checked_seller(seller: Seller) -> Seller:
    """The same seller with amounts in the decimals of the currency, once all can be.

    Raises:
        DataError: no name, an unknown currency, an amount or trust out of range, or steps that do not rise.
    """
    if not seller.name:
        raise DataError("A seller needs a name.")
    currency = currency_code(seller.currency)
    if not 1 <= seller.trust <= FULL_TRUST:
        raise DataError(f"A trust of {seller.trust} cannot be.", f"It runs from 1 to {FULL_TRUST}.")
    before = 0
    for step in seller.steps:
        if not before < step.up_to_g <= MAX_GRAMS:
            raise DataError(
                f"The steps of shipping do not rise at {step.up_to_g} g.",
                f"Write the lightest first, each up to more grams than the one before, {MAX_GRAMS} at most.",
            )
        before = step.up_to_g
    return seller._replace(
        currency=currency,
        shipping=checked_amount(seller.shipping, currency),
        steps=tuple(ShippingStep(up_to_g, checked_amount(price, currency)) for up_to_g, price in seller.steps),
        minimum=checked_amount(seller.minimum, currency),
    )


def checked_offer(offer: Offer, currency: str) -> Offer:
    """The same offer with its price in the decimals of its currency, once all can be.

    Args:
        offer: what is offered.
        currency: the seller's.

    Raises:
        DataError: no key, seller or kind; an unknown currency; a price or stock out of range.
    """
    if not (offer.id and offer.seller and offer.kind.part and offer.kind.shade):
        raise DataError("An offer needs an id, a seller, a part and a shade.")
    if not 1 <= offer.stock <= MAX_QUANTITY:
        raise DataError(f"A stock of {offer.stock} pieces cannot be.", f"It runs from 1 to {MAX_QUANTITY}.")
    own = currency_code(offer.currency) if offer.currency else ""
    return offer._replace(currency=own, price=checked_amount(offer.price, own or currency_code(currency)))
