"""The model behind "which sets does this pile hold": a sparse mixture of lists and of foreign pieces.

Of each list that is in the pile, every piece was still there and has been counted by now with one chance: the share of
the pile counted so far times the list's survival. Pieces of one kind that come from lists are thus binomial, those
that come from nowhere are reckoned to come in clumps (negative binomial), as common among kinds as they are in the
whole library. Piles are often sorted by shade first, so the share counted may differ from shade to shade: how far it
does is learnt from the lists that are there for sure, and nothing is read into it before it shows.

Which lists are there is worked out as a sum of single effects, each of them one list or none, brought up to date one
after the other given what the others are expected to bring: G. Wang, A. Sarkar, P. Carbonetto and M. Stephens, A simple
new approach to variable selection in regression, with application to genetic fine mapping, Journal of the Royal
Statistical Society B 82 (2020) 1273-1300; here with the likelihood above in place of a linear regression.

Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sortbench.engine.identify.likelihoods import (
    HIGHEST,
    HIGHEST_CHANCE,
    LEAST,
    REST,
    THINNED,
    chances_of,
    likelihoods,
    log_missed,
    log_of,
    steps_of,
)
from sortbench.engine.identify.shapes import BEST, MOST, REMAINS, SURVIVALS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sortbench.engine.identify.list_index import Floats, ListIndex, Whole

_PRIOR_OF_SURVIVAL = (0.25, 0.2, 0.1, 0.2, 0.25)
_EXPECTED = 3.0  # lists that a pile is reckoned to hold before anything was counted
_EFFECTS = 24  # lists that can be in the pile at once
_SLIGHT = 1e-3  # a list of less weight brings nothing
_EVEN = 0.03  # variance of the shares counted, shade by shade, up to which all are taken for one
_NOISE = 1.5  # times the variance of a Poisson count that chance alone may bring
_KEPT: Floats = np.array(SURVIVALS)
_USUAL = 0.85  # of what lists in a pile kept, where that alone can tell its size
_GENEROUS = 3.0  # times as many foreign pieces of listed kinds as the others let expect
_WHOLE = 2  # of the survivals, at the beginning, are those of a set that is there as a whole
_IDLE = 0.5  # chance of being no list from which an effect is taken for none
_TWICE = 0.05  # how likely a set that is there is there twice: a guess of ours
_NEVER = 1e-12
_ALL_BUT = 0.995
_ONE = 1.1  # of a list, by BEST: up to this two effects may be parts of one set
_GUESS = 30.0  # units that the guess of the share weighs


class Effect:
    """One list that may be in the pile, or none.

    Attributes:
        weight: chance of each list and survival; what is missing to 1 is the chance of none.
        of_lists: chance of each list, remains of it too.
        there: chance of each list as more than remains.
        brings: units of each kind that are expected of it, before any are missing or uncounted.
    """

    def __init__(self, index: ListIndex) -> None:
        self.brings: Floats = np.zeros(len(index.kinds))
        self.be(np.zeros((len(index), len(SURVIVALS))))

    def be(self, weight: Floats) -> None:
        """Take these chances of each list and survival."""
        self.weight = weight
        self.there: Floats = weight[:, :-REMAINS].sum(axis=1)
        self.of_lists: Floats = self.there + weight[:, -REMAINS:].sum(axis=1)

    @property
    def none(self) -> float:
        """The chance that it is no list."""
        return 1.0 - float(self.of_lists.sum())


class Mixture:
    """What has been counted, held against the lists of an index.

    Args:
        index: the lists.
        pile: pieces in the whole pile, None where nobody knows.

    Attributes:
        counted: pieces counted, those of no list's kind included.
        found: pieces counted of each kind of the index.
        effects: what may be in the pile; one of them is none for the most part, so that another list can come in.
        chance: chance that a piece of a list in good order was there and has been counted.
        chances: the same for each shade.
        foreign: units expected to come from no list among those counted.
        lines_seen: lines of each list of whose kind anything was counted.
        expected: units of each kind that all effects are expected to bring, before any are missing or uncounted.
    """

    def __init__(self, index: ListIndex, pile: float | None = None) -> None:
        self.index = index
        self.pile = pile
        self.counted = 0
        kinds = len(index.kinds)
        self.found: Whole = np.zeros(kinds, dtype=np.int64)
        self.effects = [Effect(index)]
        self.chance = LEAST
        self.chances: Floats = np.full(index.shades, LEAST)
        self.foreign: float | None = None
        self.expected: Floats = np.zeros(kinds)
        self._turn = 0
        self._calls = 0  # effects brought up to date since the chances were last held against those before
        self._moved = 1.0
        self._before: Floats = np.zeros(len(index))
        self._total = 0.0  # units looked at
        self._cells: Whole = np.zeros(0, dtype=np.int64)  # of the lines whose kind was seen: where their score stands
        self._begins: Whole = np.zeros(len(index), dtype=np.int64)  # where those of each list begin
        self.lines_seen: Whole = np.zeros(len(index), dtype=np.int64)
        self._bare: Whole = np.arange(len(index))  # lists of which nothing was seen
        self._likely: Floats = np.zeros((0, REST + 1))
        self.seen: Whole = np.zeros(0, dtype=np.int64)
        likely = min(0.5, _EXPECTED / max(1, len(index)))
        self._prior: Floats = log_of(likely) + np.log(np.array(_PRIOR_OF_SURVIVAL))
        self._usual = _EXPECTED * (float(index.total.mean()) if len(index) else 1.0)

    def count(self, kind: int, pieces: int) -> None:
        """Pieces of a kind were counted, or fewer than none taken back.

        Args:
            kind: its number in the index.
        """
        self.found[kind] += pieces
        self.counted += pieces
        self._moved, self._calls = 1.0, 0

    @property
    def share(self) -> float | None:
        """Share of the pile that is counted, None where nobody knows how large the pile is."""
        if self.pile is None:
            return None
        return min(HIGHEST_CHANCE, max(LEAST, self.counted / max(1.0, self.pile)))

    def presence(self) -> Floats:
        """The chance of each list that it is in the pile, not counting remains, as far as effects are up to date."""
        return self._any([effect.there for effect in self.effects])

    def any_of(self) -> Floats:
        """The chance of each list that the pile holds it, or at least remains of it."""
        return self._any([effect.of_lists for effect in self.effects])

    @property
    def counted_shares(self) -> Floats:
        """Share of the pile that is counted of each shade, as the model has it; never quite all."""
        shares: Floats = np.minimum(_ALL_BUT, self.chances / BEST)
        return shares

    @property
    def foreign_units(self) -> float:
        """Units among those counted that foreign pieces are reckoned with, never quite none."""
        return self._foreign_rates(self._total)

    @property
    def foreign_share(self) -> float:
        """Share of the counted pieces of listed kinds that probably come from no list."""
        return (self.foreign or 0.0) / self._total if self._total else 0.0

    def _any(self, chances: Iterable[Floats]) -> Floats:
        absent = np.ones(len(self.index))
        for chance in chances:
            absent *= 1.0 - np.minimum(1.0, chance)
        return 1.0 - absent

    def prepare(self) -> None:
        """Take in what was counted since: how much of it is foreign, and how likely each kind's count is for any
        number of pieces that lists may ask for."""
        index = self.index
        seen = np.flatnonzero(self.found > 0)
        if not np.array_equal(seen, self.seen):
            self.seen = seen
            self._lay_out()
        units = np.minimum(HIGHEST, -(-self.found[seen] // index.unit[seen]))
        total = self._total = float(units.sum())
        common, asked, shade = index.common[seen], self.expected[seen], index.shade[seen]
        rates = self._foreign_rates(total) * common
        foreign = rates / (rates + self.chances[shade] * asked + 1e-300)
        self.foreign = float(units @ foreign)
        self.chance = self._chance(total - self.foreign)
        steps = steps_of(self.chance * self._uneven(units * (1 - foreign), shade))
        self.chances = chances_of(steps)
        self._missed = log_missed(self.chances)
        self._likely = likelihoods(units, self._foreign_rates(total) * common, steps[shade])

    def _uneven(self, explained: Floats, shade: Whole) -> Floats:
        """How much more of each shade was counted than of the pile, as far as the lists that are there tell.

        Args:
            explained: units of each seen kind that probably came from them.
            shade: number of the shade of each seen kind.
        """
        found = np.zeros(self.index.shades)
        np.add.at(found, shade, explained)
        asked = np.zeros(self.index.shades)
        np.add.at(asked, self.index.shade, self.expected)
        total = float(found.sum())
        if total < 1 or float(asked.sum()) < 1:
            return np.ones(self.index.shades)
        even = asked * total / float(asked.sum())
        # What the counts vary beyond chance, by the method of moments; a shade of which little is asked stays as it is.
        spread = float(((found - even) ** 2 - _NOISE * even).sum() / (even**2).sum())
        if spread < _EVEN:
            return np.ones(self.index.shades)
        uneven: Floats = (found + 1 / spread) / (even + 1 / spread)
        return uneven

    def _lay_out(self) -> None:
        index = self.index
        row = np.full(len(index.kinds), -1, dtype=np.int32)
        row[self.seen] = np.arange(len(self.seen), dtype=np.int32)
        rows = row.take(index.kind)
        lines = np.flatnonzero(rows >= 0)
        self._cells = rows.take(lines).astype(np.int64) * (MOST + 1) + index.weighed.take(lines)
        before = np.searchsorted(lines, index.starts)
        self._begins = before[:-1]
        self.lines_seen = np.diff(before)
        self._bare = np.flatnonzero(before[:-1] == before[1:])

    def _foreign_rates(self, total: float) -> float:
        # Of foreign pieces some are of kinds in no list: where few such were counted and the library is small, few of
        # the others can be foreign either, for it would be a strange chance that all were of listed kinds.
        outside = max(0, self.counted - int(self.found.sum()))
        covered = min(0.999, self.index.covered)
        most = _GENEROUS * (outside + _GENEROUS) * covered / (1 - covered)
        return max(min(most, total if self.foreign is None else self.foreign), 0.02 * total + 0.5)

    def _chance(self, explained: float) -> float:
        if (share := self.share) is not None:
            return share * BEST
        # Nobody knows how large the pile is. What the lists in it have brought says it, if they are in the usual order;
        # a list counts for as much as it brought, so that remains do not make the share look large.
        guess = min(1.0, self.counted / self._usual)
        kept = [float(effect.weight @ _KEPT @ self.index.total) for effect in self.effects]
        squares = [float(effect.weight @ _KEPT**2 @ self.index.total) for effect in self.effects]
        asked = sum(kept)
        if asked:
            explained *= sum(squares) / asked / _USUAL
        found = explained if asked else 0.0
        return min(HIGHEST_CHANCE, max(LEAST, (found + _GUESS * guess) / (asked + _GUESS)))

    def renew(self, number: int) -> None:
        """Bring an effect up to date, given what the others are expected to bring."""
        effect = self.effects[number]
        self._join(effect)
        rest = np.maximum(self.expected - effect.brings, 0.0)
        scores = self.scores(rest) + self._prior
        # A list that another effect is already is one again only if it is there twice, as a whole; a part of one that
        # is there is just part of it.
        held = np.zeros(len(self.index))
        for other in self.effects:
            if other is not effect:
                held += other.of_lists
        free = 1 - np.minimum(1.0, held)
        scores[:, :_WHOLE] += np.log(free + _TWICE * (1 - free))[:, None]
        scores[:, _WHOLE:] += np.log(np.maximum(_NEVER, free))[:, None]
        top = max(0.0, float(scores.max(initial=0.0)))
        weight = np.exp(scores - top)
        effect.be(weight / (weight.sum() + np.exp(-top)))
        effect.brings = self._brought(effect.weight)
        self.expected = rest + effect.brings
        np.maximum(self.expected, 0.0, out=self.expected)

    def _join(self, effect: Effect) -> None:
        """Take back what other effects have of the list that this one is, if it can be one set with that."""
        number = int(effect.of_lists.argmax()) if len(self.index) else -1
        if effect.none > 0.5 or float(effect.of_lists[number]) < 0.5:
            return
        kept = float(effect.weight[number] @ _KEPT)
        for other in self.effects:
            more = float(other.weight[number] @ _KEPT)
            if other is not effect and float(other.of_lists[number]) > 0.5 and kept + more <= _ONE:
                self.expected = self.expected - other.brings
                other.be(np.zeros_like(other.weight))
                other.brings = np.zeros_like(other.brings)

    def _brought(self, weight: Floats) -> Floats:
        index = self.index
        brings = np.zeros(len(index.kinds))
        kept = weight @ _KEPT
        for number in np.flatnonzero(kept > _SLIGHT):
            lines = index.lines(int(number))
            brings[index.kind[lines]] += kept[number] * index.weighed[lines]
        return brings

    def windows(self, rest: Floats, rows: Whole | None = None) -> Floats:
        """How likely seen kinds' counts are if lists ask for 0, 1, 2 ... MOST units beside what others bring.

        Args:
            rest: units of each seen kind that others bring.
            rows: which of the seen kinds these are; None: all of them.
        """
        beside = np.minimum(rest, REST - MOST - 1.0)
        whole = beside.astype(np.int64)
        part = (beside - whole)[:, None]
        first = (np.arange(len(self.seen)) if rows is None else rows) * self._likely.shape[1] + whole
        near: Floats = self._likely.ravel().take(first[:, None] + np.arange(MOST + 2))
        windows: Floats = (1 - part) * near[:, :-1] + part * near[:, 1:]
        return windows

    def scores(self, rest: Floats) -> Floats:
        """Log odds that a list brought pieces, list by list and survival by survival, without any prior."""
        index = self.index
        windows = self.windows(rest[self.seen])
        asked = np.arange(MOST + 1)
        found = np.empty((len(index), len(SURVIVALS)))
        unseen = index.by_shade @ self._missed.T
        for place, thinned in enumerate(THINNED):
            missed = self._missed[place, index.shade[self.seen]]
            of_kinds = np.log(windows @ thinned / windows[:, :1]) - missed[:, None] * asked
            found[:, place] = self._sums(of_kinds) + unseen[:, place]
        return found

    def _sums(self, of_kinds: Floats) -> Floats:
        """The sum over the lines of each list: rows are seen kinds, columns what a line asks for."""
        if not len(self._cells):
            return np.zeros(len(self.index))
        of_lines = np.zeros(len(self._cells) + 1, dtype=np.float32)  # one more, for lists that begin behind the last
        of_kinds.astype(np.float32).ravel().take(self._cells, out=of_lines[:-1])
        sums = np.add.reduceat(of_lines, self._begins)
        sums[self._bare] = 0.0
        return sums.astype(np.float64)

    def update(self, effects: int = 3) -> float:
        """Take in what was counted and bring some effects up to date, the others in turn at the next call.

        Returns:
            By how much the chance of any list moved while all effects had their turn, at most.
        """
        self.prepare()
        for _ in range(min(effects, len(self.effects))):
            self._turn = (self._turn + 1) % len(self.effects)
            self.renew(self._turn)
        self._balance()
        self._calls += effects
        if self._calls >= len(self.effects):
            now = self.presence()
            self._moved = float(np.abs(now - self._before).max(initial=0.0))
            self._before, self._calls = now, 0
        return self._moved

    def settle(self, rounds: int = 30, near: float = 1e-3) -> None:
        """Bring all effects up to date until no list's chance changes by more than ``near``."""
        before = self.presence()
        for _ in range(rounds):
            count = len(self.effects)
            self.prepare()
            for number in range(count):
                self.renew(number)
            self._balance()
            now = self.presence()
            if len(self.effects) == count and float(np.abs(now - before).max(initial=0.0)) < near:
                return
            before = now

    def _balance(self) -> None:
        """Leave one effect that is none for the most part; more would count the same doubt twice."""
        idle = [effect for effect in self.effects if effect.none > _IDLE]
        for effect in idle[1:]:
            self.effects.remove(effect)
            self.expected = np.maximum(self.expected - effect.brings, 0.0)
        if not idle and len(self.effects) < _EFFECTS:
            self.effects.append(Effect(self.index))
        self._turn %= len(self.effects)
