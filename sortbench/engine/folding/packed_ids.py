"""Ids of records in columns: a long sitting makes tens of thousands, and keeps them all for undoing."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Sequence
from typing import overload

from sortbench.model.fold import NUMBERS, WHOLE
from sortbench.model.tally import RecordId


class PackedIds(Sequence[RecordId]):
    """Ids in the order in which they were put in, in 12 bytes each.

    Args:
        ids: the first ones.
    """

    def __init__(self, ids: Iterable[RecordId] = ()) -> None:
        self._sittings: list[str] = []
        self._numbers: dict[str, int] = {}
        self._sitting_of = array(NUMBERS)
        self._seq_of = array(WHOLE)
        for rid in ids:
            self.append(rid)

    def append(self, rid: RecordId) -> None:
        """Put one more at the end."""
        sitting, seq = rid
        number = self._numbers.get(sitting)
        if number is None:
            number = self._numbers[sitting] = len(self._sittings)
            self._sittings.append(sitting)
        self._seq_of.append(seq)
        self._sitting_of.append(number)

    def __len__(self) -> int:
        return len(self._seq_of)

    @overload
    def __getitem__(self, index: int) -> RecordId: ...

    @overload
    def __getitem__(self, index: slice) -> list[RecordId]: ...

    def __getitem__(self, index: int | slice) -> RecordId | list[RecordId]:
        if isinstance(index, slice):
            return [self[place] for place in range(*index.indices(len(self)))]
        return RecordId(self._sittings[self._sitting_of[index]], self._seq_of[index])

    def __iter__(self) -> Iterator[RecordId]:
        return map(RecordId, map(self._sittings.__getitem__, self._sitting_of), self._seq_of)

    def __reversed__(self) -> Iterator[RecordId]:
        return map(RecordId, map(self._sittings.__getitem__, reversed(self._sitting_of)), reversed(self._seq_of))
