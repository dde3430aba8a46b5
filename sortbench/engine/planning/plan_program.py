"""A plan's question as columns and rows for the solver, and how it is run, watched and stopped."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from sortbench.engine.planning.plan_case import Choice, PlanCase
from sortbench.engine.planning.solver import quiet_solver

_EVERY_S = 0.1
_TELL_EVERY = 5  # of these ticks
_ABSOLUTE_GAP = 0.05  # costs are whole, but pieces may be parted in a first look


class Found(NamedTuple):
    """What one run of the solver came to.

    Attributes:
        values: of all columns; empty where it found nothing.
        bound: nothing that the program allows costs less; infinite where it allows nothing.
        cancelled: whether somebody ended the run.
    """

    values: Sequence[float]
    bound: float
    cancelled: bool = False


class Watcher(NamedTuple):
    """Who is told how the search goes, and may end it."""

    progress: Callable[[float, float], None] | None = None
    cancel: Callable[[], bool] | None = None

    def tell(self, best: float, bound: float) -> None:
        """Tell of the best cost and the bound of the run that goes on."""
        if self.progress is not None:
            self.progress(best, bound)

    def stops(self) -> bool:
        """Whether the search is to end."""
        return self.cancel is not None and self.cancel()


class _Watch:
    """The best cost and the bound as the solver's own thread tells them."""

    def __init__(self) -> None:
        self.best, self.bound = math.inf, -math.inf

    def hear(self, event: Any) -> None:
        told = event.data_out
        self.best = min(self.best, told.mip_primal_bound)
        self.bound = max(self.bound, told.mip_dual_bound)


class Program:
    """The mixed-integer program of a case.

    Args:
        case: the question.

    Raises:
        UsageError: HiGHS is not installed.
    """

    def __init__(self, case: PlanCase) -> None:
        self._solver = quiet_solver("The plan")
        self._case = case
        self._ways = _worthwhile(case)
        self._most = [min(way.most, case.demands[way.demand].need, _limit(case, way.source)) for way in case.ways]
        self._columns: list[tuple[float, float]] = []  # cost and most of each
        self._rows: list[tuple[float, float, list[tuple[int, float]]]] = []
        self._of_way = {place: self._column(case.ways[place].cost, self._most[place]) for place in self._ways}
        self._parcel: dict[int, int] = {}
        self._steps: dict[int, list[int]] = {}
        self._group = [self._column(-group.value, 1) for group in case.groups]
        self._shops()
        self._demands()
        self._sources()
        self._caps()
        self._pass()
        self._watch = _Watch()
        self._watched = False

    def _column(self, cost: float, most: float) -> int:
        self._columns.append((cost, most))
        return len(self._columns) - 1

    def _row(self, terms: Iterable[tuple[int, float]], least: float = -math.inf, most: float = math.inf) -> None:
        self._rows.append((least, most, list(terms)))

    # Rows

    def _shops(self) -> None:
        """A column for each parcel and for each step of its shipping; what it may weigh, and must come to at least."""
        case = self._case
        in_shop: dict[int, list[int]] = {}
        for place in self._ways:
            if (source := case.ways[place].source) >= 0 and (sender := case.sources[source].shop) >= 0:
                in_shop.setdefault(sender, []).append(place)
        for number, places in sorted(in_shop.items()):
            shop = case.shops[number]
            parcel = self._parcel[number] = self._column(shop.shipping, 1)
            sources = [case.sources[case.ways[place].source] for place in places]
            columns = [self._of_way[place] for place in places]
            if shop.steps:
                self._steps[number] = steps = [self._column(price, 1) for _, price in shop.steps]
                self._row([*((step, 1.0) for step in steps), (parcel, -1.0)], 0, 0)
                weights = [(column, float(source.mg)) for column, source in zip(columns, sources, strict=True)]
                limits = [(step, -float(most)) for step, (most, _) in zip(steps, shop.steps, strict=True)]
                self._row([*weights, *limits], most=0)
            if shop.minimum:
                goods = [(column, float(source.price)) for column, source in zip(columns, sources, strict=True)]
                self._row([*goods, (parcel, -float(shop.minimum))], least=0)

    def _demands(self) -> None:
        case = self._case
        of_demand: dict[int, list[int]] = {}
        for place in self._ways:
            of_demand.setdefault(case.ways[place].demand, []).append(place)
        for number, demand in enumerate(case.demands):
            places = of_demand.get(number, [])
            terms = [(self._of_way[place], 1.0) for place in places]
            if demand.group >= 0:
                self._row([*terms, (self._group[demand.group], -float(demand.need))], 0, 0)
            else:
                self._row(terms, demand.need, demand.need)
            self._together(places, demand.need)

    def _together(self, places: Iterable[int], need: int) -> None:
        """Several offers of one shop for one demand do not bring more than it asks for, and only in a parcel."""
        case = self._case
        of_shop: dict[int, list[int]] = {}
        for place in places:
            source = case.ways[place].source
            if source >= 0 and case.sources[source].shop >= 0:
                of_shop.setdefault(case.sources[source].shop, []).append(place)
        for shop, some in of_shop.items():
            if len(some) > 1 and sum(self._most[place] for place in some) > need:
                self._row([*((self._of_way[place], 1.0) for place in some), (self._parcel[shop], -float(need))], most=0)

    def _sources(self) -> None:
        case = self._case
        of_source: dict[int, list[int]] = {}
        for place in self._ways:
            if case.ways[place].source >= 0:
                of_source.setdefault(case.ways[place].source, []).append(place)
        for number, places in of_source.items():
            source = case.sources[number]
            terms = [(self._of_way[place], 1.0) for place in places]
            if source.shop >= 0:
                parcel = self._parcel[source.shop]
                for place in places:
                    self._row([(self._of_way[place], 1.0), (parcel, -float(self._most[place]))], most=0)
                if sum(self._most[place] for place in places) > source.limit:
                    self._row([*terms, (parcel, -float(source.limit))], most=0)
            elif source.home < 0:
                self._row(terms, most=source.limit)
            elif (group := case.demands[source.home].group) < 0:
                self._row(terms, source.limit, source.limit)
            else:
                self._row(terms, most=source.limit)
                self._row([*terms, (self._group[group], -float(source.limit))], least=0)

    def _caps(self) -> None:
        case = self._case
        if case.parcels is not None:
            self._row([(column, 1.0) for column in self._parcel.values()], most=case.parcels)
        if case.budget is None:
            return
        paid: list[tuple[int, float]] = []
        for place in self._ways:
            source = case.ways[place].source
            if source >= 0 and case.sources[source].shop >= 0:
                paid.append((self._of_way[place], float(case.sources[source].price)))
        for number, parcel in self._parcel.items():
            paid.append((parcel, float(case.shops[number].shipping)))
            prices = [price for _, price in case.shops[number].steps]
            paid += [(step, float(price)) for step, price in zip(self._steps.get(number, []), prices, strict=True)]
        self._row(paid, most=case.budget)

    # Running

    @property
    def shops(self) -> Iterable[int]:
        """Places of the shops that some way needs."""
        return self._parcel.keys()

    @property
    def yes_or_no(self) -> list[int]:
        """Columns of parcels, steps and groups: what is decided once for many pieces."""
        steps = [step for some in self._steps.values() for step in some]
        return [*self._group, *self._parcel.values(), *steps]

    def likeliest(self, seconds: float, watcher: Watcher) -> list[int]:
        """Shops in the order in which a plan may want them, from the program with nothing whole."""
        self._solver.setOptionValue("solve_relaxation", True)
        self._run(seconds, 0.0, watcher)
        self._solver.setOptionValue("solve_relaxation", False)
        solution = self._solver.getSolution()
        values, duals = solution.col_value, solution.col_dual
        if len(values) != len(self._columns) or len(duals) != len(self._columns):
            return list(self._parcel)
        return sorted(self._parcel, key=lambda shop: (-values[self._parcel[shop]], duals[self._parcel[shop]]))

    def allow(self, shops: Iterable[int]) -> None:
        """Let only some shops send parcels."""
        allowed = set(shops)
        for shop, column in self._parcel.items():
            self._solver.changeColBounds(column, 0.0, 1.0 if shop in allowed else 0.0)

    def look(self, seconds: float, gap: float, watcher: Watcher) -> Found:
        """The best choice of parcels, steps and groups, for pieces that may be parted."""
        self._whole(False)
        return self._run(seconds, gap, watcher)

    def complete(
        self, values: Sequence[float], seconds: float, gap: float, watcher: Watcher
    ) -> tuple[dict[int, int], float]:
        """The best whole pieces for a choice of parcels, steps and groups, and the least that any for it cost."""
        for column in self.yes_or_no:
            fixed = float(round(values[column]))
            self._solver.changeColBounds(column, fixed, fixed)
        self._whole(True)
        found = self._run(seconds, gap, watcher)
        for column in self.yes_or_no:
            self._solver.changeColBounds(column, 0.0, 1.0)
        if not found.values:
            return {}, found.bound
        pieces = ((place, round(found.values[column])) for place, column in self._of_way.items())
        return {place: quantity for place, quantity in pieces if quantity > 0}, found.bound

    def exclude(self, values: Sequence[float]) -> None:
        """From now on any choice of parcels, steps and groups but this one."""
        from numpy import array

        columns = self.yes_or_no
        factors = [-1.0 if values[column] > 0.5 else 1.0 for column in columns]
        least = 1.0 - sum(factor < 0 for factor in factors)
        self._solver.addRow(least, math.inf, len(columns), array(columns, "int32"), array(factors, "float64"))

    def _whole(self, pieces: bool) -> None:
        from highspy import HighsVarType
        from numpy import array

        kind = HighsVarType.kInteger if pieces else HighsVarType.kContinuous
        columns = list(self._of_way.values())
        self._solver.changeColsIntegrality(len(columns), array(columns, "int32"), array([kind] * len(columns)))

    def _pass(self) -> None:
        from highspy import HighsLp, HighsVarType, MatrixFormat
        from numpy import array

        lp = HighsLp()
        lp.num_col_, lp.num_row_ = len(self._columns), len(self._rows)
        lp.col_cost_ = array([cost for cost, _ in self._columns], "float64")
        lp.col_lower_ = array([0.0] * len(self._columns), "float64")
        lp.col_upper_ = array([most for _, most in self._columns], "float64")
        lp.row_lower_ = array([least for least, _, _ in self._rows], "float64")
        lp.row_upper_ = array([most for _, most, _ in self._rows], "float64")
        starts, index, value = [0], [], []
        for _, _, terms in self._rows:
            index += [column for column, _ in terms]
            value += [factor for _, factor in terms]
            starts.append(len(index))
        lp.a_matrix_.format_ = MatrixFormat.kRowwise
        lp.a_matrix_.start_ = array(starts, "int32")
        lp.a_matrix_.index_ = array(index, "int32")
        lp.a_matrix_.value_ = array(value, "float64")
        lp.integrality_ = [HighsVarType.kInteger] * len(self._columns)
        self._solver.passModel(lp)

    def _run(self, seconds: float, gap: float, watcher: Watcher) -> Found:
        from highspy import HighsModelStatus, SolutionStatus

        # No plan to begin with is told to the solver: version 1.16 may take one for the best after presolving.
        solver = self._solver
        for name, value in (("time_limit", max(0.0, seconds)), ("mip_rel_gap", gap), ("mip_abs_gap", _ABSOLUTE_GAP)):
            solver.setOptionValue(name, value)
        self._watch.bound = -math.inf
        if watcher.progress is not None and not self._watched:
            solver.cbMipImprovingSolution += self._watch.hear
            solver.cbMipLogging += self._watch.hear
            self._watched = True
        cancelled = self._wait(watcher)
        status, info = solver.getModelStatus(), solver.getInfo()
        if status == HighsModelStatus.kInfeasible:
            return Found((), math.inf, cancelled)
        if info.primal_solution_status != SolutionStatus.kSolutionStatusFeasible:
            return Found((), info.mip_dual_bound, cancelled)
        return Found(solver.getSolution().col_value, info.mip_dual_bound, cancelled)

    def _wait(self, watcher: Watcher) -> bool:
        """Wait for the solver's thread; whether somebody stopped it."""
        solver, cancelled, ticks = self._solver, False, 0
        solver.startSolve()
        while True:
            try:
                # Not by joining its thread: after an interrupted join Python takes a thread for ended that still runs.
                if solver.wait(_EVERY_S)[0]:
                    return cancelled
                ticks += 1
                if ticks % _TELL_EVERY == 0:
                    watcher.tell(self._watch.best, self._watch.bound)
                if not cancelled and watcher.stops():
                    raise KeyboardInterrupt
            except KeyboardInterrupt:
                cancelled = True
                solver.cancelSolve()  # type: ignore[no-untyped-call]


def _limit(case: PlanCase, source: int) -> int:
    return case.sources[source].limit if source >= 0 else case_need(case)


def case_need(case: PlanCase) -> int:
    """Pieces to be settled in all."""
    return sum(demand.need for demand in case.demands)


def _worthwhile(case: PlanCase) -> list[int]:
    """Ways that a plan of least cost may need.

    A piece from a shop that costs as much as leaving a hole is only bought to reach the least worth of an order.
    """
    holes = {way.demand: way.cost for way in case.ways if way.choice is Choice.OPEN}
    return [
        place
        for place, way in enumerate(case.ways)
        if way.source < 0
        or (shop := case.sources[way.source].shop) < 0
        or case.shops[shop].minimum
        or way.cost < holes.get(way.demand, math.inf)
    ]
