"""A library of lists laid out as arrays: which kinds each list asks for, how many, and how common each kind is.

Imports numpy, so it is imported where it is needed and nowhere at the top of a module.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from sortbench.engine.identify.shapes import MOST
from sortbench.model.catalogue import Kind

_Figure = TypeVar("_Figure", np.float64, np.int64)

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


class Listed(NamedTuple):
    """One list of the library.

    Attributes:
        key: what tells it from all others.
        name: for people.
        lines: kinds and the pieces asked for; each kind once, each quantity at least 1.
    """

    key: str
    name: str
    lines: Mapping[Kind, int]


class ListIndex:
    """Lists with lines, as arrays. Lists without a line tell nothing and are left out.

    Attributes:
        lists: in the order given.
        kinds: every kind that a list names.
        place: number of a kind.
        starts: where the lines of each list begin in ``kind`` and ``asked``; one more at the end.
        kind: number of the kind of each line.
        asked: pieces that each line asks for.
        unit: pieces of each kind that are weighed as one.
        weighed: units that each line asks for, 1 to MOST.
        total: units that each list asks for.
        holders: in how many lists each kind occurs.
        common: share of each kind among foreign pieces of listed kinds, as they are reckoned to be.
        shade: number of the shade of each kind; there are ``shades`` of them.
        by_shade: units that each list asks for, shade by shade.
        covered: share of a list's pieces whose kind occurs in another list too; so many of the foreign pieces are
            reckoned to be of listed kinds.
    """

    def __init__(self, lists: Sequence[Listed]) -> None:
        self.lists = tuple(each for each in lists if each.lines)
        place: dict[Kind, int] = {}
        for each in self.lists:
            for kind in each.lines:
                place.setdefault(kind, len(place))
        self.place: Mapping[Kind, int] = place
        self.kinds = tuple(place)
        lengths = [len(each.lines) for each in self.lists]
        self.starts: Whole = np.concatenate(([0], np.cumsum(lengths, dtype=np.int64)))
        self.kind: Whole = np.fromiter((place[kind] for each in self.lists for kind in each.lines), dtype=np.int64)
        self.asked: Whole = np.fromiter((n for each in self.lists for n in each.lines.values()), dtype=np.int64)
        most = np.ones(len(place), dtype=np.int64)
        np.maximum.at(most, self.kind, self.asked)
        self.unit: Whole = -(-most // MOST)
        self.weighed: Whole = -(-self.asked // self.unit[self.kind])
        self.total: Whole = self.sums(self.weighed)
        self.holders: Whole = np.bincount(self.kind, minlength=len(place))
        numbers: dict[str, int] = {}
        self.shade: Whole = np.array([numbers.setdefault(kind.shade, len(numbers)) for kind in place], dtype=np.int64)
        self.shades = len(numbers)
        self.by_shade: Floats = np.zeros((len(self.lists), self.shades))
        of_lines = np.repeat(np.arange(len(self.lists)), lengths)
        np.add.at(self.by_shade, (of_lines, self.shade[self.kind]), self.weighed)
        pieces = np.bincount(self.kind, self.weighed, len(place))
        # What other lists than the one that is looked at ask for, on the average: a kind that occurs in one list only
        # hardly comes from anywhere else.
        elsewhere = pieces * (self.holders - 1) / np.maximum(1, self.holders)
        self.common: Floats = (elsewhere + 0.5) / (elsewhere + 0.5).sum() if len(place) else elsewhere
        shared = float(pieces[self.holders > 1].sum())
        self.covered = shared / float(pieces.sum()) if len(place) else 0.0

    def __len__(self) -> int:
        return len(self.lists)

    def lines(self, number: int) -> slice:
        """Where the lines of a list stand."""
        return slice(int(self.starts[number]), int(self.starts[number + 1]))

    def sums(self, of_lines: NDArray[_Figure]) -> NDArray[_Figure]:
        """The sum of a figure of each line, list by list."""
        if not self.lists:
            return np.zeros(0, dtype=of_lines.dtype)
        sums: NDArray[_Figure] = np.add.reduceat(of_lines, self.starts[:-1])
        return sums
