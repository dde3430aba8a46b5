"""Which targets can be completed together: an integer program, solved by HiGHS.

Whether a set of targets can be completed together is a flow of pieces to lines; which set is best is a choice of 0 or 1
for each target. Only presence counts, so pieces differ by their kind and by who may have them. Lines of one target that
accept the same kinds are taken together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.planning.solver import quiet_solver, run
from sortbench.model.catalogue import Kind


class Claim(NamedTuple):
    """Pieces that one target asks for, of any of some kinds.

    Attributes:
        target: its code.
        kinds: any of them will do.
        quantity: pieces.
    """

    target: str
    kinds: frozenset[Kind]
    quantity: int


class Choice(NamedTuple):
    """Targets that can be completed together.

    Attributes:
        codes: which.
        proven: whether no other choice comes to more.
    """

    codes: frozenset[str]
    proven: bool


Stock = Mapping[Kind, Mapping[str, int]]
"""Pieces of each kind by the code of the one target that may have them; under an empty code those that any may have."""


class Together:
    """The choices of targets that a stock can complete.

    Args:
        claims: what is asked for; a target that claims nothing can always be completed.
        stock: what there is.
        codes: the targets to choose from.
        seconds: time for all questions together.

    Raises:
        UsageError: HiGHS is not installed.
    """

    def __init__(self, claims: Iterable[Claim], stock: Stock, codes: Iterable[str], seconds: float) -> None:
        self._solver = quiet_solver("The best order")
        self._solver.setOptionValue("mip_rel_gap", 0.0)
        self._solver.setOptionValue("mip_abs_gap", 0.5)
        self._seconds = seconds
        from highspy import HighsVarType

        self._columns = {code: column for column, code in enumerate(codes)}
        self._width = len(self._columns)
        for column in range(self._width):
            self._solver.addVar(0, 1)
            self._solver.changeColIntegrality(column, HighsVarType.kInteger)
        wanted: dict[tuple[str, frozenset[Kind]], int] = {}
        for claim in claims:
            wanted[claim.target, claim.kinds] = wanted.get((claim.target, claim.kinds), 0) + claim.quantity
        self._ask(wanted, stock)

    def _ask(self, wanted: Mapping[tuple[str, frozenset[Kind]], int], stock: Stock) -> None:
        """A row for each heap, and for each claim that several heaps may serve: then with a column for each of them."""
        uses: dict[tuple[Kind, str], dict[int, int]] = {}
        for (code, kinds), quantity in wanted.items():
            column = self._columns[code]
            heaps = [(kind, only) for kind in sorted(kinds) for only in stock.get(kind, ()) if only in ("", code)]
            if len(heaps) == 1:
                use = uses.setdefault(heaps[0], {})
                use[column] = use.get(column, 0) + quantity
                continue
            served = {column: -quantity}
            for kind, only in heaps:
                self._solver.addVar(0, min(stock[kind][only], quantity))
                served[self._width] = uses.setdefault((kind, only), {})[self._width] = 1
                self._width += 1
            self._row(served, least=0)
        for (kind, only), use in uses.items():
            self._row(use, most=stock[kind][only])

    def _row(self, terms: Mapping[int, int], least: float = -math.inf, most: float = math.inf) -> None:
        from numpy import array

        columns, factors = array(list(terms), "int32"), array(list(terms.values()), "float64")
        self._solver.addRow(least, most, len(terms), columns, factors)

    def best(self, worth: Mapping[str, int]) -> Choice | None:
        """The choice whose targets come to most; None if time ran out before any was found.

        Args:
            worth: of each target, whole numbers from 0; those left out are worth nothing.
        """
        from highspy import HighsModelStatus, ObjSense, SolutionStatus

        solver = self._solver
        for code, column in self._columns.items():
            solver.changeColCost(column, worth.get(code, 0))
        solver.changeObjectiveSense(ObjSense.kMaximize)
        solver.setOptionValue("time_limit", max(0.0, self._seconds - solver.getRunTime()))
        run(solver)
        info = solver.getInfo()
        if info.primal_solution_status != SolutionStatus.kSolutionStatusFeasible:
            return None
        values = solver.getSolution().col_value
        chosen = frozenset(code for code, column in self._columns.items() if values[column] > 0.5)
        total = sum(worth.get(code, 0) for code in chosen)
        ended = solver.getModelStatus() == HighsModelStatus.kOptimal
        # All sums are whole: what is less than one away from the bound reaches it.
        return Choice(chosen, ended and info.mip_dual_bound < total + 1 - 1e-4)

    def hold(self, worth: Mapping[str, int], least: int) -> None:
        """From now on only choices that come to at least so much."""
        self._row({self._columns[code]: each for code, each in worth.items() if each}, least=least)
