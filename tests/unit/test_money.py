"""Currencies, rates and amounts: what is read, what is refused, and how it is rounded."""

from __future__ import annotations

from decimal import Decimal

import pytest

from sortbench.model.errors import DataError
from sortbench.model.money import (
    MINOR_UNITS,
    Rates,
    amount_from,
    as_amount,
    checked_amount,
    minor_units,
    money_words,
    share_out,
)

# ISO 4217, minor units; held against the digits of the Unicode CLDR.
ISO_4217 = {"EUR": 2, "USD": 2, "GBP": 2, "JPY": 0, "KWD": 3, "BHD": 3, "CLP": 0}


@pytest.mark.parametrize(("code", "digits"), ISO_4217.items())
def test_minor_units_are_those_of_the_standard(code: str, digits: int) -> None:
    assert MINOR_UNITS[code] == digits
    assert as_amount(1, code) == Decimal(10) ** -digits


@pytest.mark.parametrize(
    ("text", "code", "units"),
    [("12.30", "EUR", 1230), ("12,3", "EUR", 1230), ("0", "EUR", 0), ("7", "JPY", 7), ("1.234", "KWD", 1234)],
)
def test_amounts_are_read(text: str, code: str, units: int) -> None:
    assert minor_units(amount_from(text, code), code) == units


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("-1", "EUR"),
        ("1.005", "EUR"),
        ("0.005", "EUR"),
        ("1,000.00", "EUR"),
        ("1e3", "EUR"),
        ("٣", "EUR"),
        ("", "EUR"),
        ("1.5", "JPY"),
        ("99999999", "EUR"),
        ("1", "ABC"),
    ],
)
def test_what_is_not_plainly_an_amount_is_refused(text: str, code: str) -> None:
    with pytest.raises(DataError):
        amount_from(text, code)


def test_amounts_that_are_no_numbers_are_refused() -> None:
    for amount in (Decimal("NaN"), Decimal("Infinity")):
        with pytest.raises(DataError):
            checked_amount(amount, "EUR")


def test_amounts_are_written_with_all_decimals() -> None:
    assert money_words(123450, "EUR") == "1,234.50 EUR"
    assert money_words(-5, "EUR") == "-0.05 EUR"
    assert money_words(7, "JPY") == "7 JPY"


def test_a_rate_may_stand_either_way_round() -> None:
    for line in ("1 EUR = 1.25 USD", "1.25 USD = 1 EUR", "2,5 usd=2 eur"):
        rates = Rates("EUR", [line])
        assert rates.to_own(Decimal("10.00"), "USD") == 800
    assert Rates("EUR").to_own(Decimal("10.00"), "EUR") == 1000


def test_a_conversion_is_rounded_half_to_even() -> None:
    # 1 USD is 0.5 EUR: 0.01 USD is half a cent, 0.03 USD one and a half.
    rates = Rates("EUR", ["1 EUR = 2 USD"])
    assert [rates.to_own(Decimal(cents).scaleb(-2), "USD") for cents in (1, 3, 5, 7)] == [0, 2, 2, 4]


def test_minor_units_differ_between_the_two_currencies() -> None:
    rates = Rates("JPY", ["1 KWD = 500 JPY"])
    assert rates.to_own(Decimal("1.235"), "KWD") == 618  # 617.5, half to even


@pytest.mark.parametrize(
    "lines",
    [
        ["1 EUR = USD"],
        ["1 EUR = 0 USD"],
        ["1 EUR = 1 EUR"],
        ["1 GBP = 1.2 USD"],
        ["1 EUR = 1.2 XYZ"],
        ["1 EUR = 1.2 USD", "1 EUR = 1.3 USD"],
        ["1 EUR = 1.2.3 USD"],
    ],
)
def test_rates_that_cannot_be_meant_are_refused(lines: list[str]) -> None:
    with pytest.raises(DataError):
        Rates("EUR", lines)


def test_a_currency_without_a_rate_says_how_to_give_one() -> None:
    with pytest.raises(DataError, match=r"1 EUR = 1\.17 USD"):
        Rates("EUR").to_own(Decimal(1), "USD")


@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        (100, (1, 1, 1), (34, 33, 33)),
        (-100, (1, 1, 1), (-34, -33, -33)),
        (5, (0, 0), (3, 2)),
        (10, (0, 1), (0, 10)),
        # Seats after largest remainder: the usual example of the method, worked out by hand.
        (10, (47000, 16000, 15900, 12000, 6000, 3100), (5, 2, 1, 1, 1, 0)),
    ],
)
def test_sharing_by_largest_remainder(total: int, weights: tuple[int, ...], shares: tuple[int, ...]) -> None:
    assert share_out(total, weights) == shares


@pytest.mark.parametrize("weights", [(), (-1, 2)])
def test_sharing_that_cannot_be_is_refused(weights: tuple[int, ...]) -> None:
    with pytest.raises(DataError):
        share_out(10, weights)
