"""Tables of the documents that most sittings never ask for: decoded when somebody does.

A start waits for every document that is decoded and for every module that is imported, and a bench may hold thousands
of offers. Imports are inside the functions for the same reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from sortbench.model.errors import DataError
from sortbench.model.target import SwapOf
from sortbench.store.bench_json import Tables, unreadable
from sortbench.store.document_codec import Document
from sortbench.store.seals import Seals, check_seal, fits

if TYPE_CHECKING:
    from sortbench.model.lot import Expense, Lot
    from sortbench.model.offer import Offer, Seller
    from sortbench.model.order import Order
    from sortbench.model.plan_lock import Lock
    from sortbench.model.prices import Prices
    from sortbench.model.spot_check import Recount, SpotCheck
    from sortbench.model.standing import StandingNote
    from sortbench.model.treatment import Treatment
    from sortbench.model.wash import Batch
    from sortbench.model.weighing import Weighing

_Item = TypeVar("_Item")
_Key = TypeVar("_Key", str, tuple[SwapOf, str, str])


class LateValues(Protocol):
    """Documents that hold these tables."""

    @property
    def batches(self) -> Mapping[str, Batch]: ...
    @property
    def treatments(self) -> Mapping[str, Treatment]: ...
    @property
    def sellers(self) -> Mapping[str, Seller]: ...
    @property
    def offers(self) -> Mapping[str, Offer]: ...
    @property
    def prices(self) -> Mapping[str, Prices]: ...
    @property
    def lots(self) -> Mapping[str, Lot]: ...
    @property
    def expenses(self) -> Mapping[str, Expense]: ...
    @property
    def orders(self) -> Mapping[str, Order]: ...
    @property
    def standing(self) -> Mapping[str, StandingNote]: ...
    @property
    def weighings(self) -> Mapping[str, Weighing]: ...
    @property
    def locks(self) -> Mapping[str, Lock]: ...
    @property
    def spots(self) -> Mapping[str, SpotCheck]: ...
    @property
    def recounts(self) -> Mapping[str, Recount]: ...


class Late(Mapping[str, _Item]):
    """A table that is decoded when somebody first asks what is in it.

    Args:
        rows: how many it holds.
        decode: what it holds, by key; may raise BenchError.
    """

    def __init__(self, rows: int, decode: Callable[[], dict[str, _Item]]) -> None:
        self._rows = rows
        self._decode = decode

    @cached_property
    def _found(self) -> dict[str, _Item]:
        return self._decode() if self._rows else {}

    def __getitem__(self, key: str) -> _Item:
        return self._found[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._found)

    def __len__(self) -> int:
        return self._rows


def late_tables(path: Path, tables: Tables, seals: Seals) -> dict[str, Late[Any]]:
    """All such tables by name, none of them decoded yet.

    Args:
        path: the file, for what is said of a table that is damaged.
        tables: its tables.
        seals: what they are held against when they are decoded.
    """
    decoders: dict[str, Callable[[Path, Tables], dict[str, Any]]] = {
        "batches": _batches,
        "treatments": _treatments,
        "sellers": _sellers,
        "offers": _offers,
        "prices": _prices,
        "lots": _lots,
        "expenses": _expenses,
        "orders": _orders,
        "standing": _standing,
        "locks": _locks,
        "spots": _spots,
        "recounts": _recounts,
        "weighings": _weighings,
    }

    def decoded(name: str) -> dict[str, Any]:
        found = decoders[name](path, tables)
        check_seal(path, tables, name, seals)
        return found

    def rows(name: str) -> int:
        # A table that lost all it held must not pass for one that holds nothing: asking for it is to fail.
        return len(tables.get(name, {})) or (0 if fits(tables, name, seals) else 1)

    return {name: Late(rows(name), partial(decoded, name)) for name in decoders}


def late_documents(values: LateValues) -> dict[str, list[Document]]:
    """The tables as documents again.

    Raises:
        DataError: a value stands under a key that is not its own, or cannot be.
    """
    from sortbench.model.plan_lock import lock_key
    from sortbench.store.lot_codec import expense_document, lot_document
    from sortbench.store.offer_codec import offer_document, prices_document, seller_document
    from sortbench.store.order_codec import order_document, standing_document
    from sortbench.store.plan_codec import lock_document
    from sortbench.store.spot_codec import recount_document, spot_document
    from sortbench.store.wash_codec import batch_document, treatment_document
    from sortbench.store.weighing_codec import weighing_document

    check_keys("batch", ((key, batch.code) for key, batch in values.batches.items()))
    check_keys("treatment", ((key, treatment.id) for key, treatment in values.treatments.items()))
    check_keys("seller", ((key, seller.name) for key, seller in values.sellers.items()))
    check_keys("offer", ((key, offer.id) for key, offer in values.offers.items()))
    check_keys("lot", ((key, lot.code) for key, lot in values.lots.items()))
    check_keys("expense", ((key, expense.id) for key, expense in values.expenses.items()))
    check_keys("order", ((key, order.id) for key, order in values.orders.items()))
    check_keys("standing note", ((key, note.key) for key, note in values.standing.items()))
    check_keys("spot check", ((key, check.id) for key, check in values.spots.items()))
    check_keys("recount", ((key, recount.id) for key, recount in values.recounts.items()))
    check_keys("lock", ((key, lock_key(lock)) for key, lock in values.locks.items()))
    check_keys("weighing", ((key, weighing.id) for key, weighing in values.weighings.items()))
    for offer in values.offers.values():
        if offer.seller not in values.sellers:
            raise DataError(f"No seller is called {offer.seller[:40]!r}.", "Bring in the sellers first.")
    sellers = values.sellers
    return {
        "batches": [batch_document(batch) for batch in values.batches.values()],
        "treatments": [treatment_document(treatment) for treatment in values.treatments.values()],
        "sellers": [seller_document(seller) for seller in sellers.values()],
        "offers": [offer_document(offer, sellers[offer.seller].currency) for offer in values.offers.values()],
        "prices": [prices_document(prices) for prices in values.prices.values()],
        "lots": [lot_document(lot) for lot in values.lots.values()],
        "expenses": [expense_document(expense) for expense in values.expenses.values()],
        "orders": [order_document(order) for order in values.orders.values()],
        "standing": [standing_document(note) for note in values.standing.values()],
        "locks": [lock_document(lock) for lock in values.locks.values()],
        "spots": [spot_document(check) for check in values.spots.values()],
        "recounts": [recount_document(recount) for recount in values.recounts.values()],
        "weighings": [weighing_document(weighing) for weighing in values.weighings.values()],
    }


def keyed(
    path: Path, tables: Tables, name: str, build: Callable[[Document], _Item], key: Callable[[_Item], _Key]
) -> dict[_Key, _Item]:
    """What a table holds, by key.

    Raises:
        BenchError: a document is malformed, or a key stands there twice.
    """
    found: dict[_Key, _Item] = {}
    for number, document in tables.get(name, {}).items():
        try:
            item = build(document)
        except DataError as error:
            raise unreadable(path, f"table {name!r}, document {number}: {error.message.rstrip('.')}") from error
        if found.setdefault(key(item), item) is not item:
            raise unreadable(path, f"table {name!r} holds {key_words(key(item))[:80]!r} twice")
    return found


def key_words(key: str | tuple[SwapOf, str, str]) -> str:
    """A key as a person reads it."""
    return key if isinstance(key, str) else f"{key[2]} for the {key[0].value} {key[1]}"


def check_keys(what: str, pairs: Iterable[tuple[str, str]]) -> None:
    """Whether all values stand under their own keys.

    Raises:
        DataError: one does not.
    """
    for key, own in pairs:
        if key != own:
            raise DataError(f"The {what} {own!r} stands under the key {key!r}.")


def _batches(path: Path, tables: Tables) -> dict[str, Batch]:
    from sortbench.store.wash_codec import batch_from

    return keyed(path, tables, "batches", batch_from, lambda batch: batch.code)


def _treatments(path: Path, tables: Tables) -> dict[str, Treatment]:
    from sortbench.store.wash_codec import treatment_from

    return keyed(path, tables, "treatments", treatment_from, lambda treatment: treatment.id)


def _sellers(path: Path, tables: Tables) -> dict[str, Seller]:
    from sortbench.store.offer_codec import seller_from

    return keyed(path, tables, "sellers", seller_from, lambda seller: seller.name)


def _offers(path: Path, tables: Tables) -> dict[str, Offer]:
    from sortbench.store.offer_codec import offer_from

    sellers = _sellers(path, tables)
    return keyed(path, tables, "offers", lambda document: offer_from(document, sellers), lambda offer: offer.id)


def _prices(path: Path, tables: Tables) -> dict[str, Prices]:
    from sortbench.store.offer_codec import prices_from

    return keyed(path, tables, "prices", prices_from, lambda prices: prices.target)


def _lots(path: Path, tables: Tables) -> dict[str, Lot]:
    from sortbench.store.lot_codec import lot_from

    return keyed(path, tables, "lots", lot_from, lambda lot: lot.code)


def _expenses(path: Path, tables: Tables) -> dict[str, Expense]:
    from sortbench.store.lot_codec import expense_from

    return keyed(path, tables, "expenses", expense_from, lambda expense: expense.id)


def _orders(path: Path, tables: Tables) -> dict[str, Order]:
    from sortbench.store.order_codec import order_from

    return keyed(path, tables, "orders", order_from, lambda order: order.id)


def _locks(path: Path, tables: Tables) -> dict[str, Lock]:
    from sortbench.model.plan_lock import lock_key
    from sortbench.store.plan_codec import lock_from

    return keyed(path, tables, "locks", lock_from, lock_key)


def _standing(path: Path, tables: Tables) -> dict[str, StandingNote]:
    from sortbench.store.order_codec import standing_from

    return keyed(path, tables, "standing", standing_from, lambda note: note.key)


def _weighings(path: Path, tables: Tables) -> dict[str, Weighing]:
    from sortbench.store.weighing_codec import weighing_from

    return keyed(path, tables, "weighings", weighing_from, lambda weighing: weighing.id)


def _spots(path: Path, tables: Tables) -> dict[str, SpotCheck]:
    from sortbench.store.spot_codec import spot_from

    return keyed(path, tables, "spots", spot_from, lambda check: check.id)


def _recounts(path: Path, tables: Tables) -> dict[str, Recount]:
    from sortbench.store.spot_codec import recount_from

    return keyed(path, tables, "recounts", recount_from, lambda recount: recount.id)
