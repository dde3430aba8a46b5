"""When a tray is dry: criteria of constant mass, and whether weighings meet one.

The criteria are the program's defaults and meant to be set by whoever dries: nearly all their figures are from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import inf, isfinite
from typing import NamedTuple

from sortbench.model.errors import DataError

_LEAST_GAP = 1e-9


class Reading(NamedTuple):
    """One weighing.

    Attributes:
        hours: since any moment that all weighings of the tray share.
        grams: of what lies in the tray, without the tray itself: a share of the tray's mass would be allowed to change
            too, and the pieces be called dry too early.
    """

    hours: float
    grams: float


class Criterion(NamedTuple):
    """What counts as constant mass.

    Attributes:
        code: to choose it by.
        change_pct: percent of the mass; each change must stay under it.
        interval_h: hours that weighings must at least lie apart.
        weighings: how many in a row, 2 or more.
        source: where it comes from, and whether that was read or remembered.
    """

    code: str
    change_pct: float
    interval_h: float
    weighings: int
    source: str

    @property
    def words(self) -> str:
        """As a clause: ``less than 0.1 % in 24 h, over 3 weighings``."""
        return f"less than {self.change_pct:g} % in {self.interval_h:g} h, over {self.weighings} weighings"


CRITERIA = (
    Criterion("24h-0.1", 0.1, 24, 3, "EN ISO 12570 (hygrothermal performance: moisture content), figures from memory"),
    Criterion("4h-0.2", 0.2, 4, 2, "RILEM/LAC test method 4.5, figures read in the abstract of a book chapter"),
    Criterion("24h-0.2", 0.2, 24, 2, "EN 12390-7 (density of concrete), figures from memory"),
    Criterion("1h-0.1", 0.1, 1, 2, "EN 1097-5 (water content of aggregates), figures from memory"),
    Criterion("2h-0.1", 0.1, 2, 2, "EN 13183-1 (moisture content of wood), figures from memory"),
)
"""Criteria to choose from; the first is the default. All are made for other materials."""

DEFAULT = CRITERIA[0]


def find_criterion(code: str) -> Criterion:
    """The criterion with a code.

    Raises:
        DataError: none has it.
    """
    for criterion in CRITERIA:
        if criterion.code == code.strip().lower():
            return criterion
    raise DataError(f"{code[:20]!r} is no criterion.", f"Known are {', '.join(each.code for each in CRITERIA)}.")


def own_criterion(change_pct: float, interval_h: float, weighings: int = 2) -> Criterion:
    """A criterion with figures of one's own.

    Args:
        change_pct: above 0, at most 5.
        interval_h: above 0, at most 1,000.
        weighings: 2 to 10.

    Raises:
        DataError: a figure out of range.
    """
    if not 0 < change_pct <= 5:
        raise DataError(f"A change of {change_pct:g} % is no criterion.", "Give above 0 to 5.")
    if not 0 < interval_h <= 1000:
        raise DataError(f"{interval_h:g} hours between weighings are no criterion.", "Give above 0 to 1,000.")
    if not 2 <= weighings <= 10:
        raise DataError(f"{weighings} weighings are no criterion.", "Give 2 to 10.")
    return Criterion("own", change_pct, interval_h, weighings, "set by you")


class Verdict(StrEnum):
    """What weighings say of constant mass."""

    DRY = "dry"
    DRYING = "still drying"  # the latest change that the scale can see is surely above what is allowed
    UNDECIDED = "not yet decidable"


class ConstantMass(NamedTuple):
    """Whether a criterion holds.

    Attributes:
        verdict: what the weighings say.
        since_h: hour of the weighing from which on the criterion held at each one; None unless dry.
        scaled: whether it holds only for intervals shorter than the criterion's, with a proportionally smaller change.
        words: why, and what would decide it.
        again_h: hour from which one more weighing brings a decision nearer if the mass stays as it is; None where dry,
            and where only another scale or more pieces on the tray do.
    """

    verdict: Verdict
    since_h: float | None
    scaled: bool
    words: str
    again_h: float | None = None


def in_order(readings: Sequence[Reading], resolution_g: float | None = None) -> list[Reading]:
    """The weighings by time, checked.

    Raises:
        DataError: one is no number, or not above 0 g; or the scale's step is not.
    """
    for hours, grams in readings:
        if not (isfinite(hours) and isfinite(grams) and grams > 0):
            raise DataError(f"A weighing of {grams:g} g at {hours:g} h cannot be.", "Give grams above 0.")
    if resolution_g is not None and not (isfinite(resolution_g) and resolution_g > 0):
        raise DataError(f"A scale with steps of {resolution_g:g} g cannot be.", "Give grams above 0.")
    return sorted(readings)


def constant_mass(
    readings: Sequence[Reading], criterion: Criterion = DEFAULT, resolution_g: float | None = None
) -> ConstantMass:
    """Whether the weighings of one tray meet a criterion of constant mass.

    As written: from the last weighing back, each time to the nearest one that lies the criterion's interval or longer
    before, every change must stay under its share of the later mass. A longer interval is allowed no more.

    Scaled to a shorter interval: a change over a fraction of the interval must stay under that fraction of the share.
    Drying that never speeds up then cannot lose more than the full share over the full interval that begins with the
    earlier weighing, so this is the stricter of the two; it leans on the room staying as it is, which is why ``scaled``
    tells it apart. All weighings between the two must lie within the same bound.

    A scale cannot tell a change from one that is a step larger, for both weighings are rounded by up to half a step.
    So the change plus one step must stay under the bound: a change smaller than the scale can see proves nothing, and
    a short interval, whose bound is small, proves nothing on a coarse scale. A scale that scatters by more than a
    step is to be given that as its step. Without a step, intervals are not scaled, and weighings are taken at their
    word.

    Args:
        readings: grams without the tray; any order.
        criterion: what counts as constant.
        resolution_g: grams of one step of the scale, None if not known.

    Raises:
        DataError: a weighing that cannot be.
    """
    rows = in_order(readings, resolution_g)
    bounds = _Bounds(rows, criterion, resolution_g)
    if not rows or not bounds.holds(len(rows) - 1):
        return bounds.why_not()
    first = len(rows) - 1
    while first and bounds.holds(first - 1):
        first -= 1
    return bounds.dry(first)


class _Bounds:
    """The weighings of a tray against one criterion."""

    def __init__(self, rows: list[Reading], criterion: Criterion, resolution_g: float | None) -> None:
        self._rows = rows
        self._criterion = criterion
        self._resolution_g = resolution_g
        self._step = resolution_g or 0.0
        self._runs: list[int] = []
        for last in range(len(rows)):
            self._runs.append(self._in_keeping(last))

    def holds(self, last: int) -> bool:
        """Whether the criterion holds at a weighing, as written or scaled."""
        return self._chain(last, self._criterion.weighings)

    def dry(self, first: int) -> ConstantMass:
        """The verdict where the criterion has held since the weighing with a number."""
        last = len(self._rows) - 1
        scaled = not self._as_written(last, self._criterion.weighings)
        how = ", scaled to shorter intervals" if scaled else ""
        words = f"constant mass: {self._criterion.words}{how}"
        return ConstantMass(Verdict.DRY, self._rows[first].hours, scaled, words)

    def why_not(self) -> ConstantMass:
        """The verdict where the criterion does not hold at the last weighing; the latest change tells most."""
        criterion, step = self._criterion, self._step
        if len(self._rows) < 2:
            so_far = "one weighing" if self._rows else "no weighing"
            return self._undecided(f"{so_far} so far, the criterion needs {criterion.weighings}")
        last = len(self._rows) - 1
        full, farthest = self._full(last), self._far_enough(last) or 0
        before = next((n for n in range(last - 1, farthest - 1, -1) if self._bound(n, last) > step), None)
        if before is None:
            return self._unseen(last, farthest, full)
        told, change, bound = self._told(before, last), self._change(before, last), self._bound(before, last)
        if change - step >= bound:
            return ConstantMass(Verdict.DRYING, None, False, f"{told}, {bound:.2g} g are allowed", self._again(last))
        if change + step >= bound:
            return self._undecided(f"{told}, which on steps of {step:g} g may be {bound:.2g} g, the most allowed")
        if self._resolution_g is None and bound < full:
            return self._undecided(
                f"{told}; the criterion asks for {criterion.interval_h:g} h between weighings "
                "(less can count once the scale's step is known)"
            )
        return self._undecided(f"{told}: little enough, but not yet over {criterion.weighings} weighings")

    def _unseen(self, last: int, farthest: int, full: float) -> ConstantMass:
        """The verdict where the scale's step is larger than all that may change since any weighing that counts."""
        step, told = self._step, self._told(farthest, last)
        if step < full:
            coarse = (
                f"steps of {step:g} g cannot show the {self._bound(farthest, last):.2g} g allowed in so short a time"
            )
        else:
            load = step / self._criterion.change_pct * 100
            coarse = (
                f"steps of {step:g} g cannot show {full:.2g} g: weigh more than {load:,.0f} g at once, "
                f"or on a scale with steps under {full:.2g} g"
            )
        if self._change(farthest, last) - step >= full:
            return ConstantMass(Verdict.DRYING, None, False, f"{told}; {coarse}", self._again(last))
        return self._undecided(f"{told}; {coarse}")

    def _undecided(self, words: str) -> ConstantMass:
        again = self._again(len(self._rows) - 1) if self._rows else None
        return ConstantMass(Verdict.UNDECIDED, None, False, words, again)

    def _again(self, last: int) -> float | None:
        """Hour from which one more weighing like the last brings a decision nearer; None if none would."""
        full, apart = self._full(last), self._criterion.interval_h
        hours: dict[bool, float] = {}
        for before in range(last + 1):
            seen = self._change(before, last) + self._step
            if seen < full:
                needed = apart if self._resolution_g is None else apart * seen / full
                decides = self._chain(before, self._criterion.weighings - 1)
                hours[decides] = min(self._rows[before].hours + needed, hours.get(decides, inf))
        if not hours:
            return None
        return max(self._rows[last].hours, hours[True] if True in hours else hours[False])

    def _chain(self, last: int, weighings: int) -> bool:
        """Whether a number of weighings that end with one are in keeping with the criterion, as written or scaled."""
        return self._as_written(last, weighings) or self._runs[last] >= weighings

    def _as_written(self, last: int, weighings: int) -> bool:
        for _ in range(weighings - 1):
            before = self._far_enough(last)
            if before is None or self._change(before, last) + self._step >= self._full(last):
                return False
            last = before
        return True

    def _in_keeping(self, last: int) -> int:
        """How many weighings in a row, ending with one, meet the scaled criterion; 1 where no two do."""
        if self._resolution_g is None:
            return 1
        longest, most = 1, 0.0
        for before in range(last - 1, (self._far_enough(last) or 0) - 1, -1):
            most = max(most, self._change(before, last))  # all weighings between lie within the same bound
            if most + self._step < self._bound(before, last):
                longest = max(longest, self._runs[before] + 1)
        return longest

    def _far_enough(self, last: int) -> int | None:
        """The nearest weighing that lies the criterion's interval or longer before."""
        latest = self._rows[last].hours - self._criterion.interval_h + _LEAST_GAP
        return next((n for n in range(last - 1, -1, -1) if self._rows[n].hours <= latest), None)

    def _change(self, before: int, last: int) -> float:
        return abs(self._rows[before].grams - self._rows[last].grams)

    def _full(self, last: int) -> float:
        return self._rows[last].grams * self._criterion.change_pct / 100

    def _bound(self, before: int, last: int) -> float:
        apart = self._rows[last].hours - self._rows[before].hours
        return self._full(last) * min(1.0, apart / self._criterion.interval_h)

    def _told(self, before: int, last: int) -> str:
        change = self._rows[last].grams - self._rows[before].grams
        apart = self._rows[last].hours - self._rows[before].hours
        return f"{'gained' if change > 0 else 'lost'} {abs(change):.3g} g in {apart:.3g} h"
