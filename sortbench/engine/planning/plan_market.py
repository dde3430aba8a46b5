"""Offers and sellers as the plan reckons with them: in the bench's own money, and with weights."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from statistics import median
from types import MappingProxyType
from typing import NamedTuple

from sortbench.engine.planning.plan_case import Shop
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.money import Rates
from sortbench.model.offer import Offer, Seller
from sortbench.model.prices import Prices, Terms
from sortbench.model.treatment import Treatment

ASSUMED_G = 2.0
"""Weight of a piece where the catalogue knows the weight of none: an assumption, no source."""


class Market(NamedTuple):
    """All that is known of sellers and prices.

    Attributes:
        sellers: by name.
        offers: by id.
        prices: by code of the target; under an empty code what holds for all.
        terms: what holds for the whole plan.
        treatments: the bench's own record.
        ordered: pieces of an offer that open orders wait for, by its id: they cannot be bought again.
    """

    sellers: Mapping[str, Seller]
    offers: Mapping[str, Offer]
    prices: Mapping[str, Prices]
    terms: Terms
    treatments: Sequence[Treatment] = ()
    ordered: Mapping[str, int] = MappingProxyType({})


def own_price(offer: Offer, sellers: Mapping[str, Seller], rates: Rates) -> int | None:
    """The price of one piece in whole minor units of the bench's own currency; None where there is no rate."""
    currency = offer.currency or sellers[offer.seller].currency
    return rates.to_own(offer.price, currency) if rates.knows(currency) else None


class Wares:
    """The offers that the plan can use.

    Args:
        catalogue: knows weights; a piece of a part without one is reckoned with the median of all others.
        market: sellers and offers; offers in a currency without a rate are left out, and told in the notes.
        wanted: kinds that some line accepts.

    Attributes:
        offers: by kind.
        offered: kinds that somebody offers, whether or not all of it is on order.
        shops: places of the sellers by name.
        notes: what was left out or assumed, in words.
    """

    def __init__(self, catalogue: Catalogue, market: Market, wanted: Collection[Kind]) -> None:
        self._catalogue = catalogue
        self._market = market
        self._rates = Rates(market.terms.currency, market.terms.rates)
        masses = [part.mass_g for part in catalogue.parts.values() if part.mass_g is not None]
        self._assumed_g = median(masses) if masses else ASSUMED_G
        self.notes: list[str] = []
        self.offered: set[Kind] = set()
        self.offers = self._usable(wanted)
        names = {offer.seller for some in self.offers.values() for offer in some}
        self.shops = {name: place for place, name in enumerate(each for each in market.sellers if each in names)}
        self._note_weights()

    def _usable(self, wanted: Collection[Kind]) -> dict[Kind, list[Offer]]:
        found: dict[Kind, list[Offer]] = {}
        lacking: dict[str, int] = {}
        for offer in self._market.offers.values():
            if offer.kind not in wanted:
                continue
            own = self._market.sellers[offer.seller].currency
            unknown = [code for code in (offer.currency or own, own) if not self._rates.knows(code)]
            left = offer.stock - self._market.ordered.get(offer.id, 0)
            if unknown:
                lacking[unknown[0]] = lacking.get(unknown[0], 0) + 1
                continue
            self.offered.add(offer.kind)
            if left > 0:
                found.setdefault(offer.kind, []).append(offer if left == offer.stock else offer._replace(stock=left))
        for code, number in sorted(lacking.items()):
            left_out = "1 offer is" if number == 1 else f"{number} offers are"
            self.notes.append(f"{left_out} left out, for there is no rate for {code}.")
        return found

    def _note_weights(self) -> None:
        unknown = {
            kind.part
            for kind, some in self.offers.items()
            if self._catalogue.mass_g(kind.part) is None
            and any(self._market.sellers[offer.seller].steps for offer in some)
        }
        if unknown:
            parts = "1 part has" if len(unknown) == 1 else f"{len(unknown)} parts have"
            self.notes.append(f"{parts} no weight: {self._assumed_g:g} g a piece is assumed for shipping.")

    def price(self, offer: Offer) -> int:
        """The price of one piece, in whole minor units of the bench's own currency."""
        return self._rates.to_own(offer.price, offer.currency or self._market.sellers[offer.seller].currency)

    def shop(self, name: str) -> Shop:
        """A seller, likewise."""
        seller = self._market.sellers[name]
        to_own = self._rates.to_own
        steps = tuple((step.up_to_g * 1000, to_own(step.price, seller.currency)) for step in seller.steps)
        return Shop(to_own(seller.shipping, seller.currency), steps, to_own(seller.minimum, seller.currency))

    def mg(self, kind: Kind) -> int:
        """The weight of one piece in milligrams, known or assumed."""
        grams = self._catalogue.mass_g(kind.part)
        return round(1000 * (self._assumed_g if grams is None else grams))
