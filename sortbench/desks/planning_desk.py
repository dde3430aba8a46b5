"""The plan of a sitting: what is settled by hand, the search aside, and what there is to show of it at any moment."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from threading import Thread
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.plan_by_hand import ByHand
from sortbench.desks.plan_desk import OfferWay as OfferWay
from sortbench.desks.plan_desk import Planned, stand_of
from sortbench.desks.plan_search import ASIDE as ASIDE
from sortbench.desks.plan_search import Asked, PlanSearch, Told
from sortbench.desks.plan_settings import Limits, Settled, terms_of
from sortbench.engine.plan import SECONDS as SECONDS
from sortbench.engine.plan import Plan, solve
from sortbench.engine.planning.plan_lines import LineKey
from sortbench.engine.planning.plan_locks import Settling
from sortbench.engine.planning.plan_spares import SpareRow as SpareRow
from sortbench.engine.planning.plan_view import PlanLine as PlanLine
from sortbench.engine.planning.plan_view import PlanTotals as PlanTotals
from sortbench.engine.planning.plan_view import lines_of
from sortbench.model.errors import DataError
from sortbench.model.money import amount_from
from sortbench.model.order import Order
from sortbench.model.plan_lock import Choice as Choice
from sortbench.model.plan_lock import Lock as Lock

LONGER_S = 120.0
"""How long is looked where somebody asks for more."""
_PATIENCE_S = 5.0
_NONE = "-"
_NOTHING_KNOWN = Settling({}, {})


class PlanView(NamedTuple):
    """What there is to show.

    Attributes:
        lines: of the newest plan; empty before the first.
        totals: of that plan, None before the first.
        locks: what is locked, also where the plan with it is still being looked for.
        settling: what each line may be locked to, and the offers it may buy from.
        currency: of all money.
        limits: what plans must keep to.
        working: whether a search goes on.
        told: how it goes, None where nothing was heard yet.
        failure: why there is no plan, in words.
        notes: what was left out, and which limits stand in the way.
        stale: whether the bench changed since.
        offers: how many offers are known.
        worth: whether it is asked which targets are worth finishing.
        finished: the answer, by code of the target.
        spares: what becomes spare, and what is so already.
    """

    lines: tuple[PlanLine, ...]
    totals: PlanTotals | None
    locks: Mapping[LineKey, Lock]
    settling: Settling
    currency: str
    limits: Limits
    working: bool
    told: Told | None
    failure: str
    notes: tuple[str, ...]
    stale: bool
    offers: int
    worth: bool
    finished: Mapping[str, bool]
    spares: tuple[SpareRow, ...]


class _Moment(NamedTuple):
    """The bench at one moment, as far as a plan hangs on it."""

    picture: object
    records: int
    treatments: Mapping[str, object]
    orders: Mapping[str, object]
    terms: object

    def is_same(self, other: _Moment) -> bool:
        """Whether nothing changed from one to the other; documents written for another reason are no change."""
        if self.picture is not other.picture or self.records != other.records or self.terms != other.terms:
            return False
        pairs = (self.treatments, other.treatments), (self.orders, other.orders)
        return all(mine is theirs or dict(mine) == dict(theirs) for mine, theirs in pairs)


class PlanningDesk:
    """The plan of a sitting.

    Locks and limits are kept with the bench, aside, when the next search begins. What the question is put together from
    is taken at once; the rest is aside, and touches nothing of the bench.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self.solver: Callable[..., Plan] = solve
        """What looks for the plan: :func:`sortbench.engine.plan.solve`, or what stands in for it in a test."""
        self._by_hand = ByHand(bench)
        self._struck = False  # whether something is settled otherwise than in the last search
        self._worth = False
        self._search: PlanSearch | None = None
        self._taken: Planned | None = None
        self._lines: tuple[PlanLine, ...] = ()
        self._currency = ""
        self._asked_at: _Moment | None = None
        self._settling = _NOTHING_KNOWN
        self._ending: list[Thread] = []

    # What is settled by hand

    def lock(self, key: LineKey, choice: Choice, offer: str = "") -> None:
        """Settle a line by hand; :meth:`begin` then plans the others around it.

        Raises:
            DataError: there is no such line any more.
        """
        target = self._bench.picture.fill[key[0]].target if key[0] in self._bench.picture.fill else None
        if target is None or key[1] > len(target.lines):
            raise DataError(f"{key[0]} has no line {key[1]} any more.", in_app="{plan.again} plans anew.")
        kind = target.lines[key[1] - 1].kind
        self._by_hand.lock(Lock(*key, choice, offer, kind))
        self._struck = True

    def unlock_one(self, key: LineKey) -> bool:
        """Let go of a line's lock; whether it had one."""
        had = self._by_hand.unlock(key)
        self._struck = self._struck or had
        return had

    def unlock(self) -> int:
        """Let go of all locks; how many there were."""
        return sum(map(self.unlock_one, tuple(self._by_hand.locks)))

    def other(self, key: LineKey, now: Choice | None, by: int) -> Lock:
        """Lock a line to the choice after (1) or before (-1) the one it has; the last is followed by the first.

        Raises:
            DataError: there is no other.
        """
        choices = self._settling.choices.get(key, ())
        locked = self._by_hand.locks.get(key)
        now = locked.choice if locked else now
        if not set(choices) - {now}:
            raise DataError(
                f"Nothing else can be done on line {key[1]} of {key[0]}.",
                "More offers, or a rule for a stand-in, would open other ways.",
            )
        place = choices.index(now) if now in choices else -1 if by > 0 else 0
        self.lock(key, choices[(place + by) % len(choices)])
        return self._by_hand.locks[key]

    def other_offer(self, key: LineKey, seller: str, by: int) -> tuple[Lock, OfferWay]:
        """Lock a line to one offer: the next dearer (1) or cheaper (-1) one, the dearest followed by the cheapest.

        Args:
            key: the line.
            seller: from whom it buys now, empty where from nobody; that is where it begins.

        Raises:
            DataError: nobody offers anything for it.
        """
        ways = self._settling.offers.get(key, ())
        if not ways:
            raise DataError(
                f"Nobody offers anything for line {key[1]} of {key[0]}.",
                "`sortbench import offers FILE` brings offers in.",
                "{plan.offers} brings offers in.",
            )
        locked = self._by_hand.locks.get(key)
        if locked is not None and locked.offer:
            place = next((place for place, way in enumerate(ways) if way.offer == locked.offer), -1) + by
        else:
            place = next((place for place, way in enumerate(ways) if way.seller == seller), 0)
        way = ways[place % len(ways)]
        self.lock(key, way.choice, way.offer)
        return self._by_hand.locks[key], way

    def limit(self, words: str) -> None:
        """Set the most to be paid and the most parcels: ``40``, ``40 3``, ``- 3``, ``-``.

        Raises:
            DataError: these are no limits.
        """
        budget, *rest = words.split() or [_NONE]
        hint = "As in: 40 or 40 3 (at most 3 parcels), - 3, or - for no limit."
        if len(rest) > 1 or (rest and rest[0] != _NONE and not (rest[0].isascii() and rest[0].isdecimal())):
            raise DataError(f"{words!r} is not a sum and a number of parcels.", hint)
        amount = None if budget == _NONE else amount_from(budget, terms_of(self._bench).currency)
        self._by_hand.limit(Limits(amount, int(rest[0]) if rest and rest[0] != _NONE else None))
        self._struck = True

    def turn_worth(self) -> bool:
        """Ask which targets are worth finishing, or no longer; whether it is asked now."""
        self._worth = not self._worth
        self._struck = True
        return self._worth

    # The search

    def begin(self, heard: Callable[[], None], seconds: float = SECONDS) -> None:
        """Keep what was settled, and look for the plan, aside. A search that goes on is dropped.

        Args:
            heard: called, from another thread, when there is something new to show.
            seconds: for how long is looked at most.

        Raises:
            BenchError: locks or orders that cannot be read.
            DataError: what was set for plans cannot be read.
        """
        before = self._search
        if before is not None:
            self.cancel()
            self._ending = [each for each in (*self._ending, before.thread) if each.is_alive()]
            self._search = None
        self._by_hand.keep(heard)
        settled = Settled(tuple(self._by_hand.locks.values()), self._by_hand.limits)
        self._currency = terms_of(self._bench).currency
        last = before.asked if before is not None else None
        if before is not None and last is not None and self.is_current and last.worth == self._worth:
            same = last.settled.limits == self._by_hand.limits
            asked = last._replace(settled=settled, before=(before.put or last.before) if same else None)
        else:
            asked = Asked(stand_of(self._bench, self._worth), settled, self._worth, None)
        self._asked_at, self._struck = self._moment, False
        ending = self._ending[-1] if self._ending else None
        self._search = PlanSearch(asked, self.solver, seconds, heard, ending)
        self._search.thread.start()

    def cancel(self) -> None:
        """End the search; the best so far is the plan."""
        if self._search is not None:
            self._search.stop.set()

    def wait(self, seconds: float | None = None) -> None:
        """Wait until no search goes on, those dropped among them, and all is written; each so many seconds at most."""
        for thread in (*self._ending, *([self._search.thread] if self._search else [])):
            thread.join(seconds)
        self._by_hand.heed(_PATIENCE_S if seconds is None else seconds)

    def close(self) -> None:
        """The sitting ends: what was struck is written, and the search ends, for the solver must not be cut off."""
        self.cancel()
        self._by_hand.close(_PATIENCE_S)
        self.wait(_PATIENCE_S)

    @property
    def is_working(self) -> bool:
        """Whether a search goes on."""
        return self._search is not None and not self._search.done

    @property
    def is_current(self) -> bool:
        """Whether a plan was looked for since the bench changed."""
        return self._asked_at is not None and self._asked_at.is_same(self._moment)

    @property
    def _moment(self) -> _Moment:
        picture, documents = self._bench.picture, self._bench.documents
        terms = documents.settings.get("plan")
        return _Moment(picture, len(picture.ledger.records), documents.treatments, documents.orders, terms)

    # What comes of it

    def _look(self) -> None:
        """Take in what the search has come to."""
        search = self._search
        if search is None:
            return
        if search.fault is not None:
            fault, search.fault = search.fault, None
            raise fault
        if search.put is not None:
            self._settling = search.put.settling
        made = search.made
        if made is not None and made is not self._taken:
            self._taken = made
            self._lines = lines_of(made.question, made.plan, made.choices, self._bench.catalogue)

    def view(self) -> PlanView:
        """What there is to show now."""
        self._by_hand.heed()
        # Asked first: what is there once the thread has ended is all there will be.
        working, search = self.is_working, self._search
        self._look()
        failure = search.failure if search is not None else None
        shown = self._taken
        notes = self._by_hand.notes
        if shown is not None:
            waiting = (words for key, words in shown.waiting.items() if key in self._by_hand.locks)
            notes = (*notes, *waiting, *shown.binding, *shown.question.notes)
        return PlanView(
            self._lines,
            shown.totals if shown else None,
            dict(self._by_hand.locks),
            self._settling,
            self._currency,
            self._by_hand.limits,
            working,
            search.told if search is not None and working else None,
            str(failure) if failure else "",
            notes,
            not self.is_current,
            len(self._bench.documents.offers),
            self._worth,
            shown.finished if shown else {},
            shown.spares if shown else (),
        )

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """What the plan that is shown buys.

        Raises:
            DataError: it is no plan to order by: none is known, a better one is looked for, the bench changed since, or
                it buys nothing.
        """
        self._look()
        search, shown = self._search, self._taken
        if self.is_working:
            raise DataError("A better plan is being looked for.", in_app="{plan.back} takes the best so far.")
        if shown is None or search is None or search.made is not shown:
            raise DataError("There is no plan.", in_app="{plan.again} looks for one.")
        if not self.is_current or self._struck:
            raise DataError("The bench changed since this was worked out.", in_app="{plan.again} plans anew.")
        found = tuple(Purchase(row.offer, row.quantity, row.target) for row in shown.choices if row.offer)
        if not found:
            raise DataError(
                "This plan buys nothing.", "There is nothing to order; other offers or limits may change that."
            )
        return found

    def order(self) -> tuple[Order, ...]:
        """Make an order for each seller of the plan that is shown.

        Raises:
            DataError: as :attr:`purchases`, or orders were made meanwhile.
            BenchError, WriteError: the documents cannot be written.
        """
        orders = self._bench.documents.orders
        return OrdersDesk(self._bench).new(self.purchases, since=orders)
