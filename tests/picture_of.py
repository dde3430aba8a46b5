"""A picture of a case of sharing: its heaps counted, its reserved pieces set aside, its crates filled, by records."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reference_sharing import Case

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.bins import Bin
from sortbench.model.tally import Cell, Record, RecordId, What


def picture_of(case: Case, bins: Sequence[Bin] = ()) -> Picture:
    """The picture that a bench in the state of the case has."""
    ledger = Ledger(_records(case))
    return Picture(case.catalogue, case.targets, bins, ledger, swaps=case.swaps, policy=case.policy)


def _records(case: Case) -> Iterator[Record]:
    number = 0
    for cells in case.cells.values():
        for cell, quantity in cells.items():
            number += 1
            yield Record(RecordId("s", number), "", What.TALLY, cell, quantity)
    for kind, reserved in case.reserved.items():
        for (grade, flaws), by_target in reserved.items():
            for code, quantity in by_target.items():
                number += 1
                cell = Cell("", kind.part, kind.shade, "", grade, flaws)
                yield Record(RecordId("s", number), "", What.RESERVE, cell, quantity, target=code)
