"""The plan's question out of what was seen of the bench: lines, their pieces, offers and prices, in whole numbers.

A line is asked about where it lacks pieces, or has some below its standard or standing in; and where a line that is
asked about might take pieces of it. All other lines stay as they are. Pieces on order cost nothing any more; they go
where they are of most use, in the target they were ordered for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from decimal import Decimal

from sortbench.engine.picture import Picture
from sortbench.engine.planning.plan_case import MANY, Choice, Demand, Group, PlanCase, Source, Way
from sortbench.engine.planning.plan_costs import Costs, Treating
from sortbench.engine.planning.plan_lines import Awaited, LineKey, Seen, SeenLine, seen_of
from sortbench.engine.planning.plan_market import Market, Wares
from sortbench.engine.planning.plan_question import Idle, Question, Spot, Stuff
from sortbench.engine.planning.plan_spares import Spares
from sortbench.engine.sharing.shares import Share
from sortbench.model.catalogue import Care, Kind
from sortbench.model.errors import DataError
from sortbench.model.money import MINOR_UNITS, minor_units
from sortbench.model.offer import FULL_TRUST, Offer
from sortbench.model.plan_lock import TAKING, Lock


def ask(
    seen: Seen | Picture,
    market: Market,
    *,
    locks: Iterable[Lock] = (),
    budget: Decimal | None = None,
    parcels: int | None = None,
    worth: bool = False,
) -> Question:
    """The question for the plan.

    Args:
        seen: the lines and their pieces; of a picture, as it is now and with nothing on order.
        market: sellers, offers and prices.
        locks: what is settled by hand.
        budget: most to be paid to sellers, in the bench's own currency; None: no limit.
        parcels: most parcels, from 0; None: no limit.
        worth: whether each target is finished only where its value is worth the cost; one that is not gives its pieces
            to the others, and what nobody needs brings what spares bring.

    Raises:
        DataError: a lock names no line, or nothing on it can be treated; a budget that cannot be.
    """
    if isinstance(seen, Picture):
        seen = seen_of(seen, spares=worth)
    limit = None if budget is None else minor_units(budget, market.terms.currency)
    return _Asker(seen, market, {lock.line: lock for lock in locks}, worth).question(limit, parcels)


class _Asker:
    def __init__(self, seen: Seen, market: Market, locks: Mapping[LineKey, Lock], worth: bool) -> None:
        self._seen = seen
        self._market = market
        self._locks = locks
        self._costs = Costs(market.prices, market.terms.currency)
        self._treating = Treating(market.terms, market.treatments)
        self._notes: list[str] = []
        self._worth = worth
        self._wares = Wares(seen.catalogue, market, {kind for line in seen.lines for kind in line.accepts})
        self._lines = seen.lines
        self._spares = Spares(market) if worth else None
        self._to_be_bought = self._wares.offered | {each.kind for each in seen.awaited}
        self._groups = list(dict.fromkeys(line.target.code for line in self._lines)) if worth else []
        self._demands: list[Demand] = []
        self._sources: list[Source] = []
        self._stuff: list[Stuff] = []
        self._ways: list[Way] = []
        self._penalties: dict[int, int] = {}
        self._treatable: set[LineKey] = set()
        self._of_offer: dict[str, int] = {}
        self._held: dict[LineKey, list[tuple[int, Share]]] = {}
        self._coming: dict[Kind, list[tuple[int, Awaited]]] = {}
        self._held_of_kind: dict[Kind, list[tuple[int, Share, SeenLine]]] = {}

    # What is asked about

    def _stays(self, line: SeenLine, share: Share) -> bool:
        """Whether like pieces of a line are never given away: they cannot be had again, or the line is locked so."""
        lock = self._locks.get(line.key)
        locked = lock is not None and lock.choice in (Choice.KEEP, Choice.TREAT)
        return locked or self._is_kept(share)

    def _is_kept(self, share: Share) -> bool:
        return not share.cost and self._is_irreplaceable(share.piece.kind)

    def question(self, budget: int | None, parcels: int | None) -> Question:
        """Put it together."""
        lines = self._asked()
        known = {line.key for line in lines}
        for code, number in self._locks:
            if (code, number) not in known:
                raise DataError(
                    f"{code} has no line {number} that the plan asks about.",
                    "Only lines with holes, or with pieces below their standard, can be locked.",
                )
        place_of = {code: place for place, code in enumerate(self._groups)}
        for place, line in enumerate(lines):
            self._demands.append(Demand(line.need, place_of.get(line.target.code, -1)))
            self._own(place, line)
        self._await()
        for place, line in enumerate(lines):
            self._settle(place, line)
        idle = tuple(self._idle(known))
        case = PlanCase(
            tuple(self._demands),
            tuple(self._sources),
            tuple(self._ways),
            tuple(self._wares.shop(name) for name in self._wares.shops),
            self._group_values(idle),
            budget,
            parcels,
        )
        spots = tuple(_spot(line) for line in lines)
        spares = self._seen.spares.items() if self._spares is not None else ()
        return Question(
            self._with_penalties(case),
            spots,
            tuple(self._stuff),
            tuple(self._wares.shops),
            tuple(self._groups),
            self._market.terms.currency,
            (*self._wares.notes, *self._notes, *self._treating.notes),
            self._locks,
            frozenset(self._treatable),
            self._penalties,
            idle,
            tuple((piece, quantity, self._brings(piece.kind)) for piece, quantity in spares),
            self._spares is not None and self._spares.known,
        )

    def _asked(self) -> list[SeenLine]:
        """Lines that are asked about, in the order of the ranks and lists."""
        wanting = [line for line in self._lines if self._is_wanting(line)]
        rank: dict[Kind, int] = {}
        for line in wanting:
            for kind in line.accepts:
                rank[kind] = min(rank.get(kind, MANY), line.target.rank)
        chosen = {line.key for line in wanting}
        for line in self._lines:
            if any(
                share.piece.kind in rank and (self._worth or line.target.rank > rank[share.piece.kind])
                for share in line.fill.shares
            ):
                chosen.add(line.key)
        if self._spares is not None and self._spares.known:
            # A target that lacks nothing may be worth more as spares: it has to be asked about somewhere.
            told = {code for code, _ in chosen}
            for line in self._lines:
                if line.target.code not in told and line.fill.shares:
                    told.add(line.target.code)
                    chosen.add(line.key)
        return [line for line in self._lines if line.key in chosen]

    def _is_wanting(self, line: SeenLine) -> bool:
        return line.fill.short > 0 or any(self._kept_cost(line, share) for share in line.fill.shares)

    def _kept_cost(self, line: SeenLine, share: Share) -> int:
        piece = share.piece
        return self._costs.as_it_is(line.target.code, line.fill.line, piece.grade, piece.flaws, share.cost)

    # Sources

    def _own(self, place: int, line: SeenLine) -> None:
        """The pieces that a line has."""
        held = self._held[line.key] = []
        for share in line.fill.shares:
            kind = share.piece.kind
            held.append((len(self._sources), share))
            self._held_of_kind.setdefault(kind, []).append((len(self._sources), share, line))
            self._sources.append(Source(share.quantity, home=place if self._stays(line, share) else -1))
            self._stuff.append(Stuff(share.piece, line.key, None, kind, self._is_kept(share), self._brings(kind)))

    def _is_irreplaceable(self, kind: Kind) -> bool:
        part = self._seen.catalogue.parts.get(kind.part)
        return kind not in self._to_be_bought or (part is not None and Care.PRINT in part.care)

    def _await(self) -> None:
        """The pieces on order."""
        for each, quantity in self._seen.awaited.items():
            self._coming.setdefault(each.kind, []).append((len(self._sources), each))
            self._sources.append(Source(quantity))
            self._stuff.append(Stuff(None, None, None, each.kind, awaited=each))

    def _offered(self, offer: Offer) -> int:
        """The source of an offer."""
        place = self._of_offer.get(offer.id)
        if place is None:
            place = self._of_offer[offer.id] = len(self._sources)
            shop = self._wares.shops[offer.seller]
            self._sources.append(Source(offer.stock, shop, self._wares.price(offer), self._wares.mg(offer.kind)))
            self._stuff.append(Stuff(None, None, offer, offer.kind))
        return place

    # Ways

    def _way(self, place: int, source: int, choice: Choice, cost: int, most: int = MANY) -> None:
        """One more way; a piece that is used cannot be sold as a spare."""
        self._ways.append(Way(place, source, choice, cost + self._stuff[source].brings, most))

    def _settle(self, place: int, line: SeenLine) -> None:
        """All ways to settle a line."""
        lock = self._locks.get(line.key)
        locked = lock.choice if lock is not None else None
        treated = self._own_ways(place, line, lock)
        if locked is Choice.TREAT and not treated:
            raise DataError(
                f"Nothing on line {line.number} of {line.target.code} can be treated.",
                "It takes graded, washed pieces without flaws below the lowest grade, and rates of success.",
            )
        for source, each in self._arriving(line):
            points = line.accepts[each.kind]
            cost = self._costs.as_it_is(line.target.code, line.fill.line, each.grade, each.flaws, points)
            self._way(place, source, Choice.AWAIT, cost)
        if locked in (None, Choice.KEEP, Choice.TREAT, Choice.MOVE):
            self._moves(place, line)
        for offer, choice, points in self._offers(line, lock):
            self._buy(place, line, offer, choice, points)
        if not self._worth or locked is Choice.OPEN:
            self._leave_open(place, line, lock)

    def _leave_open(self, place: int, line: SeenLine, lock: Lock | None) -> None:
        hole = self._costs.hole(line.target.code)
        if lock is not None and lock.choice in TAKING:
            rest = line.need - line.fill.present - self._to_be_had(line, lock)
            if rest > 0:
                self._ways.append(Way(place, -1, Choice.OPEN, hole, rest))
            self._penalties[len(self._ways)] = 0  # how much is known once all ways are
        self._ways.append(Way(place, -1, Choice.OPEN, hole))

    def _arriving(self, line: SeenLine) -> Iterable[tuple[int, Awaited]]:
        """Pieces on order that a line may have."""
        for kind in line.accepts:
            for source, each in self._coming.get(kind, ()):
                if each.target in ("", line.target.code):
                    yield source, each

    def _offers(self, line: SeenLine, lock: Lock | None) -> Iterable[tuple[Offer, Choice, int]]:
        """Offers that a line may buy from: as what, and what that costs in correctness."""
        for kind, points in line.accepts.items():
            choice = Choice.STAND_IN if points else Choice.BUY
            if lock is None or lock.choice in (Choice.KEEP, Choice.TREAT, choice):
                for offer in self._wares.offers.get(kind, ()):
                    if lock is None or not lock.offer or offer.id == lock.offer:
                        yield offer, choice, points

    def _own_ways(self, place: int, line: SeenLine, lock: Lock | None) -> bool:
        """Keep or treat what a line has; whether anything can be treated."""
        treated, locked = False, lock.choice if lock is not None else None
        for source, share in self._held[line.key]:
            keep = self._kept_cost(line, share)
            treat = self._treated(line, share, keep)
            if treat is not None:
                self._treatable.add(line.key)
                if locked not in (None, Choice.TREAT) or (self._stuff[source].kept and not locked):
                    treat = None
            if treat is not None:
                treated = True
                self._way(place, source, Choice.TREAT, treat)
            if locked is not Choice.TREAT or treat is None:
                most = MANY
                if lock is not None and locked in TAKING and keep and self._sources[source].home < 0:
                    most = max(0, line.need - self._to_be_had(line, lock))
                if most:
                    self._way(place, source, Choice.KEEP, keep, most)
        return treated

    def _to_be_had(self, line: SeenLine, lock: Lock) -> int:
        """Pieces that a line could have in the way it is locked to, those on order among them."""
        coming = sum(self._sources[source].limit for source, _ in self._arriving(line))
        if lock.choice is Choice.MOVE:
            return coming + sum(share.quantity for _, share in self._movable(line))
        return coming + sum(offer.stock for offer, _, _ in self._offers(line, lock))

    def _treated(self, line: SeenLine, share: Share, keep: int) -> int | None:
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

    def _movable(self, line: SeenLine) -> list[tuple[int, Share]]:
        """Sources of pieces that lines of lower-ranked targets have and this one accepts."""
        found = []
        for kind in line.accepts:
            for source, share, other in self._held_of_kind.get(kind, ()):
                may = other.target.code != line.target.code and (self._worth or other.target.rank > line.target.rank)
                lock = self._locks.get(other.key)
                if may and not share.piece.only and (lock is None or lock.choice not in (Choice.KEEP, Choice.TREAT)):
                    found.append((source, share))
        return sorted(found, key=lambda each: each[0])

    def _moves(self, place: int, line: SeenLine) -> None:
        for source, share in self._movable(line):
            piece = share.piece
            points = line.accepts[piece.kind]
            cost = self._costs.as_it_is(line.target.code, line.fill.line, piece.grade, piece.flaws, points)
            self._way(place, source, Choice.MOVE, cost)

    def _buy(self, place: int, line: SeenLine, offer: Offer, choice: Choice, points: int) -> None:
        seller = self._market.sellers[offer.seller]
        doubt = (FULL_TRUST - seller.trust) * minor_units(self._market.terms.doubt, self._market.terms.currency)
        blemish = self._costs.as_it_is(line.target.code, line.fill.line, offer.grade, offer.flaws, points)
        self._way(place, self._offered(offer), choice, self._wares.price(offer) + doubt + blemish)

    def _with_penalties(self, case: PlanCase) -> PlanCase:
        """The case in which going against a lock costs more than all else together ever can."""
        if not self._penalties:
            return case
        dearest: Counter[int] = Counter()
        for way in case.ways:
            dearest[way.demand] = max(dearest[way.demand], way.cost)
        all_ways = sum(demand.need * dearest[place] for place, demand in enumerate(case.demands))
        all_parcels = sum(shop.shipping + max((price for _, price in shop.steps), default=0) for shop in case.shops)
        self._penalties = dict.fromkeys(self._penalties, 1 + all_ways + all_parcels)
        ways = list(case.ways)
        for place, penalty in self._penalties.items():
            ways[place] = ways[place]._replace(cost=ways[place].cost + penalty)
        return case._replace(ways=tuple(ways))

    # Targets that may be given up

    def _brings(self, kind: Kind) -> int:
        return self._spares.each(kind) or 0 if self._spares is not None else 0

    def _idle(self, known: set[LineKey]) -> Iterable[Idle]:
        """Pieces of targets that may be given up, on lines that are not asked about."""
        for line in self._lines if self._worth else ():
            if line.key not in known:
                for share in line.fill.shares:
                    yield Idle(line.target.code, share.piece, share.quantity, self._brings(share.piece.kind))

    def _group_values(self, idle: Iterable[Idle]) -> tuple[Group, ...]:
        """What each target is worth, less what its pieces bring that are not asked about: either it or they."""
        values = {code: self._value(code) for code in self._groups}
        for each in idle:
            values[each.target] -= each.quantity * each.brings
        return tuple(Group(value) for value in values.values())

    def _value(self, code: str) -> int:
        value = next(line.target.value for line in self._lines if line.target.code == code)
        if value is None:
            self._notes.append(f"{code} has no value, so it counts as worth nothing.")
        return int((value or 0) * 10 ** MINOR_UNITS[self._market.terms.currency])


def _spot(line: SeenLine) -> Spot:
    return Spot(line.target.code, line.number, line.fill.line.kind, line.need)
