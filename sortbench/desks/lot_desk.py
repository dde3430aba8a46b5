"""Lots and money at a bench: what was bought and spent, and what targets and spares have cost so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.plan_settings import terms_of
from sortbench.engine.finishing.lot_ledger import LotLedger as LotLedger
from sortbench.engine.finishing.lot_ledger import lot_ledger
from sortbench.engine.reconciling.what_if import find_target
from sortbench.model.errors import DataError
from sortbench.model.lot import Expense, Lot, Spent, checked_expense, checked_lot
from sortbench.model.money import Rates, amount_from, currency_code
from sortbench.model.text import clean_name
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.model.prices import Terms
    from sortbench.store.documents import Draft

_WORTH = "worth of a piece"


class Paid(NamedTuple):
    """An amount as it was typed, ``12.30``, and its currency; an empty one is the bench's own."""

    amount: str
    currency: str = ""


class LotDesk:
    """The lots of one bench. Nothing noted is deleted: what was wrong is struck, and can be brought back.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
    """

    def __init__(self, bench: Desk, clock: Callable[[], datetime] = utc_now) -> None:
        self._bench = bench
        self._clock = clock

    @property
    def lots(self) -> Mapping[str, Lot]:
        """All lots by code, the oldest first."""
        return self._bench.documents.lots

    @property
    def expenses(self) -> Mapping[str, Expense]:
        """All expenses by id, the oldest first; struck ones too."""
        return self._bench.documents.expenses

    @property
    def _terms(self) -> Terms:
        return terms_of(self._bench)

    def ledger(self) -> LotLedger:
        """What targets and spares have cost so far.

        Raises:
            DataError: there is no rate for the currency of an expense any more.
        """
        terms, bench = self._terms, self._bench
        return lot_ledger(
            bench.picture,
            self.lots.values(),
            self.expenses.values(),
            Rates(terms.currency, terms.rates),
            piece_worth=self.piece_worth,
            pile=bench.pile,
        )

    def new(self, lot: Lot, paid: Paid | None = None) -> tuple[Lot, Expense | None]:
        """Note a lot, and what it cost where that is told. Without a code it gets the next one: L1, L2.

        Raises:
            DataError: the code is taken, or a value cannot be.
            BenchError, WriteError: the documents cannot be written.
        """
        lot = lot._replace(
            name=clean_name(lot.name, "name of the lot"),
            seller=clean_name(lot.seller, "name of the seller") if lot.seller.strip() else "",
            note=clean_name(lot.note, "note") if lot.note.strip() else "",
        )
        made: list[Lot] = []
        spent: list[Expense] = []

        def change(draft: Draft) -> None:
            code = lot.code or next_number("L", draft.lots)
            if code in draft.lots:
                raise DataError(f"There is a lot {code} already: {draft.lots[code].name}.", "Choose another code.")
            made.append(checked_lot(lot._replace(code=code)))
            draft.lots[code] = made[0]
            if paid is not None:
                spent.append(self._expense(draft, Spent.LOT, paid, lot=code))
                draft.expenses[spent[0].id] = spent[0]

        self._bench.keep(change)
        return made[0], next(iter(spent), None)

    def spend(self, what: Spent, paid: Paid, *, lot: str = "", target: str = "", note: str = "") -> Expense:
        """Note money that was spent.

        Args:
            lot: code of the lot that it is for; empty if for none.
            target: code of the one target that bears it; empty: it is shared.

        Raises:
            DataError: no such lot or target, an amount that cannot be, or a currency that the bench has no rate for.
            BenchError, WriteError: the documents cannot be written.
        """
        if target:
            find_target(self._bench.picture, target)
        noted = clean_name(note, "note") if note.strip() else ""
        spent: list[Expense] = []

        def change(draft: Draft) -> None:
            if lot and lot not in draft.lots:
                known = ", ".join(list(draft.lots)[:12])
                raise DataError(f"No lot has the code {lot[:20]!r}.", f"Known are: {known}." if known else "Note one.")
            spent.append(self._expense(draft, what, paid, lot, target, noted))
            draft.expenses[spent[0].id] = spent[0]

        self._bench.keep(change)
        return spent[0]

    def strike(self, number: str, back: bool = False) -> Expense:
        """Let an expense that was noted wrongly count for nothing, or bring it back.

        Raises:
            DataError: there is no such expense, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """
        wanted = number.strip().upper()
        struck: list[Expense] = []

        def change(draft: Draft) -> None:
            found = draft.expenses.get(wanted)
            if found is None:
                raise DataError(f"No expense is called {number[:20]!r}.", "`sortbench lots list` shows them.")
            if found.struck is not back:
                raise DataError(f"{wanted} is {'struck' if found.struck else 'not struck'} already.")
            struck.append(found._replace(struck=not back))
            draft.expenses[wanted] = struck[0]

        self._bench.keep(change)
        return struck[0]

    @property
    def piece_worth(self) -> Decimal | None:
        """What a piece without a value of its own is worth, in the bench's own currency; None if not told."""
        value = self._bench.documents.settings.get(_WORTH)
        try:
            amount = Decimal(value) if isinstance(value, str) else None
        except InvalidOperation:
            return None
        return amount if amount is not None and amount.is_finite() and amount >= 0 else None

    def set_piece_worth(self, amount: str | None) -> Decimal | None:
        """Say what a piece without a value of its own is worth; None forgets it.

        Raises:
            DataError: no such amount.
            BenchError, WriteError: the documents cannot be written.
        """
        worth = None if amount is None else amount_from(amount, self._terms.currency)

        def change(draft: Draft) -> None:
            draft.settings.pop(_WORTH, None)
            if worth is not None:
                draft.settings[_WORTH] = str(worth)

        self._bench.keep(change)
        return worth

    def _expense(
        self, draft: Draft, what: Spent, paid: Paid, lot: str = "", target: str = "", note: str = ""
    ) -> Expense:
        terms = self._terms
        currency = currency_code(paid.currency) if paid.currency else terms.currency
        amount = amount_from(paid.amount, currency)
        Rates(terms.currency, terms.rates).to_own(amount, currency)
        number = next_number("E", draft.expenses)
        return checked_expense(Expense(number, stamp(self._clock()), what, amount, currency, lot, target, note))


def next_number(letter: str, taken: Mapping[str, object]) -> str:
    """The key after the highest one that begins with a letter: E1, E2."""
    numbers = (int(key[1:]) for key in taken if key[:1] == letter and key[1:].isascii() and key[1:].isdecimal())
    return f"{letter}{max(numbers, default=0) + 1}"
