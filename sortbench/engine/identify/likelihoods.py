"""How likely counts are: binomial what comes from lists, in clumps what comes from nowhere.

Chances of having been found stand on steps of a ladder, about 3 % apart, so that what follows from each is worked out
once. Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from functools import lru_cache
from math import comb, lgamma, log
from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.shapes import CLUMPS, MOST, SURVIVALS

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Floats, Whole

HIGHEST = 48
"""Units of a kind that are looked at; more say nothing more."""

REST = 64
"""Units of a kind that lists together may ask for."""

LEAST, HIGHEST_CHANCE = 0.003, 0.98
"""Bounds of the chance that a piece of a list was there and has been counted."""

_SMALL = 8  # most kinds have no more units, which makes the sums shorter
_STEP = 0.03
_CLUMPED: Floats = np.array([lgamma(n + CLUMPS) - lgamma(CLUMPS) - lgamma(n + 1) for n in range(HIGHEST + 1)])
_WAYS: Floats = np.array([[float(comb(n, m)) for n in range(REST + 1)] for m in range(HIGHEST + 1)])
_LEFT: Whole = np.maximum(0, np.arange(REST + 1)[None, :] - np.arange(HIGHEST + 1)[:, None])


def steps_of(chances: Floats) -> Whole:
    """The nearest step of the ladder for each chance."""
    inside = np.clip(chances, LEAST, HIGHEST_CHANCE)
    return np.rint(np.log(inside / LEAST) / _STEP).astype(np.int64)


def chances_of(steps: Whole) -> Floats:
    """The chance that each step of the ladder stands for."""
    found: Floats = np.minimum(HIGHEST_CHANCE, LEAST * np.exp(_STEP * steps))
    return found


def thinned(kept: Floats) -> Floats:
    """How likely it is that m of n are kept, m down and n across, share by share.

    For a share above one this is no chance, but what it is used for is a polynomial in the share and holds all the
    same.
    """
    ways = np.array([[float(comb(n, m)) for n in range(MOST + 1)] for m in range(MOST + 1)])
    m = np.arange(MOST + 1.0)[:, None]
    lost = np.maximum(0.0, np.arange(MOST + 1.0)[None, :] - m)
    share = kept[:, None, None]
    found: Floats = ways * share**m * (1 - share) ** lost
    return found


THINNED = tuple(thinned(np.array(SURVIVALS)))
"""For each survival, how likely it is that m of n pieces are kept."""


def likelihoods(units: Whole, rates: Floats, steps: Whole) -> Floats:
    """How likely each count is if lists ask for 0, 1, 2 ... REST units.

    Args:
        units: counted of each kind.
        rates: foreign units expected of each kind.
        steps: where on the ladder the chance of each kind's pieces stands.
    """
    found = np.empty((len(units), REST + 1))
    for low, high in ((0, _SMALL), (_SMALL, HIGHEST)):
        inside = (units > low) & (units <= high)
        for step in np.unique(steps[inside]):
            rows = np.flatnonzero(inside & (steps == step))
            foreign = units[rows, None] - np.arange(high + 1)
            rate = rates[rows, None]
            logs = _CLUMPED[np.maximum(foreign, 0)] + foreign * np.log(rate / (CLUMPS + rate))
            alone = np.exp(logs + CLUMPS * np.log(CLUMPS / (CLUMPS + rate)))
            alone[foreign < 0] = 0.0
            found[rows] = alone @ _came(int(step))[: high + 1]
    return found


@lru_cache(maxsize=256)
def _came(step: int) -> Floats:
    """How likely it is that m of n asked for were found, m down and n across."""
    chance = float(chances_of(np.array([step]))[0])
    came: Floats = _WAYS * chance ** np.arange(HIGHEST + 1.0)[:, None] * (1 - chance) ** _LEFT
    return came


def log_missed(chances: Floats) -> Floats:
    """Log chance that a piece asked for was not found, survival by survival and chance by chance."""
    missed: Floats = np.log1p(-np.array(SURVIVALS)[:, None] * chances[None, :])
    return missed


def log_of(chance: float) -> float:
    """Log odds of a chance."""
    return log(chance / (1 - chance))
