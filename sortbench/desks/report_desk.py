"""A report of a bench: all its figures at one moment, the wash, and how the work went."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.records_desk import WorkRecords, work_records
from sortbench.engine.pace import Pile
from sortbench.engine.reconciling.reconcile_board import SpareHeap as SpareHeap
from sortbench.engine.reporting.bench_figures import BenchFigures, figures_of
from sortbench.engine.reporting.bench_figures import BinFigures as BinFigures
from sortbench.engine.reporting.bench_figures import LackRow as LackRow
from sortbench.engine.reporting.bench_figures import ShadePieces as ShadePieces
from sortbench.engine.reporting.bench_figures import TargetFigures as TargetFigures
from sortbench.engine.reporting.bench_figures import Whereabouts as Whereabouts
from sortbench.sitting import utc_now
from sortbench.store.log_reading import no_garbage_collection

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.washing.wash_clock import Due


class BenchReport(NamedTuple):
    """A bench at one moment.

    Attributes:
        name: of its folder.
        at: the moment, in UTC.
        figures: what was counted, what is short, what is spare.
        of_pile: pieces counted out of the pile, those thrown out included, those of parcels not.
        pile: how many the pile is thought to hold; None where nobody said.
        batches: those in the wash, what presses most first; dry ones last.
        records: how the work went.
    """

    name: str
    at: datetime
    figures: BenchFigures
    of_pile: int
    pile: Pile | None
    batches: tuple[Due, ...]
    records: WorkRecords


def report_of(bench: Bench, now: Callable[[], datetime] = utc_now) -> BenchReport:
    """Everything that a report says, as it is now.

    Raises:
        BenchError: batches or spot checks that are kept are damaged.
    """
    with no_garbage_collection():
        return BenchReport(
            bench.path.resolve().name,
            now(),
            figures_of(bench.picture),
            bench.picture.ledger.of_pile,
            bench.pile_said,
            bench.washing.due() if bench.documents.batches else (),
            work_records(bench),
        )
