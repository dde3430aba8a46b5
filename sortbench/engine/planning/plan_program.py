"""A plan's question as columns and rows for the solver, and how it is run, watched and stopped."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from sortbench.engine.planning.plan_case import Choice, PlanCase
from sortbench.engine.planning.plan_relaxed import Worth
from sortbench.engine.planning.solver import quiet_solver, run

_TELL_EVERY = 5  # of the solver's beats
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
        self.best, self.bound, self.enough = math.inf, -math.inf, math.inf

    def hear(self, event: Any) -> None:
        told = event.data_out
        self.best = min(self.best, told.mip_primal_bound)
        self.bound = max(self.bound, told.mip_dual_bound)
        if self.bound > self.enough:
            event.interrupt()


class Program:
    """The mixed-integer program of a case.

    Args:
        case: the question.

    Raises:
        UsageError: HiGHS is not installed.
    """

    def __init__(self, case: PlanCase, ways: Sequence[int], worths: Mapping[int, Worth] | None = None) -> None:
        self._solver = quiet_solver("The plan")
        self._case = case
        self._ways = ways
        self._worths = worths or {}
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
        self._least: dict[int, float] = {}
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
                self._worth_at_most(number, steps)
            if shop.minimum:
                goods = [(column, float(source.price)) for column, source in zip(columns, sources, strict=True)]
                self._row([*goods, (parcel, -float(shop.minimum))], least=0)

    def _worth_at_most(self, shop: int, steps: Sequence[int]) -> None:
        if (worth := self._worths.get(shop)) is None:
            return
        pieces = [(self._of_way[place], each) for place, each in worth.pieces if place in self._of_way]
        self._row([*pieces, *((step, -most) for step, most in zip(steps, worth.steps, strict=True))], most=0)

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
        for number, source in enumerate(case.sources):
            places = of_source.get(number, [])
            if not places and source.home < 0:
                continue
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
    def yes_or_no(self) -> list[int]:
        """Columns of parcels, steps and groups: what is decided once for many pieces."""
        steps = [step for some in self._steps.values() for step in some]
        return [*self._group, *self._parcel.values(), *steps]

    def send(self, shops: Iterable[int]) -> None:
        """From now on these shops send a parcel each."""
        for shop in shops:
            if (column := self._parcel.get(shop)) is not None:
                self._least[column] = 1.0
                self._solver.changeColBounds(column, 1.0, 1.0)

    def look(self, seconds: float, gap: float, watcher: Watcher, enough: float = math.inf) -> Found:
        """The best choice of parcels, steps and groups, for pieces that may be parted.

        Args:
            seconds: for how long is looked.
            gap: how far from the best is good enough, as a share of the cost.
            watcher: who is told, and may end it.
            enough: a bound above that is good enough too.
        """
        self._whole(False)
        self._watch.enough = enough
        return self._run(seconds, gap, watcher)

    def complete(
        self, values: Sequence[float], seconds: float, gap: float, watcher: Watcher
    ) -> tuple[dict[int, int], float]:
        """The best whole pieces for a choice of parcels, steps and groups, and the least that any for it cost."""
        for column in self.yes_or_no:
            fixed = float(round(values[column]))
            self._solver.changeColBounds(column, fixed, fixed)
        self._whole(True)
        self._watch.enough = math.inf
        found = self._run(seconds, gap, watcher)
        for column in self.yes_or_no:
            self._solver.changeColBounds(column, self._least.get(column, 0.0), 1.0)
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

        if not self._columns:
            return Found((), math.inf)  # the solver would call that solved, whatever the rows ask for
        # No plan to begin with is told to the solver: version 1.16 may take one for the best after presolving.
        solver = self._solver
        for name, value in (("time_limit", max(0.0, seconds)), ("mip_rel_gap", gap), ("mip_abs_gap", _ABSOLUTE_GAP)):
            solver.setOptionValue(name, value)
        self._watch.bound = -math.inf
        if not self._watched:
            solver.cbMipInterrupt += self._watch.hear
            self._watched = True
        cancelled = self._watched_run(watcher)
        status, info = solver.getModelStatus(), solver.getInfo()
        if status == HighsModelStatus.kInfeasible:
            return Found((), math.inf, cancelled)
        if info.primal_solution_status != SolutionStatus.kSolutionStatusFeasible:
            return Found((), info.mip_dual_bound, cancelled)
        return Found(solver.getSolution().col_value, info.mip_dual_bound, cancelled)

    def _watched_run(self, watcher: Watcher) -> bool:
        """Whether somebody stopped it."""
        beats = 0

        def beat() -> bool:
            nonlocal beats
            beats += 1
            if beats % _TELL_EVERY == 0:
                watcher.tell(self._watch.best, self._watch.bound)
            return watcher.stops()

        try:
            return run(self._solver, beat)
        except KeyboardInterrupt:
            return True


def _limit(case: PlanCase, source: int) -> int:
    return case.sources[source].limit if source >= 0 else case_need(case)


def case_need(case: PlanCase) -> int:
    """Pieces to be settled in all."""
    return sum(demand.need for demand in case.demands)


def worthwhile(case: PlanCase) -> list[int]:
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
