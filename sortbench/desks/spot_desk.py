"""Spot checks at a bench: drawn, looked at piece by piece, judged."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from sortbench.desks.checked_pieces import read_pieces
from sortbench.engine.spot_check.check_words import percent as percent
from sortbench.engine.spot_check.check_words import rate_words as rate_words
from sortbench.engine.spot_check.draw import drawn_numbers
from sortbench.engine.spot_check.operating import Point as Point
from sortbench.engine.spot_check.operating import curve as curve
from sortbench.engine.spot_check.operating import most_wrong as most_wrong
from sortbench.engine.spot_check.sampling import SamplingPlan as SamplingPlan
from sortbench.engine.spot_check.sampling import aql_named, plan_for
from sortbench.engine.spot_check.verdict import Fault as Fault
from sortbench.engine.spot_check.verdict import Standing as Standing
from sortbench.engine.spot_check.verdict import Verdict as Verdict
from sortbench.engine.spot_check.verdict import Wrong as Wrong
from sortbench.engine.spot_check.verdict import verdict_of
from sortbench.model.errors import DataError
from sortbench.model.spot_check import Drawing, Find, Heap, Level, SpotCheck
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.desk import Desk
    from sortbench.store.documents import Draft

LEVEL, AQL = Level.II, "1.0"
"""What a check is drawn by where nobody chose otherwise."""


class SpotDesk:
    """The spot checks of one bench.

    A check keeps what the bin held by the count when it was drawn, so that its verdict stays what it was whatever is
    counted, carried or put right later.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
        chance: gives the seed of a draw where the user gives none.
    """

    def __init__(
        self,
        bench: Bench,
        clock: Callable[[], datetime] = utc_now,
        chance: Callable[[], int] = lambda: int.from_bytes(os.urandom(4), "big"),
    ) -> None:
        self._bench = bench
        self._clock = clock
        self._chance = chance

    def checks(self) -> tuple[SpotCheck, ...]:
        """All checks, the oldest first.

        Raises:
            BenchError: the checks that are kept are damaged.
        """
        return tuple(self._bench.documents.spots.values())

    def check(self, number: str) -> SpotCheck:
        """One check by its number, in any case.

        Raises:
            DataError: there is none.
        """
        return _found(self._bench.documents.spots, number)

    def plan(self, label: str, level: Level = LEVEL, aql: str = AQL) -> SamplingPlan:
        """The plan for a bin as it is counted now.

        Args:
            label: of the bin, in any case.
            aql: as people write it.

        Raises:
            DataError: no such bin, nothing counted into it, or no such limit.
        """
        return plan_for(sum(heap.quantity for heap in counted_in(self._bench, label)), level, aql_named(aql))

    def begin(
        self,
        label: str,
        level: Level = LEVEL,
        aql: str = AQL,
        drawing: Drawing = Drawing.COUNTED_OFF,
        by: str = "",
        seed: int | None = None,
    ) -> SpotCheck:
        """Draw a check of a bin.

        Args:
            label: of the bin, in any case.
            aql: as people write it.
            by: who looks.
            seed: to draw the same numbers again; None leaves it to chance.

        Raises:
            DataError: no such bin, nothing counted into it, no such limit, or a seed out of range.
            BenchError, WriteError: the documents cannot be written.
        """
        counted = counted_in(self._bench, label)
        who = clean_name(by, "name of who looks") if by.strip() else ""
        limit = aql_named(aql)
        plan_for(sum(heap.quantity for heap in counted), level, limit)
        start = self._chance() if seed is None else seed
        made: list[SpotCheck] = []

        def change(draft: Draft) -> None:
            last = max((int(each[1:]) for each in draft.spots), default=0)
            check = SpotCheck(
                f"S{last + 1}", self._now(), counted[0].cell.bin, level, limit, drawing, start, counted, by=who
            )
            draft.spots[check.id] = check
            made.append(check)

        self._bench.keep(change)
        return made[0]

    def numbers(self, check: SpotCheck) -> tuple[int, ...]:
        """Which pieces are to be looked at, as they come out of the bin one by one, from 1; none for a scoop."""
        if check.drawing is Drawing.SCOOP:
            return ()
        return drawn_numbers(check.seed, check.lot, plan_for(check.lot, check.level, check.aql).sample)

    def verdict(self, check: SpotCheck) -> Verdict:
        """What a check comes to so far."""
        return verdict_of(check, self._bench.catalogue.family)

    def changed_since(self, check: SpotCheck) -> bool:
        """Whether the count of the bin is another now than when the check was drawn."""
        now = self._bench.picture.ledger.in_bin(check.bin)
        return dict(check.counted) != {cell: n for cell, n in now.items() if cell.fate is Fate.KEPT and n > 0}

    def note(self, number: str, text: str, pick: int = 0) -> SpotCheck:
        """Note pieces of the sample, as the words and marks of an entry line say what they are.

        A piece of which no grade is told is held against the count by its kind alone, and by its flaws if some are.

        Raises:
            DataError: no such check, more pieces than are still to be looked at, or a line that cannot be meant.
            BenchError, WriteError: the documents cannot be written.
        """
        check = self.check(number)
        last = next((find.cell for find in reversed(check.finds) if find.cell and not find.struck), None)
        found = read_pieces(self._bench, text, check.bin, last, pick=pick)
        return self._noted(number, found.cell, found.quantity)

    def missing(self, number: str, quantity: int = 1) -> SpotCheck:
        """Note numbers that were drawn and that the bin had no piece for; raises as :meth:`note`."""
        if self.check(number).drawing is Drawing.SCOOP:
            raise DataError(
                "A scoop cannot tell that pieces are missing.", "Draw a check whose pieces are counted off for that."
            )
        return self._noted(number, None, quantity)

    def left_over(self, number: str, quantity: int = 1) -> SpotCheck:
        """Note pieces that lie in the bin beyond those that were counted off; raises as :meth:`note`."""
        if self.check(number).drawing is Drawing.SCOOP:
            raise DataError(
                "A scoop cannot tell that pieces are left over.", "Draw a check whose pieces are counted off for that."
            )
        return self._noted(number, None, quantity, left_over=True)

    def strike_find(self, number: str, ordinal: int = 0, back: bool = False) -> SpotCheck:
        """Let a find count for nothing, or count again.

        Args:
            ordinal: which, from 1, struck ones counted too; 0: the last that is not struck (or, going back, that is).

        Raises:
            DataError: no such check or find, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(check: SpotCheck) -> SpotCheck:
            at = ordinal or next((n for n in range(len(check.finds), 0, -1) if check.finds[n - 1].struck is back), 0)
            if not 1 <= at <= len(check.finds):
                raise DataError(
                    f"{check.id} has no find {ordinal}." if ordinal else f"{check.id} has no find to strike.",
                    f"`sortbench spot show {check.id}` has them.",
                )
            find = check.finds[at - 1]
            if find.struck is not back:
                raise DataError(f"Find {at} is {'struck' if find.struck else 'not struck'} already.")
            if back:
                _check_fits(check, find)
            finds = (*check.finds[: at - 1], find._replace(struck=not back), *check.finds[at:])
            return check._replace(finds=finds)

        return self._changed(number, change)

    def strike(self, number: str, back: bool = False) -> SpotCheck:
        """Let a whole check count for nothing, or count again; raises as :meth:`strike_find`."""

        def change(check: SpotCheck) -> SpotCheck:
            if check.struck is not back:
                raise DataError(f"{check.id} is {'struck' if check.struck else 'not struck'} already.")
            return check._replace(struck=not back)

        return self._changed(number, change)

    def _noted(self, number: str, cell: Cell | None, quantity: int, left_over: bool = False) -> SpotCheck:
        def change(check: SpotCheck) -> SpotCheck:
            if check.struck:
                raise DataError(
                    f"{check.id} is struck.", f"`sortbench spot strike {check.id} --back` lets it hold again."
                )
            find = Find(self._now(), quantity, cell, left_over=left_over)
            _check_fits(check, find)
            return check._replace(finds=(*check.finds, find))

        return self._changed(number, change)

    def _changed(self, number: str, change: Callable[[SpotCheck], SpotCheck]) -> SpotCheck:
        made: list[SpotCheck] = []

        def changed(draft: Draft) -> None:
            check = change(_found(draft.spots, number))
            draft.spots[check.id] = check
            made.append(check)

        self._bench.keep(changed)
        return made[0]

    def _now(self) -> str:
        return stamp(self._clock())


def counted_in(bench: Desk, label: str) -> tuple[Heap, ...]:
    """What lies in a bin by the count, most pieces first.

    Args:
        label: in any case.

    Raises:
        DataError: no such bin, or nothing is counted into it.
    """
    found = known_bin(bench, label)
    heaps = [Heap(row.cell, row.quantity) for row in bench.picture.heaps(found)]
    heaps = [heap for heap in heaps if heap.quantity > 0 and heap.cell.fate is Fate.KEPT]
    if not heaps:
        raise DataError(f"Nothing is counted into {found}.", "Count pieces into it first.")
    return tuple(heaps)


def known_bin(bench: Desk, label: str) -> str:
    """The label of a bin that is set up or that pieces were counted into, as typed in any case.

    Raises:
        DataError: there is none.
    """
    lying = {each.casefold(): each for each in bench.picture.ledger.bins}
    found = lying.get(label.casefold()) or bench.bin_label(label)
    if not found:
        raise DataError("No bin was named.", "`sortbench bins` lists them.")
    return found


def _found(checks: Mapping[str, SpotCheck], number: str) -> SpotCheck:
    found = checks.get(number.strip().upper())
    if found is None:
        raise DataError(f"There is no spot check {number.strip()[:20]!r}.", "`sortbench spot list` has them.")
    return found


def _check_fits(check: SpotCheck, find: Find) -> None:
    """Refuse finds beyond the sample, and pieces that are left over in a bin that lacks some."""
    quantity = find.quantity
    if not 1 <= quantity <= MAX_QUANTITY:
        raise DataError(f"{quantity} pieces cannot be noted.", f"Give 1 to {MAX_QUANTITY}.")
    others = [other for other in check.finds if other.cell is None and not other.struck]
    if find.cell is None and any(other.left_over is not find.left_over for other in others):
        raise DataError(
            f"In {check.id} pieces cannot both be missing and be left over.",
            "Strike what was noted wrongly, then count the bin off again.",
        )
    if find.left_over:
        return
    sample = plan_for(check.lot, check.level, check.aql).sample
    left = sample - check.looked
    if quantity > left:
        raise DataError(
            f"{check.id} looks at {sample:,} pieces, {left:,} of them not yet, so {quantity:,} more are too many.",
            "Strike what was noted wrongly, or look at the rest of the bin in a recount.",
        )
