"""Sellers, offers and prices as documents, and back again with everything checked."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.money import MAX_AMOUNT
from sortbench.model.offer import FULL_TRUST, Offer, Seller, ShippingStep, checked_offer, checked_seller
from sortbench.model.prices import Prices
from sortbench.store.document_fields import Document, known, list_in, text_in, texts_in, whole_in, without_empty

_SELLER = frozenset({*Seller._fields})
_STEP = frozenset({*ShippingStep._fields})
_OFFER = frozenset({"id", "seller", "part", "shade", "grade", "flaws", "price", "stock", "currency"})
_PRICES = frozenset({*Prices._fields})


def seller_document(seller: Seller) -> Document:
    """A seller, amounts as texts; what is as usual is left out.

    Raises:
        DataError: the seller cannot be.
    """
    seller = checked_seller(seller)
    return {"name": seller.name, "currency": seller.currency} | without_empty(
        shipping=str(seller.shipping) if seller.shipping else None,
        steps=[{"up_to_g": step.up_to_g, "price": str(step.price)} for step in seller.steps],
        minimum=str(seller.minimum) if seller.minimum else None,
        trust=None if seller.trust == FULL_TRUST else seller.trust,
        note=seller.note,
    )


def seller_from(document: Mapping[str, Any]) -> Seller:
    """A seller again.

    Raises:
        DataError: a field is unknown, missing, of the wrong type or out of range.
    """
    known(document, _SELLER)
    trust = whole_in(document, "trust")
    return checked_seller(
        Seller(
            text_in(document, "name"),
            text_in(document, "currency"),
            _amount(document, "shipping") or Decimal(0),
            tuple(_step_from(step) for step in list_in(document, "steps")),
            _amount(document, "minimum") or Decimal(0),
            FULL_TRUST if trust is None else trust,
            text_in(document, "note", ""),
        )
    )


def offer_document(offer: Offer, currency: str) -> Document:
    """An offer, its price as a text; what is not known is left out.

    Raises:
        DataError: the offer cannot be.
    """
    offer = checked_offer(offer, currency)
    return {"id": offer.id, "seller": offer.seller, "part": offer.kind.part, "shade": offer.kind.shade} | without_empty(
        grade=offer.grade.label if offer.grade else None,
        flaws=list(offer.flaws),
        price=str(offer.price),
        stock=offer.stock,
        currency=offer.currency,
    )


def offer_from(document: Mapping[str, Any], sellers: Mapping[str, Seller]) -> Offer:
    """An offer again; raises as ``seller_from``, and where nobody sells it."""
    known(document, _OFFER)
    seller = sellers.get(text_in(document, "seller"))
    if seller is None:
        raise DataError(f"No seller is called {text_in(document, 'seller')[:40]!r}.")
    price = _amount(document, "price")
    if price is None:
        raise DataError("The field 'price' is missing.")
    return checked_offer(
        Offer(
            text_in(document, "id"),
            seller.name,
            Kind(text_in(document, "part"), text_in(document, "shade")),
            Grade.from_label(text_in(document, "grade")) if "grade" in document else None,
            flaws_of(_flaw(word) for word in texts_in(document, "flaws")),
            price,
            whole_in(document, "stock") or 0,
            text_in(document, "currency", ""),
        ),
        seller.currency,
    )


def prices_document(prices: Prices) -> Document:
    """Prices of a target, or of all; what is as for all others is left out."""
    amounts = {name: None if each is None else str(each) for name, each in prices._asdict().items() if name != "target"}
    return {"target": prices.target} | without_empty(**amounts)


def prices_from(document: Mapping[str, Any]) -> Prices:
    """Prices again; raises as ``seller_from``."""
    known(document, _PRICES)
    amounts = [_amount(document, name) for name in Prices._fields if name != "target"]
    return Prices(text_in(document, "target"), *amounts)


def _step_from(document: Any) -> ShippingStep:
    known(document, _STEP)
    return ShippingStep(whole_in(document, "up_to_g") or 0, _amount(document, "price") or Decimal(0))


def _amount(document: Mapping[str, Any], field: str) -> Decimal | None:
    if field not in document:
        return None
    text = text_in(document, field)
    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or not 0 <= amount <= MAX_AMOUNT:
        raise DataError(f"The field {field!r} is no amount of money.")
    return amount


def _flaw(word: str) -> Flaw:
    try:
        return Flaw(word)
    except ValueError:
        raise DataError(f"{word[:40]!r} is no flaw.") from None
