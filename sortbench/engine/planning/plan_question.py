"""The plan's question out of the picture of the bench: lines, their pieces, offers and prices, in whole numbers.

A line is asked about where it lacks pieces, or has some below its standard or standing in; and where a higher-ranked
line that is asked about might take pieces of it. All other lines stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.engine.planning.plan_case import MANY, Choice, Demand, Group, PlanCase, Source, Way
from sortbench.engine.planning.plan_costs import Costs, Treating
from sortbench.engine.planning.plan_market import Market, Wares
from sortbench.engine.sharing.pieces import Piece
from sortbench.engine.sharing.shares import LineFill, Share
from sortbench.model.catalogue import Care, Kind
from sortbench.model.errors import DataError
from sortbench.model.money import MINOR_UNITS, minor_units
from sortbench.model.offer import FULL_TRUST, Offer
from sortbench.model.target import Target


class Spot(NamedTuple):
    """A line that is asked about: its target, its number from 1, and what it asks for."""

    target: str
    number: int
    kind: Kind
    need: int


class Stuff(NamedTuple):
    """What a source of the case is: pieces that a line has, or an offer.

    Attributes:
        piece: like pieces on the bench; None for an offer.
        holder: place of the line that has them; below 0 for an offer.
        offer: None for pieces on the bench.
        kind: of the pieces.
        kept: whether they are never thrown away: printed, or not to be had.
    """

    piece: Piece | None
    holder: int
    offer: Offer | None
    kind: Kind
    kept: bool = False


class Lock(NamedTuple):
    """What the user settled for a line by hand: its target, its number from 1, and what is to be done."""

    target: str
    number: int
    choice: Choice


class Question(NamedTuple):
    """A case, and what its places stand for.

    Attributes:
        case: for the solver.
        spots: what each demand is.
        stuff: what each source is.
        shops: names of the sellers.
        groups: codes of the targets that may be given up.
        currency: of all money.
        notes: what was left out or assumed, in words.
        locks: lines settled by hand, by target and number, and how.
    """

    case: PlanCase
    spots: tuple[Spot, ...]
    stuff: tuple[Stuff, ...]
    shops: tuple[str, ...]
    groups: tuple[str, ...]
    currency: str
    notes: tuple[str, ...]
    locks: Mapping[tuple[str, int], Choice]


def ask(
    picture: Picture,
    market: Market,
    *,
    locks: Iterable[Lock] = (),
    budget: Decimal | None = None,
    parcels: int | None = None,
    worth: bool = False,
) -> Question:
    """The question for the plan.

    Args:
        picture: the counts and how they are shared.
        market: sellers, offers and prices.
        locks: what is settled by hand.
        budget: most to be paid to sellers, in the bench's own currency; None: no limit.
        parcels: most parcels, from 0; None: no limit.
        worth: whether each target is finished only where its value is worth the cost; one that is not gives its pieces
            to the others.

    Raises:
        DataError: a lock names no line, or nothing on it can be done so; a budget that cannot be.
    """
    asker = _Asker(picture, market, {(lock.target, lock.number): lock.choice for lock in locks}, worth)
    limit = None if budget is None else minor_units(budget, market.terms.currency)
    return asker.question(limit, parcels)


class _Line(NamedTuple):
    target: Target
    number: int
    fill: LineFill
    accepts: Mapping[Kind, int]


class _Asker:
    def __init__(self, picture: Picture, market: Market, locks: Mapping[tuple[str, int], Choice], worth: bool) -> None:
        self._picture = picture
        self._market = market
        self._locks = locks
        self._costs = Costs(market.prices, market.terms.currency)
        self._treating = Treating(market.terms, market.treatments)
        self._notes: list[str] = []
        self._worth = worth
        fill = picture.fill
        self._lines = [
            _Line(each.target, number, line, fill.accepts(each.target, number))
            for each in fill.all()
            if not each.target.parked
            for number, line in enumerate(each.lines, 1)
        ]
        self._wares = Wares(picture.catalogue, market, {kind for line in self._lines for kind in line.accepts})
        self._groups = list(dict.fromkeys(line.target.code for line in self._lines)) if worth else []
        self._demands: list[Demand] = []
        self._sources: list[Source] = []
        self._stuff: list[Stuff] = []
        self._ways: list[Way] = []
        self._of_offer: dict[str, int] = {}
        self._held: dict[tuple[str, int], list[tuple[int, Share]]] = {}

    # What is asked about

    def question(self, budget: int | None, parcels: int | None) -> Question:
        """Put it together."""
        lines = self._asked()
        known = {(line.target.code, line.number) for line in lines}
        for code, number in self._locks:
            if (code, number) not in known:
                raise DataError(
                    f"{code} has no line {number} that the plan asks about.",
                    "Only lines with holes, or with pieces below their standard, can be locked.",
                )
        for place, line in enumerate(lines):
            group = self._groups.index(line.target.code) if self._worth else -1
            self._demands.append(Demand(line.fill.line.quantity, group))
            self._own(place, line)
        for place, line in enumerate(lines):
            self._settle(place, line)
        case = PlanCase(
            tuple(self._demands),
            tuple(self._sources),
            tuple(self._ways),
            tuple(self._wares.shop(name) for name in self._wares.shops),
            tuple(Group(self._value(code)) for code in self._groups),
            budget,
            parcels,
        )
        spots = tuple(
            Spot(line.target.code, line.number, line.fill.line.kind, line.fill.line.quantity) for line in lines
        )
        return Question(
            case,
            spots,
            tuple(self._stuff),
            tuple(self._wares.shops),
            tuple(self._groups),
            self._market.terms.currency,
            (*self._wares.notes, *self._notes, *self._treating.notes),
            self._locks,
        )

    def _asked(self) -> list[_Line]:
        """Lines that are asked about, in the order of the ranks and lists."""
        wanting = [line for line in self._lines if self._is_wanting(line)]
        rank: dict[Kind, int] = {}
        for line in wanting:
            for kind in line.accepts:
                rank[kind] = min(rank.get(kind, MANY), line.target.rank)
        chosen = {(line.target.code, line.number) for line in wanting}
        for line in self._lines:
            if any(
                share.piece.kind in rank and (self._worth or line.target.rank > rank[share.piece.kind])
                for share in line.fill.shares
            ):
                chosen.add((line.target.code, line.number))
        return [line for line in self._lines if (line.target.code, line.number) in chosen]

    def _is_wanting(self, line: _Line) -> bool:
        return line.fill.short > 0 or any(self._kept_cost(line, share) for share in line.fill.shares)

    def _kept_cost(self, line: _Line, share: Share) -> int:
        piece = share.piece
        return self._costs.as_it_is(line.target.code, line.fill.line, piece.grade, piece.flaws, share.cost)

    # Sources

    def _own(self, place: int, line: _Line) -> None:
        """The pieces that a line has."""
        held = self._held[line.target.code, line.number] = []
        locked = self._locks.get((line.target.code, line.number))
        for share in line.fill.shares:
            kept = not share.cost and self._is_irreplaceable(share.piece.kind)
            must = kept or locked in (Choice.KEEP, Choice.TREAT)
            held.append((len(self._sources), share))
            self._sources.append(Source(share.quantity, home=place if must else -1))
            self._stuff.append(Stuff(share.piece, place, None, share.piece.kind, kept))

    def _is_irreplaceable(self, kind: Kind) -> bool:
        part = self._picture.catalogue.parts.get(kind.part)
        return not self._wares.offers.get(kind) or (part is not None and Care.PRINT in part.care)

    def _offered(self, offer: Offer) -> int:
        """The source of an offer."""
        place = self._of_offer.get(offer.id)
        if place is None:
            place = self._of_offer[offer.id] = len(self._sources)
            shop = self._wares.shops[offer.seller]
            self._sources.append(Source(offer.stock, shop, self._wares.price(offer), self._wares.mg(offer.kind)))
            self._stuff.append(Stuff(None, -1, offer, offer.kind))
        return place

    # Ways

    def _settle(self, place: int, line: _Line) -> None:
        """All ways to settle a line."""
        locked = self._locks.get((line.target.code, line.number))
        treated = self._own_ways(place, line, locked)
        if locked is Choice.TREAT and not treated:
            raise DataError(
                f"Nothing on line {line.number} of {line.target.code} can be treated.",
                "It takes graded, washed pieces without flaws below the lowest grade, and rates of success.",
            )
        if locked in (None, Choice.KEEP, Choice.TREAT, Choice.MOVE):
            self._moves(place, line)
        for kind, points in line.accepts.items():
            choice = Choice.STAND_IN if points else Choice.BUY
            if locked in (None, Choice.KEEP, Choice.TREAT, choice):
                for offer in self._wares.offers.get(kind, ()):
                    self._buy(place, line, offer, choice, points)
        if not self._worth:
            self._ways.append(Way(place, -1, Choice.OPEN, self._costs.hole(line.target.code)))

    def _own_ways(self, place: int, line: _Line, locked: Choice | None) -> bool:
        """Keep or treat what a line has; whether anything can be treated."""
        treated = False
        for source, share in self._held[line.target.code, line.number]:
            keep = self._kept_cost(line, share)
            treat = None
            if locked in (None, Choice.TREAT) and (locked or not self._stuff[source].kept):
                treat = self._treated(line, share, keep)
            if treat is not None:
                treated = True
                self._ways.append(Way(place, source, Choice.TREAT, treat))
            if locked is not Choice.TREAT or treat is None:
                most = MANY
                if locked in (Choice.BUY, Choice.STAND_IN, Choice.MOVE) and keep and self._sources[source].home < 0:
                    most = max(0, line.fill.line.quantity - self._to_be_had(line, locked))
                if most:
                    self._ways.append(Way(place, source, Choice.KEEP, keep, most))
        return treated

    def _to_be_had(self, line: _Line, choice: Choice) -> int:
        """Pieces that a line could have in the way it is locked to."""
        if choice is Choice.MOVE:
            return sum(share.quantity for _, share in self._movable(line))
        return sum(
            offer.stock
            for kind, points in line.accepts.items()
            if bool(points) == (choice is Choice.STAND_IN)
            for offer in self._wares.offers.get(kind, ())
        )

    def _treated(self, line: _Line, share: Share, keep: int) -> int | None:
        piece = share.piece
        if piece.grade is None or piece.grade >= line.fill.line.lowest or piece.flaws or not piece.ready:
            return None
        treating = self._treating.of(piece.kind.shade)
        if treating is None:
            return None
        better = self._costs.as_it_is(
            line.target.code, line.fill.line, treating.after(piece.grade), piece.flaws, share.cost
        )
        prices = [self._wares.price(offer) for offer in self._wares.offers.get(piece.kind, ())]
        lost = min([self._costs.hole(line.target.code), *prices])
        return treating.expected(better, keep, lost)

    def _movable(self, line: _Line) -> list[tuple[int, Share]]:
        """Sources of pieces that lines of lower-ranked targets have and this one accepts."""
        found = []
        for other in self._lines:
            may = other.target.code != line.target.code and (self._worth or other.target.rank > line.target.rank)
            key = other.target.code, other.number
            if may and key in self._held and self._locks.get(key) not in (Choice.KEEP, Choice.TREAT):
                found += [
                    (source, share)
                    for source, share in self._held[key]
                    if share.piece.kind in line.accepts and not share.piece.only
                ]
        return found

    def _moves(self, place: int, line: _Line) -> None:
        for source, share in self._movable(line):
            piece = share.piece
            points = line.accepts[piece.kind]
            cost = self._costs.as_it_is(line.target.code, line.fill.line, piece.grade, piece.flaws, points)
            self._ways.append(Way(place, source, Choice.MOVE, cost))

    def _buy(self, place: int, line: _Line, offer: Offer, choice: Choice, points: int) -> None:
        seller = self._market.sellers[offer.seller]
        doubt = (FULL_TRUST - seller.trust) * minor_units(self._market.terms.doubt, self._market.terms.currency)
        blemish = self._costs.as_it_is(line.target.code, line.fill.line, offer.grade, offer.flaws, points)
        self._ways.append(Way(place, self._offered(offer), choice, self._wares.price(offer) + doubt + blemish))

    def _value(self, code: str) -> int:
        value = next(each.target.value for each in self._picture.fill.all() if each.target.code == code)
        if value is None:
            self._notes.append(f"{code} has no value, so it counts as worth nothing.")
        return int((value or 0) * 10 ** MINOR_UNITS[self._market.terms.currency])
