"""Two counts of one bin by two people: where they agree, where they differ, and how the first is put right."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from typing import NamedTuple

from sortbench.engine.spot_check.telling_off import told_off
from sortbench.model.catalogue import Kind
from sortbench.model.spot_check import Heap
from sortbench.model.tally import Cell, Record
from sortbench.model.target import MAX_QUANTITY


class Held(StrEnum):
    """How two counts of a heap compare."""

    AGREE = "agree"
    NEAR = "half a step"  # all pieces agree, some with a grade half a step off or one that nobody judged
    DIFFER = "differ"
    FIRST = "only counted"
    SECOND = "only recounted"


class Entry(NamedTuple):
    """A record of either person: its words (``sitting/number``), pieces, and whether the other has one that is like it.

    Records are alike that tell of the same heap and as many pieces, each against one other.
    """

    record: str
    quantity: int
    like: bool


class Compared(NamedTuple):
    """One heap by both counts.

    Attributes:
        cell: the heap.
        first, second: pieces counted, and pieces recounted.
        short: pieces counted that the recount has nothing for.
        over: pieces recounted that the count has nothing for.
        held: how they compare.
        of_first, of_second: the records, in order; those of the first count as they hold now.
        kind_agrees: both have as many of the kind in all, so that they differ in its condition only.
    """

    cell: Cell
    first: int
    second: int
    short: int
    over: int
    held: Held
    of_first: tuple[Entry, ...] = ()
    of_second: tuple[Entry, ...] = ()
    kind_agrees: bool = False

    @property
    def by(self) -> int:
        """By how many pieces the count of this heap is to change; nothing where grades are half a step off."""
        return self.over - self.short


class Comparison(NamedTuple):
    """Two counts of a bin, heap by heap; those that differ first, then in the order of the first count."""

    rows: tuple[Compared, ...]

    @property
    def differing(self) -> tuple[Compared, ...]:
        """Heaps that differ."""
        return tuple(row for row in self.rows if row.short or row.over)

    @property
    def agreeing(self) -> int:
        """Pieces that both have."""
        return sum(row.first - row.short for row in self.rows)

    @property
    def short(self) -> int:
        """Pieces counted and not found again."""
        return sum(row.short for row in self.rows)

    @property
    def over(self) -> int:
        """Pieces found that were not counted."""
        return sum(row.over for row in self.rows)


def compare(
    counted: Sequence[Heap],
    tallies: Iterable[Record],
    recounted: Iterable[Record],
    family_of: Callable[[str], str] = lambda part: "",
) -> Comparison:
    """Hold a recount against the count.

    Args:
        counted: the bin by the count when the recount began.
        tallies: tallies that hold and put pieces into the bin, for the entries; pieces may have come otherwise as well.
        recounted: the records of the recount that hold.
        family_of: the shape family of a part, by its code.
    """
    second: dict[Cell, int] = {}
    of_first, of_second = dict[Cell, list[Record]](), dict[Cell, list[Record]]()
    for record in tallies:
        if record.cell is not None:
            of_first.setdefault(record.cell, []).append(record)
    for record in recounted:
        if record.cell is not None:
            second[record.cell] = second.get(record.cell, 0) + record.quantity
            of_second.setdefault(record.cell, []).append(record)
    found = [Heap(cell, quantity) for cell, quantity in second.items()]
    told = told_off(found, counted, family_of)
    first = {heap.cell: heap.quantity for heap in counted}
    short = {heap.cell: pieces for heap, pieces in zip(counted, told.short, strict=True)}
    over = {heap.cell: pieces for heap, pieces in zip(found, told.over, strict=True)}
    kinds_alike = _kinds_alike(first, second)
    rows = []
    for cell in dict.fromkeys([*first, *second]):
        entries = _entries(of_first.get(cell, ()), of_second.get(cell, ()))
        row = Compared(
            cell, first.get(cell, 0), second.get(cell, 0), short.get(cell, 0), over.get(cell, 0), Held.AGREE, *entries
        )
        rows.append(row._replace(held=_held(row), kind_agrees=cell.kind in kinds_alike))
    return Comparison(tuple(sorted(rows, key=lambda row: not (row.short or row.over))))


def _held(row: Compared) -> Held:
    if not (row.short or row.over):
        return Held.AGREE if row.first == row.second else Held.NEAR
    return Held.FIRST if not row.second else Held.SECOND if not row.first else Held.DIFFER


def _kinds_alike(first: Mapping[Cell, int], second: Mapping[Cell, int]) -> set[Kind]:
    totals: dict[Kind, int] = {}
    for counts, sign in ((first, 1), (second, -1)):
        for cell, quantity in counts.items():
            if cell.kind is not None:
                totals[cell.kind] = totals.get(cell.kind, 0) + sign * quantity
    return {kind for kind, total in totals.items() if not total}


def _entries(first: Sequence[Record], second: Sequence[Record]) -> tuple[tuple[Entry, ...], tuple[Entry, ...]]:
    """The records of both, each held against one of the other's with as many pieces."""
    ours, theirs = [record.quantity for record in first], [record.quantity for record in second]
    return _held_against(first, theirs), _held_against(second, ours)


def _held_against(records: Sequence[Record], others: Sequence[int]) -> tuple[Entry, ...]:
    left, entries = list(others), []
    for record in records:
        like = record.quantity in left
        if like:
            left.remove(record.quantity)
        entries.append(Entry(str(record.id), record.quantity, like))
    return tuple(entries)


class Step(NamedTuple):
    """One step of taking a recount over.

    Attributes:
        cell: the heap.
        record: the tally that is put right; None: pieces are counted anew.
        quantity: pieces that the tally has then; 0: it is voided.
    """

    cell: Cell
    record: Record | None
    quantity: int


class Steps(NamedTuple):
    """How a recount is taken over, and what cannot be.

    Attributes:
        steps: in their order.
        left: heaps of which pieces stay counted too many: they were carried or judged into the heap, so no tally there
            can be put right.
    """

    steps: tuple[Step, ...]
    left: tuple[Heap, ...]


def steps_to_take(comparison: Comparison, tallies: Iterable[Record]) -> Steps:
    """How to put the first count right.

    Pieces too many come off the latest tallies of the heap; pieces too few go onto the latest, or are counted anew.
    Grades half a step off stay as they were first judged.

    Args:
        tallies: tallies that hold and put pieces into the bin, in their order.
    """
    of_heap: dict[Cell, list[Record]] = {}
    for record in tallies:
        if record.cell is not None:
            of_heap.setdefault(record.cell, []).append(record)
    steps: list[Step] = []
    left: list[Heap] = []
    # Pieces go out before others come in, so that at no moment more are counted than there are.
    for row in sorted(comparison.differing, key=lambda row: row.by > 0):
        records = of_heap.get(row.cell, [])
        if row.by > 0:
            if records and records[-1].quantity + row.by <= MAX_QUANTITY:
                steps.append(Step(row.cell, records[-1], records[-1].quantity + row.by))
            else:
                steps += [Step(row.cell, None, pieces) for pieces in _parts(row.by)]
            continue
        surplus = -row.by
        for record in reversed(records):
            if not surplus:
                break
            taken = min(surplus, record.quantity)
            steps.append(Step(row.cell, record, record.quantity - taken))
            surplus -= taken
        if surplus:
            left.append(Heap(row.cell, surplus))
    return Steps(tuple(steps), tuple(left))


def _parts(quantity: int) -> list[int]:
    """Pieces in as few tallies as can hold them."""
    whole, rest = divmod(quantity, MAX_QUANTITY)
    return [MAX_QUANTITY] * whole + [rest] * bool(rest)
