"""How often each kind was counted, and when last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence, Set
from itertools import count

from sortbench.engine.folding.in_time import InTime
from sortbench.engine.ledger import Ledger
from sortbench.engine.sums import as_kind
from sortbench.model.catalogue import Kind
from sortbench.model.fold import Fold

Use = dict[Kind, tuple[int, int]]
"""By kind, records that hold and speak of it, and the ordinal of the last of them among all such, from 1."""


def use_of(history: InTime, ledger: Ledger) -> Use:
    """The use of every kind that some record which holds speaks of.

    Args:
        history: ids of the records that count.
        ledger: the records.
    """
    use: Use = {}
    if ledger.packed is not None:
        fold = ledger.packed.fold
        unheld = {place for rid in ledger.verdicts.unheld if (place := ledger.packed.place(rid)) is not None}
        if history.holds_all_packed and unheld == set(fold.unheld):  # nothing changed what the fold says
            said = zip(fold.use_times, fold.use_last, strict=True)
            use = {Kind(*fold.cells[cell - 1][1:3]): each for cell, each in zip(fold.use_cells, said, strict=True)}
        else:
            use = packed_use(fold, history.packed_places, unheld)
    spoken = sum(times for times, _ in use.values())
    for rid in history.late:
        cell = ledger.records[rid].cell
        if cell is not None and (kind := cell.kind) is not None and ledger.holds(rid):
            spoken += 1
            use[kind] = (use[kind][0] + 1 if kind in use else 1, spoken)
    return use


def packed_use(fold: Fold, places: Sequence[int], unheld: Set[int]) -> Use:
    """The use by packed records at some places, in order; those that do not hold are left out."""
    numbers: dict[Kind, int] = {}
    number = numbers.setdefault
    by_cell = [0]
    by_cell += [
        number(as_kind((part, shade)), len(numbers) + 1) if part and shade else 0
        for _, part, shade, _, _, _, _ in fold.cells
    ]
    said = zip(places, map(by_cell.__getitem__, map(fold.cell_of.__getitem__, places)), strict=True)
    spoken = [kind for place, kind in said if kind and place not in unheld]
    times, last = Counter(spoken), dict(zip(spoken, count(1), strict=False))
    return {kind: (times[each], last[each]) for kind, each in numbers.items() if each in times}
