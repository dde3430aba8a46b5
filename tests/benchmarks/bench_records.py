"""Records of the work over large logs, against reading their times alone.

It takes CPU time, so that a busy machine says the same.

    python -m tests.benchmarks.bench_records [--records 100000]
"""

from __future__ import annotations

import argparse
import time
from datetime import UTC, datetime, timedelta

from sortbench.engine.ledger import Ledger
from sortbench.engine.records.sittings import figures_of
from sortbench.engine.records.steps import steps_of
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.sitting import stamp

START = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
A_SITTING = 2_000
WAYS = ("pad", "pad", "typed", "weighed")


def log_of(count: int) -> list[Record]:
    """Plain tallies, one every three seconds, in sittings of 2,000; one in a hundred is taken back."""
    cell = Cell("B1", "plate-2x4", "white", "", Grade.G5, ())
    records: list[Record] = []
    for n in range(count):
        rid = RecordId(f"s{n // A_SITTING:06}", n % A_SITTING + 1)
        at = stamp(START + timedelta(seconds=3 * n))
        if n % 100 == 99 and records[-1].id.sitting == rid.sitting:
            records.append(Record(rid, at, What.VOID, voids=records[-1].id, way="undo"))
        else:
            records.append(Record(rid, at, What.TALLY, cell, 1, way=WAYS[n % len(WAYS)]))
    return records


def main() -> None:
    """Print both times and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=100_000)
    count = parser.parse_args().records
    records = log_of(count)
    ledger = Ledger(records)
    begun = time.process_time()
    for record in records:
        datetime.fromisoformat(record.at).timestamp()
    reference = time.process_time() - begun
    begun = time.process_time()
    each, together = figures_of(steps_of(ledger.records.values(), ledger.holds))
    taken = time.process_time() - begun
    assert together.pieces == ledger.of_pile
    print(
        f"{count:,} records in {len(each):,} sittings: {taken:.2f} s, {taken / count * 1e6:.1f} us a record; "
        f"reading the times alone {reference:.2f} s; {taken / reference:.1f} times"
    )


if __name__ == "__main__":
    main()
