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
from sortbench.engine.identify.shapes import BEST, CLUMPS, REMAINS, SURVIVALS

if TYPE_CHECKING:
    from sortbench.engine.identify.list_index import Floats, Whole
    from sortbench.engine.identify.mixture import Effect, Mixture

_DOUBT = 0.01  # a list of less chance is not worth asking about
_LISTS = 24  # of one effect that are asked about at most
_TINY = 1e-300
_WORTH = 0.02  # bits below which there is nothing to be told


class _Question:
    """One effect: which list it is, as more than remains, or none; and how likely each kind is to turn up then.

    Attributes:
        lists: numbers of the likely lists.
        there: chance of each that it is there.
        missed: chance of each that it is there and that nothing of a kind turns up, list by list and kind by kind.
        otherwise: chance that it is none of them, or remains of one.
        missed_otherwise: chance of that, and that nothing of a kind turns up.
        asks: whether a list asks for a kind.
    """

    def __init__(self, mixture: Mixture, effect: Effect, kinds: Whole, place: Whole) -> None:
        index, counted = mixture.index, mixture.counted_shares
        of_lists = effect.of_lists
        likely = np.argsort(-of_lists, kind="stable")[:_LISTS]
        self.lists: Whole = likely[of_lists[likely] > _DOUBT]
        self.there: Floats = effect.there[self.lists]
        self.otherwise = 1 - float(self.there.sum())
        self.missed: Floats = np.repeat(self.there[:, None], len(kinds), axis=1)
        self.missed_otherwise: Floats = np.full(len(kinds), self.otherwise)
        self.asks = np.zeros(self.missed.shape, dtype=bool)
        kept = BEST * np.array(SURVIVALS)
        # A piece that was not counted yet may still be in the rest of the pile, or was never there.
        left = kept[:, None] * (1 - counted) / (1 - np.outer(kept, counted))
        for row, number in enumerate(self.lists):
            lines = index.lines(int(number))
            at = place[index.kind[lines]]
            asked, shade = index.asked[lines][at >= 0], index.shade[index.kind[lines]][at >= 0]
            at = at[at >= 0]
            gone = (1 - left[:, shade]) ** asked
            weight = effect.weight[number]
            self.missed[row, at] = weight[:-REMAINS] @ gone[:-REMAINS]
            self.missed_otherwise[at] -= weight[-REMAINS:] @ (1 - gone[-REMAINS:])
            self.asks[row, at] = True
        self.expected: Floats = self.missed_otherwise + self.missed.sum(axis=0)

    def told(self, together: Floats) -> Floats:
        """Bits that each kind is expected to tell about this effect.

        Args:
            together: how likely it is that nothing of each kind turns up, whatever it comes from.
        """
        others = together / np.maximum(_TINY, self.expected)
        left = self.otherwise * _bits(others * self.missed_otherwise / max(_TINY, self.otherwise))
        for there, missed in zip(self.there, self.missed, strict=True):
            left = left + there * _bits(others * missed / max(_TINY, float(there)))
        told: Floats = np.maximum(0.0, _bits(together) - left)
        return told


def look_for(mixture: Mixture, limit: int = 3) -> tuple[Sought, ...]:
    """The kinds that are worth looking for, the most telling first; none where nothing is left to decide.

    Only kinds of which nothing was counted yet are thought of.
    """
    index = mixture.index
    if not len(index):
        return ()
    doubtful: set[int] = set()
    for effect in mixture.effects:
        inside = (effect.there > _DOUBT) & (effect.there < 1 - _DOUBT)
        doubtful |= {int(number) for number in np.flatnonzero(inside)[:_LISTS]}
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
    for question in questions:
        bits += question.told(together)
    ranked = [int(at) for at in np.argsort(-bits, kind="stable")[:limit] if bits[at] > _WORTH]
    return tuple(_sought(mixture, int(kinds[at]), at, float(bits[at]), questions, float(together[at])) for at in ranked)


def _foreign_misses(mixture: Mixture, kinds: Whole) -> Floats:
    """How likely it is that nothing foreign of each kind turns up, none having turned up so far."""
    counted = mixture.counted_shares[mixture.index.shade[kinds]]
    rate = np.maximum(1e-12, mixture.foreign_units * mixture.index.common[kinds])
    shape = CLUMPS / rate + 1
    misses: Floats = (shape / (shape + (1 - counted) / counted)) ** CLUMPS
    return misses


def _bits(chance: Floats) -> Floats:
    inside = np.clip(chance, 1e-12, 1 - 1e-12)
    bits: Floats = -inside * np.log2(inside) - (1 - inside) * np.log2(1 - inside)
    return bits


def _sought(mixture: Mixture, kind: int, at: int, bits: float, questions: list[_Question], missed: float) -> Sought:
    """A kind in plain values: what its turning up says about the list that it says most about.

    Args:
        kind: its number in the index.
        at: its place in the questions.
        missed: how likely it is that nothing of it turns up.
    """
    absent: dict[int, tuple[float, float, float]] = {}  # of each list: now, once the kind is found, if it is not
    for question in questions:
        others = missed / max(_TINY, float(question.expected[at]))
        asks = question.asks[:, at]
        for number, now, missing in zip(
            question.lists[asks], question.there[asks], question.missed[asks, at], strict=True
        ):
            without = others * missing
            if_found = (now - without) / max(_TINY, 1 - missed)
            if_not = without / max(_TINY, missed)
            before = absent.get(int(number), (1.0, 1.0, 1.0))
            absent[int(number)] = (
                before[0] * max(0.0, 1 - float(now)),
                before[1] * max(0.0, 1 - float(if_found)),
                before[2] * max(0.0, 1 - float(if_not)),
            )
    number, (now, found, not_found) = max(absent.items(), key=lambda each: abs(each[1][1] - each[1][2]))
    listed = mixture.index.lists[number]
    return Sought(
        mixture.index.kinds[kind], bits, 1 - missed, listed.key, listed.name, 1 - now, 1 - found, 1 - not_found
    )
