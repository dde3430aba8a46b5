"""Lists of sellers, and of what they offer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from functools import partial
from itertools import pairwise
from typing import TypeVar

from sortbench.engine.entering.naming import NameIndex, nearest_name
from sortbench.engine.importing import cells
from sortbench.engine.importing.cells import RowError, RowReader, Sheet
from sortbench.engine.importing.differences import offer_change, offer_words, seller_change
from sortbench.engine.importing.intake_plan import Naming, Plan, State
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of
from sortbench.model.money import amount_from, currency_code
from sortbench.model.offer import FULL_TRUST, MAX_GRAMS, Offer, Seller, ShippingStep, checked_offer, checked_seller
from sortbench.model.target import MAX_QUANTITY

_STEP = re.compile(r"(?:(?:up )?to )?([0-9]{1,6}) ?g ?[:=]? ?([0-9.,]+)")
_NOTHING = Decimal(0)
_T = TypeVar("_T")


def read_sellers(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Sellers, told apart by name. A column that the list does not have leaves what the bench holds.

    Args:
        sheets: the files.
        state: what the bench knows.
        defaults: ``currency`` for sellers that say none; may be missing.
    """
    found: dict[str, tuple[Seller, str]] = {}
    errors: list[RowError] = []
    notes: list[str] = []
    index = NameIndex("seller", ((name, ()) for name in state.sellers))
    for sheet in sheets:
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            seller = _seller(row, index, state, defaults.get("currency", ""))
            if seller is not None and not row.errors:
                _compare(row, "name", seller.name, seller, f"{sheet.file}:{number}", found, notes)
            errors += row.errors
    sellers = {name: seller for name, (seller, _) in found.items()}
    return Plan(
        tuple(errors),
        tuple(name for name in sellers if name not in state.sellers),
        tuple(
            seller_change(state.sellers[name], seller)
            for name, seller in sellers.items()
            if name in state.sellers and state.sellers[name] != seller
        ),
        tuple(name for name, seller in sellers.items() if state.sellers.get(name) == seller),
        sellers=tuple(seller for name, seller in sellers.items() if state.sellers.get(name) != seller),
        notes=tuple(notes),
    )


def _seller(row: RowReader, index: NameIndex, state: State, currency: str) -> Seller | None:
    name = row.require("name", cells.name_of("seller"))
    if name is None:
        return None
    name = index.by_key(name) or name
    old = state.sellers.get(name) or Seller(name, "")
    code = row.read("currency", currency_code, old.currency or currency)
    if not code:
        row.refuse("currency", "Nothing says the currency. Name a column, or give --currency EUR.")
        return None
    amount = partial(amount_from, currency=code)
    seller = Seller(
        name,
        code,
        row.keep("shipping", amount, _NOTHING, old.shipping),
        row.keep("steps", lambda text: _steps(row, text, code), (), old.steps),
        row.keep("minimum", amount, _NOTHING, old.minimum),
        row.keep("trust", cells.whole("trust", 1, FULL_TRUST), FULL_TRUST, old.trust),
        row.keep("note", cells.name_of("note"), "", old.note),
    )
    return None if row.errors else _checked(row, "name", lambda: checked_seller(seller))


def _steps(row: RowReader, text: str, currency: str) -> tuple[ShippingStep, ...]:
    """Steps of shipping as ``500 g 0.00 | 2000 g 2.50``.

    Raises:
        DataError: they cannot be read, or do not rise.
    """
    steps = []
    for item in row.items(text):
        found = _STEP.fullmatch(item)
        if not found:
            raise DataError(f"{item[:40]!r} is no step of shipping.", "Write them as in: 500 g 0.00 | 2000 g 2.50")
        grams, price = found.groups()
        up_to_g = cells.whole("weight in grams", 1, MAX_GRAMS)(grams)
        steps.append(ShippingStep(up_to_g, amount_from(price, currency)))
    if any(one.up_to_g >= next_.up_to_g for one, next_ in pairwise(steps)):
        raise DataError("The steps of shipping do not rise.", "Write the lightest first.")
    return tuple(steps)


def read_offers(sheets: Sequence[Sheet], state: State, defaults: Mapping[str, str]) -> Plan:
    """Offers; those of a seller whom the files name take the place of all that the bench had from that seller.

    Args:
        sheets: the files.
        state: what the bench knows; an offer can only name a part, a shade and a seller that it knows.
        defaults: ``seller`` for rows that say none; ``keep`` with any text leaves the offers that the files do not
            name.
    """
    reader = _Offers(state, defaults)
    for sheet in sheets:
        reader.read(sheet)
    offers = {key: offer for key, (offer, _) in reader.found.items()}
    sellers = {offer.seller for offer in offers.values()}
    gone = tuple(
        offer
        for key, offer in state.offers.items()
        if key not in offers and offer.seller in sellers and not defaults.get("keep")
    )
    changed = {key: o for key, o in offers.items() if key in state.offers and state.offers[key] != o}
    kept = {key: o for key, o in state.offers.items() if o not in gone}
    everything = tuple((kept | offers).values())
    return Plan(
        tuple(reader.errors),
        tuple(offer_words(offer) for key, offer in offers.items() if key not in state.offers),
        tuple(offer_change(state.offers[key], offer) for key, offer in changed.items()),
        tuple(offer_words(offer) for key, offer in offers.items() if state.offers.get(key) == offer),
        tuple(offer_words(offer) for offer in gone),
        offers=None if everything == tuple(state.offers.values()) else everything,
        notes=tuple(reader.notes),
    )


class _Offers:
    """Reads offers row by row, and gives those without an id one of their own."""

    def __init__(self, state: State, defaults: Mapping[str, str]) -> None:
        self._state = state
        self._default = defaults.get("seller", "")
        self._naming = Naming(state, known_only=True)
        self._index = NameIndex("seller", ((name, ()) for name in state.sellers))
        self.found: dict[str, tuple[Offer, str]] = {}
        self.errors: list[RowError] = []
        self.notes: list[str] = []

    def read(self, sheet: Sheet) -> None:
        """Take in the rows of one file."""
        for number, row_cells in sheet.rows:
            row = RowReader(sheet, number, row_cells)
            offer = self._offer(row)
            self._naming.settle(row)
            if offer is not None and not row.errors:
                _compare(row, "id", offer.id, offer, f"{sheet.file}:{number}", self.found, self.notes)
            self.errors += row.errors

    def _offer(self, row: RowReader) -> Offer | None:
        seller = self._seller(row)
        part = row.require("part", self._naming.part)
        shade = row.require("shade", self._naming.shade)
        stock = row.require("stock", cells.whole("stock", 1, MAX_QUANTITY))
        grade = row.read("grade", Grade.from_label, None)
        flaws: Flaws = row.read("flaws", lambda text: flaws_of(map(Flaw.from_text, row.items(text))), ())
        currency = row.read("currency", currency_code, "")
        if seller is None:
            return None
        price = row.require("price", partial(amount_from, currency=currency or seller.currency))
        if part is None or shade is None or stock is None or price is None or row.errors:
            return None
        kind = Kind(part, shade)
        currency = "" if currency == seller.currency else currency
        offer = Offer("", seller.name, kind, grade, flaws, price, stock, currency)
        key = row.read("id", cells.name_of("id"), "") or _own_id(offer)
        return _checked(row, "price", lambda: checked_offer(offer._replace(id=key), seller.currency))

    def _seller(self, row: RowReader) -> Seller | None:
        if self._default and not row.text("seller"):
            try:
                return self._known(self._default)
            except DataError as error:
                row.refuse("seller", str(error))
                return None
        return row.require("seller", self._known)

    def _known(self, text: str) -> Seller:
        name = self._index.by_key(text)
        if name is not None:
            return self._state.sellers[name]
        near = nearest_name(text, dict.fromkeys(self._state.sellers, ()))
        mend = "Bring the sellers in first with `sortbench import sellers`."
        raise DataError(f"No seller is called {text[:40]!r}.", f"Did you mean {near}? {mend}" if near else mend)


def _own_id(offer: Offer) -> str:
    """The id of an offer that has none: what is offered, and by whom. Two rows that agree in it are one offer."""
    condition = ", ".join(filter(None, (offer.grade.label if offer.grade else "", *offer.flaws)))
    return " / ".join(filter(None, (offer.seller, offer.kind.part, offer.kind.shade, condition)))


def _checked(row: RowReader, field: str, make: Callable[[], _T]) -> _T | None:
    try:
        return make()
    except DataError as error:
        row.refuse(field, str(error))
        return None


def _compare(
    row: RowReader, field: str, key: str, value: _T, where: str, found: dict[str, tuple[_T, str]], notes: list[str]
) -> None:
    """Hold a row against those before it that speak of the same."""
    if key not in found:
        found[key] = value, where
        return
    earlier, there = found[key]
    if earlier == value:
        notes.append(f"{where} says the same as {there} and is passed over.")
    else:
        row.refuse(field, f"{there} says something else of it. Keep one of the two rows.")
