"""The plan as a screen shows it: every line it asks about, what may be done there, and what all of it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sortbench.engine.plan import Plan
from sortbench.engine.planning.plan_board import ChoiceRow
from sortbench.engine.planning.plan_case import Choice
from sortbench.engine.planning.plan_question import Question
from sortbench.model.catalogue import Catalogue, Kind

LineKey = tuple[str, int]
"""A line by the code of its target and its number from 1."""


class PlanLine(NamedTuple):
    """Like pieces of a line that are settled one way.

    Attributes:
        target, number: which line.
        kind, name, rgb: what it asks for; the part's name, and the shade's value, empty where it is not known.
        choice: what is done.
        quantity: pieces.
        what: which pieces, in words.
        seller: who sells them, empty where nothing is bought.
        each: what a piece costs in all, minor units; a blemish and doubt reckoned in.
        price: what of that is paid to the seller, None where nothing is bought.
        why: the next best, or why there is a hole, in words.
    """

    target: str
    number: int
    kind: Kind
    name: str
    rgb: str
    choice: Choice
    quantity: int
    what: str
    seller: str
    each: int
    price: int | None
    why: str

    @property
    def key(self) -> LineKey:
        """Which line of which target."""
        return self.target, self.number


class PlanTotals(NamedTuple):
    """What a plan comes to, in minor units: goods, shipping, holes, treating and blemishes add up to its cost.

    Attributes:
        pieces: to be bought.
        goods, shipping: paid to sellers.
        holes: price of what is left open.
        treating: what treatments are expected to cost.
        blemishes: price of pieces below standard or standing in, and of doubt in sellers.
        cost: all of it.
        parcels: how many.
        gap: how much of the cost might be saved at most, 0 to 1.
        proven: whether no plan costs less.
        cancelled: whether the search was ended by hand.
    """

    pieces: int
    goods: int
    shipping: int
    holes: int
    treating: int
    blemishes: int
    cost: int
    parcels: int
    gap: float
    proven: bool
    cancelled: bool


def lines_of(
    question: Question, choices: Iterable[ChoiceRow], catalogue: Catalogue, locks: Mapping[LineKey, Choice]
) -> tuple[PlanLine, ...]:
    """A row for each choice on each line, in the order of the lines; lines on which nothing changes are kept as they
    are. Of a line that is locked no reason is told but the lock: it was asked about nothing else."""
    sellers = {stuff.offer.id: stuff.offer.seller for stuff in question.stuff if stuff.offer is not None}
    by_line: dict[LineKey, list[ChoiceRow]] = {}
    for row in choices:
        by_line.setdefault((row.target, row.number), []).append(row)
    found = []
    for spot in question.spots:
        shade = catalogue.shades.get(spot.kind.shade)
        name, rgb = catalogue.part_name(spot.kind.part), shade.rgb if shade else ""
        rows = by_line.get((spot.target, spot.number)) or [
            ChoiceRow(*spot[:3], Choice.KEEP, spot.need, "", "", 0, 0, "nothing changes here")
        ]
        found += [
            PlanLine(
                *row[:3],
                name,
                rgb,
                row.choice,
                row.quantity,
                row.what,
                sellers.get(row.offer, ""),
                row.each,
                row.price if row.offer else None,
                f"locked to {lock} by hand" if (lock := locks.get((row.target, row.number))) else row.why,
            )
            for row in rows
        ]
    return tuple(found)


def totals_of(question: Question, plan: Plan) -> PlanTotals:
    """What a plan for targets that are all to be finished comes to."""
    holes = treating = others = 0
    for place, quantity in plan.taken:
        way = question.case.ways[place]
        cost = way.cost * quantity
        if way.choice is Choice.OPEN:
            holes += cost
        elif way.choice is Choice.TREAT:
            treating += cost
        else:
            others += cost
    goods = sum(parcel.goods for parcel in plan.parcels)
    return PlanTotals(
        sum(parcel.pieces for parcel in plan.parcels),
        goods,
        sum(parcel.shipping for parcel in plan.parcels),
        holes,
        treating,
        others - goods,
        plan.cost,
        len(plan.parcels),
        plan.gap,
        plan.proven,
        plan.cancelled,
    )


def alternatives_of(question: Question) -> Mapping[LineKey, tuple[Choice, ...]]:
    """What each line may be locked to, given a question in which nothing is locked."""
    found: dict[LineKey, set[Choice]] = {(spot.target, spot.number): set() for spot in question.spots}
    for way in question.case.ways:
        spot = question.spots[way.demand]
        found[spot.target, spot.number].add(way.choice)
    return {key: tuple(choice for choice in Choice if choice in some) for key, some in found.items()}
