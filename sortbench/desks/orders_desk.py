"""Orders at a bench: made, sent, ticked in against the parcel; and what cannot be had."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from sortbench.desks.order_expenses import expenses_of, settle_expenses
from sortbench.desks.plan_settings import terms_of
from sortbench.engine.board import Receipt
from sortbench.engine.finishing.order_costs import is_to_pay
from sortbench.engine.finishing.orders import LineState as LineState
from sortbench.engine.finishing.orders import OrderState as OrderState
from sortbench.engine.finishing.orders import Purchase as Purchase
from sortbench.engine.finishing.orders import (
    arrivals,
    draft_orders,
    goods,
    outcome_of,
    states_of,
    way_of,
)
from sortbench.engine.finishing.standing import StandingRow as StandingRow
from sortbench.engine.finishing.standing import standing_notes, standing_rows
from sortbench.engine.reconciling.what_if import find_target
from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaws, Grade
from sortbench.model.money import Rates, amount_from
from sortbench.model.order import Order, Outcome, Remark
from sortbench.model.tally import Cell
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name
from sortbench.sitting import stamp, utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.model.lot import Expense
    from sortbench.store.documents import Draft


class Came(NamedTuple):
    """What lay in the parcel, where it is not just what was ordered.

    Attributes:
        kind: another kind than the one ordered; None: the one ordered.
        grade: as one sees it; None: as the offer has it, and where that tells none, the grade that is held.
        flaws: as one sees them; None: as the offer has them; for another kind none.
        bin_label: the bin they go into, in any case; empty: the one that is held, else the rules say.
    """

    kind: Kind | None = None
    grade: Grade | None = None
    flaws: Flaws | None = None
    bin_label: str = ""


class OrdersDesk:
    """The orders of one bench.

    Pieces that come are tallies like all others: into bins, not crates, and undone or corrected in the same way. Each
    names its order, and what arrived is worked out from the tallies that hold. So ticking in is one write, and a stop
    at any moment leaves the counts and the order agreed.

    Args:
        bench: the bench, open for one sitting.
        clock: the time, for reading only.
    """

    def __init__(self, bench: Desk, clock: Callable[[], datetime] = utc_now) -> None:
        self._bench = bench
        self._clock = clock

    def states(self) -> tuple[OrderState, ...]:
        """All orders as they stand, the oldest first.

        Raises:
            BenchError: the orders that are kept are damaged.
        """
        bench = self._bench
        return states_of(bench.documents.orders.values(), bench.picture.ledger, bench.catalogue)

    def state(self, number: str) -> OrderState:
        """One order as it stands, by its number in any case.

        Raises:
            DataError: there is no such order.
        """
        bench = self._bench
        order = _found(bench.documents.orders, number)
        return states_of([order], bench.picture.ledger, bench.catalogue)[0]

    def standing(self) -> tuple[StandingRow, ...]:
        """What every line lacks, how far orders and offers cover it, and since when; see :func:`standing_rows`."""
        documents = self._bench.documents
        return standing_rows(self._bench.picture, self.states(), documents.offers, documents.standing)

    def note_standing(self) -> None:
        """Note since when lines stand that were not seen standing before, and forget those that stand no more.

        It is only a note: where the documents cannot be written now, a later look makes it.
        """
        notes = self._bench.documents.standing
        wanted = standing_notes(self.standing(), notes, self._now())
        if wanted == notes:
            return

        def change(draft: Draft) -> None:
            draft.standing = standing_notes(self.standing(), draft.standing, self._now())

        with suppress(BenchError):
            self._bench.keep(change, patience_s=0.0)

    def new(
        self,
        purchases: Iterable[Purchase],
        *,
        shipping: str | None = None,
        note: str = "",
        since: Mapping[str, Order] | None = None,
    ) -> tuple[Order, ...]:
        """Make an order for each seller of what is to be bought. Nothing is sent: that is for the user to do.

        Args:
            purchases: of which offer how many pieces, and for which target.
            shipping: what the parcel costs, as people write it; None: as the seller's terms have it for the weight.
            note: anything else.
            since: the orders that were known when it was planned what to buy; None: nothing was planned.

        Raises:
            DataError: nothing is to be ordered, no such offer or target, more pieces than an offer has left, an amount
                that cannot be, shipping told for several sellers at once, or orders were changed since the plan.
            BenchError, WriteError: the documents cannot be written.
        """
        purchases = tuple(purchases)
        for target in {purchase.target for purchase in purchases if purchase.target}:
            find_target(self._bench.picture, target)
        noted = clean_name(note, "note") if note.strip() else ""
        made: list[Order] = []

        def change(draft: Draft) -> None:
            ledger, catalogue = self._bench.picture.ledger, self._bench.catalogue
            states = states_of(draft.orders.values(), ledger, catalogue)
            if since is not None and draft.orders != dict(since):
                raise DataError("Orders were made or changed since it was planned what to buy.", "Plan anew.")
            drafts = draft_orders(purchases, draft.offers, draft.sellers, states, catalogue)
            if shipping is not None and len(drafts) > 1:
                sellers = ", ".join(each.seller for each in drafts)
                raise DataError("Shipping can be told for one seller at a time.", f"These are: {sellers}.")
            # A number that tallies name already is not given out again, even if its order was lost.
            used = [*draft.orders, *(order for order, _ in arrivals(ledger))]
            last = max((int(each[1:]) for each in used), default=0)
            for ordinal, each in enumerate(drafts, last + 1):
                sent = each.shipping if shipping is None else amount_from(shipping, each.currency)
                order = each._replace(id=f"P{ordinal}", made=self._now(), shipping=sent, note=noted)
                draft.orders[order.id] = order
                made.append(order)

        self._bench.keep(change)
        self.note_standing()
        return tuple(made)

    def below_minimum(self, order: Order) -> str:
        """How far an order stays below the seller's least order, in words; empty where it does not, or none is known.

        Where the pieces are priced in several currencies it cannot be told.
        """
        seller = self._bench.documents.sellers.get(order.seller)
        worth = goods(order)
        if seller is None or worth is None or seller.currency != order.currency or worth >= seller.minimum:
            return ""
        return f"{order.seller} sends nothing below {seller.minimum} {order.currency}; these pieces come to {worth}."

    def sent(self, number: str, back: bool = False) -> OrderState:
        """Note that an order was sent to the seller, or that it was not. The lot ledger then has what it costs, once.

        Raises:
            DataError: no such order, it is so already, or there is no rate for its currency.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(order: Order) -> Order:
            if bool(order.placed) is not back:
                raise DataError(f"{order.id} {'was sent' if order.placed else 'was not sent'} already.")
            return order._replace(placed="" if back else self._now())

        return self._changed(number, change, costs=True)

    def call_off(self, number: str, back: bool = False) -> OrderState:
        """Wait for nothing more of an order, or wait again. If nothing of it came, its expenses are struck.

        Raises:
            DataError: no such order, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(order: Order) -> Order:
            if order.called_off is not back:
                raise DataError(f"{order.id} is {'called off' if order.called_off else 'not called off'} already.")
            return order._replace(called_off=not back)

        return self._changed(number, change, costs=True)

    def expenses(self, number: str) -> tuple[Expense, ...]:
        """What the lot ledger has of an order: noted when it was sent, struck ones too; empty if it never was.

        Raises:
            DataError: no such order.
        """
        documents = self._bench.documents
        return expenses_of(documents.expenses, _found(documents.orders, number).id)

    def arrive(
        self, number: str, line: int, quantity: int, came: Came | None = None, extra: bool = False
    ) -> tuple[Receipt, Outcome]:
        """Count pieces that came on a line of an order.

        Args:
            number: of the order.
            line: from 1.
            quantity: pieces.
            came: what they are, where they are not just as ordered. Another kind makes them wrong; a lower grade than
                the offer tells, or a flaw that it does not, makes them damaged.
            extra: they are more than is awaited.

        Returns:
            The receipt, and what the pieces are held against the order.

        Raises:
            DataError: no such order, line, part, shade or bin, or more than is awaited.
            WriteError: the disk refused; nothing is counted.
        """
        state = self.state(number)
        bench, came, found = self._bench, came or Came(), _line(state, line)
        _check_awaited(state, found, quantity, extra)
        kind = came.kind or found.line.kind
        if kind.part not in bench.catalogue.parts:
            raise DataError(f"No part has the code {kind.part!r}.", "Import it, or add it: `sortbench add part`.")
        if kind.shade not in bench.catalogue.shades:
            raise DataError(f"No shade is called {kind.shade!r}.", "Import it with `sortbench import shades`.")
        same = kind == found.line.kind
        grade = came.grade or (found.line.grade if same else None) or bench.held.grade
        flaws = came.flaws if came.flaws is not None else found.line.flaws if same else ()
        label = bench.bin_label(came.bin_label) or bench.held.bin
        label = label or bench.picture.router.route(kind.part, kind.shade, grade, flaws)
        cell = Cell(label, kind.part, kind.shade, "", grade, flaws)
        receipt = bench.count_cell(cell, quantity, way_of(state.order.id, line))
        return receipt, outcome_of(found.line, cell)

    def arrive_all(self, number: str) -> tuple[Receipt, ...]:
        """Count all that is still awaited of an order, as it was described. Broken off, it goes on where it stopped.

        Raises:
            DataError, WriteError: as :meth:`arrive`; what was counted up to then is.
        """
        state = self.state(number)
        if not state.awaited:
            raise DataError(
                f"Nothing is awaited of {state.order.id}: it is {state.words}.", "Choose an order that is under way."
            )
        lines = [line for line in state.lines if line.awaited]
        return tuple(self.arrive(state.order.id, line.number, line.awaited)[0] for line in lines)

    def tell(self, number: str, line: int, quantity: int, outcome: Outcome, note: str = "") -> OrderState:
        """Note pieces that are not counted: they did not come, or came wrong or damaged and are not kept.

        Raises:
            DataError: no such order or line, more than is awaited, or good pieces, which are counted.
            BenchError, WriteError: the documents cannot be written.
        """
        if outcome is Outcome.GOOD:
            raise DataError("Pieces that came good are counted.", "`sortbench orders arrive` does that.")
        noted = clean_name(note, "note") if note.strip() else ""

        def change(order: Order) -> Order:
            state = states_of([order], self._bench.picture.ledger, self._bench.catalogue)[0]
            _check_awaited(state, _line(state, line), quantity, extra=False)
            return order._replace(remarks=(*order.remarks, Remark(self._now(), line, quantity, outcome, noted)))

        return self._changed(number, change)

    def strike(self, number: str, remark: int, back: bool = False) -> OrderState:
        """Let what was told of pieces that are not counted no longer hold, or hold again. A tally is undone instead.

        Args:
            number: of the order.
            remark: which, from 1, struck ones counted too.
            back: let it hold again.

        Raises:
            DataError: no such order or remark, or it is so already.
            BenchError, WriteError: the documents cannot be written.
        """

        def change(order: Order) -> Order:
            if not 1 <= remark <= len(order.remarks):
                raise DataError(f"{order.id} has no remark {remark}.", f"`sortbench orders show {order.id}` has them.")
            remarks = list(order.remarks)
            found = remarks[remark - 1]
            if found.struck is not back:
                raise DataError(f"Remark {remark} is {'struck' if found.struck else 'not struck'} already.")
            remarks[remark - 1] = found._replace(struck=not back)
            return order._replace(remarks=tuple(remarks))

        return self._changed(number, change)

    def _changed(self, number: str, change: Callable[[Order], Order], costs: bool = False) -> OrderState:
        """Change an order, and where its costs hang on that, what the lot ledger has of it: both or neither."""

        def changed(draft: Draft) -> None:
            order = _found(draft.orders, number)
            draft.orders[order.id] = order = change(order)
            if costs:
                terms = terms_of(self._bench)
                state = states_of([order], self._bench.picture.ledger, self._bench.catalogue)[0]
                rates = Rates(terms.currency, terms.rates)
                settle_expenses(draft, order, is_to_pay(state), rates, self._now())

        self._bench.keep(changed)
        self.note_standing()
        return self.state(number)

    def _now(self) -> str:
        return stamp(self._clock())


def _check_awaited(state: OrderState, line: LineState, quantity: int, extra: bool) -> None:
    if not 1 <= quantity <= MAX_QUANTITY:
        raise DataError(f"{quantity} pieces cannot be.", f"Give 1 to {MAX_QUANTITY}.")
    if quantity > line.awaited and not extra:
        order = state.order
        mend = "If more came than is awaited, say so: --extra."
        if order.called_off:
            mend = f"It was called off; `sortbench orders strike {order.id} --back` waits for it again."
        raise DataError(f"{line.awaited:,} are awaited on line {line.number} of {order.id}, not {quantity:,}.", mend)


def _line(state: OrderState, number: int) -> LineState:
    if not 1 <= number <= len(state.lines):
        raise DataError(f"{state.order.id} has no line {number}.", f"It has {len(state.lines)}.")
    return state.lines[number - 1]


def _found(orders: Mapping[str, Order], number: str) -> Order:
    found = orders.get(number.strip().upper())
    if found is None:
        known = ", ".join(list(orders)[-12:])
        raise DataError(
            f"No order is called {number.strip()[:20]!r}.",
            f"There are: {known}." if known else "`sortbench orders new` makes one.",
        )
    return found
