"""What a query can mean: each reading gives some of its words to the shade and the rest to the part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations
from typing import NamedTuple

from sortbench.engine.entering.name_side import NameSide
from sortbench.engine.entering.token_index import INEXACT, LOOSE, MISFIT, Fits
from sortbench.model.catalogue import Kind

_FEW_SHADES = 3  # of one part where no shade is named, so that the list shows different parts
_MOST_SHADES = 16
_SHADE_WORDS = 4
_MOST_READINGS = 32
_NOT_SPELLED = 99
_NOT_NAMED = 2 * INEXACT
_PLACE_BITS = 32


class Rank(NamedTuple):
    """Sort key of a kind without its name; smaller comes first.

    Attributes:
        spelled: the query is, character by character, a code (0), a name (1) or an alias (2 and up).
        inexact: the words are not all the words of what they name.
        coarse_fit: the fit without its misfit.
        not_held: a shade is held, and this is another.
        part_left: words of the part's name are left over: ``plate 2x4`` comes before ``wedge plate 2x4 left``, however
            often that was counted.
        lightness: the weight, negative.
        part_unnamed: no word speaks of the part.
        misfit: small differences of spelling.
        words_left: words of the names that nothing typed speaks of.
        length: characters of the names.
    """

    spelled: int
    inexact: bool
    coarse_fit: int
    not_held: bool
    part_left: bool
    lightness: int
    part_unnamed: bool
    misfit: int
    words_left: int
    length: int


class Found(NamedTuple):
    """A kind and where it ranks."""

    rank: Rank
    name: str
    part: str
    shade_place: int
    shade: str

    @property
    def kind(self) -> Kind:
        """The kind."""
        return Kind(self.part, self.shade)


@dataclass(frozen=True, slots=True)
class _Side:
    """The things one side may mean in one reading."""

    words: int
    fits: Fits
    named: Fits
    spelled: Mapping[int, int]

    def holds(self, number: int) -> bool:
        return number in self.fits or number in self.spelled


class Reader:
    """Reads one query over both sides.

    Args:
        parts, shades: the two sides.
        words: the query cut into words.
        text: the query as typed.
        held: the held shade, empty if none.
        limit: kinds wanted.
    """

    def __init__(
        self, parts: NameSide, shades: NameSide, words: tuple[str, ...], text: str, held: str, limit: int
    ) -> None:
        self._parts, self._shades = parts, shades
        self._words, self._held = words, held
        self._spelled_parts, self._spelled_shades = parts.spelled(text), shades.spelled(text)
        self._wanted = limit + 1  # one more than is shown tells whether the last one is a tie
        self._part_fits: list[Fits] = []
        self._shade_fits: list[Fits] = []

    def find(self, typos: bool) -> list[Found]:
        """The kinds that the query can mean, best first, one more than the limit at most."""
        self._part_fits = [self._parts.index.match(word, typos) for word in self._words]
        self._shade_fits = [self._shades.index.match(word, typos) for word in self._words]
        best: dict[Kind, Found] = {}
        for to_shade in self._readings():
            for found in self._read(to_shade):
                known = best.get(found.kind)
                if known is None or found < known:
                    best[found.kind] = found
        return nsmallest(self._wanted, best.values())

    def _readings(self) -> list[frozenset[int]]:
        """Which words may speak of the shade: all ways that some shade allows, none included."""
        claims: dict[int, list[int]] = {}
        for at, fits in enumerate(self._shade_fits):
            for shade in fits:
                claims.setdefault(shade, []).append(at)
        ways = {frozenset[int](): None}
        if self._spelled_shades:
            ways[frozenset(range(len(self._words)))] = None
        for claim in sorted(set(map(tuple, claims.values()))):
            for size in range(1, min(_SHADE_WORDS, len(claim)) + 1):
                for way in combinations(claim, size):
                    if len(ways) >= _MOST_READINGS:
                        return list(ways)
                    ways[frozenset(way)] = None
        return list(ways)

    def _read(self, to_shade: frozenset[int]) -> Iterator[Found]:
        to_part = [at for at in range(len(self._words)) if at not in to_shade]
        part = shade = None
        if to_part or (self._spelled_parts and not to_shade):
            spelled = {} if to_shade else self._spelled_parts
            part = self._side(self._parts, to_part, self._part_fits, spelled)
            if not part.fits and not part.spelled:
                return
        if to_shade or (self._spelled_shades and not to_part):
            spelled = {} if to_part else self._spelled_shades
            shade = self._side(self._shades, sorted(to_shade), self._shade_fits, spelled)
        closest = self._closest(self._parts, part) if part is not None else self._parts.first(self._wanted)
        if shade is not None:
            for number in self._likely_shades(shade):
                key = self._shades.keys[number]
                for candidate in self._parts_in(part, closest, key):
                    yield self._rank(part, candidate, shade, key)
        elif part is not None and self._held:
            for candidate in self._parts_in(part, closest, self._held):
                yield self._rank(part, candidate, None, self._held)
        elif part is not None:
            heaviest = self._heaviest(self._parts, part, self._parts.heaviest)
            for candidate, key in self._shades_of(list(dict.fromkeys(heaviest + closest))):
                yield self._rank(part, candidate, None, key)

    def _side(self, side: NameSide, at: Sequence[int], matches: list[Fits], spelled: Mapping[int, int]) -> _Side:
        words = tuple(self._words[i] for i in at)
        fits = all_of([matches[i] for i in at])
        starts = Counter(word[0] for word in words if not word[0].isdigit())
        crowding = Counter({letter: n for letter, n in starts.items() if n > 1})
        if crowding:
            fits = {n: fit + LOOSE * side.index.crowded(n, crowding) for n, fit in fits.items()}
        return _Side(len(words), fits, side.index.named(words), spelled)

    def _fit(self, reading: _Side, number: int) -> int:
        fit = reading.fits.get(number, 0)
        return fit + (0 if number in reading.spelled else reading.named.get(number, _NOT_NAMED))

    def _closest(self, side: NameSide, reading: _Side) -> list[int]:
        """The best things of a side, weight aside."""
        place = side.place
        packed = nsmallest(self._wanted, (fit << _PLACE_BITS | place(n) for n, fit in reading.fits.items()))
        best = [side.at(key & ((1 << _PLACE_BITS) - 1)) for key in packed]
        return list(dict.fromkeys([*reading.spelled, *reading.named, *best]))

    def _heaviest(self, side: NameSide, reading: _Side, weights: Mapping[str, int]) -> list[int]:
        """The best of a side among those that weigh."""
        if len(reading.fits) < len(weights):
            numbers = [n for n in {*reading.fits, *reading.spelled} if side.keys[n] in weights]
        else:
            numbers = [side.numbers.get(key, -1) for key in weights]
        return nsmallest(
            self._wanted,
            (number for number in numbers if reading.holds(number)),
            key=lambda number: (
                self._fit(reading, number) // INEXACT,
                -weights[side.keys[number]],
                side.place(number),
            ),
        )

    def _likely_shades(self, reading: _Side) -> list[int]:
        heaviest, keys = self._shades.heaviest, self._shades.keys

        def likely(number: int) -> tuple[int, int, int, int]:
            fit = self._fit(reading, number)
            return fit // INEXACT, -heaviest.get(keys[number], 0), fit, number

        return nsmallest(_MOST_SHADES, {*reading.fits, *reading.spelled}, key=likely)

    def _parts_in(self, reading: _Side | None, closest: list[int], shade: str) -> list[int]:
        weights = self._shades.weights(shade)
        if reading is not None:
            heaviest = self._heaviest(self._parts, reading, weights)
        else:
            numbers = self._parts.numbers
            known = weights.keys() & numbers.keys()
            heaviest = [numbers[key] for key in nsmallest(self._wanted, known, key=lambda key: (-weights[key], key))]
        return list(dict.fromkeys(heaviest + closest))

    def _shades_of(self, parts: Sequence[int]) -> Iterator[tuple[int, str]]:
        """A few shades of each part, the weighed ones or else the catalogue's first; more where parts are few."""
        few = max(_FEW_SHADES, -(-self._wanted // max(1, len(parts))))
        for number in parts:
            weights = self._parts.weights(self._parts.keys[number])
            shades = nsmallest(few, weights, key=lambda key: (-weights[key], self._shades.numbers.get(key, 0), key))
            if not shades or few > _FEW_SHADES:
                shades = list(dict.fromkeys([*shades, *self._shades.keys[: few + len(shades)]]))[:few]
            for key in shades:
                yield number, key

    def _rank(self, part: _Side | None, number: int, shade: _Side | None, key: str) -> Found:
        code = self._parts.keys[number]
        shade_number = self._shades.numbers.get(key, -1)
        spelled, inexact, part_fit, words_left, length = _NOT_SPELLED, False, _NOT_NAMED, 2, 0
        words, characters = self._parts.index.lengths[number]
        if part is not None:
            spelled = part.spelled.get(number, _NOT_SPELLED)
            inexact = number not in part.named and number not in part.spelled
            part_fit = self._fit(part, number)
            words_left = max(0, words - part.words)
        part_left = part is None or (words_left > 0 and number not in part.spelled and number not in part.named)
        length = characters
        shade_fit = 0 if self._held else _NOT_NAMED
        if shade is not None:
            words, characters = self._shades.index.lengths[shade_number]
            spelled = min(spelled, shade.spelled.get(shade_number, _NOT_SPELLED))
            inexact = inexact or (shade_number not in shade.named and shade_number not in shade.spelled)
            shade_fit = self._fit(shade, shade_number)
            words_left += max(0, words - shade.words)
            length += characters
        elif not self._held:
            words_left += 1
        fit = part_fit + shade_fit
        return Found(
            Rank(
                spelled,
                inexact,
                fit // INEXACT,
                bool(self._held) and key != self._held,
                part_left,
                -self._parts.weights(code).get(key, 0),
                part is None,
                fit & MISFIT,
                words_left,
                length,
            ),
            self._parts.shown(number),
            code,
            shade_number,
            key,
        )


def all_of(fits: Sequence[Fits]) -> Fits:
    """Things that fit every word, and their fits in sum."""
    if len(fits) < 2:
        return fits[0] if fits else {}
    few, *others = sorted(fits, key=len)
    found = {}
    for number, fit in few.items():
        for other in others:
            more = other.get(number)
            if more is None:
                break
            fit += more
        else:
            found[number] = fit
    return found
