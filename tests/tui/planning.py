"""A bench with something to plan, for the tests of the plan screen."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from sortbench.bench import Bench
from sortbench.desks.plan_settings import keep_prices
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.offer import Offer, Seller
from sortbench.model.prices import Prices
from tests.tui.reconciling import reconciled

OFFERS = (
    Offer("O1", "Mill Lane Bricks", Kind("brick-2x4", "grey, early"), Grade.G5, (), Decimal("0.30"), 20),
    Offer("O2", "Mill Lane Bricks", Kind("arch-1x6x2", "brick red"), Grade.G4, (), Decimal("0.80"), 2),
    Offer("O3", "Attic & Co", Kind("slope45-2x2", "white"), Grade.G5, (), Decimal("0.25"), 9),
    Offer("O4", "Attic & Co", Kind("plate-2x4", "white"), Grade.G5, (), Decimal("0.10"), 9),
)
SELLERS = (
    Seller("Mill Lane Bricks", "EUR", Decimal("3.50")),
    Seller("Attic & Co", "EUR", Decimal("2.00"), trust=4),
)


def with_market(bench: Bench, *more: Offer) -> Bench:
    """Glasshouse lacks bricks, arches and slopes; two sellers have some of them."""
    reconciled(bench)
    with bench.folder.documents.edit() as draft:
        draft.sellers.update({seller.name: seller for seller in SELLERS})
        draft.offers.update({offer.id: offer for offer in (*OFFERS, *more)})
    bench.reload()
    keep_prices(bench, Prices("", hole=Decimal(2), blemish=Decimal("0.20"), point=Decimal("0.10")))
    return bench


async def planned(pilot: Any, bench: Bench) -> None:
    """Let the search end, and what it found be drawn."""
    bench.planning.wait()
    await pilot.pause()
