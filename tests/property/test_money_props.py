"""Money reconciles to the smallest coin, whatever is shared or converted."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from sortbench.model.money import MINOR_UNITS, Rates, amount_from, as_amount, minor_units, share_out

CODES = st.sampled_from(sorted(MINOR_UNITS))
UNITS = st.integers(0, 10**9)
WEIGHTS = st.lists(st.integers(0, 10**6) | st.fractions(0, 100), min_size=1, max_size=30)


@given(st.integers(-(10**10), 10**10), WEIGHTS)
def test_shares_add_up_and_none_is_a_unit_off(total: int, weights: list[int | Fraction]) -> None:
    shares = share_out(total, weights)
    assert sum(shares) == total
    whole = sum(map(Fraction, weights))
    assume(whole)
    for share, weight in zip(shares, weights, strict=True):
        assert abs(share - total * Fraction(weight) / whole) < 1


@given(st.integers(0, 10**8), WEIGHTS)
def test_more_weight_never_gets_less(total: int, weights: list[int | Fraction]) -> None:
    ordered = sorted(weights, reverse=True)
    shares = share_out(total, ordered)
    assert list(shares) == sorted(shares, reverse=True)


@given(st.integers(0, 10**7 * 10), CODES)
def test_what_is_written_is_read_again(units: int, code: str) -> None:
    amount = as_amount(units, code)
    assume(amount <= 10_000_000)
    assert minor_units(amount_from(str(amount), code), code) == units


@given(UNITS, CODES, CODES, st.integers(1, 10**6), st.integers(1, 10**6))
def test_a_conversion_is_off_by_half_a_unit_at_most(units: int, own: str, other: str, left: int, right: int) -> None:
    assume(own != other)
    amount = as_amount(units, other)
    got = Rates(own, [f"{left} {own} = {right} {other}"]).to_own(amount, other)
    exact = Fraction(amount) * Fraction(left, right) * 10 ** MINOR_UNITS[own]
    assert abs(got - exact) <= Fraction(1, 2)
    if abs(got - exact) == Fraction(1, 2):
        assert got % 2 == 0


@given(st.lists(st.tuples(st.integers(1, 99), st.integers(0, 10**6)), min_size=1), st.integers(0, 10**6))
def test_a_ledger_shared_over_its_lines_comes_to_the_sum_of_its_parcels(
    lines: list[tuple[int, int]], shipping: int
) -> None:
    goods = [quantity * price for quantity, price in lines]
    with_shipping = [paid + part for paid, part in zip(goods, share_out(shipping, goods), strict=True)]
    assert sum(with_shipping) == sum(goods) + shipping
    assert Decimal(sum(with_shipping)) == sum(map(Decimal, goods), Decimal(shipping))
