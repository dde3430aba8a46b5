"""Locks held against the bench: which have lost their line, which cannot be done now, and what a line may be locked to.

What has lost its line, or the one offer it names, is dropped. What only cannot be done now waits, and its line is
planned freely: the next tally, order or list of offers may change that.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.planning.plan_lines import LineKey
from sortbench.engine.planning.plan_question import Question
from sortbench.model.plan_lock import LOCKABLE, Choice, Lock
from sortbench.model.target import Target


class OfferWay(NamedTuple):
    """One offer that a line may buy from.

    Attributes:
        offer: its id.
        seller: who sells it.
        choice: buy, or a stand-in.
        price: paid for each piece, minor units.
        cost: with a blemish, doubt and correctness, minor units.
        stock: pieces.
    """

    offer: str
    seller: str
    choice: Choice
    price: int
    cost: int
    stock: int


class Settling(NamedTuple):
    """What may be done about each line, given a question in which nothing is locked.

    Attributes:
        choices: by line.
        offers: by line, the cheapest first.
    """

    choices: Mapping[LineKey, tuple[Choice, ...]]
    offers: Mapping[LineKey, tuple[OfferWay, ...]]

    def allows(self, lock: Lock) -> bool:
        """Whether a line can be settled as it is locked."""
        if lock.offer:
            return any(each.offer == lock.offer for each in self.offers.get(lock.line, ()))
        return lock.choice in self.choices.get(lock.line, ())


def settling_of(question: Question) -> Settling:
    """What may be done about each line of a question in which nothing is locked."""
    choices: dict[LineKey, set[Choice]] = {spot.key: {Choice.OPEN} for spot in question.spots}
    offers: dict[LineKey, list[OfferWay]] = {}
    for key in question.treatable:
        choices[key].add(Choice.TREAT)
    for place, way in enumerate(question.case.ways):
        key = question.spots[way.demand].key
        if way.choice in LOCKABLE:
            choices[key].add(way.choice)
        offer = question.stuff[way.source].offer if way.source >= 0 else None
        if offer is not None:
            price = question.case.sources[way.source].price
            cost = question.cost_of(place)
            offers.setdefault(key, []).append(OfferWay(offer.id, offer.seller, way.choice, price, cost, offer.stock))
    return Settling(
        {key: tuple(choice for choice in Choice if choice in some) for key, some in choices.items()},
        {key: tuple(sorted(some, key=lambda each: (each.cost, each.offer))) for key, some in offers.items()},
    )


def gone_words(lock: Lock, targets: Mapping[str, Target], offers: Collection[str]) -> str:
    """Why a lock is dropped, as a sentence; empty where it is not.

    Args:
        targets: by code.
        offers: ids of all offers.
    """
    target = targets.get(lock.target)
    where = f"{lock.target} line {lock.number}"
    if target is None:
        return f"The lock on {where} is dropped: there is no such target any more."
    line = target.lines[lock.number - 1] if lock.number <= len(target.lines) else None
    if line is None or (lock.kind is not None and line.kind != lock.kind):
        return f"The lock on {where} is dropped: the list has another line there now."
    if lock.offer and lock.offer not in offers:
        return f"The lock on {where} is dropped: there is no offer {lock.offer} any more."
    return ""


def waiting_words(locks: Iterable[Lock], settling: Settling) -> dict[LineKey, str]:
    """Locks that cannot be done now, each with a sentence that says so."""
    return {
        lock.line: f"{lock.target} line {lock.number} is locked to {lock.words}, which cannot be done now; it waits."
        for lock in locks
        if not settling.allows(lock)
    }
