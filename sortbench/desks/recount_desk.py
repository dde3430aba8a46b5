"""Recounts at a bench: a second person counts a bin without seeing the first count; then both are compared."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.checked_pieces import read_pieces
from sortbench.desks.spot_desk import known_bin
from sortbench.engine.folding.in_time import time_and_id
from sortbench.engine.spot_check.check_words import entries_words as entries_words
from sortbench.engine.spot_check.recounting import Compared as Compared
from sortbench.engine.spot_check.recounting import Comparison as Comparison
from sortbench.engine.spot_check.recounting import Held as Held
from sortbench.engine.spot_check.recounting import Step, compare, steps_to_take
from sortbench.model.errors import DataError
from sortbench.model.spot_check import Heap, Recount, recount_way
from sortbench.model.tally import Cell, Fate, Record, What
from sortbench.model.text import clean_name
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.store.documents import Draft


class Taken(NamedTuple):
    """What taking a recount over did.

    Attributes:
        recount: as it is now.
        steps: what was written: tallies put right, voided, counted anew.
        left: heaps that could not be put right, and how many pieces that concerns.
        moved: heaps that came to another count since the recount began, so that nothing was done about them.
    """

    recount: Recount
    steps: tuple[Step, ...]
    left: tuple[Heap, ...]
    moved: tuple[Cell, ...]


class RecountDesk:
    """The recounts of one bench.

    What a recount finds are records of the log, each durable before it is shown, and undone like tallies. Nothing of
    the first count is told before the recount is ended, so that it stays blind.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
    """

    def __init__(self, bench: Bench, clock: Callable[[], datetime] = utc_now) -> None:
        self._bench = bench
        self._clock = clock

    def recounts(self) -> tuple[Recount, ...]:
        """All recounts, the oldest first.

        Raises:
            BenchError: the recounts that are kept are damaged.
        """
        return tuple(self._bench.documents.recounts.values())

    def recount(self, number: str) -> Recount:
        """One recount by its number, in any case.

        Raises:
            DataError: there is none.
        """
        return _found(self._bench.documents.recounts, number)

    def begin(self, label: str, by: str = "") -> Recount:
        """Begin to recount a bin; its count as it is now is what the recount will be held against.

        Args:
            label: of the bin, in any case.
            by: who counts.

        Raises:
            DataError: no such bin, or a recount of it is not ended.
            BenchError, WriteError: the documents cannot be written.
        """
        bench = self._bench
        found = known_bin(bench, label)
        lying = [Heap(row.cell, row.quantity) for row in bench.picture.heaps(found)]
        counted = tuple(heap for heap in lying if heap.quantity > 0 and heap.cell.fate is Fate.KEPT)
        who = clean_name(by, "name of who counts") if by.strip() else ""
        made: list[Recount] = []

        def change(draft: Draft) -> None:
            for each in draft.recounts.values():
                if each.bin == found and not (each.ended or each.struck):
                    raise DataError(
                        f"{each.id} recounts {found} and is not ended.",
                        f"End it with `sortbench recount end {each.id}`, or strike it.",
                    )
            last = max((int(each[1:]) for each in draft.recounts), default=0)
            recount = Recount(f"R{last + 1}", self._now(), found, counted, who)
            draft.recounts[recount.id] = recount
            made.append(recount)

        bench.keep(change)
        return made[0]

    def found(self, recount: Recount) -> tuple[Record, ...]:
        """The records of a recount that hold, in the order of time, for they may be of several sittings."""
        return tuple(sorted(self._bench.picture.ledger.recounted(recount_way(recount)), key=time_and_id))

    def note(self, number: str, text: str, pick: int = 0) -> Record:
        """Note pieces that lie in the bin, as the words and marks of an entry line say what they are.

        Where no grade is told they are of the grade that is held, as in counting.

        Raises:
            DataError: no such recount, it is ended or struck, or a line that cannot be meant.
            WriteError: the disk refused; nothing is noted.
        """
        bench, recount = self._bench, self.recount(number)
        _check_open(recount)
        before = self.found(recount)
        last = before[-1].cell if before else None
        pieces = read_pieces(bench, text, recount.bin, last, bench.held.grade, pick)
        rid = bench.sitting.recount(pieces.cell, pieces.quantity, recount_way(recount))
        return bench.picture.ledger.records[rid]

    def take_back(self, number: str) -> Record:
        """Let the last record of a recount no longer hold.

        Raises:
            DataError: no such recount, it is ended or struck, or nothing is noted.
            WriteError: the disk refused.
        """
        recount = self.recount(number)
        _check_open(recount)
        found = self.found(recount)
        if not found:
            raise DataError(f"Nothing is noted in {recount.id}.", "Note what lies in the bin first.")
        self._bench.sitting.void(found[-1].id)
        return found[-1]

    def end(self, number: str, back: bool = False) -> Recount:
        """Say that all pieces of the bin are noted, so that the counts may be compared; or that some are not yet.

        Raises:
            DataError: no such recount, it is so already, or it was taken over.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(recount: Recount) -> Recount:
            if recount.struck:
                raise DataError(f"{recount.id} is struck.", "Let it count again, or begin another.")
            if bool(recount.ended) is not back:
                raise DataError(f"{recount.id} is {'ended' if recount.ended else 'not ended'} already.")
            if recount.taken:
                raise DataError(f"{recount.id} was taken over; it stays ended.", "Begin another.")
            return recount._replace(ended="" if back else self._now())

        return self._changed(number, change)

    def strike(self, number: str, back: bool = False) -> Recount:
        """Let a recount count for nothing, or count again. What was taken over stays: undo or correct the tallies.

        Raises:
            DataError: no such recount, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(recount: Recount) -> Recount:
            if recount.struck is not back:
                raise DataError(f"{recount.id} is {'struck' if recount.struck else 'not struck'} already.")
            return recount._replace(struck=not back)

        return self._changed(number, change)

    def comparison(self, number: str) -> Comparison:
        """Both counts of the bin, heap by heap and record by record; of the tallies those that were there when it began
        and still hold, so that none is told of a heap that was taken over.

        Raises:
            DataError: no such recount, or it is not ended.
        """
        recount = self.recount(number)
        if not recount.ended:
            raise DataError(
                f"{recount.id} is not ended, and blind until it is.",
                f"Note what lies in {recount.bin}, then `sortbench recount end {recount.id}`.",
            )
        before = [record for record in self._tallies(recount) if record.at <= recount.at]
        return compare(recount.counted, before, self.found(recount), self._bench.catalogue.family)

    def take(self, number: str) -> Taken:
        """Take a recount over: put the tallies of the first count right.

        Broken off half-way it may be said again: heaps that are as the recount has them are left as they are.

        Raises:
            DataError: no such recount, it is not ended, is struck, or was taken over already.
            BenchError, WriteError: the disk refused; what was put right up to then stays so.
        """
        recount = self.recount(number)
        if recount.taken or recount.struck:
            raise DataError(
                f"{recount.id} {'was taken over already' if recount.taken else 'is struck'}.", "Begin another."
            )
        counts = self._bench.picture.ledger.counts
        comparison = self.comparison(number)
        first = dict(recount.counted)
        due, moved = [], []
        for row in comparison.differing:
            now, then = counts.get(row.cell, 0), first.get(row.cell, 0)
            if now == then:
                due.append(row)
            elif now != then + row.by:
                moved.append(row.cell)
        found = steps_to_take(Comparison(tuple(due)), self._tallies(recount))
        left = list(found.left)
        steps = []
        for step in found.steps:
            try:
                self._do(step, recount)
            except DataError:
                assert step.record is not None, "only a tally that is put right can be refused"
                left.append(Heap(step.cell, step.record.quantity - step.quantity))
            else:
                steps.append(step)
        done = self._changed(recount.id, lambda known: known._replace(taken=self._now()))
        return Taken(done, tuple(steps), tuple(left), tuple(moved))

    def _do(self, step: Step, recount: Recount) -> None:
        sitting = self._bench.sitting
        if step.record is not None:
            sitting.put_right(step.record, step.quantity)
        else:
            sitting.record(What.TALLY, step.cell, step.quantity, way=recount_way(recount))

    def _tallies(self, recount: Recount) -> list[Record]:
        """The tallies into the bin that hold, in the order of time; those that a recount was taken over by as well."""
        label = recount.bin
        told = self._bench.picture.ledger.told(
            lambda what, way: what is What.TALLY, lambda cell: cell.bin == label and cell.fate is Fate.KEPT
        )
        return sorted(told, key=time_and_id)

    def _changed(self, number: str, change: Callable[[Recount], Recount]) -> Recount:
        made: list[Recount] = []

        def changed(draft: Draft) -> None:
            recount = change(_found(draft.recounts, number))
            draft.recounts[recount.id] = recount
            made.append(recount)

        self._bench.keep(changed)
        return made[0]

    def _now(self) -> str:
        return stamp(self._clock())


def _check_open(recount: Recount) -> None:
    if recount.struck or recount.ended:
        raise DataError(
            f"{recount.id} is {'struck' if recount.struck else 'ended'}.",
            f"`sortbench recount {'strike' if recount.struck else 'end'} {recount.id} --back` opens it again.",
        )


def _found(recounts: Mapping[str, Recount], number: str) -> Recount:
    found = recounts.get(number.strip().upper())
    if found is None:
        raise DataError(f"There is no recount {number.strip()[:20]!r}.", "`sortbench recount list` has them.")
    return found
