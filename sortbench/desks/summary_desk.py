"""What a sitting did: counted, how fast, what it filled, what overflowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.records.summing_up import Filled as Filled
from sortbench.engine.records.summing_up import SittingSummary as SittingSummary
from sortbench.engine.records.summing_up import Stand as Stand
from sortbench.engine.records.summing_up import stand_of as stand_of
from sortbench.engine.records.summing_up import summed_up
from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sortbench.desk import Desk
    from sortbench.model.tally import Record


def summary_now(bench: Desk, before: Stand) -> SittingSummary | None:
    """What this sitting has done up to now; None if nothing of the pile was counted.

    Args:
        before: how far the bench was when it was opened.
    """
    from sortbench.engine.records.sittings import figures_of
    from sortbench.engine.records.steps import steps_of

    ledger, own = bench.picture.ledger, bench.sitting.id
    records = [ledger.records[rid] for rid in ledger.fresh if rid.sitting == own]
    steps = steps_of(records, ledger.holds).get(own, ())
    if not any(step.is_entry for step in steps):
        return None
    return summed_up(figures_of({own: steps})[0][0], before, bench.picture)


def summary_of(bench: Desk, start: str = "") -> SittingSummary | None:
    """What the last sitting did in which pieces were counted; None where none were. It goes through all records.

    What was filled and what overflowed is the bench right before the sitting's first record against the bench right
    after its last; what others counted in between is in it. What was put right later is not, but pieces are told as
    they stand now.

    Args:
        start: the last one whose name starts so.

    Raises:
        DataError: pieces were counted in no sitting whose name starts so.
    """
    from sortbench.engine.records.sittings import figures_of
    from sortbench.engine.records.steps import steps_of

    ledger = bench.picture.ledger
    every = steps_of(ledger.records.values(), ledger.holds)
    counting = [name for name, steps in every.items() if any(step.is_entry for step in steps)]
    name = next((each for each in reversed(counting) if each.startswith(start)), "")
    if not name:
        if not start:
            return None
        last = f"The last ones are: {', '.join(counting[-3:])}." if counting else "Nothing was counted yet."
        raise DataError(f"Pieces were counted in no sitting whose name starts with {start[:40]!r}.", last)
    times = [(record.at, record.id) for record in ledger.records.values() if record.id.sitting == name]
    first, last_of_it = min(times), max(times)
    before = _picture(bench, (each for each in ledger.records.values() if (each.at, each.id) < first))
    later = any((each.at, each.id) > last_of_it for each in ledger.records.values())
    after = bench.picture
    if later:
        after = _picture(bench, (each for each in ledger.records.values() if (each.at, each.id) <= last_of_it))
    return summed_up(figures_of({name: every[name]})[0][0], stand_of(before), after)


def _picture(bench: Desk, records: Iterable[Record]) -> Picture:
    """The bench as it would be with these records only."""
    documents = bench.documents
    return Picture(
        bench.catalogue,
        tuple(documents.targets.values()),
        documents.bins,
        Ledger(records),
        swaps=tuple(documents.swaps.values()),
        policy=bench.policy,
    )
