"""From records to counts: the only place where counts come from.

Counts are a fold of records by their id. The order in which records arrive, and how often the same one arrives, make
no difference, so logs copied between machines merge by being read together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from operator import itemgetter
from typing import TypeVar

from sortbench.model.catalogue import Kind
from sortbench.model.tally import PARCEL, Cell, Condition, Fate, Reading, Record, RecordId, What

_Key = TypeVar("_Key")

_CRATE = Fate.CRATE  # looked up once: an enum's members are slow to get at


class Ledger:
    """All records known, and the counts they come to.

    A record is *alive* unless a living void is laid on it; so a void laid on a void brings the first record back. A
    correction stands in for the record it names and for all that this one stood in for, so a record with a living
    correction stays alive for what it replaced, whatever else was laid on it. A record *holds*, and counts, if no
    living record names it. Records that name each other in a ring (no honest log has one) are settled by ignoring what
    the one of the smallest id names.
    """

    def __init__(self, records: Iterable[Record] = ()) -> None:
        self._records: dict[RecordId, Record] = {}
        self._holds: dict[RecordId, bool] = {}
        self._dead: set[RecordId] = set()
        self._voiders: dict[RecordId, list[RecordId]] = {}
        self._ignored: set[RecordId] = set()
        self._reset()
        self._load(records)

    def _load(self, records: Iterable[Record]) -> None:
        """Take in the first records: plain tallies heap by heap instead of one by one, the others after them."""
        known, others = self._records, []
        heaps: dict[Cell, int] = {}
        tally = What.TALLY
        for record in records:
            rid, _, what, cell, quantity, _, _, voids, way, _, _, lab = record
            if what is not tally or voids is not None or cell is None or lab is not None or way[:7] == PARCEL:
                others.append(record)
            elif rid not in known:
                known[rid] = record
                heaps[cell] = heaps.get(cell, 0) + quantity
        self._holds = dict.fromkeys(known, True)
        for cell, quantity in heaps.items():
            self._add(cell, quantity)
        for record in others:
            self.apply(record)

    def _reset(self) -> None:
        self._counts: dict[Cell, int] = {}
        self._by_bin: dict[str, dict[Cell, int]] = defaultdict(dict)
        self._by_crate: dict[str, dict[Cell, int]] = defaultdict(dict)
        self._by_kind: dict[Kind, dict[Cell, int]] = defaultdict(dict)
        self._written: dict[str, dict[RecordId, Record]] = defaultdict(dict)
        self._reserved: dict[Kind, dict[tuple[Condition, str], int]] = defaultdict(dict)
        self._measured: dict[Kind, dict[RecordId, Record]] = defaultdict(dict)
        self._recounted: dict[str, dict[RecordId, Record]] = defaultdict(dict)
        self._coarse: dict[Cell, int] = {}
        self._fates: dict[Fate, int] = dict.fromkeys(Fate, 0)
        self._ordered = 0

    @property
    def counts(self) -> Mapping[Cell, int]:
        """Pieces by heap; heaps of none are left out."""
        return self._counts

    @property
    def records(self) -> Mapping[RecordId, Record]:
        """Every record known, by its id."""
        return self._records

    @property
    def pieces(self) -> int:
        """Pieces counted and not thrown out."""
        return self._fates[Fate.KEPT] + self._fates[Fate.WASH] + self._fates[_CRATE]

    def of_fate(self, fate: Fate) -> int:
        """Pieces counted whose fate is this one."""
        return self._fates[fate]

    @property
    def of_pile(self) -> int:
        """Pieces counted out of the pile, those thrown out included: all but what was ordered and came in parcels."""
        return self.pieces + self._fates[Fate.OUT] - self._ordered

    def in_bin(self, label: str) -> Mapping[Cell, int]:
        """What lies in a bin, heap by heap."""
        return self._by_bin.get(label, {})

    @property
    def bins(self) -> Iterable[str]:
        """Labels of the bins in which something lies."""
        return (label for label, cells in self._by_bin.items() if cells and label)

    def in_crate(self, code: str) -> Mapping[Cell, int]:
        """What lies in the crate of a target, heap by heap."""
        return self._by_crate.get(code, {})

    @property
    def crates(self) -> Iterable[str]:
        """Codes of the targets in whose crates something lies."""
        return (code for code, cells in self._by_crate.items() if cells)

    def reserved(self, kind: Kind) -> Mapping[Condition, Mapping[str, int]]:
        """Pieces of a kind set aside by hand and not yet in a crate: by grade and flaws, then by the target's code.

        More may be set aside than there are pieces: they may have been thrown out, or voided, since.
        """
        found: dict[Condition, dict[str, int]] = {}
        for (condition, code), quantity in self._reserved.get(kind, {}).items():
            # Below nothing where pieces were picked whose setting aside is void or lies in a log that is not here.
            if quantity > 0:
                found.setdefault(condition, {})[code] = quantity
        return found

    @property
    def reserved_kinds(self) -> tuple[Kind, ...]:
        """Kinds of which something is set aside by hand."""
        return tuple(kind for kind in self._reserved if self.reserved(kind))

    def readings(self, kind: Kind) -> Mapping[Condition, Sequence[tuple[int, Reading]]]:
        """Colours measured on pieces of a kind, by the grade and flaws they were found in: pieces and reading of each
        tally or regrade that has one, in the order of the records.

        Pieces that were carried on, picked, thrown out or judged anew since are told of all the same: what was measured
        on some pieces says what others of the same kind and condition look like.
        """
        found: dict[Condition, list[tuple[int, Reading]]] = {}
        for _, record in sorted(self._measured.get(kind, {}).items(), key=itemgetter(0)):
            if record.put is not None and record.lab is not None:
                condition = record.put.grade, record.put.flaws
                found.setdefault(condition, []).append((record.quantity, record.lab))
        return found

    def recounted(self, way: str) -> tuple[Record, ...]:
        """What a second person found who recounted a bin, in the order of the records; no count hangs on it.

        Args:
            way: names the recount, as its records do.
        """
        return tuple(record for _, record in sorted(self._recounted.get(way, {}).items(), key=itemgetter(0)))

    @property
    def recounts(self) -> tuple[str, ...]:
        """Ways that recounts which hold name."""
        return tuple(way for way, found in self._recounted.items() if found)

    def of_kind(self, kind: Kind) -> Mapping[Cell, int]:
        """Where the pieces of a kind lie, heap by heap."""
        return self._by_kind.get(kind, {})

    @property
    def coarse(self) -> Mapping[Cell, int]:
        """Heaps of pieces whose part nobody has looked at."""
        return self._coarse

    @property
    def kinds(self) -> Iterable[Kind]:
        """Kinds of which at least one piece is counted."""
        return (kind for kind, cells in self._by_kind.items() if cells)

    def written(self, target: str) -> Mapping[Kind, int]:
        """What was written up on a target's list at this bench, beside the list it came with.

        In the order in which the kinds were first written up; a corrected line keeps the place of what it corrects.
        """
        lines: dict[Kind, int] = {}
        for _, record in sorted(
            ((self._place(rid), record) for rid, record in self._written.get(target, {}).items()), key=itemgetter(0)
        ):
            if record.cell is not None and record.cell.kind is not None:
                _bump(lines, record.cell.kind, record.quantity)
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

    @property
    def written_targets(self) -> tuple[str, ...]:
        """Codes of the targets that something was written up for."""
        return tuple(code for code, lines in self._written.items() if lines)

    def holds(self, record: RecordId) -> bool:
        """Whether a record counts: known, neither voided nor corrected."""
        return self._holds.get(record, False)

    def voider(self, record: RecordId) -> RecordId | None:
        """The first record that voids or corrects this one at present, None if it holds."""
        return min(self.voiders(record), default=None)

    def voiders(self, record: RecordId) -> list[RecordId]:
        """All records that void or correct this one at present."""
        return [v for v in self._voiders.get(record, ()) if v not in self._dead]

    def impossible(self) -> list[Cell]:
        """Heaps that come to fewer than no pieces: pieces were moved whose tally is void or not at hand."""
        return [cell for cell, quantity in self._counts.items() if quantity < 0]

    def apply(self, record: Record) -> bool:
        """Take a record in.

        Returns:
            False if it was known already.
        """
        rid = record.id
        if rid in self._records:
            return False
        self._records[rid] = record
        if record.voids is not None:
            self._voiders.setdefault(record.voids, []).append(rid)
            if self._break_ring(rid):
                self._refold()
                return True
        dead, self._holds[rid] = self._verdict(rid)
        if dead:
            self._dead.add(rid)
        if self._holds[rid]:
            self._weigh(record, 1)
        if not dead:
            self._reconsider(record.voids)
        return True

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
            record, held = self._records[rid], self._holds[rid]
            dead, now = self._verdict(rid)
            if now != held:
                self._holds[rid] = now
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
        self._holds.clear()
        self._dead.clear()
        for rid in self._records:
            chain: list[RecordId] = []
            pending = [rid]
            while pending:
                at = pending.pop()
                if at not in self._holds and at in self._records:
                    chain.append(at)
                    pending.extend(self._voiders.get(at, ()))
            for at in reversed(chain):
                dead, self._holds[at] = self._verdict(at)
                if dead:
                    self._dead.add(at)
        for rid, record in self._records.items():
            if self._holds[rid]:
                self._weigh(record, 1)

    def _weigh(self, record: Record, sign: int) -> None:
        cell = record.cell
        if cell is None:
            return
        quantity = sign * record.quantity
        if record.lab is not None and cell.kind is not None:
            _note(self._measured[cell.kind], record, sign)
        if record.what is What.TALLY:
            self._add(cell, quantity)
            if record.way.startswith(PARCEL):
                self._ordered += quantity
        elif record.what is What.MOVE or record.what is What.REGRADE:
            self._add(cell, -quantity)
            self._add(record.put or cell, quantity)
            if record.target:
                self._reserve(cell, record.target, -quantity)
        elif record.what is What.RESERVE:
            self._reserve(cell, record.target, quantity)
        elif record.what is What.LINE and cell.kind is not None:
            _note(self._written[record.target], record, sign)
        elif record.what is What.RECOUNT:
            _note(self._recounted[record.way], record, sign)

    def _add(self, cell: Cell, quantity: int) -> None:
        label, part, shade, _, _, _, fate = cell
        _bump(self._counts, cell, quantity)
        _bump((self._by_crate if fate is _CRATE else self._by_bin)[label], cell, quantity)
        if part and shade:
            _bump(self._by_kind[Kind(part, shade)], cell, quantity)
        else:
            _bump(self._coarse, cell, quantity)
        self._fates[fate] += quantity

    def _reserve(self, cell: Cell, target: str, quantity: int) -> None:
        if cell.kind is not None:
            _bump(self._reserved[cell.kind], ((cell.grade, cell.flaws), target), quantity)


def _note(records: dict[RecordId, Record], record: Record, sign: int) -> None:
    """Remember a record that holds, or forget one that no longer does."""
    if sign > 0:
        records[record.id] = record
    else:
        del records[record.id]


def _bump(counts: dict[_Key, int], key: _Key, by: int) -> None:
    total = counts.get(key, 0) + by
    if total:
        counts[key] = total
    else:
        counts.pop(key, None)
