"""Records that came since a fold was packed, or since there was nothing: few as they are, many as they were read.

A long sitting adds tens of thousands one by one. As objects they take more than half a kilobyte each, for good; so
those that are no longer the latest are packed into columns as they pile up, some 40 bytes each.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, ValuesView
from heapq import merge
from itertools import chain, islice

from sortbench.engine.folding.in_time import by_time, time_and_id
from sortbench.engine.folding.packed_records import Made, PackedRecords
from sortbench.model.fold import NO_RECORDS, NUMBERS, TIME_LENGTH, Manner, Stretch
from sortbench.model.tally import Cell, Record, RecordId

BATCH = 512
"""Records that are packed at once, in about a millisecond."""
_MOST = 1 << 8 * array(NUMBERS).itemsize


class FreshRecords(Mapping[RecordId, Record]):
    """Records by their ids, the older of those that were added packed.

    Attributes:
        loose: those that are not packed; records that are read in a row are put straight in here, and stay.
        packed: those that are.
    """

    def __init__(self) -> None:
        self.loose: dict[RecordId, Record] = {}
        self.packed = GrowingRecords()
        self._added = 0

    def add(self, record: Record) -> None:
        """Take in a record that is not known yet."""
        self.loose[record.id] = record
        self._added += 1
        if self._added >= 2 * BATCH:
            self._pack()

    def _pack(self) -> None:
        latest = list(islice(reversed(self.loose), self._added))
        batch = [self.loose[rid] for rid in latest[BATCH:]]
        for record in self.packed.take(batch):
            del self.loose[record.id]
        self._added = BATCH

    def __len__(self) -> int:
        return len(self.loose) + len(self.packed)

    def __iter__(self) -> Iterator[RecordId]:
        return chain(self.packed, self.loose)

    def __contains__(self, rid: object) -> bool:
        return rid in self.loose or rid in self.packed

    def __getitem__(self, rid: RecordId) -> Record:
        found = self.loose.get(rid)
        return self.packed[rid] if found is None else found

    def values(self) -> ValuesView[Record]:
        """All records, packed ones made one after the other."""
        return Made(self, self.made)

    def made(self) -> Iterator[Record]:
        """All records, the latest at the end."""
        return chain(self.packed.made(), self.loose.values())

    def in_time(self) -> Iterator[Record]:
        """All records by time, then id. Packed ones are made one after the other, where they were packed in that order:
        a sitting of one person writes so, and all at once they would take a quarter of a kilobyte each.
        """
        loose = by_time(self.loose.values())
        packed = self.packed.in_time()
        first = next(packed, None)
        if first is None:
            return iter(loose)
        begin = bisect_left(loose, time_and_id(first), key=time_and_id)
        end = bisect_left(loose, self.packed.latest, lo=begin, key=time_and_id)
        late = chain((first,), packed)
        between = merge(loose[begin:end], late, key=time_and_id) if begin < end else late
        return chain(loose[:begin], between, loose[end:])


class GrowingRecords(PackedRecords):
    """Packed records to which more are added; of what they come to, nothing is kept here.

    Attributes:
        latest: time and id of the latest.
    """

    def __init__(self) -> None:
        self.latest = "", RecordId("", 0)
        self._are_in_time = True
        self._cells: list[Cell] = []
        self._manners: list[Manner] = []
        self._stretches: list[Stretch] = []
        self._times = bytearray()
        self._odd_times: dict[int, str] = {}
        self._voids: dict[int, RecordId] = {}
        self._labs: dict[int, tuple[float, float, float]] = {}
        self._cell_numbers: dict[Cell, int] = {}
        self._manner_numbers: dict[Manner, int] = {}
        super().__init__(
            NO_RECORDS._replace(
                cells=self._cells,
                manners=self._manners,
                stretches=self._stretches,
                manner_of=array(NUMBERS),
                cell_of=array(NUMBERS),
                quantity_of=array(NUMBERS),
                times=self._times,
                odd_times=self._odd_times,
                voids=self._voids,
                labs=self._labs,
            )
        )

    def take(self, records: Iterable[Record]) -> list[Record]:
        """Pack more records, none of which is packed here yet.

        Returns:
            Those that were packed. A record of which a number is too large for a column is not.
        """
        packed = sorted((record for record in records if 0 <= record.quantity < _MOST), key=lambda record: record.id)
        for record in packed:
            self._take(record)
        return packed

    def in_time(self) -> Iterator[Record]:
        """All records by time, then id."""
        return self.made() if self._are_in_time else iter(by_time(self.made()))

    def _take(self, record: Record) -> None:
        rid, at, what, cell, quantity, to_bin, target, voids, way, to_fate, became, lab = record
        place = len(self)
        if (at, rid) < self.latest:
            self._are_in_time = False
        else:
            self.latest = at, rid
        manner = Manner(what, to_bin, target, way, to_fate, became)
        number = self._manner_numbers.setdefault(manner, len(self._manners))
        if number == len(self._manners):
            self._manners.append(manner)
        spoken = 0
        if cell is not None:
            spoken = self._cell_numbers.setdefault(cell, len(self._cells) + 1)
            if spoken > len(self._cells):
                self._cells.append(cell)
        self.fold.manner_of.append(number)
        self.fold.cell_of.append(spoken)
        self.fold.quantity_of.append(quantity)
        usual = len(at) == TIME_LENGTH and at.isascii()
        self._times += (at if usual else " " * TIME_LENGTH).encode()
        if not usual:
            self._odd_times[place] = at
        if voids is not None:
            self._voids[place] = voids
        if lab is not None:
            self._labs[place] = lab
        self._lengthen(rid, place)

    def _lengthen(self, rid: RecordId, place: int) -> None:
        own = self._of_sitting.setdefault(rid.sitting, [])
        last = self._stretches[-1] if self._stretches else None
        if last is not None and rid == (last.sitting, last.seq + last.length):
            self._stretches[-1] = own[-1] = last._replace(length=last.length + 1)
        else:
            self._stretches.append(Stretch(rid.sitting, rid.seq, place, 1))
            own.append(self._stretches[-1])
            self._begins.append(place)
