"""Sellers, offers and prices in the bench's documents: kept as they are, damage refused by name."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.offer import Offer, Seller, ShippingStep
from sortbench.model.prices import Prices
from sortbench.store.documents import Documents, Draft

STEPS = (ShippingStep(500, Decimal("0.00")), ShippingStep(2000, Decimal("2.50")))
MILL_LANE = Seller("Mill Lane Bricks", "EUR", Decimal("3.50"), STEPS, Decimal("5.00"), 4, "pays by bank transfer")
ATTIC = Seller("Attic & Co", "USD", Decimal("0.00"), (), Decimal("0.00"))
OFFERS = (
    Offer("1", ATTIC.name, Kind("plate-2x4", "white"), Grade.G4_5, (Flaw.SCRATCHED,), Decimal("0.12"), 7),
    Offer("2", MILL_LANE.name, Kind("arch-1x6x2", "grey, early"), None, (), Decimal("0.250"), 2, "KWD"),
)
PRICES = (Prices("", Decimal("1.50"), Decimal("0.05")), Prices("T-07", Decimal("4.00"), point=Decimal("0.10")))


@pytest.fixture
def documents(tmp_path: Path) -> Documents:
    made = Documents(tmp_path / "bench.json")
    made.create()
    with made.edit() as draft:
        draft.sellers = {seller.name: seller for seller in (MILL_LANE, ATTIC)}
        draft.offers = {offer.id: offer for offer in OFFERS}
        draft.prices = {prices.target: prices for prices in PRICES}
    return made


def test_what_is_kept_is_read_again(documents: Documents) -> None:
    loaded = documents.load()
    assert tuple(loaded.sellers.values()) == (MILL_LANE, ATTIC)
    assert tuple(loaded.offers.values()) == OFFERS
    assert tuple(loaded.prices.values()) == PRICES
    with documents.edit() as draft:
        draft.offers.clear()
    assert (documents.load().offers, documents.load().sellers) == ({}, loaded.sellers)


@pytest.mark.parametrize(
    ("table", "field", "value"),
    [
        ("sellers", "shipping", "NaN"),
        ("sellers", "shipping", 3.5),
        ("sellers", "trust", 9),
        ("sellers", "currency", "XYZ"),
        ("sellers", "steps", [{"up_to_g": 0, "price": "1"}]),
        ("sellers", "colour", "red"),
        ("offers", "seller", "nobody"),
        ("offers", "price", "0.005"),
        ("offers", "price", None),
        ("offers", "stock", 0),
        ("offers", "grade", "6"),
        ("offers", "flaws", ["dusty"]),
        ("prices", "hole", "-1"),
        ("prices", "target", 7),
    ],
)
def test_damage_is_told_with_the_table(documents: Documents, table: str, field: str, value: object) -> None:
    tables = json.loads(documents.path.read_text())
    tables[table]["1"][field] = value
    documents.path.write_text(json.dumps(tables))
    with pytest.raises(BenchError, match=f"table '{table}', document 1"):
        documents.load()


def test_an_offer_that_nobody_sells_is_not_written(documents: Documents) -> None:
    def drop(draft: Draft) -> None:
        del draft.sellers[ATTIC.name]

    with pytest.raises(DataError, match="Attic & Co"), documents.edit() as draft:
        drop(draft)
    assert len(documents.load().sellers) == 2
