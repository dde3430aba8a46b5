"""Who gets which piece, worked out a second time: from the plain input and by other people's solvers.

Nothing here comes from ``sortbench.engine``: kinds, conditions, what may fill a line and what is right for a year are
read from the rules anew. The criteria, the weightiest first:

1. pieces present, target by target in the order of ranks. Targets of one rank are filled evenly: of their shares
   (present of need) the smallest is as large as can be, then the second smallest, and so on; where that leaves a
   choice, the target of the smaller code has more. That pins every target's presence, so the criteria below are
   compared at equal presence;
2. pieces set aside by hand that are in use, by rank (the sum over the targets of one rank);
3. pieces to standard, by rank;
4. by rank: the number of stand-ins, then what they cost in all;
5. the quality of the pieces, summed, by rank;
6. fewest pieces moved: for each heap of like pieces and each line, those it had and no longer has.

Policy *showpiece*: criteria 1 to 5 of the first rank before the second's first.

:class:`Levels` solves one criterion after the other with scipy's HiGHS, each optimum held for the next. Equal ranks
go by the definition: of two vectors sorted from the smallest, that is the better one which, at the smallest threshold
where they differ, has more entries above it; so for each threshold the number of targets above it is maximised as an
integer program. All else is a face of a transportation polytope, whose corners are whole numbers, so linear programs
do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from sortbench.model.catalogue import Catalogue, Kind, Years
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Policy, Swap, SwapOf, Target

Reserved = Mapping[tuple[Grade | None, Flaws], Mapping[str, int]]
LineId = tuple[str, int]
"""A target's code and the number of a line on its list, from 0."""


@dataclass(frozen=True)
class Case:
    """All that decides a sharing."""

    targets: tuple[Target, ...]
    catalogue: Catalogue = field(default_factory=Catalogue)
    cells: Mapping[Kind, Mapping[Cell, int]] = field(default_factory=dict)
    swaps: tuple[Swap, ...] = ()
    policy: Policy = Policy.COMPLETE
    reserved: dict[Kind, Reserved] = field(default_factory=dict)


class Supply(NamedTuple):
    """Like pieces; ``only`` names the one target that may have them, if any."""

    kind: Kind
    grade: Grade | None
    flaws: Flaws
    ready: bool
    only: str

    @property
    def quality(self) -> int:
        sound = self.ready and not self.flaws
        return 8 * (11 * sound + (int(self.grade) if self.grade else 0)) + 7 - len(self.flaws)


class Arc(NamedTuple):
    """A heap that may fill a line."""

    supply: Supply
    line: LineId
    cost: int
    standard: bool


class Step(NamedTuple):
    """One criterion for one rank: what is summed over pieces, by arc; presence is worked out target by target."""

    what: str
    rank: int
    weights: tuple[int, ...]  # one an arc; to be as large as can be


class Value(NamedTuple):
    """What a criterion comes to; presence by target, in the order of codes."""

    what: str
    rank: int
    value: int | tuple[int, ...]


Allocation = Mapping[tuple[Supply, LineId], int]


def right(years: Years | None, year: int | None) -> bool | None:
    """Whether something of these years is right for a year."""
    if years is None or year is None:
        return None
    early = years.first is not None and year < years.first
    late = years.last is not None and year > years.last
    return False if early or late else None if years.first is None or years.last is None else True


def period(catalogue: Catalogue, kind: Kind, year: int | None) -> bool | None:
    """Whether a kind is right for a year: both its part and its shade must be; not known is not right."""
    part, shade = catalogue.parts.get(kind.part), catalogue.shades.get(kind.shade)
    both = {right(part.years if part else None, year), right(shade.years if shade else None, year)}
    return False if False in both else None if None in both else True


def accepted(line: Line, target: Target, swaps: tuple[Swap, ...]) -> dict[Kind, int]:
    """Kinds that may fill a line, with what each costs; the line's own word goes before the catalogue's."""
    costs = {line.kind: 0}
    for stand_in in line.stand_ins:
        costs.setdefault(stand_in.kind, stand_in.cost)
    for swap in swaps:
        if swap.of is SwapOf.PART and swap.wanted == line.kind.part:
            costs.setdefault(Kind(swap.instead, line.kind.shade), swap.cost)
        if swap.of is SwapOf.SHADE and swap.wanted == line.kind.shade:
            costs.setdefault(Kind(line.kind.part, swap.instead), swap.cost)
    return {kind: cost for kind, cost in costs.items() if cost == 0 or (line.kind, kind) not in target.refused}


def supplies_of(case: Case) -> dict[Supply, int]:
    """Heaps of like pieces; of those set aside by hand, the smaller code has its own first, washed pieces first."""
    heaps: dict[Supply, int] = {}
    for kind, cells in case.cells.items():
        loose: dict[tuple[Grade | None, Flaws, bool], int] = {}
        for cell, count in cells.items():
            if cell.fate is Fate.CRATE:
                crated = Supply(kind, cell.grade, cell.flaws, True, cell.bin)
                heaps[crated] = heaps.get(crated, 0) + count
            elif cell.fate is not Fate.OUT:
                condition = cell.grade, cell.flaws, cell.fate is Fate.KEPT
                loose[condition] = loose.get(condition, 0) + count
        for (grade, flaws), wanted in case.reserved.get(kind, {}).items():
            for code in sorted(wanted):
                missing = wanted[code]
                for ready in (True, False):
                    taken = min(missing, loose.get((grade, flaws, ready), 0))
                    if taken:
                        held = Supply(kind, grade, flaws, ready, code)
                        heaps[held] = heaps.get(held, 0) + taken
                        loose[grade, flaws, ready] -= taken
                        missing -= taken
        for (grade, flaws, ready), count in loose.items():
            heaps[Supply(kind, grade, flaws, ready, "")] = count
    return {supply: count for supply, count in heaps.items() if count > 0}


class Problem:
    """A case taken apart: heaps, lines, arcs, and the criteria in their order."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.supplies = supplies_of(case)
        self.targets = [t for t in sorted(case.targets, key=lambda t: (t.rank, t.code)) if t.lines and not t.parked]
        self.lines = {(t.code, number): line for t in self.targets for number, line in enumerate(t.lines)}
        self.groups: dict[int, list[Target]] = {}
        for target in self.targets:
            self.groups.setdefault(target.rank, []).append(target)
        self.arcs = list(self._arcs())
        self.steps = list(self._steps())

    def _arcs(self) -> Iterator[Arc]:
        of_kind: dict[Kind, list[Supply]] = {}
        for supply in self.supplies:
            of_kind.setdefault(supply.kind, []).append(supply)
        for target in self.targets:
            for number, line in enumerate(target.lines):
                for kind, cost in accepted(line, target, self.case.swaps).items():
                    is_right = period(self.case.catalogue, kind, target.year) is True
                    for supply in of_kind.get(kind, ()):
                        if supply.only in ("", target.code):
                            sound = supply.ready and not supply.flaws
                            good = sound and supply.grade is not None and supply.grade >= line.lowest
                            yield Arc(supply, (target.code, number), cost, is_right and good)

    def _steps(self) -> Iterator[Step]:
        weigh: dict[str, Callable[[Arc], int]] = {
            "present": lambda arc: 1,
            "set aside": lambda arc: int(arc.supply.only != ""),
            "standard": lambda arc: int(arc.standard),
            "stand-ins": lambda arc: -int(arc.cost > 0),
            "cost": lambda arc: -arc.cost,
            "quality": lambda arc: arc.supply.quality,
        }
        levels = [["present"], ["set aside"], ["standard"], ["stand-ins", "cost"], ["quality"]]
        ranks = list(self.groups)
        if self.case.policy is Policy.SHOWPIECE:
            order = [(what, rank) for rank in ranks for level in levels for what in level]
        else:
            order = [(what, rank) for level in levels for rank in ranks for what in level]
        for what, rank in order:
            codes = {target.code for target in self.groups[rank]}
            yield Step(what, rank, tuple(weigh[what](arc) if arc.line[0] in codes else 0 for arc in self.arcs))

    def measure(self, allocation: Allocation) -> list[Value]:
        """What each criterion comes to for an allocation."""
        amounts = [allocation.get((arc.supply, arc.line), 0) for arc in self.arcs]
        values = []
        for step in self.steps:
            if step.what == "present":
                present = dict.fromkeys((target.code for target in self.groups[step.rank]), 0)
                for arc, amount in zip(self.arcs, amounts, strict=True):
                    if arc.line[0] in present:
                        present[arc.line[0]] += amount
                values.append(Value("present", step.rank, tuple(present[code] for code in sorted(present))))
            else:
                total = sum(w * n for w, n in zip(step.weights, amounts, strict=True))
                values.append(Value(step.what, step.rank, abs(total)))
        return values

    def faults(self, allocation: Allocation) -> list[str]:
        """What an allocation does that cannot be done; empty if it is sound."""
        found = []
        arcs = {(arc.supply, arc.line) for arc in self.arcs}
        used = dict.fromkeys(self.supplies, 0)
        filled = dict.fromkeys(self.lines, 0)
        for (supply, line), amount in allocation.items():
            if amount <= 0 or (supply, line) not in arcs:
                found.append(f"{amount} of {supply} cannot be in {line}")
            else:
                used[supply] += amount
                filled[line] += amount
        found += [f"{n} of {s} used, {self.supplies[s]} there" for s, n in used.items() if n > self.supplies[s]]
        found += [f"{n} in {line}" for line, n in filled.items() if n > self.lines[line].quantity]
        return found


class Levels:
    """A problem solved criterion by criterion with HiGHS; every optimum found stays fixed for the next.

    Attributes:
        values: what each criterion comes to.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.values: list[Value] = []
        self._rows: list[tuple[dict[int, int], float, float]] = []
        self._columns = len(problem.arcs)
        self._upper: list[float] = [np.inf] * self._columns
        self._whole: list[int] = [0] * self._columns
        self._point = np.zeros(self._columns)
        room: dict[Supply | LineId, int] = dict(problem.supplies.items())
        room.update((line, asked.quantity) for line, asked in problem.lines.items())
        rows: dict[Supply | LineId, dict[int, int]] = {end: {} for end in room}
        for index, arc in enumerate(problem.arcs):
            rows[arc.supply][index] = rows[arc.line][index] = 1
        self._rows += [(rows[end], 0, most) for end, most in room.items()]
        for step in problem.steps:
            if step.what == "present":
                self._fill_evenly(step)
            else:
                weights = {index: w for index, w in enumerate(step.weights) if w}
                self.values.append(Value(step.what, step.rank, abs(self._fix(weights))))

    def fewest_moves(self, old: Allocation) -> int:
        """Pieces that must leave the line where they were: for each heap and line, those it had and no longer has."""
        before = sum(old.values())
        kept = {}
        for index, arc in enumerate(self.problem.arcs):
            if had := old.get((arc.supply, arc.line), 0):
                column = self._add_column(had)
                self._rows.append(({index: 1, column: -1}, 0, np.inf))
                kept[column] = 1
        return before - self._maximum(kept)

    def _add_column(self, upper: float, whole: bool = False) -> int:
        self._columns += 1
        self._upper.append(upper)
        self._whole.append(int(whole))
        self._point = np.append(self._point, 0)
        return self._columns - 1

    def _maximum(self, weights: Mapping[int, int]) -> int:
        """The largest weighted sum of the columns within all rows; the point where it is reached is kept."""
        if not weights:
            return 0
        matrix = np.zeros((len(self._rows), self._columns))
        for number, (row, _, _) in enumerate(self._rows):
            for index, factor in row.items():
                matrix[number, index] = factor
        goal = np.zeros(self._columns)
        for index, weight in weights.items():
            goal[index] = -weight
        _, low, high = zip(*self._rows, strict=True)
        found = milp(
            goal,
            integrality=self._whole,
            bounds=Bounds(0, self._upper),
            constraints=LinearConstraint(matrix, low, high),
            options={"mip_rel_gap": 0},
        )
        assert found.status == 0, found.message
        best = round(-float(found.fun))
        assert abs(best + found.fun) < 1e-5, found.fun
        self._point = found.x
        return best

    def _fix(self, weights: Mapping[int, int]) -> int:
        """The largest weighted sum, held from now on."""
        best = self._maximum(weights)
        if weights:
            self._rows.append((dict(weights), best, best))
        return best

    # Targets of one rank

    def _fill_evenly(self, step: Step) -> None:
        """Find the presence of the targets of one rank, and hold it."""
        targets = sorted(self.problem.groups[step.rank], key=lambda target: target.code)
        arcs = {
            target.code: {index: 1 for index, arc in enumerate(self.problem.arcs) if arc.line[0] == target.code}
            for target in targets
        }
        mark = len(self._rows), self._columns
        if len(targets) > 1:
            self._hold_sorted_shares({target: arcs[target.code] for target in targets})
        present = tuple(self._fix(arcs[target.code]) for target in targets)  # a choice left goes to the smaller code
        self._drop(mark)  # presence is pinned: how it was found is no longer needed
        self._rows += [(arcs[target.code], n, n) for target, n in zip(targets, present, strict=True)]
        self.values.append(Value("present", step.rank, present))

    def _hold_sorted_shares(self, arcs: Mapping[Target, Mapping[int, int]]) -> None:
        """Hold, for each threshold of share, how many targets can be above it, the smallest threshold first.

        That number never grows with the threshold. So where the last point found has as many above the next threshold
        as could be above the one before, nothing need be solved; and holding the last threshold of a number holds it
        for those before.
        """
        thresholds = sorted({Fraction(n, target.pieces) for target in arcs for n in range(target.pieces)})
        most, last = len(arcs), None
        for threshold in thresholds:
            above = {target: int(threshold * target.pieces) + 1 for target in arcs}
            if sum(self._presence(arcs[target]) >= least for target, least in above.items()) < most:
                mark = len(self._rows), self._columns
                if last is not None:
                    self._count_above(arcs, last, most)
                best = self._maximum(dict.fromkeys(self._count_above(arcs, above, 0), 1))
                if best < most:  # what is above the threshold before stays; this threshold is held when it is the last
                    most = best
                else:
                    self._drop(mark)
            last = above
            if not most:
                return
        self._count_above(arcs, last or {}, most)

    def _count_above(
        self, arcs: Mapping[Target, Mapping[int, int]], above: Mapping[Target, int], least: int
    ) -> list[int]:
        """A column a target that may be 1 if its presence is at least so much; of these at least so many must be 1."""
        columns = []
        for target, pieces in above.items():
            columns.append(self._add_column(1, whole=True))
            self._rows.append(({**arcs[target], columns[-1]: -pieces}, 0, np.inf))
        self._rows.append((dict.fromkeys(columns, 1), least, np.inf))
        return columns

    def _drop(self, mark: tuple[int, int]) -> None:
        """Forget rows and columns added since."""
        del self._rows[mark[0] :], self._upper[mark[1] :], self._whole[mark[1] :]
        self._columns = mark[1]
        self._point = self._point[: mark[1]]

    def _presence(self, arcs: Mapping[int, int]) -> float:
        return float(sum(self._point[index] for index in arcs)) + 1e-6
