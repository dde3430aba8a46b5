"""What the user sets for the plan: what holes and blemishes cost, and in what money the bench reckons."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.money import Rates, checked_amount, currency_code


class Prices(NamedTuple):
    """What it costs that a target is not as it should be, in the bench's own currency; None: as for all others.

    Attributes:
        target: its code; empty: what holds for all targets that say nothing else.
        hole: a piece that is missing.
        blemish: a piece below its line's lowest grade, for each half step.
        flaw: each flaw of a piece.
        point: a piece that stands in, for each point of its cost in correctness.
    """

    target: str = ""
    hole: Decimal | None = None
    blemish: Decimal | None = None
    flaw: Decimal | None = None
    point: Decimal | None = None


FIRST_PRICES = Prices("", Decimal(1), Decimal("0.05"), Decimal("0.10"), Decimal("0.05"))
"""Prices before the user says any: a place to begin, from no source."""


class Terms(NamedTuple):
    """What holds for the whole plan.

    Attributes:
        currency: in which the bench reckons; a code of ISO 4217.
        rates: what other currencies are worth, each as ``1 EUR = 1.17 USD``.
        doubt: what a piece from a seller costs on top for each point that his trust is below full.
        treatment: what treating one piece costs.
        improved: share of treated pieces that come out less discoloured, 0 to 1; None: as the bench has seen it.
        broken: share that breaks, 0 to 1; None likewise.
        gain: half steps of grade that an improved piece gains; None likewise.
        spare: share of the lowest price asked for its kind that a spare piece brings, 0 to 1; None: nobody said, so
            spares are worth nothing.
    """

    currency: str = "EUR"
    rates: tuple[str, ...] = ()
    doubt: Decimal = Decimal(0)
    treatment: Decimal = Decimal(0)
    improved: float | None = None
    broken: float | None = None
    gain: int | None = None
    spare: Decimal | None = None


def checked_prices(prices: Prices, currency: str) -> Prices:
    """The same prices in the decimals of the currency.

    Raises:
        DataError: one cannot be.
    """
    amounts = [None if each is None else checked_amount(each, currency) for each in prices[1:]]
    return Prices(prices.target, *amounts)


def checked_terms(terms: Terms) -> Terms:
    """The same terms, once all can be.

    Raises:
        DataError: an unknown currency, a rate that cannot be read, an amount or a share out of range.
    """
    currency = currency_code(terms.currency)
    Rates(currency, terms.rates)
    for share in (terms.improved, terms.broken, terms.spare):
        if share is not None and not 0 <= share <= 1:
            raise DataError(f"A share of {share:g} cannot be.", "It runs from 0 to 1, as in 0.8 for 80 %.")
    if (terms.improved or 0) + (terms.broken or 0) > 1:
        raise DataError("More pieces cannot improve and break than are treated.", "The two shares come to 1 at most.")
    if terms.gain is not None and not 1 <= terms.gain <= 8:
        raise DataError(f"A gain of {terms.gain} half steps cannot be.", "It runs from 1 to 8.")
    return terms._replace(
        currency=currency,
        doubt=checked_amount(terms.doubt, currency),
        treatment=checked_amount(terms.treatment, currency),
    )
