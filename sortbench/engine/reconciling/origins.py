"""Where the pieces in a crate came from, so that a pick list keeps its rows while it is worked off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sortbench.engine.ledger import Ledger
from sortbench.model.tally import Cell, Fate, What

Origins = dict[Cell, list[tuple[Cell, int]]]
"""For each heap in a crate the heaps it was picked from, with pieces of each."""


def origins(ledger: Ledger, code: str, order: Callable[[Cell], Any]) -> Origins:
    """For each heap in the crate of a target, where its pieces were picked.

    What was put back counts against the place it went to. Where a piece went elsewhere, the log does not say which it
    was: of the places the last ones in order are taken then, so that any order of records gives the same answer. Pieces
    that were counted right into the crate, or judged anew in it, have the heap in the crate itself for their origin.

    Args:
        ledger: the counts, and the records behind them.
        code: the target.
        order: a key that sorts heaps by where they lie.

    Returns:
        Pieces above 0; of each heap in the crate they come to what lies there.
    """
    came: dict[Cell, dict[Cell, int]] = {}
    for record in ledger.told(lambda what, _: what is What.MOVE):
        cell = record.cell
        if cell is None:
            continue
        put = cell._replace(bin=record.to_bin, fate=record.to_fate)
        for crated, other, sign in ((put, cell, 1), (cell, put, -1)):
            if crated.fate is Fate.CRATE and crated.bin == code:
                heaps = came.setdefault(crated, {})
                heaps[other] = heaps.get(other, 0) + sign * record.quantity
    found: Origins = {}
    for crated, there in ledger.in_crate(code).items():
        left = max(0, there)
        picked = found[crated] = []
        heaps = came.get(crated, {})
        for heap in sorted(heaps, key=order):
            if (pieces := min(left, heaps[heap])) > 0:
                picked.append((heap, pieces))
                left -= pieces
        if left:
            picked.append((crated, left))
    return found
