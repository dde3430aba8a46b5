"""One side of a kind, parts or shades: its keys, its names, and how much each weighs with things of the other side."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping, Sequence

from sortbench.engine.entering.token_index import TokenIndex
from sortbench.engine.entering.words import spelling

_Place = tuple[tuple[int, int], str, str, int]


class NameSide:
    """Things found by name. Each has a number, given in the order in which they came and kept for good."""

    def __init__(self, things: Iterable[tuple[str, Sequence[str]]]) -> None:
        """
        Args:
            things: key and names of each, the name that is shown first.
        """
        self.index = TokenIndex()
        self.keys: list[str] = []
        self.numbers: dict[str, int] = {}
        self.heaviest: dict[str, int] = {}
        """By key, the largest weight with any thing of the other side; only what weighs is in."""
        self._names: list[Sequence[str]] = []
        self._weights: dict[str, dict[str, int]] = {}
        self._spelled: dict[str, dict[int, int]] = {}
        self._places: dict[int, int] = {}
        self.index.build([(self._enter(key, names), (names[0], key, *names[1:])) for key, names in things])
        self._order = sorted(map(self._place, self.numbers.values()))

    def add(self, key: str, names: Sequence[str]) -> None:
        """Make one thing known, or known by other names."""
        known = self.numbers.get(key)
        if known is not None:
            self._order.pop(bisect_left(self._order, self._place(known)))
            for name in (key, *self._names[known]):
                self._spelled[spelling(name)].pop(known, None)
        number = self._enter(key, names)
        self.index.add(number, (names[0], key, *names[1:]))
        insort(self._order, self._place(number))
        self._places = {}

    def weigh(self, key: str, other: str, weight: int) -> None:
        """Say how much a thing weighs with one of the other side; 0 and less forgets it."""
        weights = self._weights.setdefault(key, {})
        before, heaviest = weights.pop(other, 0), self.heaviest.get(key, 0)
        if weight > 0:
            weights[other] = weight
        if weight >= heaviest > 0 or (weight > 0 and not heaviest):
            self.heaviest[key] = weight
        elif before == heaviest:  # only then are all the others looked through
            self.heaviest[key] = max(weights.values(), default=0)
            if not self.heaviest[key]:
                del self.heaviest[key]

    def weigh_all(self, said: Iterable[tuple[str, str, int]]) -> None:
        """Say how much things weigh of which nothing was said yet: key, key of the other side, weight above 0."""
        every = self._weights
        for key, other, weight in said:
            if key in every:
                every[key][other] = weight
            else:
                every[key] = {other: weight}
        self.heaviest = {key: max(weights.values()) for key, weights in every.items() if weights}

    def weights(self, key: str) -> Mapping[str, int]:
        """Weights of a thing by key of the other side; only what weighs is in."""
        return self._weights.get(key, {})

    def spelled(self, text: str) -> Mapping[int, int]:
        """Things that are spelled just so: 0 by key, 1 by shown name, more by alias."""
        return self._spelled.get(spelling(text), {})

    def place(self, number: int) -> int:
        """Rank of a thing by length of its name in words, then characters, then name, then key."""
        if not self._places:
            self._places = {entry[-1]: place for place, entry in enumerate(self._order)}
        return self._places[number]

    def at(self, place: int) -> int:
        """The thing at a rank."""
        return self._order[place][-1]

    def first(self, count: int) -> list[int]:
        """The things with the shortest names."""
        return [entry[-1] for entry in self._order[:count]]

    def shown(self, number: int) -> str:
        """The name that is shown."""
        return self._names[number][0]

    def _enter(self, key: str, names: Sequence[str]) -> int:
        number = self.numbers.setdefault(key, len(self.keys))
        if number == len(self.keys):
            self.keys.append(key)
            self._names.append(names)
        self._names[number] = names
        for rank, name in enumerate((key, *names)):
            self._spelled.setdefault(spelling(name), {}).setdefault(number, rank)
        return number

    def _place(self, number: int) -> _Place:
        return self.index.lengths[number], self.shown(number), self.keys[number], number
