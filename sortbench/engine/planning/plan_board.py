"""The plan as people read it: what is done on each line and why, what each seller sends, and what stands in the way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from typing import NamedTuple

from sortbench.engine.plan import Plan, solve
from sortbench.engine.planning.plan_case import Choice, PlanCase, Way, step_price
from sortbench.engine.planning.plan_question import Question
from sortbench.model.catalogue import Kind
from sortbench.model.money import money_words
from sortbench.model.plan_lock import TAKING, Lock

_RELAXED_S = 5.0


class ChoiceRow(NamedTuple):
    """Like pieces of one line that are settled one way.

    Attributes:
        target, number: which line; numbers count from 1.
        kind: what the line asks for.
        choice: what is done.
        quantity: pieces.
        what: which pieces, or whose offer, in words.
        offer: id of the offer, empty where nothing is bought.
        each: what a piece costs in all, minor units.
        price: what of that is paid to the seller.
        why: the next best, or why there is a hole, in words.
    """

    target: str
    number: int
    kind: Kind
    choice: Choice
    quantity: int
    what: str
    offer: str
    each: int
    price: int
    why: str


class ParcelRow(NamedTuple):
    """What one seller sends: amounts in minor units, weight in grams."""

    seller: str
    pieces: int
    goods: int
    shipping: int
    grams: float


def choices_of(question: Question, plan: Plan) -> tuple[ChoiceRow, ...]:
    """What is done, line by line; pieces that are kept and cost nothing so are left out."""
    reasons = _Reasons(question, plan)
    rows = []
    for place, quantity in plan.taken:
        way = question.case.ways[place]
        cost = question.cost_of(place)
        if way.choice is Choice.KEEP and not cost:
            continue
        spot = question.spots[way.demand]
        source = question.case.sources[way.source] if way.source >= 0 else None
        stuff = question.stuff[way.source] if way.source >= 0 else None
        offer = stuff.offer.id if stuff and stuff.offer else ""
        price = source.price if source else 0
        why = _why(reasons, place, way.choice, question.locks.get(spot.key))
        what = _what(question, way)
        rows.append(ChoiceRow(*spot[:3], way.choice, quantity, what, offer, cost, price, why))
    order = {spot[:2]: place for place, spot in enumerate(question.spots)}
    return tuple(sorted(rows, key=lambda row: order[row.target, row.number]))


def _why(reasons: _Reasons, place: int, choice: Choice, lock: Lock | None) -> str:
    """The reason for a way, where a lock is none: of pieces settled as it says nothing else was asked."""
    if choice is Choice.AWAIT:
        return "waits for an order"
    if lock is not None and lock.choice in (choice, Choice.OPEN):
        return f"locked to {lock.words} by hand"
    why = reasons.why(place)
    if lock is not None and lock.choice in TAKING:
        return f"locked to {lock.words} by hand, as far as that can be done: {why}"
    return why


def parcels_of(question: Question, plan: Plan) -> tuple[ParcelRow, ...]:
    """What each seller sends."""
    return tuple(
        ParcelRow(question.shops[each.shop], each.pieces, each.goods, each.shipping, each.mg / 1000)
        for each in plan.parcels
    )


def _what(question: Question, way: Way) -> str:
    """Which pieces, in words."""
    if way.source < 0:
        return ""
    stuff = question.stuff[way.source]
    described = stuff.offer or stuff.piece or stuff.awaited
    assert described is not None
    grade, flaws = described.grade, described.flaws
    words = ", ".join([f"grade {grade.label}" if grade else "not graded", *(flaw.value for flaw in flaws)])
    if stuff.kind != question.spots[way.demand].kind:
        words = f"{stuff.kind}, {words}"
    if stuff.offer is not None:
        return f"{words}, from {stuff.offer.seller}"
    if stuff.holder is not None and stuff.holder != question.spots[way.demand].key:
        return f"{words}, from {stuff.holder[0]} line {stuff.holder[1]}"
    return words


class _Reasons:
    """Why a way was taken: the next best one, with all else left as it is."""

    def __init__(self, question: Question, plan: Plan) -> None:
        self._question = question
        case = self._case = question.case
        self._open = {parcel.shop for parcel in plan.parcels}
        self._left = Counter({place: source.limit for place, source in enumerate(case.sources)})
        for place, quantity in plan.taken:
            self._left[case.ways[place].source] -= quantity
        self._of_demand: dict[int, list[int]] = {}
        for place, way in enumerate(case.ways):
            self._of_demand.setdefault(way.demand, []).append(place)
        self._budget_left = None if case.budget is None else case.budget - plan.outlay
        self._parcels_left = None if case.parcels is None else case.parcels - len(plan.parcels)

    def why(self, place: int) -> str:
        """In words; empty where nothing else could be done."""
        way = self._case.ways[place]
        if way.choice is Choice.OPEN:
            return self._why_open(way)
        found = [(self._extra(way, other), place) for place, other in self._others(way)]
        if not found:
            kept = way.source >= 0 and self._question.stuff[way.source].kept
            return "never thrown away: printed, or nobody offers it" if kept else "nothing else can be done"
        extra, best = min(found)
        other = self._case.ways[best]
        words = f"{other.choice}{_named(_what(self._question, other))}"
        currency = self._question.currency
        if extra > 0:
            return f"else {words}: {money_words(extra, currency)} more"
        if not extra:
            return f"{words} costs as much"
        # One piece alone looks cheaper elsewhere where a limit, or a rule about a whole parcel, stands against it.
        return f"else {words}, but a limit or a least order stands against it"

    def _others(self, way: Way) -> Iterable[tuple[int, Way]]:
        kept = way.source >= 0 and self._case.sources[way.source].home >= 0
        for place in self._of_demand[way.demand]:
            other = self._case.ways[place]
            if other == way or place in self._question.penalties or (kept and other.source != way.source):
                continue
            if other.source < 0 or other.source == way.source or self._left[other.source] > 0:
                yield place, other

    def _extra(self, way: Way, other: Way) -> int:
        """What one piece settled otherwise costs more, with the shipping of a parcel of its own where it needs one."""
        shop = self._shop_of(other)
        return other.cost - way.cost + (self._parcel(shop, other) if shop >= 0 and shop not in self._open else 0)

    def _shop_of(self, way: Way) -> int:
        return self._case.sources[way.source].shop if way.source >= 0 else -1

    def _parcel(self, shop: int, way: Way) -> int:
        return self._case.shops[shop].shipping + (
            step_price(self._case.shops[shop].steps, self._case.sources[way.source].mg) or 0
        )

    def _why_open(self, hole: Way) -> str:
        """Why nothing fills a hole."""
        currency = self._question.currency
        bought = [way for place in self._of_demand[hole.demand] if self._shop_of(way := self._case.ways[place]) >= 0]
        if not bought:
            return "nobody offers it"
        left = [way for way in bought if self._left[way.source] > 0]
        if not left:
            return "all that is offered is bought"
        cheapest = min(left, key=lambda way: way.cost)
        if cheapest.cost >= hole.cost:
            dear = money_words(cheapest.cost, currency)
            return f"the cheapest would cost {dear}, a hole {money_words(hole.cost, currency)}"
        gain = {id(way): hole.cost - way.cost for way in left}
        here = [way for way in left if self._shop_of(way) in self._open and gain[id(way)] > 0]
        if here:
            price = self._case.sources[here[0].source].price
            if self._budget_left is not None and price > self._budget_left:
                return "the budget is spent"
            return f"one more in the parcel of {self._seller(here[0])} would not pay, or be too heavy for it"
        new = min(left, key=lambda way: way.cost + self._parcel(self._shop_of(way), way))
        shop = self._case.shops[self._shop_of(new)]
        if self._parcels_left == 0:
            return "no more parcels are allowed"
        total = self._case.sources[new.source].price + self._parcel(self._shop_of(new), new)
        if self._budget_left is not None and total > self._budget_left:
            return f"the budget does not reach to a parcel from {self._seller(new)}"
        if shop.minimum:
            return (
                f"an order at {self._seller(new)} must come to {money_words(shop.minimum, currency)} "
                f"and costs {money_words(shop.shipping, currency)} to send"
            )
        return f"a parcel from {self._seller(new)} costs {money_words(self._parcel(self._shop_of(new), new), currency)}"

    def _seller(self, way: Way) -> str:
        return self._question.shops[self._shop_of(way)]


def _named(what: str) -> str:
    return f" ({what})" if what else ""


def binding(question: Question, plan: Plan, cancel: Callable[[], bool] | None = None) -> tuple[str, ...]:
    """Which limits the plan runs into: each is lifted by itself, and told if the plan would cost less without it.

    Plans without a limit are looked for only for some seconds; what is told is then a saving that is possible at least.

    Args:
        question: what was asked.
        plan: the answer.
        cancel: asked now and then; once it says yes, what was found so far is told.
    """
    case, currency = question.case, question.currency
    lifted: list[tuple[str, PlanCase]] = []
    if case.budget is not None:
        lifted.append((f"The budget of {money_words(case.budget, currency)}", case._replace(budget=None)))
    if case.parcels is not None:
        number = "no parcel" if case.parcels == 0 else f"{case.parcels} parcel{'s' if case.parcels > 1 else ''} at most"
        lifted.append((f"The limit of {number}", case._replace(parcels=None)))
    if any(shop.minimum for shop in case.shops):
        free = tuple(shop._replace(minimum=0) for shop in case.shops)
        lifted.append(("What orders must come to at least", case._replace(shops=free)))
    found = []
    for words, other in lifted:
        better = solve(other, seconds=_RELAXED_S, cancel=cancel)
        if better.cost >= plan.cost:
            continue
        saved = question.told(plan).cost - question.told(better).cost
        paid = money_words(better.outlay, currency)
        if saved > 0:
            least = "" if better.proven else "at least "
            less = f"{least}{money_words(saved, currency)} less"
            found.append(f"{words} binds: without it the plan would cost {less}, with {paid} paid to sellers.")
        else:
            found.append(f"{words} binds: without it more of what is locked can be done, with {paid} paid to sellers.")
    return tuple(found)
