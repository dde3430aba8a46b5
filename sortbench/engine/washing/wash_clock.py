"""The wash on the clock: where each batch is, for how long, and what is due. Pure: the caller says what time it is.

Lengths of the stages are the batch's own figures; those it begins with are common practice (no source).

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from enum import IntEnum
from types import MappingProxyType
from typing import NamedTuple

from sortbench.engine.washing.wash_times import clock, span
from sortbench.model.wash import Batch, Entry, Stage, StageEvent, Stirring, Weighing

TRACK = tuple(Stage)
"""All stages in their order."""
SOON = timedelta(minutes=10)
"""How long before something is due it is due soon."""
GRACE = timedelta(minutes=15)
"""How long after a soak's end it is due now; later it is overdue."""
FORGOTTEN = timedelta(hours=2)
"""After so long in a stage that takes minutes, somebody has forgotten to note the next."""


class Urgency(IntEnum):
    """How much something presses, most first."""

    LATE = 0
    NOW = 1
    SOON = 2
    LATER = 3
    NOTHING = 4


class Dryness(NamedTuple):
    """What weighings, or the air of the room, say of a batch that is drying.

    Attributes:
        dry: whether the criterion holds on all its trays.
        at: when it should hold, None if that cannot be told.
        low, high: the interval around ``at``, None without one.
        again: when another weighing would say more, None if nothing was weighed or none would.
        basis: what all this rests on, in words.
        note: what keeps it from being known better, in words; empty if nothing does.
    """

    dry: bool = False
    at: datetime | None = None
    low: datetime | None = None
    high: datetime | None = None
    again: datetime | None = None
    basis: str = ""
    note: str = ""


class StageMark(NamedTuple):
    """A stage on a batch's track.

    Attributes:
        stage: which.
        at: when it began last; None if it has not.
        here: whether the batch is in it.
    """

    stage: Stage
    at: datetime | None
    here: bool


class Due(NamedTuple):
    """Where a batch is, and what is due.

    Attributes:
        code, name: the batch's.
        stage: where it is; None if nothing was noted.
        since: when that began.
        lasted: for how long, in words; empty if nothing was noted.
        at: when the next thing is due; None if nothing is.
        urgency: how much it presses.
        short: what is due, in a few words.
        words: the same told in full.
        track: all stages in order.
        weighings: how many hold.
        next: the stage that usually follows.
    """

    code: str
    name: str
    stage: Stage | None
    since: datetime | None
    lasted: str
    at: datetime | None
    urgency: Urgency
    short: str
    words: str
    track: tuple[StageMark, ...]
    weighings: int
    next: Stage | None


class DueLine(NamedTuple):
    """What is due, for one quiet line.

    Attributes:
        words: of the two batches that press most, ``W2 stir now · W1 dry about 09:40``.
        short: of one, with a count of the others: ``W2 stir now +1``.
        presses: whether something is due now.
    """

    words: str
    short: str
    presses: bool


class EntryRow(NamedTuple):
    """Something noted of a batch.

    Attributes:
        number: from 1, in the order in which it was noted; it never changes.
        at: when.
        clock: the same on the wall clock.
        words: what.
        struck: whether it counts no longer.
        net_g: grams without the tray, for a weighing on a tray whose empty weight is known.
    """

    number: int
    at: datetime
    clock: str
    words: str
    struck: bool
    net_g: float | None


_UNKNOWN: Mapping[str, Dryness] = MappingProxyType({})


def due(batch: Batch, now: datetime, dryness: Dryness | None = None) -> Due:
    """Where a batch is, and what is due.

    Args:
        now: the time, in the zone in which times are told.
        dryness: what is known of its drying; without it the usual time counts.
    """
    stages = batch.stages
    last = stages[-1] if stages else None
    short, words, at, urgency = _NOT_BEGUN if last is None else _state(batch, last, now, dryness)
    begun = {event.stage: event.at for event in stages}
    return Due(
        batch.code,
        batch.name,
        last.stage if last else None,
        last.at if last else None,
        span(now - last.at) if last else "",
        at,
        urgency,
        short,
        words,
        tuple(StageMark(stage, begun.get(stage), last is not None and stage is last.stage) for stage in TRACK),
        len(batch.weighings),
        last.stage.next if last else Stage.SOAK,
    )


def all_due(batches: Iterable[Batch], now: datetime, dryness: Mapping[str, Dryness] = _UNKNOWN) -> tuple[Due, ...]:
    """All batches, what presses most first; dry ones last, the latest of them first."""
    found = [due(batch, now, dryness.get(batch.code)) for batch in batches]

    def order(each: Due) -> tuple[int, float, str]:
        if each.stage is Stage.DRY and each.since is not None:
            return each.urgency, -each.since.timestamp(), each.code
        return each.urgency, each.at.timestamp() if each.at else float("inf"), each.code

    return tuple(sorted(found, key=order))


def due_line(rows: Iterable[Due]) -> DueLine | None:
    """What is due, most pressing first; batches that are not named are counted. None if nothing is.

    Args:
        rows: from :func:`all_due`.
    """
    open_rows = [row for row in rows if row.urgency is not Urgency.NOTHING]
    if not open_rows:
        return None
    first, *others = [f"{row.code} {row.short}" for row in open_rows]
    words = " · ".join([first, *others[:1], *([f"{len(others) - 1} more"] if others[1:] else [])])
    short = f"{first} +{len(others)}" if others else first
    return DueLine(words, short, open_rows[0].urgency <= Urgency.NOW)


def entry_rows(batch: Batch, now: datetime) -> tuple[EntryRow, ...]:
    """Everything noted of a batch by the time it happened, struck entries too."""
    rows = [
        EntryRow(number, entry.at, clock(entry.at, now), entry_words(entry), entry.struck, _net(batch, entry))
        for number, entry in enumerate(batch.entries, 1)
    ]
    return tuple(sorted(rows, key=lambda row: (row.at, row.number)))


def entry_words(entry: Entry) -> str:
    """What was noted, in words: ``soak``, ``stirred``, ``812.5 g on tray big``."""
    if isinstance(entry, StageEvent):
        return entry.stage.value
    if isinstance(entry, Stirring):
        return "stirred"
    return f"{entry.grams:,.6g} g" + (f" on tray {entry.tray}" if entry.tray else "")


def _net(batch: Batch, entry: Entry) -> float | None:
    if not isinstance(entry, Weighing) or (tare := batch.tare(entry.tray)) is None:
        return None
    return entry.grams - tare


_State = tuple[str, str, datetime | None, Urgency]
"""Short words, full words, when, how much it presses."""
_NOT_BEGUN: _State = ("not begun", "nothing noted yet; it begins with the soak", None, Urgency.LATER)


def _state(batch: Batch, last: StageEvent, now: datetime, dryness: Dryness | None) -> _State:
    if last.stage is Stage.SOAK:
        return _soaking(batch, last, now)
    if last.stage is Stage.DRYING:
        return _drying(batch, last, now, dryness)
    follows = last.stage.next
    if follows is None:
        return "dry", f"dry since {clock(last.at, now)}", None, Urgency.NOTHING
    lasted = span(now - last.at)
    if now - last.at >= FORGOTTEN:
        words = f"{last.stage.value} for {lasted} already: note what came after; then {follows.value}"
        return f"{last.stage.value} for {lasted}?", words, last.at + FORGOTTEN, Urgency.NOW
    return f"{follows.value} next", f"{last.stage.value} for {lasted}; then {follows.value}", None, Urgency.LATER


def _soaking(batch: Batch, soak: StageEvent, now: datetime) -> _State:
    end = soak.at + timedelta(hours=batch.soak_h)
    if now >= end:
        over = span(now - end)
        if now < end + GRACE:
            return "soak over", f"the soak of {batch.soak_h:g} h is over: rinse", end, Urgency.NOW
        return f"soak over {over} ago", f"the soak of {batch.soak_h:g} h was over {over} ago: rinse", end, Urgency.LATE
    left = f"soak over in {span(end - now)}"
    stirred = [each.at for each in batch.stirrings if each.at >= soak.at]
    stir = max([soak.at, *stirred]) + timedelta(minutes=batch.stir_min)
    if stir >= end:
        return left, left, end, Urgency.SOON if end - now <= SOON else Urgency.LATER
    if now >= stir:
        missed = now - stir >= timedelta(minutes=batch.stir_min)
        late = f", due {span(now - stir)} ago" if missed else ""
        return "stir now", f"stir now{late}; {left}", stir, Urgency.NOW
    stirring = f"stir in {span(stir - now)}"
    return stirring, f"{stirring}; {left}", stir, Urgency.SOON if stir - now <= SOON else Urgency.LATER


def _drying(batch: Batch, drying: StageEvent, now: datetime, dryness: Dryness | None) -> _State:
    known = dryness or Dryness(
        at=drying.at + timedelta(hours=batch.drying_h), basis=f"by the usual {batch.drying_h:g} h"
    )
    rest = f" ({known.basis})" if known.basis else ""
    note = f"; {known.note}" if known.note else ""
    if known.dry:
        return "dry by weight", f"dry: the criterion holds{rest}; note it", now, Urgency.SOON
    again = known.again
    if known.at is not None and known.at > now:
        about = f"dry about {clock(known.at, now)}"
        between = f", {clock(known.low, now)} to {clock(known.high, now)}" if known.low and known.high else ""
        words = f"should be {about}{between}{rest}{note}"
        if again is not None and now >= again:
            return f"weigh again, {about}", f"weigh again; {words}", again, Urgency.SOON
        return about, words, known.at, Urgency.LATER
    if known.at is not None:
        what = "weigh again" if again else "feel or weigh"
        return f"{what}, dry?", f"should be dry by now{rest}: {what}{note}", known.at, Urgency.NOW
    lasted = f"drying for {span(now - drying.at)}{rest}{note}"
    if again is None:
        return f"drying {span(now - drying.at)}", lasted, None, Urgency.LATER
    if now < again:
        when = clock(again, now)
        return f"weigh about {when}", f"{lasted}; weigh again about {when}", again, Urgency.LATER
    return "weigh again", f"{lasted}: weigh again", again, Urgency.SOON
