"""Planning at a bench: the question asked and answered, and what the user sets for it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

from sortbench.desk import Desk
from sortbench.engine.plan import SECONDS as SECONDS
from sortbench.engine.plan import Plan, Progress, solve
from sortbench.engine.planning.plan_board import ChoiceRow, ParcelRow, binding, choices_of, parcels_of
from sortbench.engine.planning.plan_case import Choice as Choice
from sortbench.engine.planning.plan_market import Market
from sortbench.engine.planning.plan_question import Lock as Lock
from sortbench.engine.planning.plan_question import Question, ask
from sortbench.model.errors import DataError
from sortbench.model.money import amount_from
from sortbench.model.prices import Prices, Terms, checked_prices, checked_terms

_SETTING = "plan"


class Planned(NamedTuple):
    """A plan, and all that is told of it.

    Attributes:
        question: what was asked.
        plan: the answer.
        choices, parcels: rows of it.
        finished: by code of the target, whether it is worth finishing; empty where that was not asked.
        binding: limits that it runs into, in words.
    """

    question: Question
    plan: Plan
    choices: tuple[ChoiceRow, ...]
    parcels: tuple[ParcelRow, ...]
    finished: Mapping[str, bool]
    binding: tuple[str, ...]


def make_plan(
    bench: Desk,
    *,
    locks: Iterable[Lock] = (),
    budget: str | None = None,
    parcels: int | None = None,
    worth: bool = False,
    seconds: float = SECONDS,
    gap: float = 0.0,
    progress: Progress | None = None,
    cancel: Callable[[], bool] | None = None,
) -> Planned:
    """The plan of least total cost for the bench as it is. Nothing is written.

    Args:
        bench: the bench, open for one sitting.
        locks: lines that are settled by hand.
        budget: most to be paid to sellers, as people write it, in the bench's own currency.
        parcels: most parcels.
        worth: whether targets are finished only where their value is worth it.
        seconds, gap, progress, cancel: as :func:`sortbench.engine.plan.solve` takes them.

    Raises:
        DataError: a lock or a budget that cannot be.
        UsageError: the solver is not installed.
    """
    question = question_of(bench, locks=locks, budget=budget, parcels=parcels, worth=worth)
    plan = solve(question.case, seconds=seconds, gap=gap, progress=progress, cancel=cancel)
    made = told_of(question, plan)
    return made if plan.cancelled else made._replace(binding=binding(question, plan))


def question_of(
    bench: Desk,
    *,
    locks: Iterable[Lock] = (),
    budget: str | None = None,
    parcels: int | None = None,
    worth: bool = False,
) -> Question:
    """What is asked of the solver for the bench as it is; as :func:`make_plan` takes it.

    Raises:
        DataError: a lock or a budget that cannot be.
    """
    documents = bench.documents
    terms = terms_of(bench)
    market = Market(documents.sellers, documents.offers, documents.prices, terms, tuple(documents.treatments.values()))
    limit: Decimal | None = None if budget is None else amount_from(budget, terms.currency)
    return ask(bench.picture, market, locks=locks, budget=limit, parcels=parcels, worth=worth)


def told_of(question: Question, plan: Plan) -> Planned:
    """All that is told of a plan but the limits it runs into, which take a search of their own."""
    settled = {question.groups[place] for place in plan.settled}
    finished = {code: code in settled for code in question.groups}
    return Planned(question, plan, choices_of(question, plan), parcels_of(question, plan), finished, ())


def terms_of(bench: Desk) -> Terms:
    """What holds for all plans of a bench; the usual where nobody said otherwise, or what was said cannot be read."""
    kept = bench.documents.settings.get(_SETTING)
    if not isinstance(kept, dict):
        return Terms()
    try:
        return checked_terms(_terms_from(kept))
    except (DataError, InvalidOperation, TypeError, ValueError) as error:
        raise DataError(
            f"What was set for the plan cannot be read: {error}", "Set it anew with `sortbench prices`."
        ) from error


def _terms_from(kept: Mapping[str, Any]) -> Terms:
    usual = Terms()
    return Terms(
        str(kept.get("currency", usual.currency)),
        tuple(map(str, kept.get("rates", ()))),
        Decimal(str(kept.get("doubt", usual.doubt))),
        Decimal(str(kept.get("treatment", usual.treatment))),
        None if kept.get("improved") is None else float(kept["improved"]),
        None if kept.get("broken") is None else float(kept["broken"]),
        None if kept.get("gain") is None else int(kept["gain"]),
    )


def keep_terms(bench: Desk, terms: Terms) -> None:
    """Keep what holds for all plans.

    Raises:
        DataError: it cannot be; with another currency all prices must be said anew.
        BenchError, WriteError: it cannot be written.
    """
    terms = checked_terms(terms)
    document = terms._asdict() | {
        "rates": list(terms.rates),
        "doubt": str(terms.doubt),
        "treatment": str(terms.treatment),
    }
    with bench.folder.documents.edit() as draft:
        for prices in draft.prices.values():
            checked_prices(prices, terms.currency)
        draft.settings[_SETTING] = document
    bench.reload()


def keep_prices(bench: Desk, prices: Prices) -> None:
    """Keep what holes and blemishes cost on a target, or on all.

    Raises:
        DataError: no such target, or an amount that cannot be.
        BenchError, WriteError: it cannot be written.
    """
    if prices.target and prices.target not in bench.documents.targets:
        raise DataError(f"No target has the code {prices.target!r}.", "The targets screen lists them.")
    with bench.folder.documents.edit() as draft:
        draft.prices[prices.target] = checked_prices(prices, terms_of(bench).currency)
    bench.reload()
