"""A small bench in the invented world with sellers and offers, for tests of orders."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from small_bench import ARCH, BRICK, PLATE, TILE, make_folder

from sortbench.model.grade import Flaw, Grade
from sortbench.model.offer import Offer, Seller, ShippingStep
from sortbench.store.folder import BenchFolder

STEPS = (ShippingStep(5, Decimal("0.00")), ShippingStep(20, Decimal("1.20")))
MILL_LANE = Seller("Mill Lane Bricks", "EUR", Decimal("2.50"), STEPS, Decimal("1.00"))
ATTIC = Seller("Attic & Co", "USD", Decimal("3.10"))
OFFERS = (
    Offer("m1", MILL_LANE.name, PLATE, Grade.G4, (Flaw.SCRATCHED,), Decimal("0.10"), 9),
    Offer("m2", MILL_LANE.name, BRICK, None, (), Decimal("0.33"), 12),
    Offer("m3", MILL_LANE.name, ARCH, Grade.G5, (), Decimal("1.000"), 1, "KWD"),
    Offer("a1", ATTIC.name, PLATE, Grade.G5, (), Decimal("0.25"), 2),
)


def make_market(path: Path) -> Path:
    """The small bench with two sellers and four offers; a tile nobody offers."""
    folder = BenchFolder.open(make_folder(path))
    with folder.documents.edit() as draft:
        draft.sellers = {seller.name: seller for seller in (MILL_LANE, ATTIC)}
        draft.offers = {offer.id: offer for offer in OFFERS}
    assert TILE not in {offer.kind for offer in OFFERS}
    return folder.path
