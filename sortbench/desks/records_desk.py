"""Records of the work at a bench: how fast each sitting went, and all of them together."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.finishing.statement_log import way_words as way_words
from sortbench.engine.records.checks import CheckFigures as CheckFigures
from sortbench.engine.records.checks import checks_of
from sortbench.engine.records.checks import checks_together as checks_together
from sortbench.engine.records.sittings import Interval as Interval
from sortbench.engine.records.sittings import RateFigure as RateFigure
from sortbench.engine.records.sittings import SittingFigures as SittingFigures
from sortbench.engine.records.sittings import WayFigures as WayFigures
from sortbench.engine.records.sittings import figures_of
from sortbench.engine.records.steps import steps_of
from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from sortbench.desk import Desk


class WorkRecords(NamedTuple):
    """How the work went.

    Attributes:
        sittings: those in which pieces of the pile were counted, the oldest first.
        together: all of them.
        checks: what spot checks found. They are of bins, which several sittings filled, so they are those of the whole
            bench whichever sittings are asked for.
    """

    sittings: tuple[SittingFigures, ...]
    together: SittingFigures
    checks: tuple[CheckFigures, ...]


def work_records(bench: Desk, start: str = "") -> WorkRecords:
    """How the work went, from the times in the logs. It goes through all records.

    Args:
        start: only sittings whose names start so.

    Raises:
        DataError: no sitting's name starts so.
        BenchError: the spot checks that are kept are damaged.
    """
    ledger = bench.picture.ledger
    every = steps_of(ledger.records.values(), ledger.holds)
    found = {name: steps for name, steps in every.items() if name.startswith(start)}
    if start and not found:
        last = ", ".join(list(every)[-3:])
        raise DataError(
            f"No sitting's name starts with {start[:40]!r}.",
            f"The last ones are: {last}." if last else "There is none.",
        )
    counting = {name: steps for name, steps in found.items() if any(step.is_entry for step in steps)}
    sittings, together = figures_of(counting)
    return WorkRecords(
        sittings,
        together,
        checks_of(bench.documents.spots.values(), bench.catalogue.family) if bench.documents.spots else (),
    )
