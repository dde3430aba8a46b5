"""How a tray dries: an exponential approach fitted to its weighings.

The mass is taken as ``dry + water * exp(-k * hours)``: drying whose speed goes with the water that is left. It is a
simple picture, good while room and tray stay as they are. The least-squares fit is by variable projection (Golub and
Pereyra 1973): for any k the other two follow from a straight line, so that only k is searched for.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, isfinite, log, sqrt
from typing import NamedTuple

from sortbench.engine.figures.quantiles import t_quantile
from sortbench.engine.washing.constant_mass import Criterion, Reading, in_order

LEAST_READINGS = 4
"""Weighings that a fit needs: three unknowns, and one more to tell how far the weighings scatter."""

_GRID = 48
_GOLDEN = (sqrt(5) - 1) / 2


class Estimate(NamedTuple):
    """A figure with its uncertainty.

    Attributes:
        value: the best estimate.
        u: standard uncertainty.
        low: lower end of the interval that holds the true value in 95 of 100 such series, if the picture is right.
        high: its upper end.
    """

    value: float
    u: float
    low: float
    high: float


class Fit(NamedTuple):
    """The exponential approach fitted to the weighings of one tray.

    Attributes:
        dry: grams once dry.
        water: grams of water at the first weighing.
        per_h: the rate k, 1/h.
        half_h: hours in which the water left halves.
        scatter_g: standard deviation of a weighing around the curve, grams; at least what the scale's steps make.
        first_h: hour of the first weighing.
        last_h: hour of the last weighing.
        left_g: grams of water left at the last weighing.
        covariance: of dry, water and k, in grams and 1/h.
        reach: standard uncertainties from a value to an end of its interval (Student's t).
    """

    dry: Estimate
    water: Estimate
    per_h: Estimate
    half_h: Estimate
    scatter_g: float
    first_h: float
    last_h: float
    left_g: float
    covariance: tuple[tuple[float, float, float], ...]
    reach: float


class NoFit(NamedTuple):
    """Why the weighings give no figure."""

    words: str


def fit_drying(readings: Sequence[Reading], resolution_g: float | None = None) -> Fit | NoFit:
    """Fit the weighings of one tray.

    Intervals are linearised t-intervals with n - 3 degrees of freedom. There is a fit only where the weighings tell the
    curve from all three things it may shrink to, at the same 95 %: no fall at all, a straight line (the end is not in
    sight), and one drop before the second weighing (the speed is not in sight).

    Args:
        readings: hours since any moment, and grams without the tray.
        resolution_g: grams of one step of the scale; weighings are not trusted further than its rounding.

    Raises:
        DataError: a weighing that cannot be.
    """
    rows = in_order(readings, resolution_g)
    times = [row.hours - rows[0].hours for row in rows] if rows else []
    if len(rows) < LEAST_READINGS or len(set(times)) < LEAST_READINGS:
        return NoFit(f"too few weighings: {LEAST_READINGS} at different times are needed, so far {len(set(times))}")
    grams = [row.grams for row in rows]
    k, residue = _best_rate(times, grams)
    freedom = len(rows) - 3
    variance = max(residue / freedom, (resolution_g or 0) ** 2 / 12)
    reach = t_quantile(freedom)
    dry, water, _ = _line([exp(-k * t) for t in times], grams)
    if why := _shrinks(times, grams, water, residue + reach**2 * variance):
        return NoFit(why)
    covariance = _covariance(times, water, k, variance)
    if covariance is None or dry <= 0:
        return NoFit("the weighings do not tell its speed from its end; weigh again later")

    def told(value: float, u: float) -> Estimate:
        return Estimate(value, u, value - reach * u, value + reach * u)

    u_dry, u_water, u_k = (sqrt(covariance[i][i]) for i in range(3))
    rate = told(k, u_k)
    if rate.low <= 0:
        return NoFit("the speed is not told apart from none; weigh again later")
    half = Estimate(log(2) / k, log(2) / k**2 * u_k, log(2) / rate.high, log(2) / rate.low)
    left = water * exp(-k * times[-1])
    first, last = rows[0].hours, rows[-1].hours
    return Fit(told(dry, u_dry), told(water, u_water), rate, half, sqrt(variance), first, last, left, covariance, reach)


def _line(xs: Sequence[float], ys: Sequence[float]) -> tuple[float, float, float]:
    """Intercept, slope and sum of squared residuals of the least-squares line."""
    mean_x, mean_y = sum(xs) / len(xs), sum(ys) / len(ys)
    spread = sum((x - mean_x) ** 2 for x in xs)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / spread if spread else 0.0
    start = mean_y - slope * mean_x
    residue = sum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in zip(xs, ys, strict=True))
    return start, slope, residue


def _best_rate(times: Sequence[float], grams: Sequence[float]) -> tuple[float, float]:
    """The rate with the smallest sum of squared residuals, and that sum: a coarse search, then a golden section."""

    def residue(log_k: float) -> float:
        k = exp(log_k)
        return _line([exp(-k * t) for t in times], grams)[2]

    soonest = min(t for t in times if t > 0)
    low, high = log(0.01 / times[-1]), log(30 / soonest)
    step = (high - low) / _GRID
    best = min(range(_GRID + 1), key=lambda n: residue(low + n * step))
    a, b = low + max(best - 1, 0) * step, low + min(best + 1, _GRID) * step
    c, d = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    at_c, at_d = residue(c), residue(d)
    while b - a > 1e-9:
        if at_c < at_d:
            b, d, at_d = d, c, at_c
            c = b - _GOLDEN * (b - a)
            at_c = residue(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + _GOLDEN * (b - a)
            at_d = residue(d)
    middle = (a + b) / 2
    return exp(middle), residue(middle)


def _shrinks(times: Sequence[float], grams: Sequence[float], water: float, allowed: float) -> str:
    """Which simpler thing the weighings fit as well, in words; empty where the curve stands alone."""
    mean = sum(grams) / len(grams)
    if sum((g - mean) ** 2 for g in grams) <= allowed:
        return "no fall to be seen between the weighings; they say nothing about its speed"
    if water <= 0:
        return "the mass does not fall; is the tray the same, and was nothing added?"
    if _line(times, grams)[2] <= allowed:
        return "so far it falls as a straight line does, so the end is not in sight; weigh again later"
    later = [g for t, g in zip(times, grams, strict=True) if t > times[0]]
    mean = sum(later) / len(later)
    if sum((g - mean) ** 2 for g in later) <= allowed:
        return "it fell before the second weighing, and what came after does not tell the speed"
    return ""


def _covariance(
    times: Sequence[float], water: float, k: float, variance: float
) -> tuple[tuple[float, float, float], ...] | None:
    """Covariance of dry, water and k: variance times the inverse of the normal matrix; None where that has none."""
    rows = [(1.0, (e := exp(-k * t)), -water * t * e) for t in times]
    m = [[sum(row[i] * row[j] for row in rows) for j in range(3)] for i in range(3)]
    cofactor = [
        [
            m[(i + 1) % 3][(j + 1) % 3] * m[(i + 2) % 3][(j + 2) % 3]
            - m[(i + 1) % 3][(j + 2) % 3] * m[(i + 2) % 3][(j + 1) % 3]
            for j in range(3)
        ]
        for i in range(3)
    ]
    determinant = sum(m[0][j] * cofactor[0][j] for j in range(3))
    if determinant <= 1e-14 * m[0][0] * m[1][1] * m[2][2]:
        return None
    a, b, c = (tuple(variance * cofactor[j][i] / determinant for j in range(3)) for i in range(3))
    found = ((a[0], a[1], a[2]), (b[0], b[1], b[2]), (c[0], c[1], c[2]))
    return found if all(isfinite(found[i][i]) and found[i][i] >= 0 for i in range(3)) else None


class Remaining(NamedTuple):
    """When a criterion will hold, if the tray goes on drying as it did: an estimate, never a promise.

    Attributes:
        from_h: hour from which the mass changes little enough; on the clock of the weighings.
        shown_h: hour at which weighings as far apart as the criterion asks can have shown it.
        left_h: hours from the last weighing to ``from_h``; 0 where that lies behind.
        low_h: the same for the lower end of the interval.
        high_h: the same for its upper end.
        words: the same in words.
    """

    from_h: Estimate
    shown_h: Estimate
    left_h: float
    low_h: float
    high_h: float
    words: str


def remaining(fit: Fit, criterion: Criterion) -> Remaining:
    """When the fitted curve will meet a criterion.

    The first of the criterion's intervals loses the most: ``water * exp(-k t) * (1 - exp(-k d))`` grams in d hours from
    t on, which must be less than the criterion's share of the mass at its end. The interval comes from the fit's
    covariance (JCGM 100:2008, 5.2); it knows how the weighings scatter, and nothing of a window that is opened.
    """
    share, apart = criterion.change_pct / 100, criterion.interval_h
    dry, water, k = fit.dry.value, fit.water.value, fit.per_h.value
    fade = (1 + share) * exp(-k * apart)
    ratio = water * (1 - fade) / (share * dry)
    if ratio <= 1:
        after = Estimate(0.0, 0.0, 0.0, 0.0)
    else:
        hours = log(ratio) / k
        slopes = (-1 / (dry * k), 1 / (water * k), (apart * fade / (1 - fade) - hours) / k)
        u = sqrt(max(0.0, sum(slopes[i] * slopes[j] * fit.covariance[i][j] for i in range(3) for j in range(3))))
        after = Estimate(hours, u, max(0.0, hours - fit.reach * u), hours + fit.reach * u)
    since_last = fit.last_h - fit.first_h
    left, low, high = (max(0.0, hours - since_last) for hours in (after.value, after.low, after.high))
    if high == 0:
        words = "by the fit the mass no longer changes by more than the criterion allows; the next weighing shows it"
    else:
        words = f"about {_hours(left)} more ({_hours(low)} to {_hours(high)}), if it goes on drying as it did"
    showing = (criterion.weighings - 1) * apart
    return Remaining(_later(after, fit.first_h), _later(after, fit.first_h + showing), left, low, high, words)


def _later(estimate: Estimate, hours: float) -> Estimate:
    value, u, low, high = estimate
    return Estimate(value + hours, u, low + hours, high + hours)


def _hours(hours: float) -> str:
    return f"{hours:.1f} h" if hours < 10 else f"{hours:,.0f} h"
