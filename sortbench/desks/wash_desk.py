"""Batches at a bench: noted, struck, weighed and told when something is due; and the pull list before the wash."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from sortbench.desk import Desk
from sortbench.desks.wash_settings import WashSettings
from sortbench.engine.board import Notice
from sortbench.engine.reconciling.what_if import find_target
from sortbench.engine.washing.cautions import PRACTICE, Caution, cautions_for
from sortbench.engine.washing.constant_mass import Criterion
from sortbench.engine.washing.pull_list import PullList, pull_list
from sortbench.engine.washing.wash_clock import (
    Dryness,
    Due,
    DueLine,
    EntryRow,
    all_due,
    due_line,
    entry_rows,
    entry_words,
)
from sortbench.engine.washing.wash_dryness import dryness, tray_states, tray_words
from sortbench.engine.washing.wash_times import clock, read_time, read_weight
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.text import clean_name
from sortbench.model.wash import Batch, Entry, Stage, StageEvent, Stirring, Tray, Weighing, checked

_STEPS = {
    None: "soak",
    Stage.SOAK: "soak",
    Stage.RINSE: "rinse",
    Stage.SPIN: "spin",
    Stage.SCRUB: "scrub",
    Stage.DRYING: "drying",
    Stage.DRY: "drying",
}


def local_now() -> datetime:
    """The time now, to the second, in this machine's zone: people read it on a wall clock."""
    return datetime.now().astimezone().replace(microsecond=0)


def told(cautions: Sequence[Caution]) -> tuple[str, ...]:
    """Cautions as lines: what to mind, then the sources by number, for some are long."""
    sources = list(dict.fromkeys(each.source for each in cautions if each.source != PRACTICE))
    numbers = {source: f" [{number}]" for number, source in enumerate(sources, 1)}
    return (
        *(f"- {each.words}{numbers.get(each.source, '')}" for each in cautions),
        *(f"[{number}] {source}" for number, source in enumerate(sources, 1)),
        f"What has no number is {PRACTICE}.",
    )


class WashDesk(WashSettings):
    """The batches of a bench. Nothing noted is deleted: what was wrong is struck, and can be brought back.

    Args:
        bench: the bench, open for one sitting.
        now: the time, with its zone.
    """

    def __init__(self, bench: Desk, now: Callable[[], datetime] = local_now) -> None:
        super().__init__(bench)
        self.now = now
        self._known: dict[str, tuple[Batch, Criterion, Dryness]] = {}

    @property
    def batches(self) -> Mapping[str, Batch]:
        """All batches by code."""
        return self._bench.documents.batches

    def find(self, code: str) -> Batch:
        """The batch with a code, written in any case.

        Raises:
            DataError: there is none.
        """
        return self._find(self.batches, code)

    def _find(self, batches: Mapping[str, Batch], code: str) -> Batch:
        for batch in batches.values():
            if batch.code.casefold() == code.strip().casefold():
                return batch
        known = ", ".join(list(batches)[-8:])
        raise DataError(
            f"No batch has the code {code[:20]!r}.",
            f"Batches are: {known}." if known else "`sortbench wash new` begins one.",
            "" if known else "{wash.new} on the wash screen ({washing}) begins one.",
        )

    # Noting

    def new(self, name: str = "", code: str = "", at: datetime | None = None, **figures: Any) -> Batch:
        """Begin a batch with its soak.

        Args:
            name: what is in it.
            code: its key; the next free ``W1``, ``W2`` … where empty.
            at: when the soak began; now if None.
            figures: other attributes of :class:`Batch`.

        Raises:
            DataError: the code is taken, or a value is one that cannot be; nothing is kept.
            BenchError, WriteError: the documents cannot be written.
        """
        at = at or self.now()
        made: list[Batch] = []

        def change(batches: dict[str, Batch]) -> None:
            own = clean_name(code, "code of the batch") if code else _free_code(batches)
            if any(each.casefold() == own.casefold() for each in batches):
                raise DataError(f"There is a batch {own!r} already.", "Give it another code, or none.")
            batch = Batch(own, clean_name(name, "name of the batch") if name.strip() else "", (), **figures)
            batches[own] = checked(_with(batch, StageEvent(Stage.SOAK, at)))
            made.append(batches[own])

        self._change(change)
        return made[0]

    def stage(self, code: str, stage: Stage, at: datetime | None = None) -> Notice:
        """Note that a stage begins.

        Raises:
            DataError: no such batch, or it is in that stage already.
            BenchError, WriteError: as :meth:`new`.
        """
        at = at or self.now()

        def step(batch: Batch) -> Batch:
            here = [event for event in batch.stages if event.at <= at][-1:]
            if here and here[0].stage is stage:
                since = clock(here[0].at, self.now())
                raise DataError(f"{batch.code} is in the stage {stage.value} since {since} already.")
            return _with(batch, StageEvent(stage, at))

        batch = self._step(code, step)
        return Notice(f"{batch.code}: {stage.value} from {clock(at, self.now())}", held=True)

    def next_stage(self, code: str) -> Notice:
        """Note that the stage begins which usually follows; raises as :meth:`stage`, and where none follows."""
        batch = self.find(code)
        stages = batch.stages
        follows = stages[-1].stage.next if stages else Stage.SOAK
        if follows is None:
            raise DataError(
                f"{batch.code} is dry: no stage follows.",
                f"`sortbench wash stage {batch.code} soak` notes any stage again.",
                "{wash.stage.soak}-{wash.stage.dry} note any stage again.",
            )
        return self.stage(code, follows)

    def stirred(self, code: str, at: datetime | None = None) -> Notice:
        """Note that a soaking batch was stirred.

        Raises:
            DataError: no such batch, or it does not soak.
            BenchError, WriteError: as :meth:`new`.
        """
        at = at or self.now()

        def step(batch: Batch) -> Batch:
            if not batch.stages or batch.stages[-1].stage is not Stage.SOAK:
                raise DataError(f"{batch.code} does not soak: there is nothing to stir.", "Note the soak first.")
            return _with(batch, Stirring(at))

        batch = self._step(code, step)
        return Notice(f"{batch.code}: stirred at {clock(at, self.now())}", held=True)

    def weigh(self, code: str, grams: float, tray: str = "", at: datetime | None = None) -> Notice:
        """Note what the scale shows for a tray, the tray included.

        Raises:
            DataError: no such batch, it is not drying, or a weight that cannot be.
            BenchError, WriteError: as :meth:`new`.
        """
        at = at or self.now()
        name = clean_name(tray, "name of the tray") if tray.strip() else ""

        def step(batch: Batch) -> Batch:
            if not any(event.stage is Stage.DRYING for event in batch.stages):
                raise DataError(f"{batch.code} is not drying yet.", "Note the stage drying first; weights count then.")
            return _with(batch, Weighing(at, name, grams))

        batch = self._step(code, step)
        words = entry_words(batch.entries[-1])
        known = batch.tare(name) is not None
        hint = "" if known else "; its empty weight is not known, and without it nothing can be called dry"
        return Notice(f"{batch.code}: {words} at {clock(at, self.now())}{hint}", held=True)

    def note_weight(self, code: str, text: str) -> Notice:
        """Note a weight as it is typed: ``1265.5``, ``1265.5 big`` for a tray, ``1265.5 big @07:40`` for earlier.

        Raises:
            DataError: it is no weight; else as :meth:`weigh`.
        """
        return self.weigh(code, *read_weight(text, self.now()))

    def note_tare(self, code: str, text: str) -> Notice:
        """Say what an empty tray weighs as it is typed: ``410``, ``410 big``; raises as :meth:`note_weight`."""
        grams, tray, _ = read_weight(text, self.now())
        return self.tare(code, grams, tray)

    def tare(self, code: str, grams: float, tray: str = "") -> Notice:
        """Say what an empty tray weighs; raises as :meth:`weigh`."""
        name = clean_name(tray, "name of the tray") if tray.strip() else ""

        def step(batch: Batch) -> Batch:
            others = tuple(each for each in batch.trays if each.name != name)
            return batch._replace(trays=(*others, Tray(name, grams)))

        batch = self._step(code, step)
        return Notice(f"{batch.code}: the empty tray{f' {name}' if name else ''} weighs {grams:,.6g} g", held=True)

    def amend(self, code: str, **figures: Any) -> Notice:
        """Change a batch's name, its usual times, the scale's step, the air of the room or the note.

        Raises:
            DataError: no such batch, or a value that cannot be.
            BenchError, WriteError: as :meth:`new`.
        """
        batch = self._step(code, lambda batch: batch._replace(**figures))
        return Notice(f"{batch.code} changed", held=True)

    def strike(self, code: str, number: int | None = None, back: bool | None = None) -> Notice:
        """Strike something noted by mistake, or bring it back: it stays on record either way.

        Args:
            code: the batch.
            number: of the entry; None strikes what was noted last and holds.
            back: whether to bring it back; None does whichever changes it.

        Raises:
            DataError: no such batch or entry, or it is so already.
            BenchError, WriteError: as :meth:`new`.
        """
        done: list[Entry] = []

        def step(batch: Batch) -> Batch:
            place = _place(batch, number)
            entry = batch.entries[place]
            struck = (not entry.struck) if back is None else (not back)
            if entry.struck == struck:
                state = "struck" if struck else "not struck"
                raise DataError(f"Entry {place + 1} of {batch.code} ({entry_words(entry)}) is {state} already.")
            changed = entry._replace(struck=struck)
            done.append(changed)
            return batch._replace(entries=(*batch.entries[:place], changed, *batch.entries[place + 1 :]))

        batch = self._step(code, step)
        what = f"{entry_words(done[0])} at {clock(done[0].at, self.now())}"
        return Notice(f"{batch.code}: {what} {'struck' if done[0].struck else 'holds again'}", held=True)

    def _step(self, code: str, step: Callable[[Batch], Batch]) -> Batch:
        changed: list[Batch] = []

        def change(batches: dict[str, Batch]) -> None:
            batch = self._find(batches, code)
            batches[batch.code] = checked(step(batch))
            changed.append(batches[batch.code])

        self._change(change)
        return changed[0]

    def _change(self, change: Callable[[dict[str, Batch]], None]) -> None:
        # The documents are read afresh under the lock: what another program noted meanwhile stays.
        self._bench.keep(lambda draft: change(draft.batches))

    # Asking

    def moment(self, text: str) -> datetime:
        """The moment that somebody types; see :func:`read_time`.

        Raises:
            DataError: it is no time, or it lies ahead.
        """
        return read_time(text, self.now())

    def clock(self, at: datetime) -> str:
        """A moment on the wall clock."""
        return clock(at, self.now())

    def due(self) -> tuple[Due, ...]:
        """Where each batch is and what is due, what presses most first."""
        known = {batch.code: self._dryness(batch) for batch in self.batches.values() if _dries(batch)}
        return all_due(self.batches.values(), self.now(), known)

    def due_line(self) -> DueLine | None:
        """What is due, for one quiet line; None if nothing is."""
        return due_line(self.due()) if self.batches else None

    def _dryness(self, batch: Batch) -> Dryness:
        """Worked out once for each state of a batch: a curve takes longer than a key may, and no clock moves it."""
        criterion = self.criterion
        known = self._known.get(batch.code)
        if known is None or known[:2] != (batch, criterion):
            known = self._known[batch.code] = batch, criterion, dryness(batch, criterion)
        return known[2]

    def entries(self, code: str) -> tuple[EntryRow, ...]:
        """Everything noted of a batch; raises as :meth:`find`."""
        return entry_rows(self.find(code), self.now())

    def tray_words(self, code: str) -> tuple[str, ...]:
        """What the weighings of a batch's trays say, a sentence a tray; raises as :meth:`find`."""
        return tuple(map(tray_words, tray_states(self.find(code), self.criterion)))

    def cautions(self, stage: Stage | None = None, step: str = "") -> tuple[Caution, ...]:
        """What to mind in a stage, before any at the soak; or at another step of the work, as ``pull``."""
        return cautions_for(step or _STEPS[stage])

    # Before the wash

    def pull(self, codes: Sequence[str] = (), counted: bool = False, small_g: float | None = None) -> PullList:
        """What stays out of the tub, and what needs a hand after it.

        Args:
            codes: targets whose lists say what to expect; all that are not parked where there are none.
            counted: what was counted says it instead.
            small_g: grams below which a piece is very small; the bench's own figure where None.

        Raises:
            DataError: no such target.
        """
        picture = self._bench.picture
        targets = [find_target(picture, code) for code in codes] or [
            target for target in picture.targets if not target.parked
        ]
        pieces: dict[Kind, int] = {}
        asked: dict[Kind, list[str]] = {}
        for target in targets:
            for line in target.lines:
                asked.setdefault(line.kind, []).append(target.code)
                pieces[line.kind] = pieces.get(line.kind, 0) + line.quantity
        if counted:
            ledger = picture.ledger
            pieces = {kind: sum(n for n in ledger.of_kind(kind).values() if n > 0) for kind in ledger.kinds}
        return pull_list(picture.catalogue, pieces, asked, self.small_g if small_g is None else small_g)


def _free_code(batches: Mapping[str, Batch]) -> str:
    taken = {code.casefold() for code in batches}
    number = len(batches) + 1
    while f"w{number}" in taken:
        number += 1
    return f"W{number}"


def _with(batch: Batch, entry: Entry) -> Batch:
    return batch._replace(entries=(*batch.entries, entry._replace(at=_to_second(entry.at))))


def _to_second(at: datetime) -> datetime:
    """Entries are kept to the second: two within one stand in the order in which they were noted."""
    return at - timedelta(microseconds=at.microsecond)


def _place(batch: Batch, number: int | None) -> int:
    if number is None:
        held = [place for place, entry in enumerate(batch.entries) if not entry.struck]
        if not held:
            raise DataError(f"Nothing noted of {batch.code} holds.", "Name the number of an entry to bring it back.")
        return held[-1]
    if not 1 <= number <= len(batch.entries):
        raise DataError(f"{batch.code} has no entry {number}.", f"Its entries are 1 to {len(batch.entries)}.")
    return number - 1


def _dries(batch: Batch) -> bool:
    stages = batch.stages
    return bool(stages) and stages[-1].stage is Stage.DRYING
