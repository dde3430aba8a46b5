"""Records in the order of their times, however many there are: ids are made as far as somebody looks."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import chain
from operator import attrgetter
from typing import TYPE_CHECKING, overload

from sortbench.engine.folding.packed_ids import PackedIds
from sortbench.model.tally import Record, RecordId, What

if TYPE_CHECKING:
    from sortbench.engine.folding.packed_records import PackedRecords

UNDOABLE = frozenset({What.TALLY, What.MOVE, What.LINE, What.RESERVE, What.REGRADE, What.RECOUNT})
"""Records that undoing means something for: they speak of pieces."""


class InTime(Sequence[RecordId]):
    """Ids of records by time, then id; what comes later is appended as it comes.

    Args:
        fresh: records that are not packed, by time, then id.
        packed: records of an earlier fold.
        whats: sorts of records that are asked for.
    """

    def __init__(self, fresh: Iterable[Record], packed: PackedRecords | None, whats: Collection[What]) -> None:
        self._packed = packed
        self._whats = whats
        self._old: Sequence[int] | None = ()
        late = iter(fresh)
        if packed is not None:
            first = next(late, None)
            late = late if first is None else chain((first,), late)
            order, cut = packed.fold.order, place_in_time(packed, first)
            if cut < len(order):  # a log of another machine came in between
                late = iter(by_time(chain(map(packed.at, order[cut:]), late)))
            self._cut, self._old = cut, None  # made when somebody asks for more than the last few
        self._late = PackedIds(record.id for record in late if record.what in whats)

    def append(self, rid: RecordId) -> None:
        """Put one more at the end."""
        self._late.append(rid)

    def __len__(self) -> int:
        return len(self.packed_places) + len(self._late)

    @overload
    def __getitem__(self, index: int) -> RecordId: ...

    @overload
    def __getitem__(self, index: slice) -> list[RecordId]: ...

    def __getitem__(self, index: int | slice) -> RecordId | list[RecordId]:
        if isinstance(index, slice):
            return [self[place] for place in range(*index.indices(len(self)))]
        old = self.packed_places
        if index < 0:
            index += len(self)
        if not 0 <= index < len(self):
            raise IndexError(index)
        if index >= len(old) or self._packed is None:
            return self._late[index - len(old)]
        return self._packed.id_at(old[index])

    def __iter__(self) -> Iterator[RecordId]:
        if self._packed is not None:
            yield from map(self._packed.id_at, self.packed_places)
        yield from self._late

    def __reversed__(self) -> Iterator[RecordId]:
        """The latest first. Looks at packed records only as far as it is followed."""
        yield from reversed(self._late)
        if self._packed is None:
            return
        if self._old is not None:
            yield from map(self._packed.id_at, reversed(self._old))
            return
        fold = self._packed.fold
        suits = self._manners(self._packed)
        for index in range(self._cut - 1, -1, -1):
            if fold.manner_of[fold.order[index]] in suits:
                yield self._packed.id_at(fold.order[index])

    def last(self, limit: int) -> list[RecordId]:
        """The latest, newest first; at most as many as asked for."""
        return [rid for _, rid in zip(range(limit), reversed(self), strict=False)]

    @property
    def holds_all_packed(self) -> bool:
        """Whether no record that is not packed comes before one that is."""
        return self._packed is None or self._cut == len(self._packed.fold.order)

    @property
    def late(self) -> Sequence[RecordId]:
        """Those that come after the first that is not packed, and that one."""
        return self._late

    @property
    def packed_places(self) -> Sequence[int]:
        """Places of the packed records that come before all others."""
        if self._old is None:
            assert self._packed is not None, "only packed records are looked at late"
            fold, suits = self._packed.fold, self._manners(self._packed)
            order, manner_of = fold.order[: self._cut], fold.manner_of
            is_whole = len(suits) == len(fold.manners)
            self._old = order if is_whole else [place for place in order if manner_of[place] in suits]
        return self._old

    def _manners(self, packed: PackedRecords) -> set[int]:
        return {number for number, manner in enumerate(packed.fold.manners) if manner.what in self._whats}


def by_time(records: Iterable[Record]) -> list[Record]:
    """Records by time, then id. Two sorts of what is nearly in order already are quicker than one by pairs."""
    return sorted(sorted(records, key=_ID), key=_TIME)


def time_and_id(record: Record) -> tuple[str, RecordId]:
    """What records are put in order by."""
    return record.at, record.id


def place_in_time(packed: PackedRecords, first: Record | None) -> int:
    """How many packed records come before another one; all of them where there is none."""
    order = packed.fold.order
    if first is None:
        return len(order)
    key: Callable[[int], tuple[str, RecordId]] = lambda place: (packed.time(place), packed.id_at(place))  # noqa: E731
    return bisect_left(order, time_and_id(first), key=key)


_ID, _TIME = attrgetter("id"), attrgetter("at")
