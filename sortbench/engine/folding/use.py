"""How often each kind was counted, and when last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import count

from sortbench.engine.folding.in_time import InTime
from sortbench.engine.ledger import Ledger
from sortbench.model.catalogue import Kind

Use = dict[Kind, tuple[int, int]]
"""By kind, records that hold and speak of it, and the ordinal of the last of them among all such, from 1."""


def use_of(history: InTime, ledger: Ledger) -> Use:
    """The use of every kind that some record which holds speaks of.

    Args:
        history: ids of the records that count.
        ledger: the records.
    """
    kinds = list(_kinds(history, ledger))
    last = dict(zip(kinds, count(1), strict=False))
    return {kind: (times, last[kind]) for kind, times in Counter(kinds).items()}


def _kinds(history: InTime, ledger: Ledger) -> Iterator[Kind]:
    """The kind of each record that holds and speaks of one, in order."""
    packed = ledger.packed
    if packed is not None:
        by_cell: list[Kind | None] = [None, *(cell.kind for cell in packed.fold.cells)]
        cell_of, unheld = packed.fold.cell_of, {packed.place(rid) for rid in ledger.verdicts.unheld}
        for place in history.packed_places:
            kind = by_cell[cell_of[place]]
            if kind is not None and place not in unheld:
                yield kind
    for rid in history.late:
        cell = ledger.records[rid].cell
        if cell is not None and (kind := cell.kind) is not None and ledger.holds(rid):
            yield kind
