"""The records of a sitting as work: what each one counted, and the time that led to it.

**Time.** A record's own time is when it was written; the gap since the record before it, of the same sitting, is the
work that led to it. Gaps longer than :data:`sortbench.engine.pace.PAUSE_S` are pauses, gaps in which the clock ran
backward are jumps; neither is work. No count hangs on any of it.

**Pieces.** A tally is an *entry* if somebody counted pieces out of the pile with it. What it is worth is what stands of
it now: nothing once it is void, and where it was put right, as often as that was, what the last correction says. The
correction itself is work without pieces of its own. So are tallies of a parcel, which count ordered pieces, and all
records that count nothing; what came with a count sheet is no work at all here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from functools import lru_cache
from operator import attrgetter
from typing import NamedTuple

from sortbench.engine.pace import PAUSE_S
from sortbench.model.tally import PARCEL, Fate, Record, RecordId, What

_NO_ENTRY = frozenset({"sheet", PARCEL.strip()})
"""Ways of tallies that count no pieces out of the pile."""
_CRATE = Fate.CRATE  # looked up once: an enum's members are slow to get at


class Step(NamedTuple):
    """One record as work.

    Attributes:
        way: how an entry was made, the first word of the tally's way; empty for all that is no entry.
        pieces: what stands of an entry now; 0 for all that is none.
        touched: whether an entry was put right or taken back, by whom and whenever.
        backward: whether it takes back, brings back or puts right.
        at_s: when, in seconds since 1970; None where the record tells no time.
        gap_s: seconds of work that led to it; None where there were none to time.
        pause_s: seconds of a pause before it; 0 for none.
        jumped: whether the clock ran backward before it.
    """

    way: str
    pieces: int
    touched: bool
    backward: bool
    at_s: float | None
    gap_s: float | None
    pause_s: float
    jumped: bool

    @property
    def is_entry(self) -> bool:
        """Whether pieces were counted out of the pile."""
        return bool(self.way)


def steps_of(
    records: Iterable[Record], holds: Callable[[RecordId], bool], pause_s: float = PAUSE_S
) -> dict[str, tuple[Step, ...]]:
    """All records as work, sitting by sitting; the sittings in the order of their names, which begin with their time.

    Args:
        records: of all sittings, in any order: a tally may be put right in a later one.
        holds: whether a record counts; see :meth:`sortbench.engine.ledger.Ledger.holds`.
        pause_s: gaps longer than this are no work.
    """
    sittings: dict[str, list[Record]] = {}
    corrections: dict[RecordId, Record] = {}
    for record in records:
        sittings.setdefault(record.id.sitting, []).append(record)
        if record.what is What.TALLY and record.voids is not None:
            corrections[record.id] = record
    stands = _stands_in(corrections, holds)
    return {
        name: tuple(_steps(sorted(found, key=attrgetter("id")), stands, holds, pause_s))
        for name, found in sorted(sittings.items())
    }


def _stands_in(corrections: dict[RecordId, Record], holds: Callable[[RecordId], bool]) -> dict[RecordId, int]:
    """For each tally that was put right, and is so now, the pieces that its last correction says."""
    found: dict[RecordId, int] = {}
    for rid, record in corrections.items():
        if not holds(rid):
            continue
        first, passed = record.voids, {rid}
        while first is not None and first in corrections and first not in passed:
            passed.add(first)
            first = corrections[first].voids
        if first is not None and first not in passed:
            found[first] = found.get(first, 0) + record.quantity  # two people may have put it right at once
    return found


def _steps(
    records: Sequence[Record], stands: dict[RecordId, int], holds: Callable[[RecordId], bool], pause_s: float
) -> Iterable[Step]:
    last: float | None = None
    opened = False
    for record in records:
        at_s = seconds_of(record.at)
        passed = None if at_s is None or last is None else at_s - last
        last = last if at_s is None else at_s
        gap, pause, jumped = passed, 0.0, False
        if passed is not None and passed < 0:
            gap, jumped = None, True
        elif passed is not None and passed > pause_s:
            gap, pause = None, passed
        elif passed == 0 and opened:
            gap = None  # what opens a log is written beside the first record and bears its time: no work lies between
        opened = record.what is What.OPEN
        way = _entry_way(record.way) if record.what is What.TALLY and _is_entry(record) else ""
        pieces, touched = 0, False
        if way:
            touched = not holds(record.id)
            pieces = stands.get(record.id, 0) if touched else record.quantity
        backward = record.voids is not None
        yield Step(way, pieces, touched, backward, at_s, gap, pause, jumped)


def _is_entry(record: Record) -> bool:
    return record.voids is None and record.cell is not None and record.cell.fate is not _CRATE


@lru_cache(maxsize=1024)
def _entry_way(way: str) -> str:
    """The first word of a tally's way; empty where such tallies count no pieces out of the pile."""
    word = way.partition(" ")[0] or "other"
    return "" if word in _NO_ENTRY else word


def seconds_of(at: str) -> float | None:
    """The seconds since 1970 of an RFC 3339 time; None if it is none. One that names no zone is taken as UTC."""
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return None
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()
