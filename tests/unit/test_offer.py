"""Sellers and offers: what can be kept, and what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.offer import Offer, Seller, ShippingStep, checked_offer, checked_seller

MILL_LANE = Seller("Mill Lane Bricks", "EUR", Decimal("3.5"), (ShippingStep(500, Decimal(0)),), Decimal(5), 4)
WHITE = Offer("1", "Mill Lane Bricks", Kind("plate-2x4", "white"), None, (), Decimal("0.1"), 12)


def test_amounts_come_in_the_decimals_of_their_currency() -> None:
    seller = checked_seller(MILL_LANE._replace(currency="eur"))
    assert (str(seller.shipping), str(seller.minimum), seller.currency) == ("3.50", "5.00", "EUR")
    assert str(checked_offer(WHITE, "EUR").price) == "0.10"
    assert str(checked_offer(WHITE._replace(currency="kwd"), "EUR").price) == "0.100"


@pytest.mark.parametrize(
    "change",
    [
        {"name": ""},
        {"currency": "XYZ"},
        {"trust": 0},
        {"trust": 6},
        {"shipping": Decimal("1.005")},
        {"shipping": Decimal(-1)},
        {"minimum": Decimal("0.001")},
        {"steps": (ShippingStep(500, Decimal(1)), ShippingStep(500, Decimal(2)))},
        {"steps": (ShippingStep(0, Decimal(1)),)},
        {"steps": (ShippingStep(500, Decimal("0.005")),)},
    ],
)
def test_a_seller_that_cannot_be_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(DataError):
        checked_seller(MILL_LANE._replace(**change))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "change",
    [
        {"id": ""},
        {"seller": ""},
        {"stock": 0},
        {"stock": 100_000},
        {"price": Decimal("0.005")},
        {"currency": "JPY"},
        {"kind": Kind("plate-2x4", "")},
    ],
)
def test_an_offer_that_cannot_be_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(DataError):
        checked_offer(WHITE._replace(**change), "EUR")  # type: ignore[arg-type]
