"""What records come to that hold: heaps, where they lie, and what is known beside them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from operator import itemgetter
from typing import TypeVar

from sortbench.model.catalogue import Kind
from sortbench.model.tally import PARCEL, Cell, Condition, Fate, Reading, Record, RecordId, What

_Key = TypeVar("_Key")

as_kind = partial(tuple.__new__, Kind)
"""A kind from its fields, made as plain tuples are, in half the time of calling the class."""

_CRATE = Fate.CRATE  # looked up once: an enum's members are slow to get at


class Sums:
    """Sums over records; each that holds is weighed once, and taken off again when it no longer does."""

    def __init__(self) -> None:
        self._reset()

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

    def impossible(self) -> list[Cell]:
        """Heaps that come to fewer than no pieces: pieces were moved whose tally is void or not at hand."""
        return [cell for cell, quantity in self._counts.items() if quantity < 0]

    def _weigh(self, record: Record, sign: int) -> None:
        cell = record.cell
        if cell is None:
            return
        if record.what is What.TALLY:
            self._add(cell, sign * record.quantity)
        elif record.what is What.MOVE or record.what is What.REGRADE:
            self._add(cell, -sign * record.quantity)
            self._add(record.put or cell, sign * record.quantity)
        self._weigh_beside(record, cell, sign)

    def _weigh_beside(self, record: Record, cell: Cell, sign: int) -> None:
        """What a record comes to beside pieces in heaps."""
        quantity = sign * record.quantity
        if record.lab is not None and cell.kind is not None:
            _note(self._measured[cell.kind], record, sign)
        if record.what is What.TALLY:
            if record.way.startswith(PARCEL):
                self._ordered += quantity
        elif record.what is What.MOVE or record.what is What.REGRADE:
            if record.target:
                self._reserve(cell, record.target, -quantity)
        elif record.what is What.RESERVE:
            self._reserve(cell, record.target, quantity)
        elif record.what is What.LINE and cell.kind is not None:
            _note(self._written[record.target], record, sign)
        elif record.what is What.RECOUNT:
            _note(self._recounted[record.way], record, sign)

    def _lay(self, heaps: Iterable[tuple[Cell, int]]) -> None:
        """Lay the first heaps, none of them twice: quicker than to add them one by one."""
        counts, by_bin, by_kind, fates = self._counts, self._by_bin, self._by_kind, self._fates
        for cell, quantity in heaps:
            if quantity:
                label, part, shade, _, _, _, fate = cell
                counts[cell] = quantity
                (self._by_crate if fate is _CRATE else by_bin)[label][cell] = quantity
                if part and shade:
                    by_kind[as_kind((part, shade))][cell] = quantity
                else:
                    self._coarse[cell] = quantity
                fates[fate] += quantity

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
