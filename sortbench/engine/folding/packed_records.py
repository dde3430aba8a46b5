"""Records of a packed fold, made when they are asked for."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, ValuesView
from itertools import repeat

from sortbench.model.fold import TIME_LENGTH, Fold, Manner, Stretch
from sortbench.model.tally import Cell, Record, RecordId


class PackedRecords(Mapping[RecordId, Record]):
    """The records of a fold by their ids.

    Attributes:
        fold: where they are packed.
    """

    def __init__(self, fold: Fold) -> None:
        self.fold = fold
        self._begins = [stretch.begin for stretch in fold.stretches]
        self._of_sitting: dict[str, list[Stretch]] = {}
        for stretch in fold.stretches:
            self._of_sitting.setdefault(stretch.sitting, []).append(stretch)

    def __len__(self) -> int:
        return len(self.fold.manner_of)

    def __iter__(self) -> Iterator[RecordId]:
        for stretch in self.fold.stretches:
            yield from map(RecordId, repeat(stretch.sitting), range(stretch.seq, stretch.seq + stretch.length))

    def __contains__(self, rid: object) -> bool:
        return isinstance(rid, RecordId) and self.place(rid) is not None

    def __getitem__(self, rid: RecordId) -> Record:
        place = self.place(rid)
        if place is None:
            raise KeyError(rid)
        return self._made(rid, place)

    def values(self) -> ValuesView[Record]:
        """All records, made one after the other."""
        return Made(self, self.made)

    def made(self) -> Iterator[Record]:
        """All records in the order of the columns."""
        return map(self._made, self, range(len(self)))

    def place(self, rid: RecordId) -> int | None:
        """Where a record stands in the columns; None for one that is not packed here."""
        for stretch in self._of_sitting.get(rid.sitting, ()):
            if 0 <= rid.seq - stretch.seq < stretch.length:
                return stretch.begin + rid.seq - stretch.seq
        return None

    def id_at(self, place: int) -> RecordId:
        """The id of the record at a place."""
        stretch = self.fold.stretches[bisect_right(self._begins, place) - 1]
        return RecordId(stretch.sitting, stretch.seq + place - stretch.begin)

    def at(self, place: int) -> Record:
        """The record at a place."""
        return self._made(self.id_at(place), place)

    def time(self, place: int) -> str:
        """The time of the record at a place."""
        odd = self.fold.odd_times.get(place)
        return self.fold.times[place * TIME_LENGTH : (place + 1) * TIME_LENGTH].decode() if odd is None else odd

    def _made(self, rid: RecordId, place: int) -> Record:
        fold = self.fold
        number = fold.cell_of[place]
        what, to_bin, target, way, to_fate, became = fold.manners[fold.manner_of[place]]
        return Record(
            rid,
            self.time(place),
            what,
            fold.cells[number - 1] if number else None,
            fold.quantity_of[place],
            to_bin,
            target,
            fold.voids.get(place),
            way,
            to_fate,
            became,
            fold.labs.get(place),
        )

    def places(self, suits: Callable[[Manner], bool], cells: Callable[[Cell], bool] | None = None) -> Iterable[int]:
        """Places of the records whose manner suits, and which speak of such a cell if that is asked.

        Each manner and each cell is looked at once, however many records there are.
        """
        fold = self.fold
        manners = {number for number, manner in enumerate(fold.manners) if suits(manner)}
        if not manners:
            return []
        if cells is not None:
            numbers = {number for number, cell in enumerate(fold.cells, 1) if cells(cell)}
            pairs = enumerate(zip(fold.manner_of, fold.cell_of, strict=True))
            return [place for place, (manner, cell) in pairs if cell in numbers and manner in manners]
        if len(manners) == len(fold.manners):
            return range(len(fold.manner_of))
        return [place for place, manner in enumerate(fold.manner_of) if manner in manners]


class JoinedRecords(Mapping[RecordId, Record]):
    """Packed records, and those that came since."""

    def __init__(self, packed: PackedRecords, fresh: Mapping[RecordId, Record]) -> None:
        self._packed = packed
        self._fresh = fresh

    def __len__(self) -> int:
        return len(self._packed) + len(self._fresh)

    def __iter__(self) -> Iterator[RecordId]:
        yield from self._packed
        yield from self._fresh

    def __contains__(self, rid: object) -> bool:
        return rid in self._fresh or rid in self._packed

    def __getitem__(self, rid: RecordId) -> Record:
        found = self._fresh.get(rid)
        return self._packed[rid] if found is None else found

    def values(self) -> ValuesView[Record]:
        """All records, packed ones made one after the other."""
        return Made(self, self.made)

    def made(self) -> Iterator[Record]:
        """All records, those that came later at the end."""
        yield from self._packed.made()
        yield from self._fresh.values()


class Made(ValuesView[Record]):
    """Records in a row, which is quicker than to look each of them up by its id."""

    def __init__(self, records: Mapping[RecordId, Record], made: Callable[[], Iterator[Record]]) -> None:
        super().__init__(records)
        self._made = made

    def __iter__(self) -> Iterator[Record]:
        return self._made()
