"""Some lists held against what was counted, each beside everything else that is in the pile.

All of them at once, for the screen follows every tally. Imports numpy, so it is imported where it is needed and nowhere
at the top of a module.
"""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.likelihoods import thinned
from sortbench.engine.identify.lot_view import Share, Telling
from sortbench.engine.identify.shapes import BEST, MOST, SURVIVALS

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Floats, Whole
    from sortbench.engine.identify.mixture import Mixture

_GRID: Floats = np.arange(1, 101) / 100  # shares of its pieces that a list may have kept
_NORMAL = 1.959964  # 97.5 % point of the normal distribution
_TINY = 1e-300
_THINNED = thinned(_GRID / BEST)
_OF_UNITS = tuple(np.ascontiguousarray(_THINNED[:, :, units].T) for units in range(MOST + 1))
"""For each number of units that a line asks for, how likely it is that m of them are kept, m down and shares across."""


class Cases:
    """What there is to say of some lists, each as if it were in the pile.

    Args:
        mixture: the model, prepared.
        numbers: of the lists; each once.

    Attributes:
        weight: list by list, the chance of each share of the grid that it kept so much.
        found: pieces counted that came from it.
    """

    def __init__(self, mixture: Mixture, numbers: Whole) -> None:
        self._mixture = mixture
        index = mixture.index
        spans = [index.lines(int(number)) for number in numbers]
        lines = np.concatenate([np.arange(each.start, each.stop) for each in spans] or [np.zeros(0, dtype=np.int64)])
        of_list = np.repeat(np.arange(len(spans)), [each.stop - each.start for each in spans])
        seen = mixture.found[index.kind[lines]] > 0
        lines, self._of_list = lines[seen], of_list[seen]
        self._begins: Whole = np.searchsorted(self._of_list, np.arange(len(spans) + 1))
        self._kinds: Whole = index.kind[lines]
        self._asked: Whole = index.asked[lines]
        self._units: Whole = index.weighed[lines]
        self._shades: Whole = index.shade[self._kinds]
        self._counted = mixture.counted_shares
        self._total: Whole = index.total[numbers]
        self._of_shades: Floats = index.by_shade[numbers]
        kept = sum((effect.weight[numbers] @ np.array(SURVIVALS) for effect in mixture.effects), np.zeros(len(spans)))
        rest = np.maximum(0.0, mixture.expected[self._kinds] - kept[self._of_list] * self._units)
        self._windows = mixture.windows(rest, np.searchsorted(mixture.seen, self._kinds))
        likely = np.empty((len(lines), len(_GRID)))
        for units in np.flatnonzero(np.bincount(self._units)).tolist():
            rows = np.flatnonzero(self._units == units)
            likely[rows] = self._windows[rows] @ _OF_UNITS[units]
        np.maximum(likely, _TINY, out=likely)
        unseen = self._of_shades - self._by_shade(self._units)
        logs = self._sums(np.log(likely)) + unseen @ np.log1p(-np.outer(self._counted, _GRID))
        weight = np.exp(logs - logs.max(axis=1, keepdims=True))
        self.weight: Floats = weight / weight.sum(axis=1, keepdims=True)
        self._mean: Whole = np.abs(_GRID - (self.weight @ _GRID)[:, None]).argmin(axis=1)
        self._likely: Floats = likely[np.arange(len(lines)), self._mean[self._of_list]]
        self._came = self._that_came()
        self.found: Floats = self._sums(self._came * self._asked / self._units)

    def _by_shade(self, of_lines: Floats | Whole) -> Floats:
        """The sum of a figure of each seen line, list by list and shade by shade."""
        shades = self._mixture.index.shades
        where = self._of_list * shades + self._shades
        sums = np.bincount(where, of_lines, len(self._total) * shades).astype(np.float64)
        return sums.reshape(-1, shades)

    def _sums(self, of_lines: Floats) -> Floats:
        """The sum of a figure of each seen line, or of a row of them, list by list."""
        begins, ends = self._begins[:-1], self._begins[1:]
        sums = np.zeros((len(begins), *of_lines.shape[1:]))
        full = ends > begins
        if full.any():
            sums[full] = np.add.reduceat(of_lines, begins[full], axis=0)
        return sums

    def _that_came(self) -> Floats:
        """Units of each seen line that came from its list.

        One of n units is found with the chance of one, and all others of the kind come to one less then; how likely
        that is follows from the likelihoods with one unit more asked for.
        """
        mean = self._mean[self._of_list]
        chance = self._mixture.chances[self._shades][:, None]
        one_less = (self._windows[:, 1:] - (1 - chance) * self._windows[:, :-1]) / chance
        others = _THINNED[mean, :-1, self._units - 1]
        found = self._counted[self._shades] * _GRID[mean]
        came: Floats = self._units * found * (one_less * others).sum(axis=1) / self._likely
        return np.clip(came, 0.0, self._units)

    def complete(self) -> list[Share]:
        """How many of its pieces are in the pile: those found, and those that are yet to be; list by list."""
        found = self._sums(self._came)
        doubt = self._sums(self._came * (1 - self._came / self._units))
        left = self._of_shades - self._by_shade(self._came)
        counted = self._counted[:, None]
        still = _GRID * (1 - counted) / (1 - counted * _GRID)
        mean = found[:, None] + left @ still
        likely = (self.weight * mean).sum(axis=1)
        spread = (self.weight * ((mean - likely[:, None]) ** 2 + left @ (still * (1 - still)))).sum(axis=1) + doubt
        half = _NORMAL * np.sqrt(spread)
        shares = np.maximum(0.0, likely - half), likely, np.minimum(self._total, likely + half)
        return [Share(*each) for each in zip(*((share / self._total).tolist() for share in shares), strict=True)]

    def telling(self, limit: int) -> list[tuple[Telling, ...]]:
        """The seen kinds that speak most for each list, beside what is in the pile anyway.

        Args:
            limit: how many at most.
        """
        index, found = self._mixture.index, self._mixture.found
        bits = np.log(self._likely / np.maximum(_TINY, self._windows[:, 0])) / log(2)
        told = []
        for begin, end in zip(self._begins[:-1].tolist(), self._begins[1:].tolist(), strict=True):
            best = begin + np.argsort(-bits[begin:end], kind="stable")[:limit]
            told.append(
                tuple(
                    Telling(
                        index.kinds[int(self._kinds[at])],
                        int(found[self._kinds[at]]),
                        int(self._asked[at]),
                        int(index.holders[self._kinds[at]]),
                        float(bits[at]),
                    )
                    for at in best
                    if bits[at] > 0
                )
            )
        return told
