"""What was found in a sample against what was counted: which pieces are wrong, and what follows.

A sample agrees with the count as far as its pieces can be told off one by one against the heaps of the count; what
agrees with what says :mod:`sortbench.engine.spot_check.telling_off`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from typing import NamedTuple

from sortbench.engine.figures.success import Rate, rate
from sortbench.engine.spot_check.sampling import SamplingPlan, plan_for
from sortbench.engine.spot_check.telling_off import near, told_off
from sortbench.model.spot_check import Heap, SpotCheck
from sortbench.model.tally import Cell


class Fault(StrEnum):
    """What is wrong with a piece of the sample."""

    KIND = "wrong kind"  # the count has no such kind in this bin
    GRADE = "grade off"  # by more than half a step from every heap of the kind
    FLAW = "other flaws"  # than those noted with every heap of the kind
    EXTRA = "more than counted"
    MISSING = "not there"  # a piece was due and none was there


class Standing(StrEnum):
    """How a check stands."""

    OPEN = "not done"
    ACCEPTED = "accepted"
    REFUSED = "recount the bin"


class Wrong(NamedTuple):
    """Wrong pieces of a sample: what is wrong with them, what they are (None: not there), and how many."""

    fault: Fault
    cell: Cell | None
    quantity: int


class Verdict(NamedTuple):
    """What a check comes to.

    Attributes:
        plan: its plan.
        looked: pieces looked at, those that were not there included.
        wrong: what is wrong in the sample, in the order in which it was found.
        left_over: pieces that lay in the bin beyond those that were counted: wrong too, but none of the sample, so they
            weigh in the standing and not in the error rate.
        standing: once more pieces are wrong than the plan accepts, the recount is asked for without further looking.
        error: share of wrong pieces, with its 95 % interval by Clopper and Pearson; None before the first piece. It
            takes the bin for endless, so it is rather too wide than too narrow, and holds once the whole sample was
            looked at: who stops at the first wrong pieces finds more than there are. Where every piece of the bin was
            looked at, both ends are the share itself.
    """

    plan: SamplingPlan
    looked: int
    wrong: tuple[Wrong, ...]
    left_over: int
    standing: Standing
    error: Rate | None

    @property
    def faults(self) -> int:
        """Wrong pieces of the sample."""
        return sum(each.quantity for each in self.wrong)

    @property
    def left(self) -> int:
        """Pieces still to be looked at; 0 once the verdict stands."""
        return self.plan.sample - self.looked if self.standing is Standing.OPEN else 0


def verdict_of(check: SpotCheck, family_of: Callable[[str], str] = lambda part: "") -> Verdict:
    """What a check comes to.

    Args:
        family_of: the shape family of a part, by its code; coarse heaps of a family take such parts.
    """
    plan = plan_for(check.lot, check.level, check.aql)
    found: dict[Cell, int] = {}
    missing = left_over = 0
    for find in check.finds:
        if find.struck:
            continue
        if find.left_over:
            left_over += find.quantity
        elif find.cell is None:
            missing += find.quantity
        else:
            found[find.cell] = found.get(find.cell, 0) + find.quantity
    wrong = _wrong(found, check.counted, family_of)
    if missing:
        wrong.append(Wrong(Fault.MISSING, None, missing))
    looked, faults = missing + sum(found.values()), sum(each.quantity for each in wrong)
    standing = Standing.OPEN
    if faults + left_over > plan.accept:
        standing = Standing.REFUSED
    elif looked >= plan.sample:
        standing = Standing.ACCEPTED
    return Verdict(plan, looked, tuple(wrong), left_over, standing, _error(faults, looked, plan.lot))


def _error(faults: int, looked: int, lot: int) -> Rate | None:
    if not looked:
        return None
    if looked >= lot:
        return Rate(faults / looked, faults / looked, faults / looked)
    return rate(faults, looked)


def _wrong(found: dict[Cell, int], counted: Sequence[Heap], family_of: Callable[[str], str]) -> list[Wrong]:
    pieces = [Heap(cell, quantity) for cell, quantity in found.items()]
    told = told_off(pieces, counted, family_of)
    return [
        Wrong(Fault.EXTRA if told.known[n] else _fault(heap.cell, counted), heap.cell, told.over[n])
        for n, heap in enumerate(pieces)
        if told.over[n]
    ]


def _fault(cell: Cell, counted: Sequence[Heap]) -> Fault:
    like = [heap.cell for heap in counted if heap.cell.part and heap.cell.kind == cell.kind]
    if not like:
        return Fault.KIND
    return Fault.FLAW if any(near(cell, each) for each in like) else Fault.GRADE
