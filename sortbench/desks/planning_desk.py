"""The plan of a sitting: what is locked by hand, the search aside, and what there is to show of it at any moment."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from threading import Event, Thread
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.desks.plan_desk import Planned, question_of, terms_of, told_of
from sortbench.engine.plan import SECONDS as SECONDS
from sortbench.engine.plan import Plan, solve
from sortbench.engine.planning.plan_board import binding
from sortbench.engine.planning.plan_case import Choice as Choice
from sortbench.engine.planning.plan_question import Lock, Question
from sortbench.engine.planning.plan_view import LineKey, alternatives_of, lines_of, totals_of
from sortbench.engine.planning.plan_view import PlanLine as PlanLine
from sortbench.engine.planning.plan_view import PlanTotals as PlanTotals
from sortbench.model.errors import DataError, SortbenchError
from sortbench.model.money import amount_from

ASIDE = "looking for the cheapest plan"
"""Name of the thread that does so."""
LONGER_S = 120.0
"""How long is looked where somebody asks for more."""
_PATIENCE_S = 5.0
_NONE = "-"


class Told(NamedTuple):
    """How a search goes: cost of the best plan so far, the least any plan can cost, and the gap between, 0 to 1."""

    best: int
    bound: int
    gap: float


class PlanView(NamedTuple):
    """What there is to show.

    Attributes:
        lines: of the newest plan; empty before the first.
        totals: of that plan, None before the first.
        locks: what is locked, also where the plan with it is still being looked for.
        alternatives: what each line may be locked to.
        currency: of all money; empty before the first search.
        budget: most to be paid, in words; empty: no limit.
        parcels: most parcels, None: no limit.
        working: whether a search goes on.
        told: how it goes, None where nothing was heard yet.
        failure: why there is no plan, in words.
        notes: what was left out, and which limits stand in the way.
        stale: whether the bench changed since.
        offers: how many offers are known.
    """

    lines: tuple[PlanLine, ...]
    totals: PlanTotals | None
    locks: Mapping[LineKey, Choice]
    alternatives: Mapping[LineKey, tuple[Choice, ...]]
    currency: str
    budget: str
    parcels: int | None
    working: bool
    told: Told | None
    failure: str
    notes: tuple[str, ...]
    stale: bool
    offers: int


class _Search:
    """One search, in a thread of its own; what it comes to is picked up from here."""

    def __init__(
        self,
        question: Question,
        locks: Mapping[LineKey, Choice],
        solver: Callable[..., Plan],
        seconds: float,
        heard: Callable[[], None],
        before: Thread | None,
    ) -> None:
        self.locks = locks
        self._question, self._solver, self._seconds, self._heard, self._before = (
            question,
            solver,
            seconds,
            heard,
            before,
        )
        self.stop = Event()
        self.told: Told | None = None
        self.made: Planned | None = None
        self.failure: SortbenchError | None = None
        self.fault: Exception | None = None
        self.done = False
        self.thread = Thread(target=self._run, name=ASIDE, daemon=True)

    def _run(self) -> None:
        question = self._question
        if self._before is not None:
            self._before.join()  # the solver is asked one thing at a time
        try:
            plan = self._solver(question.case, seconds=self._seconds, progress=self._progress, cancel=self.stop.is_set)
            self.made = told_of(question, plan)
            if not self.stop.is_set():
                self._heard()
                self.made = self.made._replace(binding=binding(question, plan, self.stop.is_set))
        except SortbenchError as error:
            self.failure = error
        except Exception as error:  # heard where the result is picked up, as any fault of the program is
            self.fault = error
        self.done = True
        self._heard()

    def _progress(self, best: int, bound: float, gap: float) -> None:
        self.told = Told(best, round(max(bound, -1e15)), gap)
        self._heard()


class PlanningDesk:
    """The plan of a sitting.

    Locks and limits last as long as the sitting. The question is put together at once, from the counts as they are;
    only the search for the answer is aside, and it touches nothing of the bench.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self.solver: Callable[..., Plan] = solve
        """What looks for the plan: :func:`sortbench.engine.plan.solve`, or what stands in for it in a test."""
        self._locks: dict[LineKey, Choice] = {}
        self._alternatives: Mapping[LineKey, tuple[Choice, ...]] = {}
        self._budget: str | None = None
        self._parcels: int | None = None
        self._search: _Search | None = None
        self._taken: Planned | None = None
        self._lines: tuple[PlanLine, ...] = ()
        self._totals: PlanTotals | None = None
        self._dropped: tuple[str, ...] = ()
        self._currency = ""
        self._free: Question | None = None  # with nothing locked: put together once for a state of the bench
        self._asked_of: tuple[object, object, int] | None = None
        self._ending: list[Thread] = []

    # What is settled by hand

    def lock(self, key: LineKey, choice: Choice) -> None:
        """Settle a line by hand; :meth:`begin` then plans the others around it."""
        self._locks[key] = choice

    def unlock_one(self, key: LineKey) -> bool:
        """Let go of a line's lock; whether it had one."""
        return self._locks.pop(key, None) is not None

    def unlock(self) -> int:
        """Let go of all locks; how many there were."""
        count = len(self._locks)
        self._locks.clear()
        return count

    def other(self, key: LineKey, now: Choice, by: int) -> Choice:
        """Lock a line to the choice after (1) or before (-1) the one it has; the last is followed by the first.

        Raises:
            DataError: there is no other.
        """
        choices = self._alternatives.get(key, ())
        now = self._locks.get(key, now)
        if not set(choices) - {now}:
            raise DataError(f"Nothing else can be done on line {key[1]} of {key[0]}.")
        place = choices.index(now) if now in choices else -1 if by > 0 else 0
        self._locks[key] = choices[(place + by) % len(choices)]
        return self._locks[key]

    def limit(self, words: str) -> None:
        """Set the most to be paid and the most parcels: ``40``, ``40 3``, ``- 3``, ``-``.

        Raises:
            DataError: these are no limits.
        """
        budget, *rest = words.split() or [_NONE]
        hint = "As in: 40 or 40 3 (at most 3 parcels), - 3, or - for no limit."
        if len(rest) > 1 or (rest and rest[0] != _NONE and not (rest[0].isascii() and rest[0].isdecimal())):
            raise DataError(f"{words!r} is not a sum and a number of parcels.", hint)
        if budget != _NONE:
            amount_from(budget, terms_of(self._bench).currency)
        self._free = None
        self._budget = None if budget == _NONE else budget
        self._parcels = int(rest[0]) if rest and rest[0] != _NONE else None

    # The search

    def begin(self, heard: Callable[[], None], seconds: float = SECONDS) -> None:
        """Look for the plan, aside. A search that goes on is dropped.

        Args:
            heard: called, from another thread, when there is something new to show.
            seconds: for how long is looked at most.

        Raises:
            DataError: what was set for plans cannot be read.
        """
        if self._search is not None:
            self.cancel()
            self._ending = [each for each in (*self._ending, self._search.thread) if each.is_alive()]
            self._search = None
        bench = self._bench
        if self._free is None or not self.is_current:
            self._free = question_of(bench, budget=self._budget, parcels=self._parcels)
            self._alternatives = alternatives_of(self._free)
        question = self._free
        gone = [key for key, choice in self._locks.items() if choice not in self._alternatives.get(key, ())]
        for key in gone:
            del self._locks[key]
        self._dropped = tuple(f"{code} line {number} cannot be done as it was locked." for code, number in gone)
        if self._locks:
            locks = [Lock(*key, choice) for key, choice in self._locks.items()]
            question = question_of(bench, locks=locks, budget=self._budget, parcels=self._parcels)
        self._asked_of, self._currency = self._state, question.currency
        before = self._ending[-1] if self._ending else None
        self._search = _Search(question, dict(self._locks), self.solver, seconds, heard, before)
        self._search.thread.start()

    def cancel(self) -> None:
        """End the search; the best so far is the plan."""
        if self._search is not None:
            self._search.stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until no search goes on, those dropped among them; each so many seconds at most."""
        for thread in (*self._ending, *([self._search.thread] if self._search else [])):
            thread.join(seconds)

    def close(self) -> None:
        """The sitting ends: so does the search, for the solver must not be cut off in the midst of it."""
        self.cancel()
        self.wait(_PATIENCE_S)

    @property
    def is_working(self) -> bool:
        """Whether a search goes on."""
        return self._search is not None and not self._search.done

    @property
    def is_current(self) -> bool:
        """Whether a plan was looked for since the bench changed."""
        asked, now = self._asked_of, self._state
        return asked is not None and asked[0] is now[0] and asked[1] is now[1] and asked[2] == now[2]

    @property
    def _state(self) -> tuple[object, object, int]:
        picture = self._bench.picture
        return picture, self._bench.documents, len(picture.ledger.records)

    def view(self) -> PlanView:
        """What there is to show now."""
        search, bench = self._search, self._bench
        # Asked first: what is there once the thread has ended is all there will be.
        working = self.is_working
        if search is not None and search.fault is not None:
            fault, search.fault = search.fault, None
            raise fault
        made = search.made if search is not None else None
        if search is not None and made is not None and made is not self._taken:
            self._taken = made
            self._lines = lines_of(made.question, made.choices, bench.catalogue, search.locks)
            self._totals = totals_of(made.question, made.plan)
        failure = search.failure if search is not None else None
        shown = self._taken
        notes = self._dropped + ((*shown.binding, *shown.question.notes) if shown else ())
        return PlanView(
            self._lines,
            self._totals,
            dict(self._locks),
            self._alternatives,
            self._currency,
            self._budget or "",
            self._parcels,
            working,
            search.told if search is not None and working else None,
            str(failure) if failure else "",
            notes,
            not self.is_current,
            len(bench.documents.offers),
        )
