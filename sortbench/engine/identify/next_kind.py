"""Which kind to look for next: the one whose turning up, or not, is expected to tell most.

Each effect of the model is a question of its own, which list or none; whether a kind turns up in the rest of the pile
answers a bit of each. What it tells about one of them, all others being as likely as they are, is worked out in full;
the sum over the effects is never more than what it tells about all of them together, for they are independent
(T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd ed., section 15.3, the multiple-access channel).

Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.lot_view import Sought
from sortbench.engine.identify.shapes import BEST, CLUMPS, SURVIVALS

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Floats, Whole
    from sortbench.engine.identify.mixture import Effect, Mixture

_DOUBT = 0.01  # a list of less chance is not worth asking about
_LISTS = 24  # of one effect that are asked about at most
_WORTH = 0.005  # bits below which there is nothing to be told


class _Question:
    """One effect: its likely lists, and how likely each kind is to turn up for none of its pieces.

    Attributes:
        lists: their numbers.
        chance: of each; what is missing to 1 is the chance of none of them.
        misses: how likely it is that nothing of a kind turns up, list by list and kind by kind.
    """

    def __init__(self, mixture: Mixture, effect: Effect, kinds: Whole, place: Whole) -> None:
        index, counted = mixture.index, mixture.chances / BEST
        of_lists = effect.weight.sum(axis=1)
        likely = np.argsort(-of_lists, kind="stable")[:_LISTS]
        self.lists: Whole = likely[of_lists[likely] > _DOUBT]
        self.chance: Floats = of_lists[self.lists]
        self.misses: Floats = np.ones((len(self.lists), len(kinds)))
        kept = BEST * np.array(SURVIVALS)
        # A piece that was not counted yet may still be in the rest of the pile, or was never there.
        left = kept[:, None] * (1 - counted) / (1 - np.outer(kept, counted))
        for row, number in enumerate(self.lists):
            lines = index.lines(int(number))
            at = place[index.kind[lines]]
            asked = index.asked[lines][at >= 0]
            chances = effect.weight[number] / of_lists[number]
            gone = (1 - left[:, index.shade[index.kind[lines]][at >= 0]]) ** asked
            self.misses[row, at[at >= 0]] = chances @ gone

    @property
    def is_open(self) -> bool:
        """Whether it is not settled."""
        return bool(self.chance.size) and float(self.chance.max()) < 1 - _DOUBT

    @property
    def expected(self) -> Floats:
        """How likely it is that the effect brings nothing of each kind."""
        of_kinds: Floats = 1 - float(self.chance.sum()) + self.chance @ self.misses
        return of_kinds


def look_for(mixture: Mixture, limit: int = 3) -> tuple[Sought, ...]:
    """The kinds that are worth looking for, the most telling first; none where nothing is left to decide.

    Only kinds of which nothing was counted yet are thought of.
    """
    index = mixture.index
    if not len(index) or mixture.counted_share >= 1:
        return ()
    doubtful = {
        int(number)
        for effect in mixture.effects
        for number in np.flatnonzero((effect.weight.sum(axis=1) > _DOUBT) & (effect.weight.sum(axis=1) < 1 - _DOUBT))[
            :_LISTS
        ]
    }
    if not doubtful:
        return ()
    kinds = np.unique(np.concatenate([index.kind[index.lines(number)] for number in sorted(doubtful)]))
    kinds = kinds[mixture.found[kinds] == 0]
    place = np.full(len(index.kinds), -1, dtype=np.int64)
    place[kinds] = np.arange(len(kinds))
    questions = [_Question(mixture, effect, kinds, place) for effect in mixture.effects]
    together = _foreign_misses(mixture, kinds)
    for question in questions:
        together = together * question.expected
    bits = np.zeros(len(kinds))
    best: list[tuple[Floats, _Question, Floats]] = []
    for question in questions:
        if question.is_open:
            others = together / np.maximum(1e-300, question.expected)
            told = _told(question, others, together)
            bits += told
            best.append((told, question, others))
    ranked = [int(at) for at in np.argsort(-bits, kind="stable")[:limit] if bits[at] > _WORTH]
    return tuple(_sought(mixture, int(kinds[at]), at, float(bits[at]), best, together) for at in ranked)


def _foreign_misses(mixture: Mixture, kinds: Whole) -> Floats:
    """How likely it is that nothing foreign of each kind turns up, none having turned up so far."""
    counted = mixture.chances[mixture.index.shade[kinds]] / BEST
    rate = np.maximum(1e-12, mixture.foreign_units * mixture.index.common[kinds])
    shape = CLUMPS / rate + 1
    misses: Floats = (shape / (shape + (1 - counted) / counted)) ** CLUMPS
    return misses


def _told(question: _Question, others: Floats, together: Floats) -> Floats:
    """Bits that each kind is expected to tell about one effect."""
    left = _bits(others) * (1 - float(question.chance.sum()))
    for chance, misses in zip(question.chance, question.misses, strict=True):
        left = left + chance * _bits(others * misses)
    told: Floats = np.maximum(0.0, _bits(together) - left)
    return told


def _bits(chance: Floats) -> Floats:
    inside = np.clip(chance, 1e-12, 1 - 1e-12)
    bits: Floats = -inside * np.log2(inside) - (1 - inside) * np.log2(1 - inside)
    return bits


def _sought(
    mixture: Mixture,
    kind: int,
    at: int,
    bits: float,
    best: list[tuple[Floats, _Question, Floats]],
    together: Floats,
) -> Sought:
    """A kind in plain values: what its turning up says about the list that it says most about."""
    _, question, others = max(best, key=lambda each: float(each[0][at]))
    missed = float(together[at])
    without = others[at] * question.misses[:, at]
    if_not = question.chance * without / max(1e-300, missed)
    if_found = question.chance * (1 - without) / max(1e-300, 1 - missed)
    row = int(np.argmax(np.abs(if_found - if_not)))
    listed = mixture.index.lists[int(question.lists[row])]
    return Sought(
        mixture.index.kinds[kind],
        bits,
        1 - missed,
        listed.key,
        listed.name,
        float(question.chance[row]),
        float(if_found[row]),
        float(if_not[row]),
    )
