"""Money: currencies, rates given by the user, and sums that reconcile to the smallest coin.

An amount is a `Decimal` where people read or write it and a whole number of minor units (cents) of one currency where
sums are made. The rounding rule is one for all: **half to even, to the minor unit**, once, when an amount is converted;
sums of whole minor units are never rounded again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from types import MappingProxyType

from sortbench.model.errors import DataError

_TWO = (
    "AED AUD BGN BRL CAD CHF CNY CZK DKK EGP EUR GBP HKD HUF IDR ILS INR MAD MXN MYR NOK NZD PEN PHP PLN RON RSD SAR "
    "SEK SGD THB TRY TWD UAH USD UYU ZAR"
)
_NONE = "CLP ISK JPY KRW PYG VND"
_THREE = "BHD JOD KWD OMR TND"

MINOR_UNITS: Mapping[str, int] = MappingProxyType(
    {
        **dict.fromkeys(_TWO.split(), 2),
        **dict.fromkeys(_NONE.split(), 0),
        **dict.fromkeys(_THREE.split(), 3),
    }
)
"""Decimals of the smallest coin of a currency, by its code. Codes and decimals after ISO 4217."""

MAX_AMOUNT = 10_000_000
"""Most that one amount may come to, in whole units of its currency."""

_NUMBER = re.compile(r"([0-9]{1,8})(?:([.,])([0-9]{1,9}))?")
_RATE = re.compile(r"([0-9.,]+) ?([A-Za-z]{3}) ?= ?([0-9.,]+) ?([A-Za-z]{3})")


def currency_code(text: str) -> str:
    """The code of a currency, in capitals.

    Raises:
        DataError: not a currency that is known here.
    """
    code = text.strip().upper()
    if code not in MINOR_UNITS:
        raise DataError(
            f"{text.strip()[:20]!r} is no currency known here.", f"Give a code of ISO 4217: {', '.join(MINOR_UNITS)}."
        )
    return code


def amount_from(text: str, currency: str) -> Decimal:
    """An amount of a currency as people write it, ``12.30`` or ``12,30``; signs and thousands marks are refused.

    Args:
        text: 0 to `MAX_AMOUNT`, with no more decimals than the currency has.
        currency: its code.

    Raises:
        DataError: not such an amount, or a mark before three digits, which may part thousands.
    """
    digits = MINOR_UNITS[currency_code(currency)]
    found = _NUMBER.fullmatch(text.strip())
    if not found:
        raise DataError(f"{text.strip()[:20]!r} is no amount of money.", f"Write it as in {example(currency)}.")
    units, mark, decimals = found.groups()
    if mark and len(decimals) == 3 and digits != 3 and units.strip("0"):
        raise DataError(
            f"{text.strip()} may be {units}{decimals} or {units}.{decimals}.",
            f"{currency} has {_decimals(digits)}: write it as in {example(currency)}.",
        )
    return checked_amount(Decimal(f"{units}.{decimals or 0}"), currency)


def checked_amount(amount: Decimal, currency: str) -> Decimal:
    """An amount, once it is one that can be paid; with just the decimals of its currency.

    Raises:
        DataError: below 0, above `MAX_AMOUNT`, or finer than the smallest coin.
    """
    digits = MINOR_UNITS[currency_code(currency)]
    if not amount.is_finite() or not 0 <= amount <= MAX_AMOUNT:
        raise DataError(f"{amount} {currency} cannot be.", f"An amount runs from 0 to {MAX_AMOUNT}.")
    coin = Decimal(1).scaleb(-digits)
    if amount % coin:
        raise DataError(
            f"{amount} {currency} is finer than the smallest coin: {currency} has {_decimals(digits)}.",
            f"Write it as in {example(currency)}.",
        )
    return amount.quantize(coin)


def minor_units(amount: Decimal, currency: str) -> int:
    """An amount in whole minor units of its currency.

    Raises:
        DataError: as `checked_amount`.
    """
    return int(checked_amount(amount, currency).scaleb(MINOR_UNITS[currency]))


def as_amount(units: int, currency: str) -> Decimal:
    """Whole minor units, below 0 too, as an amount with the decimals of its currency."""
    return Decimal(units).scaleb(-MINOR_UNITS[currency_code(currency)])


def money_words(units: int, currency: str) -> str:
    """Whole minor units as people read them: ``1,234.50 EUR``."""
    return f"{as_amount(units, currency):,} {currency}"


def example(currency: str) -> str:
    """An amount of a currency, to show how one is written."""
    return f"{as_amount(1250 if MINOR_UNITS[currency] else 12, currency)}"


def _decimals(digits: int) -> str:
    return f"{digits} decimals" if digits else "no decimals"


class Rates:
    """What other currencies are worth in one's own, as the user says.

    Args:
        own: code of the currency in which the bench reckons.
        lines: ``1 EUR = 1.17 USD``, one of the two the own currency, either way round.

    Raises:
        DataError: a line cannot be read, names no own currency, or a currency has two rates that differ.
    """

    def __init__(self, own: str, lines: Iterable[str] = ()) -> None:
        self.own = currency_code(own)
        self._worth: dict[str, Fraction] = {self.own: Fraction(1)}
        for line in lines:
            code, worth = self._read(line)
            if self._worth.setdefault(code, worth) != worth:
                raise DataError(f"{line.strip()[:60]!r} gives {code} a second rate.", "Keep one of the two.")

    def _read(self, line: str) -> tuple[str, Fraction]:
        """The other currency of a line, and what one unit of it is worth in the own."""
        found = _RATE.fullmatch(" ".join(line.split()))
        mend = f"Write it as in: 1 {self.own} = 1.17 {'USD' if self.own != 'USD' else 'EUR'}"
        if not found:
            raise DataError(f"{line.strip()[:60]!r} is no rate.", mend)
        left, one, right, other = found.groups()
        one, other = currency_code(one), currency_code(other)
        if (one == self.own) == (other == self.own):
            raise DataError(f"{line.strip()[:60]!r} must name {self.own} once: the bench reckons in it.", mend)
        lefts, rights = _rate_number(left, mend), _rate_number(right, mend)
        return (other, lefts / rights) if one == self.own else (one, rights / lefts)

    @property
    def codes(self) -> tuple[str, ...]:
        """Codes of the currencies that can be converted, the own one first."""
        return tuple(self._worth)

    def knows(self, currency: str) -> bool:
        """Whether there is a rate for a currency."""
        return currency in self._worth

    def to_own(self, amount: Decimal, currency: str) -> int:
        """An amount in whole minor units of the own currency; rounded half to even, once, from the exact quotient.

        Raises:
            DataError: there is no rate for the currency.
        """
        worth = self._worth.get(currency)
        if worth is None:
            raise DataError(
                f"There is no rate for {currency}.",
                f"Give one: sortbench prices --rate '1 {self.own} = 1.17 {currency}'",
            )
        return round(Fraction(amount.scaleb(MINOR_UNITS[self.own])) * worth)


def _rate_number(text: str, mend: str) -> Fraction:
    try:
        number = Decimal(text.replace(",", "."))
    except InvalidOperation:
        number = Decimal(0)
    if not 0 < number <= MAX_AMOUNT:
        raise DataError(f"{text[:20]!r} is no number of a rate.", mend)
    return Fraction(number)


def share_out(total: int, weights: Sequence[int | Decimal | Fraction]) -> tuple[int, ...]:
    """A sum in whole minor units shared by weights, by largest remainder: the shares add up to the sum exactly.

    Each share is its exact part rounded down or up to the minor unit; the units left over go to the largest remainders,
    among equal ones to the first. A sum below 0 is shared as the same sum above 0 is. Weights that are all 0 count as
    equal.

    Args:
        total: minor units.
        weights: one or more, each from 0.

    Raises:
        DataError: there is no weight, or one is below 0.
    """
    if not weights or any(weight < 0 for weight in weights):
        raise DataError("A sum cannot be shared so.", "Give one weight or more, each from 0.")
    if total < 0:
        return tuple(-share for share in share_out(-total, weights))
    parts = [Fraction(weight) for weight in weights]
    whole = sum(parts)
    if not whole:
        parts, whole = [Fraction(1)] * len(parts), Fraction(len(parts))
    exact = [total * part / whole for part in parts]
    shares = [int(each) for each in exact]
    left = total - sum(shares)
    largest = sorted(range(len(exact)), key=lambda place: (shares[place] - exact[place], place))
    for place in largest[:left]:
        shares[place] += 1
    return tuple(shares)
