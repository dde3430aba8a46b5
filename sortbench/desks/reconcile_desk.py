"""Reconciling at a bench: counts against targets, what if, why, and keeping what was tried out."""

from __future__ import annotations

from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.explain import Progress, Reason, explain, reasons, silent
from sortbench.engine.reconciling.reconcile import lines_of, spares_of, targets_of
from sortbench.engine.reconciling.reconcile_board import Effect, ReconcileLine, ReconcileTarget, SpareHeap
from sortbench.engine.reconciling.what_if import WhatIf as WhatIf
from sortbench.engine.reconciling.what_if import checked, compared, find_target, picture_if
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.tally import Fate


class Outlook:
    """A bench as it is, and as it would be with a change that is only tried out. Nothing is written.

    Args:
        bench: the bench, open for one sitting; what is told holds until something is counted or changed.
        what_if: the change.

    Raises:
        DataError: a target, rank or stand-in that is none.
    """

    def __init__(self, bench: Desk, what_if: WhatIf) -> None:
        self._before = bench.picture
        self.what_if = checked(bench.picture, what_if)
        self._after = picture_if(bench.picture, self.what_if)

    @property
    def words(self) -> str:
        """The change in words; empty where all of it holds already."""
        return what_if_words(self._before, self.what_if)

    def targets(self) -> tuple[ReconcileTarget, ...]:
        """All targets, the first rank first."""
        return targets_of(self._after)

    def lines(self, code: str) -> tuple[ReconcileLine, ...]:
        """The lines of one target.

        Raises:
            DataError: no such target.
        """
        find_target(self._after, code)
        return lines_of(self._after, code)

    def spares(self) -> tuple[SpareHeap, ...]:
        """Every piece that no line has; see :func:`sortbench.engine.reconciling.reconcile.spares_of`."""
        return spares_of(self._after)

    def spare_pieces(self) -> int:
        """How many pieces no line has, coarse ones left aside."""
        counts = self._after.ledger.counts
        usable = sum(n for cell, n in counts.items() if n > 0 and cell.kind is not None and cell.fate is not Fate.OUT)
        return usable - sum(fill.present for fill in self._after.fill.all())

    def reasons(self, kind: Kind, progress: Progress = silent) -> tuple[Reason, ...]:
        """Why the pieces of a kind go where they go; see :func:`sortbench.engine.reconciling.explain.reasons`.

        Args:
            progress: told questions answered so far and questions in all.
        """
        return reasons(self._after, kind, progress)

    def explain(self, kind: Kind, progress: Progress = silent) -> tuple[str, ...]:
        """The same in words; see :func:`sortbench.engine.reconciling.explain.explain`."""
        return explain(self._after, kind, progress)

    def effects(self) -> tuple[Effect, ...]:
        """What the change comes to for every target, in the order of the ranks it gives."""
        return compared(self._before, self._after)


class BestRanks(NamedTuple):
    """A change that completes the most, and what it completes in words."""

    what_if: WhatIf
    words: str


def with_best_order(bench: Desk, what_if: WhatIf, by_value: bool) -> BestRanks:
    """A change, with the ranks that then complete the most targets or the most value.

    Raises:
        DataError: a target, rank or stand-in that is none.
        UsageError: the solver is not installed.
    """
    from sortbench.engine.reconciling.best_order import best_order

    picture = picture_if(bench.picture, checked(bench.picture, what_if))
    found = best_order(picture, by_value)
    names = {target.code: target.name for target in picture.targets}
    done = ", ".join(names[code] for code in found.completed) or "no target"
    words = f"Complete together: {done} ({found.total:,}{' in value' if by_value else f' of {len(names):,}'})."
    words += " No order does better." if found.proven else " Time ran out; a better order may exist."
    if by_value and found.valueless:
        words += f" No value is told of {', '.join(names[code] for code in found.valueless)}: they count as nothing."
    return BestRanks(what_if.with_ranks(found.ranks), words)


def keep(bench: Desk, what_if: WhatIf) -> Notice:
    """Write a change that was tried out, all of it or nothing.

    Raises:
        DataError: a target, rank or stand-in that is none.
        BenchError: another program writes the documents.
        WriteError: the disk refused; nothing was changed.
    """
    what_if = checked(bench.picture, what_if)
    if what_if.is_empty:
        return Notice("nothing to keep: all of it holds already")
    with bench.folder.documents.edit() as draft:
        for code in what_if.codes:
            if code not in draft.targets:
                raise DataError(f"The target {code!r} was taken off the bench meanwhile.", "Look at the targets anew.")
            draft.targets[code] = what_if.applied(draft.targets[code])
        if what_if.policy is not None:
            draft.settings["policy"] = what_if.policy.value
    bench.reload()
    return Notice(f"kept: {what_if_words(bench.picture, what_if)}")


def what_if_words(picture: Picture, what_if: WhatIf) -> str:
    """A change in words."""
    names = {target.code: target.name for target in picture.targets}
    part_name = picture.catalogue.part_name
    words = [
        f"{names.get(code, code)} has rank {rank}" for rank, code in sorted((n, c) for c, n in what_if.ranks.items())
    ]
    words += [
        f"{names.get(code, code)} {'is parked' if yes else 'takes pieces again'}"
        for code, yes in sorted(what_if.parked.items())
    ]
    words += [
        f"{names.get(code, code)} {'refuses' if yes else 'allows'} {part_name(instead.part)} {instead.shade} "
        f"for {part_name(wanted.part)} {wanted.shade}"
        for code, wanted, instead, yes in sorted(what_if.refused)
    ]
    if what_if.policy is not None:
        words.append(f"policy {what_if.policy.value}")
    return "; ".join(words)
