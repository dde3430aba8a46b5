"""Quantiles that intervals need, worked out in plain Python: the beta distribution and Student's t."""

from __future__ import annotations

from functools import lru_cache
from math import exp, lgamma, log, log1p, sqrt

_TINY = 1e-300
_STEPS = 100_000


def beta_share(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function: the chance that a beta(a, b) variable is at most x.

    Abramowitz and Stegun, Handbook of Mathematical Functions, 26.5.8 (continued fraction, evaluated by Lentz's method)
    and 26.5.2 (symmetry).

    Args:
        x: 0 to 1.
        a: above 0.
        b: above 0.

    Raises:
        ValueError: an argument out of range.
    """
    if not (0 <= x <= 1 and a > 0 and b > 0):
        raise ValueError(f"no beta distribution at x = {x}, a = {a}, b = {b}")
    if x in (0, 1):
        return float(x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(1 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1 / _off_zero(1 - (a + b) * x / (a + 1))
    total = d
    for m in range(1, _STEPS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _off_zero(1 + term * d)
            c = _off_zero(1 + term / c)
            total *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return total


def _off_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def beta_quantile(share: float, a: float, b: float) -> float:
    """The x that a beta(a, b) variable does not pass with the chance given; by halving, to the last digit.

    Raises:
        ValueError: a share outside 0 to 1, or as `beta_share`.
    """
    if not 0 <= share <= 1:
        raise ValueError(f"{share} is no share")
    if share in (0, 1):
        return float(share)
    low, high = 0.0, 1.0
    while low < (middle := (low + high) / 2) < high:
        if beta_share(middle, a, b) < share:
            low = middle
        else:
            high = middle
    return low


@lru_cache(maxsize=256)
def t_quantile(freedom: int, confidence: float = 0.95) -> float:
    """How many standard uncertainties reach to either end of a two-sided interval of Student's t.

    Args:
        freedom: degrees of freedom, 1 or more.
        confidence: above 0, below 1.

    Raises:
        ValueError: an argument out of range.
    """
    if freedom < 1 or not 0 < confidence < 1:
        raise ValueError(f"no interval of {confidence} with {freedom} degrees of freedom")
    x = beta_quantile(1 - confidence, freedom / 2, 0.5)
    return sqrt(freedom * (1 - x) / x)
