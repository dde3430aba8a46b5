"""What the user sets for the plan, kept with the bench: prices, terms, limits, and lines that are settled by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, NamedTuple

from sortbench.desk import Desk
from sortbench.engine.planning.plan_locks import gone_words
from sortbench.model.errors import DataError
from sortbench.model.money import checked_amount
from sortbench.model.plan_lock import Lock, lock_key
from sortbench.model.prices import Prices, Terms, checked_prices, checked_terms

if TYPE_CHECKING:
    from sortbench.store.documents import Draft

_SETTING = "plan"
_LIMITS = "plan_limits"


class Limits(NamedTuple):
    """What a plan must keep to.

    Attributes:
        budget: most to be paid to sellers, shipping included, in the bench's own currency; None: no limit.
        parcels: most parcels, from 0; None: no limit.
    """

    budget: Decimal | None = None
    parcels: int | None = None


class Settled(NamedTuple):
    """What is settled by hand: lines, and limits."""

    locks: tuple[Lock, ...] = ()
    limits: Limits = Limits()


class Lost(NamedTuple):
    """A lock whose line is gone, and a sentence that says so."""

    lock: Lock
    words: str


def settled_of(bench: Desk, limits: Limits | None = None) -> tuple[Settled, tuple[Lost, ...]]:
    """What is settled by hand at a bench, and the locks that hold no more because what they were on is gone.

    Args:
        limits: in place of those that are kept; None: those.

    Raises:
        BenchError: the locks that are kept are damaged.
        DataError: the limits that are kept cannot be read.
    """
    documents = bench.documents
    targets = {target.code: target for target in bench.picture.targets}
    locks, lost = [], []
    for lock in documents.locks.values():
        words = gone_words(lock, targets, documents.offers if lock.offer else ())
        if words:
            lost.append(Lost(lock, words))
        else:
            locks.append(lock)
    return Settled(tuple(locks), limits_of(bench) if limits is None else limits), tuple(lost)


def limits_of(bench: Desk) -> Limits:
    """What plans must keep to.

    Raises:
        DataError: what is kept cannot be read.
    """
    return _limits_from(bench.documents.settings, terms_of(bench).currency)


def keep_settled(bench: Desk, locks: Iterable[Lock], dropped: Iterable[Lock], limits: Limits | None = None) -> None:
    """Keep locks and limits with the bench, in one write.

    Args:
        locks, dropped, limits: as :func:`settling` has them.

    Raises:
        DataError: a lock or a limit that cannot be kept.
        BenchError, WriteError: they cannot be written.
    """
    bench.keep(settling(bench, locks, dropped, limits))


def settling(
    bench: Desk, locks: Iterable[Lock], dropped: Iterable[Lock], limits: Limits | None = None
) -> Callable[[Draft], None]:
    """What keeps locks and limits in a draft of the documents.

    Args:
        locks: to be added, or put in the place of the one on the same line.
        dropped: no longer held.
        limits: None: as they are.

    Raises:
        DataError: a limit that cannot be kept.
    """
    locks, dropped = tuple(locks), tuple(dropped)
    document = None
    if limits is not None:
        document = {
            "budget": None if limits.budget is None else str(checked_amount(limits.budget, terms_of(bench).currency)),
            "parcels": limits.parcels,
        }

    def change(draft: Draft) -> None:
        for lock in dropped:
            draft.locks.pop(lock_key(lock), None)
        for lock in locks:
            draft.locks[lock_key(lock)] = lock
        if document is not None:
            draft.settings[_LIMITS] = document

    return change


def _limits_from(settings: Mapping[str, Any], currency: str) -> Limits:
    kept = settings.get(_LIMITS)
    if not isinstance(kept, dict):
        return Limits()
    budget, parcels = kept.get("budget"), kept.get("parcels")
    try:
        amount = None if budget is None else checked_amount(Decimal(str(budget)), currency)
        number = None if parcels is None else int(parcels)
    except (DataError, InvalidOperation, TypeError, ValueError) as error:
        raise DataError(
            f"The limits of the plan cannot be read: {error}",
            "Set them anew: sortbench plan --budget none --parcels none",
        ) from error
    return Limits(amount, None if number is None else max(0, number))


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
        None if kept.get("spare") is None else Decimal(str(kept["spare"])),
    )


def keep_terms(bench: Desk, terms: Terms) -> None:
    """Keep what holds for all plans.

    Raises:
        DataError: it cannot be; with another currency all prices, and a budget, must be said anew where its coins
            are larger.
        BenchError, WriteError: it cannot be written.
    """
    terms = checked_terms(terms)
    document = terms._asdict() | {
        "rates": list(terms.rates),
        "doubt": str(terms.doubt),
        "treatment": str(terms.treatment),
        "spare": None if terms.spare is None else str(terms.spare),
    }
    with bench.folder.documents.edit() as draft:
        for prices in draft.prices.values():
            checked_prices(prices, terms.currency)
        _limits_from(draft.settings, terms.currency)
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
