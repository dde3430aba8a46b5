"""Uncertainty of a result from the uncertainties of what it is worked out from: the law of propagation.

JCGM 100:2008 (GUM), 5.2.2 equation (13): with sensitivities ``c_i = df/dx_i``, the variance of the result is
``sum_i sum_j c_i c_j u(x_i, x_j)``. Sensitivities are central differences over a small part of each uncertainty
(5.1.3, note 2). Several results of the same inputs get their covariances in the same way (H.2.3).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import erf, fsum, sqrt
from statistics import NormalDist
from typing import NamedTuple

Model = Callable[[Sequence[float]], float]

_STEP = 1e-3
"""Share of an uncertainty over which a difference is taken: small against any curve of the model, large against the
rounding of floats."""


class Propagated(NamedTuple):
    """Results with what is known of their uncertainties.

    Attributes:
        values: the results.
        covariance: of each with each; the roots of the diagonal are the standard uncertainties.
        shares: for each result, the part of its variance that comes from each input by itself: ``(c_i u_i) ** 2``.
    """

    values: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    shares: tuple[tuple[float, ...], ...]

    def u(self, result: int = 0) -> float:
        """Standard uncertainty of a result."""
        return sqrt(max(0.0, self.covariance[result][result]))


def diagonal(uncertainties: Sequence[float]) -> tuple[tuple[float, ...], ...]:
    """The covariance of inputs that have nothing to do with each other."""
    size = len(uncertainties)
    return tuple(
        tuple(u * u if row == column else 0.0 for column in range(size)) for row, u in enumerate(uncertainties)
    )


def propagate(models: Sequence[Model], values: Sequence[float], covariance: Sequence[Sequence[float]]) -> Propagated:
    """Results of models and their uncertainties.

    Args:
        models: each makes one result of all inputs.
        values: best estimates of the inputs.
        covariance: of the inputs, row by row.

    Raises:
        ValueError: as many rows are there as there are inputs, or a variance is negative.
    """
    size = len(values)
    if len(covariance) != size or any(len(row) != size for row in covariance):
        raise ValueError("one row and one column of covariances belong to each input")
    if any(covariance[at][at] < 0 for at in range(size)):
        raise ValueError("a variance is negative")
    slopes = [_sensitivities(model, values, [sqrt(covariance[at][at]) for at in range(size)]) for model in models]
    between = tuple(
        tuple(fsum(one[i] * other[j] * covariance[i][j] for i in range(size) for j in range(size)) for other in slopes)
        for one in slopes
    )
    shares = tuple(tuple(slope * slope * covariance[i][i] for i, slope in enumerate(each)) for each in slopes)
    return Propagated(tuple(model(values) for model in models), between, shares)


def _sensitivities(model: Model, values: Sequence[float], uncertainties: Sequence[float]) -> list[float]:
    slopes = []
    for at, u in enumerate(uncertainties):
        if u == 0:
            slopes.append(0.0)
            continue
        above, below = list(values), list(values)
        above[at] += _STEP * u
        below[at] -= _STEP * u
        slopes.append((model(above) - model(below)) / (above[at] - below[at]))
    return slopes


def means_of(series: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """Means of quantities that were observed together several times, and the covariances of these means.

    JCGM 100:2008, 4.2.3 and 5.2.3 equation (17).

    Args:
        series: for each quantity its observations, as many of each, two at least.

    Raises:
        ValueError: fewer, or not as many of each.
    """
    count = len(series[0]) if series else 0
    if count < 2 or any(len(each) != count for each in series):
        raise ValueError("two observations at least of each quantity, and as many of each")
    means = tuple(fsum(each) / count for each in series)
    covariance = tuple(
        tuple(
            fsum((x - mean) * (y - other_mean) for x, y in zip(one, other, strict=True)) / (count * (count - 1))
            for other, other_mean in zip(series, means, strict=True)
        )
        for one, mean in zip(series, means, strict=True)
    )
    return means, covariance


def normal_reach(confidence: float) -> float:
    """How many standard uncertainties reach to either end of a two-sided interval of the normal distribution.

    Raises:
        ValueError: a confidence that is not between 0 and 1.
    """
    if not 0 < confidence < 1:
        raise ValueError(f"no interval of {confidence}")
    return NormalDist().inv_cdf((1 + confidence) / 2)


def share_within(reach: float) -> float:
    """The share of the normal distribution within so many standard deviations either side: ``2 Phi(reach) - 1``."""
    return erf(reach / sqrt(2))
