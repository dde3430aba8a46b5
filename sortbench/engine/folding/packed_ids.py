"""Ids of records in runs: a long sitting makes tens of thousands, nearly all in a row, and keeps them for undoing."""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import overload

from sortbench.model.fold import NUMBERS, WHOLE
from sortbench.model.tally import RecordId


class PackedIds(Sequence[RecordId]):
    """Ids in the order in which they were put in; those of a sitting whose numbers follow each other take no room.

    Args:
        ids: the first ones.
    """

    def __init__(self, ids: Iterable[RecordId] = ()) -> None:
        self._sittings: list[str] = []
        self._begins = array(NUMBERS)
        """Places at which runs begin."""
        self._firsts = array(WHOLE)
        """Numbers with which they begin."""
        self._length = 0
        self._next: tuple[str, int] = ("", 0)  # what would go on with the last run
        for rid in ids:
            self.append(rid)

    def append(self, rid: RecordId) -> None:
        """Put one more at the end."""
        sitting, seq = rid
        if rid != self._next:
            self._sittings.append(sitting)
            self._begins.append(self._length)
            self._firsts.append(seq)
        self._next = (sitting, seq + 1)
        self._length += 1

    def __len__(self) -> int:
        return self._length

    @overload
    def __getitem__(self, index: int) -> RecordId: ...

    @overload
    def __getitem__(self, index: slice) -> list[RecordId]: ...

    def __getitem__(self, index: int | slice) -> RecordId | list[RecordId]:
        if isinstance(index, slice):
            return [self[place] for place in range(*index.indices(self._length))]
        place = range(self._length)[index]
        run = bisect_right(self._begins, place) - 1
        return RecordId(self._sittings[run], self._firsts[run] + place - self._begins[run])

    def __iter__(self) -> Iterator[RecordId]:
        for run, sitting in enumerate(self._sittings):
            yield from map(RecordId, repeat(sitting), self._numbers(run))

    def __reversed__(self) -> Iterator[RecordId]:
        for run in reversed(range(len(self._sittings))):
            yield from map(RecordId, repeat(self._sittings[run]), reversed(self._numbers(run)))

    def _numbers(self, run: int) -> range:
        end = self._begins[run + 1] if run + 1 < len(self._begins) else self._length
        return range(self._firsts[run], self._firsts[run] + end - self._begins[run])
