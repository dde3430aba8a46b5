"""Planning at a bench: the question asked and answered."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.desks.plan_settings import Limits as Limits
from sortbench.desks.plan_settings import Settled, keep_settled, settled_of, terms_of
from sortbench.engine.finishing.orders import states_of
from sortbench.engine.plan import SECONDS as SECONDS
from sortbench.engine.plan import Plan, Progress, gap_of, solve
from sortbench.engine.planning.plan_asker import ask
from sortbench.engine.planning.plan_board import ChoiceRow, ParcelRow, binding, choices_of, parcels_of
from sortbench.engine.planning.plan_lines import LineKey, Seen, seen_of
from sortbench.engine.planning.plan_locks import OfferWay as OfferWay
from sortbench.engine.planning.plan_locks import Settling, settling_of, waiting_words
from sortbench.engine.planning.plan_market import Market
from sortbench.engine.planning.plan_question import Question
from sortbench.engine.planning.plan_spares import SpareRow, spares_of_plan
from sortbench.engine.planning.plan_view import PlanTotals, totals_of
from sortbench.model.errors import DataError
from sortbench.model.plan_lock import Choice as Choice
from sortbench.model.plan_lock import Lock as Lock


class Stand(NamedTuple):
    """All that a question is put together from, as it was at one moment: it does not change any more."""

    seen: Seen
    market: Market


class Put(NamedTuple):
    """A question put together.

    Attributes:
        question: with what is locked.
        free: the same with nothing locked.
        settling: what may be done about each line.
        waiting: locks that cannot be done now, each with a sentence that says so.
    """

    question: Question
    free: Question
    settling: Settling
    waiting: Mapping[LineKey, str]


class Planned(NamedTuple):
    """A plan, and all that is told of it.

    Attributes:
        question: what was asked.
        plan: the answer, its cost as a person reckons it.
        choices, parcels: rows of it.
        finished: by code of the target, whether it is worth finishing; empty where that was not asked.
        spares: what becomes spare, and what is so already; empty where that was not asked.
        totals: what it comes to.
        binding: limits that it runs into, in words.
        settled: what was settled by hand.
        waiting: locks that could not be done, each with a sentence that says so.
    """

    question: Question
    plan: Plan
    choices: tuple[ChoiceRow, ...]
    parcels: tuple[ParcelRow, ...]
    finished: Mapping[str, bool]
    spares: tuple[SpareRow, ...]
    totals: PlanTotals
    binding: tuple[str, ...]
    settled: Settled
    waiting: Mapping[LineKey, str]


def make_plan(
    bench: Desk,
    settled: Settled | None = None,
    *,
    worth: bool = False,
    seconds: float = SECONDS,
    gap: float = 0.0,
    progress: Progress | None = None,
    cancel: Callable[[], bool] | None = None,
) -> Planned:
    """The plan of least total cost for the bench as it is. Nothing is written.

    Args:
        bench: the bench, open for one sitting.
        settled: lines and limits settled by hand; None: those that are kept with the bench.
        worth: whether targets are finished only where their value is worth it.
        seconds, gap, progress, cancel: as :func:`sortbench.engine.plan.solve` takes them.

    Raises:
        DataError: a limit that cannot be, or what was set for plans cannot be read.
        UsageError: the solver is not installed.
    """
    if settled is None:
        settled, _ = settled_of(bench)
    put = put_together(stand_of(bench, worth), settled, worth)
    plan = solve(put.question.case, seconds=seconds, gap=gap, progress=shifted(put.question, progress), cancel=cancel)
    made = told_of(put, plan, settled)
    return made if plan.cancelled else made._replace(binding=binding(put.question, plan, cancel))


def stand_of(bench: Desk, worth: bool = False) -> Stand:
    """What a question is put together from, as it is now.

    Args:
        worth: whether pieces that no line has are wanted too.

    Raises:
        BenchError, DataError: orders or terms that cannot be read.
    """
    documents, picture = bench.documents, bench.picture
    states = states_of(documents.orders.values(), picture.ledger, picture.catalogue)
    coming: dict[str, int] = {}
    for state in states:
        for line in state.lines:
            coming[line.line.offer] = coming.get(line.line.offer, 0) + line.awaited
    market = Market(
        documents.sellers,
        documents.offers,
        documents.prices,
        terms_of(bench),
        tuple(documents.treatments.values()),
        coming,
    )
    return Stand(seen_of(picture, states, worth), market)


def put_together(stand: Stand, settled: Settled, worth: bool = False, before: Put | None = None) -> Put:
    """The question, with every lock that can be done now; it touches nothing of the bench.

    Args:
        stand: what it is put together from.
        settled: lines and limits settled by hand.
        worth: whether targets are finished only where their value is worth it.
        before: a question put together from the same, with other locks.

    Raises:
        DataError: a limit that cannot be.
    """
    budget, parcels = settled.limits
    free = before.free if before else ask(stand.seen, stand.market, budget=budget, parcels=parcels, worth=worth)
    settling = before.settling if before else settling_of(free)
    waiting = waiting_words(settled.locks, settling)
    locks = [lock for lock in settled.locks if lock.line not in waiting]
    if not locks:
        return Put(free, free, settling, waiting)
    locked = ask(stand.seen, stand.market, locks=locks, budget=budget, parcels=parcels, worth=worth)
    return Put(locked, free, settling, waiting)


def shifted(question: Question, progress: Progress | None) -> Progress | None:
    """Progress told in costs as a person reckons them."""
    away = question.all_spare
    if progress is None or not away:
        return progress
    return lambda best, bound, _: progress(best - away, bound - away, gap_of(best - away, bound - away))


def told_of(put: Put, plan: Plan, settled: Settled) -> Planned:
    """All that is told of a plan but the limits it runs into, which take a search of their own."""
    question = put.question
    plan = question.at_home(plan)
    told = question.told(plan)
    done = {question.groups[place] for place in plan.settled}
    return Planned(
        question,
        told,
        choices_of(question, plan),
        parcels_of(question, plan),
        {code: code in done for code in question.groups},
        spares_of_plan(question, plan),
        totals_of(question, told),
        (),
        settled,
        put.waiting,
    )


class Change(NamedTuple):
    """What somebody wants settled otherwise.

    Attributes:
        lock: lines to be locked; without telling what they ask for.
        unlock: lines to be let go.
        unlock_all: whether all are let go first.
        limits: new ones; None: as they are.
    """

    lock: tuple[Lock, ...] = ()
    unlock: tuple[LineKey, ...] = ()
    unlock_all: bool = False
    limits: Limits | None = None


def settle(bench: Desk, change: Change, *, worth: bool = False, keep: bool = True) -> tuple[Settled, tuple[str, ...]]:
    """Change what is settled by hand, and keep it with the bench.

    Args:
        bench: the bench.
        change: what is to be otherwise.
        worth: whether it is asked which targets are worth finishing.
        keep: whether it is kept; else it holds for the plan that is made of the answer.

    Returns:
        What is settled now, and sentences that say which locks were dropped because what they were on is gone.

    Raises:
        DataError: a line that cannot be locked so, or is not locked; nothing is kept then.
        BenchError, WriteError: what is kept cannot be read or written.
    """
    before, lost = settled_of(bench, change.limits)
    held = {} if change.unlock_all else {lock.line: lock for lock in before.locks}
    known = {each.lock.line for each in lost} | {lock.line for lock in before.locks}
    for code, number in change.unlock:
        if (code, number) not in known:
            raise DataError(f"{code} line {number} is not locked.", "`sortbench plan` says at its end what is.")
        held.pop((code, number), None)
    added = _checked(bench, change.lock, worth)
    held |= {lock.line: lock for lock in added}
    locks = tuple(held.values())
    if keep:
        dropped = [each.lock for each in lost] + [lock for lock in before.locks if lock.line not in held]
        if added or dropped or change.limits is not None:
            keep_settled(bench, added, dropped, change.limits)
    return Settled(locks, before.limits), tuple(each.words for each in lost)


def _checked(bench: Desk, locks: Iterable[Lock], worth: bool) -> list[Lock]:
    """Locks with what their lines ask for, once these can be settled so."""
    locks = tuple(locks)
    if not locks:
        return []
    stand = stand_of(bench, worth)
    lines = {line.key: line for line in stand.seen.lines}
    settling = settling_of(ask(stand.seen, stand.market, worth=worth))
    found = []
    for lock in locks:
        where = f"{lock.target} line {lock.number}"
        line, choices = lines.get(lock.line), settling.choices.get(lock.line, ())
        if line is None:
            raise DataError(
                f"{lock.target} has no line {lock.number}, or is parked.", "`sortbench targets` lists them."
            )
        if not choices:
            raise DataError(
                f"Nothing is to be planned on {where}.",
                "Only lines with holes, or with pieces below their standard, can be locked.",
            )
        ways = settling.offers.get(lock.line, ())
        way = next((each for each in ways if each.offer == lock.offer), None)
        if lock.offer and way is None:
            some = ", ".join(each.offer for each in ways[:8])
            raise DataError(
                f"{where} cannot buy from offer {lock.offer!r}.",
                f"It could from: {some}." if some else "It could from none.",
            )
        if not lock.offer and lock.choice not in choices:
            raise DataError(f"{where} cannot be settled so: {lock.choice}.", f"It can: {', '.join(choices)}.")
        found.append(lock._replace(kind=line.fill.line.kind, choice=way.choice if way else lock.choice))
    return found
