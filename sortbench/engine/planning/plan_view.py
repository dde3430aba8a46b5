"""The plan as a screen shows it: every line it asks about, what may be done there, and what all of it comes to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from sortbench.engine.plan import Plan
from sortbench.engine.planning.plan_board import ChoiceRow
from sortbench.engine.planning.plan_case import Choice
from sortbench.engine.planning.plan_lines import LineKey
from sortbench.engine.planning.plan_question import Question, Spot
from sortbench.engine.planning.plan_spares import spares_of_plan
from sortbench.model.catalogue import Catalogue, Kind


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
    """What a plan comes to, in minor units: goods, shipping, holes, treating and blemishes, less what finished targets
    are worth and what spares bring, add up to its cost.

    Attributes:
        pieces: to be bought.
        goods, shipping: paid to sellers.
        holes: price of what is left open.
        treating: what treatments are expected to cost.
        blemishes: price of pieces below standard or standing in, and of doubt in sellers.
        value: of the targets that are finished; reckoned only where targets may be given up.
        spares: what the pieces bring that become spare, likewise.
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
    value: int
    spares: int
    cost: int
    parcels: int
    gap: float
    proven: bool
    cancelled: bool


def lines_of(
    question: Question, plan: Plan, choices: Iterable[ChoiceRow], catalogue: Catalogue
) -> tuple[PlanLine, ...]:
    """A row for each choice on each line, in the order of the lines. Lines on which nothing changes are kept as they
    are; those of targets that are given up are left out."""
    sellers = {stuff.offer.id: stuff.offer.seller for stuff in question.stuff if stuff.offer is not None}
    given_up = set(question.groups) - {question.groups[place] for place in plan.settled}
    by_line: dict[LineKey, list[ChoiceRow]] = {}
    for row in choices:
        by_line.setdefault((row.target, row.number), []).append(row)
    found = []
    for spot in question.spots:
        if spot.target in given_up:
            continue
        shade = catalogue.shades.get(spot.kind.shade)
        name, rgb = catalogue.part_name(spot.kind.part), shade.rgb if shade else ""
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
                row.why,
            )
            for row in by_line.get(spot.key) or [_unchanged(question, spot)]
        ]
    return tuple(found)


def _unchanged(question: Question, spot: Spot) -> ChoiceRow:
    lock = question.locks.get(spot.key)
    why = f"locked to {lock.words} by hand" if lock else "nothing changes here"
    return ChoiceRow(*spot[:3], Choice.KEEP, spot.need, "", "", 0, 0, why)


def totals_of(question: Question, plan: Plan) -> PlanTotals:
    """What a plan, as it is told, comes to."""
    sums: Counter[Choice] = Counter()
    for place, quantity in plan.taken:
        sums[question.case.ways[place].choice] += question.cost_of(place) * quantity
    goods = sum(parcel.goods for parcel in plan.parcels)
    shipping = sum(parcel.shipping for parcel in plan.parcels)
    becoming = sum(row.all for row in spares_of_plan(question, plan) if row.target)
    return PlanTotals(
        sum(parcel.pieces for parcel in plan.parcels),
        goods,
        shipping,
        sums[Choice.OPEN],
        sums[Choice.TREAT],
        sums.total() - sums[Choice.OPEN] - sums[Choice.TREAT] - goods,
        sums.total() + shipping - becoming - plan.cost,
        becoming,
        plan.cost,
        len(plan.parcels),
        plan.gap,
        plan.proven,
        plan.cancelled,
    )
