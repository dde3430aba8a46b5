"""From records to counts: the only place where counts come from.

Counts are a fold of records by their id. The order in which records arrive, and how often the same one arrives, make
no difference, so logs copied between machines merge by being read together.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from operator import itemgetter
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.folding.fresh_records import FreshRecords
from sortbench.engine.sums import Sums
from sortbench.model.catalogue import Kind
from sortbench.model.tally import PARCEL, Cell, Record, RecordId, What

if TYPE_CHECKING:
    from sortbench.engine.folding.packed_records import PackedRecords
    from sortbench.model.fold import Manner


class Verdicts(NamedTuple):
    """What is said of records beside their counts: which do not hold, are dead, or have what they name ignored."""

    unheld: Collection[RecordId]
    dead: Collection[RecordId]
    ignored: Collection[RecordId]


class Ledger(Sums):
    """All records known, and the counts they come to.

    A record is *alive* unless a living void is laid on it; so a void laid on a void brings the first record back. A
    correction stands in for the record it names and for all that this one stood in for, so a record with a living
    correction stays alive for what it replaced, whatever else was laid on it. A record *holds*, and counts, if no
    living record names it. Records that name each other in a ring (no honest log has one) are settled by ignoring what
    the one of the smallest id names.

    Args:
        records: in any order, any of them more than once.
        packed: an earlier fold, whose records come to what it says they do. They may stand among ``records`` again.
    """

    def __init__(self, records: Iterable[Record] = (), packed: PackedRecords | None = None) -> None:
        super().__init__()
        self.packed = packed
        self._fresh = FreshRecords()
        self._records: Mapping[RecordId, Record] = self._fresh
        self._unheld: set[RecordId] = set()
        self._dead: set[RecordId] = set()
        self._voiders: dict[RecordId, list[RecordId]] = {}
        self._ignored: set[RecordId] = set()
        if packed is not None:
            self._unpack(packed)
        self._load(records)

    def _load(self, records: Iterable[Record]) -> None:
        """Take in the first records: plain tallies heap by heap instead of one by one, the others after them."""
        fresh, others = self._fresh.loose, []
        known = fresh if self.packed is None else self._records
        heaps: dict[Cell, int] = {}
        tally, named = What.TALLY, self._voiders
        for record in records:
            rid, _, what, cell, quantity, _, _, voids, way, _, _, lab = record
            if (
                what is not tally
                or voids is not None
                or cell is None
                or lab is not None
                or way[:7] == PARCEL
                or rid in named  # a void that was packed may have come before what it voids
            ):
                others.append(record)
            elif rid not in known:
                fresh[rid] = record
                heaps[cell] = heaps.get(cell, 0) + quantity
        if self._counts:
            for cell, quantity in heaps.items():
                self._add(cell, quantity)
        else:
            self._lay(heaps.items())
        for record in others:
            self.apply(record)

    def _unpack(self, packed: PackedRecords) -> None:
        """Take the counts and verdicts of an earlier fold for granted; what else its records say is few and read."""
        from sortbench.engine.folding.packed_records import JoinedRecords

        fold = packed.fold
        self._records = JoinedRecords(packed, self._fresh)
        self._unheld.update(map(packed.id_at, fold.unheld))
        self._dead.update(map(packed.id_at, fold.dead))
        self._ignored.update(map(packed.id_at, fold.ignored))
        for place, named in fold.voids.items():
            if (rid := packed.id_at(place)) not in self._ignored:
                self._voiders.setdefault(named, []).append(rid)
        self._lay(zip(fold.cells, fold.heaps, strict=True))
        for place in {*packed.places(_speaks_of_more), *fold.labs}:
            record = packed.at(place)
            if record.cell is not None and record.id not in self._unheld:
                self._weigh_beside(record, record.cell, 1)

    @property
    def records(self) -> Mapping[RecordId, Record]:
        """Every record known, by its id."""
        return self._records

    @property
    def fresh(self) -> FreshRecords:
        """The records that are not packed in an earlier fold."""
        return self._fresh

    @property
    def verdicts(self) -> Verdicts:
        """What is said of the records beside their counts."""
        return Verdicts(self._unheld, self._dead, self._ignored)

    def told(self, suits: Callable[[What, str], bool], cells: Callable[[Cell], bool] | None = None) -> Iterator[Record]:
        """Records that hold, in no order, by what they say; of packed ones only those that suit are made.

        Args:
            suits: whether records of this sort and way are asked for.
            cells: whether records that speak of such pieces are; all, without it, those that speak of none included.
        """
        for packed in filter(None, (self.packed, self._fresh.packed)):
            for place in packed.places(lambda manner: suits(manner.what, manner.way), cells):
                if packed.id_at(place) not in self._unheld:
                    yield packed.at(place)
        for rid, record in self._fresh.loose.items():
            if not suits(record.what, record.way) or rid in self._unheld:
                continue
            if cells is None or (record.cell is not None and cells(record.cell)):
                yield record

    def written(self, target: str) -> Mapping[Kind, int]:
        """What was written up on a target's list at this bench, beside the list it came with.

        In the order in which the kinds were first written up; a corrected line keeps the place of what it corrects.
        """
        lines: dict[Kind, int] = {}
        for _, record in sorted(
            ((self._place(rid), record) for rid, record in self._written.get(target, {}).items()), key=itemgetter(0)
        ):
            if record.cell is not None and record.cell.kind is not None:
                kind = record.cell.kind
                lines[kind] = lines.get(kind, 0) + record.quantity
        return lines

    def _place(self, rid: RecordId) -> tuple[RecordId, RecordId]:
        """Where a line stands on its list: the first record that it is a correction of, then itself."""
        first, passed = rid, {rid}
        while (record := self._records.get(first)) is not None and record.voids in self._records:
            if record.voids is None or record.voids in passed:
                break
            first = record.voids
            passed.add(first)
        return first, rid

    def holds(self, record: RecordId) -> bool:
        """Whether a record counts: known, neither voided nor corrected."""
        return record not in self._unheld and record in self._records

    def voiders(self, record: RecordId) -> list[RecordId]:
        """All records that void or correct this one at present."""
        return [v for v in self._voiders.get(record, ()) if v not in self._dead]

    def apply(self, record: Record) -> bool:
        """Take a record in.

        Returns:
            False if it was known already.
        """
        rid = record.id
        if rid in self._records:
            return False
        self._fresh.add(record)
        if record.voids is not None:
            self._voiders.setdefault(record.voids, []).append(rid)
            if self._break_ring(rid):
                self._refold()
                return True
        dead, holds = self._judge(rid)
        if holds:
            self._weigh(record, 1)
        if not dead:
            self._reconsider(record.voids)
        return True

    def _judge(self, rid: RecordId) -> tuple[bool, bool]:
        """Keep the verdict on a record that was not judged yet."""
        dead, holds = self._verdict(rid)
        if dead:
            self._dead.add(rid)
        if not holds:
            self._unheld.add(rid)
        return dead, holds

    def _verdict(self, rid: RecordId) -> tuple[bool, bool]:
        """Whether a known record is dead, and whether it holds, by what is known of the records that name it."""
        living = [self._records[v].what is What.VOID for v in self._voiders.get(rid, ()) if v not in self._dead]
        if not living:
            return False, True
        # A correction keeps alive what it replaces, but nothing replaces a void.
        return all(living) or self._records[rid].what is What.VOID, False

    def _reconsider(self, rid: RecordId | None) -> None:
        """Follow a record that came to life or died down the chain of what it names."""
        while rid is not None and rid in self._records:
            record, held = self._records[rid], rid not in self._unheld
            dead, now = self._verdict(rid)
            if now != held:
                self._unheld ^= {rid}
                self._weigh(record, 1 if now else -1)
            if dead == (rid in self._dead):
                return
            self._dead ^= {rid}
            rid = record.voids if rid not in self._ignored else None

    def _break_ring(self, start: RecordId) -> bool:
        ring, at = [start], self._records[start].voids
        while at is not None and at in self._records and at not in self._ignored:
            if at == start:
                weakest = min(ring)
                self._ignored.add(weakest)
                voided = self._records[weakest].voids
                if voided is not None:
                    self._voiders[voided].remove(weakest)
                return True
            ring.append(at)
            at = self._records[at].voids
        return False

    def _refold(self) -> None:
        """Work everything out again; a ring changes verdicts on records long taken in."""
        self._reset()
        self._unheld.clear()
        self._dead.clear()
        judged: set[RecordId] = set()
        for rid in self._records:
            chain: list[RecordId] = []
            pending = [rid]
            while pending:
                at = pending.pop()
                if at not in judged and at in self._records:
                    judged.add(at)
                    chain.append(at)
                    pending.extend(self._voiders.get(at, ()))
            for at in reversed(chain):
                self._judge(at)
        for record in self._records.values():
            if record.id not in self._unheld:
                self._weigh(record, 1)


def _speaks_of_more(manner: Manner) -> bool:
    """Whether records of a manner may come to more than pieces in heaps; readings stand apart."""
    if manner.what in (What.TALLY, What.MOVE, What.REGRADE):
        return bool(manner.target) or manner.way.startswith(PARCEL)
    return manner.what not in (What.OPEN, What.VOID)
