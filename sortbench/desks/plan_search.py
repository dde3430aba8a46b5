"""The search for a plan, aside: the question is put together and answered in a thread of its own."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event, Thread
from typing import NamedTuple

from sortbench.desks.plan_desk import Planned, Put, Stand, put_together, shifted, told_of
from sortbench.desks.plan_settings import Settled
from sortbench.engine.plan import Plan
from sortbench.engine.planning.plan_board import binding
from sortbench.model.errors import SortbenchError

ASIDE = "looking for the cheapest plan"
"""Name of the thread that does so."""


class Told(NamedTuple):
    """How a search goes: cost of the best plan so far, the least any plan can cost, and the gap between, 0 to 1."""

    best: int
    bound: int
    gap: float


class Asked(NamedTuple):
    """What a search is about.

    Attributes:
        stand: the bench as it was.
        settled: by hand.
        worth: whether it is asked which targets are worth finishing.
        before: a question put together from the same stand and limits, if there is one.
    """

    stand: Stand
    settled: Settled
    worth: bool
    before: Put | None


class PlanSearch:
    """One search, in a thread of its own; what it comes to is picked up from here.

    Args:
        asked: what it is about.
        solver: :func:`sortbench.engine.plan.solve`, or what stands in for it in a test.
        seconds: for how long is looked at most.
        heard: called from that thread when there is something new.
        before: a search that must end first: the solver is asked one thing at a time.

    Attributes:
        stop: set, it ends the search; the best so far is the answer.
        put: the question, once it is put together.
        told: how it goes, None where nothing was heard yet.
        made: the plan, once there is one.
        failure: why there is none, where the data or the solver says so.
        fault: what went wrong inside the program.
        done: whether it has ended.
    """

    def __init__(
        self,
        asked: Asked,
        solver: Callable[..., Plan],
        seconds: float,
        heard: Callable[[], None],
        before: Thread | None,
    ) -> None:
        self.asked = asked
        self._solver, self._seconds, self._heard, self._before = solver, seconds, heard, before
        self.stop = Event()
        self.put: Put | None = None
        self.told: Told | None = None
        self.made: Planned | None = None
        self.failure: SortbenchError | None = None
        self.fault: Exception | None = None
        self.done = False
        self.thread = Thread(target=self._run, name=ASIDE, daemon=True)

    def _run(self) -> None:
        if self._before is not None:
            self._before.join()
        try:
            self._plan(self._seconds)
        except SortbenchError as error:
            self.failure = error
        except Exception as error:  # heard where the result is picked up, as any fault of the program is
            self.fault = error
        self.done = True
        self._heard()

    def _plan(self, seconds: float) -> None:
        stopped, asked = self.stop.is_set, self.asked
        put = self.put = put_together(asked.stand, asked.settled, asked.worth, asked.before)
        self._heard()
        progress = shifted(put.question, self._progress)
        plan = self._solver(put.question.case, seconds=seconds, progress=progress, cancel=stopped)
        self.made = told_of(put, plan, asked.settled)
        if not stopped():
            self._heard()
            self.made = self.made._replace(binding=binding(put.question, plan, stopped))

    def _progress(self, best: int, bound: float, gap: float) -> None:
        self.told = Told(best, round(max(bound, -1e15)), gap)
        self._heard()
