"""What the model says of single lists: how likely, how complete, and what tells.

Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from math import log, sqrt
from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.likelihoods import thinned
from sortbench.engine.identify.lot_view import LotView, Share, Standing, Telling
from sortbench.engine.identify.shapes import BEST

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Floats, Whole
    from sortbench.engine.identify.mixture import Mixture

_GRID: Floats = np.arange(1, 101) / 100  # shares of its pieces that a list may have kept
_NORMAL = 1.959964  # 97.5 % point of the normal distribution
_TINY = 1e-300
_SURELY_NOT = 1e-3  # chance of a list below which nothing more is said of it


_THINNED = thinned(_GRID / BEST)


def order(mixture: Mixture) -> Whole:
    """All lists, the likeliest first; of equal ones that first of which more lines were seen."""
    index = mixture.index
    if not len(index):
        return np.zeros(0, dtype=np.int64)
    seen = mixture.lines_seen / np.diff(index.starts)
    return np.lexsort((-seen, -np.round(mixture.any_of(), 6), -np.round(mixture.presence(), 6)))


def view(mixture: Mixture, limit: int = 12, telling: int = 3, sought: int = 3) -> LotView:
    """The likeliest lists and what to look for next, as far as effects are up to date.

    Args:
        limit: lists at most.
        telling: kinds named of each list, at most.
        sought: kinds to look for, at most.
    """
    from sortbench.engine.identify.next_kind import look_for

    of_lists = int(mixture.found.sum())
    chances = mixture.presence(), mixture.any_of()
    return LotView(
        mixture.counted,
        None if mixture.pile is None else round(mixture.pile),
        len(mixture.index),
        mixture.counted - of_lists,
        mixture.foreign_share * of_lists,
        tuple(_standing(mixture, int(number), telling, *chances) for number in order(mixture)[:limit]),
        look_for(mixture, sought),
    )


def _standing(mixture: Mixture, number: int, telling: int, presence: Floats, any_of: Floats) -> Standing:
    """One list, held against what was counted."""
    index = mixture.index
    listed, lines = index.lists[number], index.lines(number)
    kinds = index.kind[lines]
    found = mixture.found[kinds]
    chance = float(presence[number])
    # What a set would have brought that is surely not there is no question worth the time it takes.
    case = _Case(mixture, number) if any_of[number] >= _SURELY_NOT else None
    return Standing(
        listed.key,
        listed.name,
        chance,
        max(0.0, float(any_of[number]) - chance),
        len(listed.lines),
        int((found > 0).sum()),
        int(index.asked[lines].sum()),
        case.brought() if case else 0.0,
        case.complete() if case and mixture.share is not None else None,
        int(((found > 0) & (index.holders[kinds] == 1)).sum()),
        case.telling(telling) if case else (),
    )


class _Case:
    """One list beside everything else that is in the pile.

    Attributes:
        weight: the chance of each share of the grid that the list kept so much, if it is in the pile.
    """

    def __init__(self, mixture: Mixture, number: int) -> None:
        index = self.index = mixture.index
        self.mixture = mixture
        lines = index.lines(number)
        kinds = index.kind[lines]
        rest = mixture.expected.copy()
        rest[kinds] = np.maximum(0.0, rest[kinds] - mixture.kept(number) * index.weighed[lines])
        rows = np.searchsorted(mixture.seen, kinds)
        seen = rows < len(mixture.seen)
        seen[seen] = mixture.seen[rows[seen]] == kinds[seen]
        self.kinds = kinds[seen]
        self.asked = index.asked[lines][seen]
        self.units = index.weighed[lines][seen]
        self.total = float(index.total[number])
        self.shades = index.shade[self.kinds]
        self.counted = mixture.counted_shares
        of_shades = index.by_shade[number]
        unseen = of_shades - np.bincount(self.shades, self.units, index.shades)
        self.of_shades: Floats = of_shades
        self.windows = mixture.windows(rest)[rows[seen]]
        # For each line the columns of what it asks for: grid by kept by line.
        likely = np.maximum(_TINY, np.einsum("lm,gml->gl", self.windows, _THINNED[:, :, self.units]))
        logs = np.log(likely).sum(axis=1) + np.log1p(-np.outer(_GRID, self.counted)) @ unseen
        weight = np.exp(logs - logs.max())
        self.weight: Floats = weight / weight.sum()
        self.mean = int(np.argmin(np.abs(_GRID - float(self.weight @ _GRID))))
        self.likely: Floats = likely[self.mean]
        self.came: Floats = self._came()

    def _came(self) -> Floats:
        """Units of each seen line that came from the list, if it is in the pile.

        One of n units is found with the chance of one, and all others of the kind come to one less then; how likely
        that is follows from the likelihoods with one unit more asked for.
        """
        chance = self.mixture.chances[self.shades][:, None]
        one_less = (self.windows[:, 1:] - (1 - chance) * self.windows[:, :-1]) / chance
        others = _THINNED[self.mean][:-1, self.units - 1]
        found = self.counted[self.shades] * float(_GRID[self.mean])
        came: Floats = self.units * found * (one_less * others.T).sum(axis=1) / self.likely
        return np.clip(came, 0.0, self.units)

    def brought(self) -> float:
        """Pieces counted that came from the list, if it is in the pile."""
        return float((self.came * self.asked / self.units).sum())

    def complete(self) -> Share:
        """How many of its pieces are in the pile, if it is: those found, and those that are yet to be."""
        found = float(self.came.sum())
        doubt = float((self.came * (1 - self.came / self.units)).sum())
        left = self.of_shades - np.bincount(self.shades, self.came, len(self.of_shades))
        still = _GRID[:, None] * (1 - self.counted) / (1 - np.outer(_GRID, self.counted))
        mean = found + still @ left
        likely = float(self.weight @ mean)
        spread = float(self.weight @ ((mean - likely) ** 2 + (still * (1 - still)) @ left)) + doubt
        half = _NORMAL * sqrt(spread)
        return Share(
            max(0.0, likely - half) / self.total, likely / self.total, min(self.total, likely + half) / self.total
        )

    def telling(self, limit: int) -> tuple[Telling, ...]:
        """The seen kinds that speak most for the list, beside what is in the pile anyway."""
        logs = np.log(self.likely / np.maximum(_TINY, self.windows[:, 0]))
        return tuple(
            Telling(
                self.index.kinds[int(self.kinds[at])],
                int(self.mixture.found[self.kinds[at]]),
                int(self.asked[at]),
                int(self.index.holders[self.kinds[at]]),
                float(logs[at]) / log(2),
            )
            for at in np.argsort(-logs, kind="stable")[:limit]
            if logs[at] > 0
        )
