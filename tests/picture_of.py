"""A picture, and a bench, of a case of sharing: heaps counted, reserved pieces set aside, crates filled, by records."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from reference_sharing import Case

from sortbench.bench import Bench
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.model.bins import Bin
from sortbench.model.tally import Cell, Fate, Record, RecordId, What

BINS = (Bin("B2", place="left"), Bin("B1"))


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


def bench_of(case: Case, folder: Path) -> Bench:
    """A bench in the state of a case, with two bins; no more is set aside than is there."""
    bench = Bench.create(folder)
    with bench.folder.documents.edit() as draft:
        draft.parts.update(case.catalogue.parts)
        draft.shades.update(case.catalogue.shades)
        draft.targets.update({target.code: target for target in case.targets})
        draft.swaps.update({swap.key: swap for swap in case.swaps})
        draft.bins.extend(BINS)
        draft.settings["policy"] = case.policy.value
    bench.reload()
    for cells in case.cells.values():
        for cell, quantity in cells.items():
            bench.sitting.record(What.TALLY, cell, quantity)
    for kind, reserved in case.reserved.items():
        for (grade, flaws), by_target in reserved.items():
            for code, quantity in by_target.items():
                cell = Cell("", kind.part, kind.shade, "", grade, flaws)
                there = sum(n for heap, n in bench.picture.ledger.of_kind(kind).items() if _is_loose(heap, cell))
                there -= sum(bench.picture.ledger.reserved(kind).get((grade, flaws), {}).values())
                if there > 0:
                    bench.sitting.reserve(cell, min(quantity, there), code)
    return bench


def _is_loose(heap: Cell, like: Cell) -> bool:
    return (heap.grade, heap.flaws) == (like.grade, like.flaws) and heap.fate in (Fate.KEPT, Fate.WASH)
