"""What is asked of the solver: a case in whole numbers, and what its places stand for on the bench."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from sortbench.engine.plan import Plan, Taken
from sortbench.engine.planning.plan_case import MANY as MANY
from sortbench.engine.planning.plan_case import Choice, PlanCase, figures
from sortbench.engine.planning.plan_lines import Awaited, LineKey
from sortbench.engine.sharing.pieces import Piece
from sortbench.model.catalogue import Kind
from sortbench.model.offer import Offer
from sortbench.model.plan_lock import Lock


class Spot(NamedTuple):
    """A line that is asked about: its target, its number from 1, what it asks for, and pieces to be settled."""

    target: str
    number: int
    kind: Kind
    need: int

    @property
    def key(self) -> LineKey:
        """Which line of which target."""
        return self.target, self.number


class Stuff(NamedTuple):
    """What a source of the case is: pieces that a line has, an offer, or pieces that are on order.

    Attributes:
        piece: like pieces on the bench; None for all others.
        holder: the line that has them, likewise.
        offer: None where nothing is bought.
        kind: of the pieces.
        kept: whether they are never thrown away: printed, or not to be had.
        brings: what each brings as a spare, minor units; 0 where it is not reckoned.
        awaited: pieces on order; None for all others.
    """

    piece: Piece | None
    holder: LineKey | None
    offer: Offer | None
    kind: Kind
    kept: bool = False
    brings: int = 0
    awaited: Awaited | None = None


class Idle(NamedTuple):
    """Pieces of a target that the case does not ask about: they stay where they are if it is finished.

    Attributes:
        target: its code.
        piece, quantity: which, and how many.
        brings: what each brings as a spare, minor units.
    """

    target: str
    piece: Piece
    quantity: int
    brings: int


class Question(NamedTuple):
    """A case, and what its places stand for.

    The case reckons for each piece on the bench that is used what it would bring as a spare, and for a hole against the
    user's will more than anything else can cost; :meth:`cost_of` and :meth:`told` are without both.

    Attributes:
        case: for the solver.
        spots: what each demand is.
        stuff: what each source is.
        shops: names of the sellers.
        groups: codes of the targets that may be given up.
        currency: of all money.
        notes: what was left out or assumed, in words.
        locks: lines settled by hand, by target and number, and how.
        treatable: lines that have pieces which may be treated.
        penalties: by place of a way, what it costs because it is against a lock.
        idle: pieces of targets that may be given up, on lines that are not asked about.
        spares: pieces that no line has, how many, and what each brings; known only where targets may be given up.
        priced: whether it is set what a spare brings.
    """

    case: PlanCase
    spots: tuple[Spot, ...]
    stuff: tuple[Stuff, ...]
    shops: tuple[str, ...]
    groups: tuple[str, ...]
    currency: str
    notes: tuple[str, ...]
    locks: Mapping[LineKey, Lock]
    treatable: frozenset[LineKey] = frozenset()
    penalties: Mapping[int, int] = MappingProxyType({})
    idle: tuple[Idle, ...] = ()
    spares: tuple[tuple[Piece, int, int], ...] = ()
    priced: bool = False

    def cost_of(self, place: int) -> int:
        """What each piece settled one way costs in all, minor units."""
        way = self.case.ways[place]
        brings = self.stuff[way.source].brings if way.source >= 0 else 0
        return way.cost - brings - self.penalties.get(place, 0)

    @property
    def all_spare(self) -> int:
        """What all pieces of targets that may be given up would bring, minor units."""
        sources = zip(self.case.sources, self.stuff, strict=True)
        return sum(source.limit * stuff.brings for source, stuff in sources) + sum(
            each.quantity * each.brings for each in self.idle
        )

    def at_home(self, plan: Plan) -> Plan:
        """A plan that costs as much and moves nothing to a line in place of a piece that would do there as well."""
        case = self.case
        taken = dict(plan.taken)
        left = Counter({place: source.limit for place, source in enumerate(case.sources)})
        own: dict[int, list[int]] = {}
        for place, way in enumerate(case.ways):
            left[way.source] -= taken.get(place, 0)
            if way.choice is Choice.KEEP:
                own.setdefault(way.demand, []).append(place)
        for moved, quantity in plan.taken:
            demand, source, choice, cost, _ = case.ways[moved]
            for kept in own.get(demand, ()) if choice is Choice.MOVE else ():
                keep = case.ways[kept]
                some = min(quantity, left[keep.source], keep.most - taken.get(kept, 0))
                if some > 0 and keep.cost <= cost:
                    trial = Counter(taken)
                    trial[moved] -= some
                    trial[kept] += some
                    known = figures(case, +trial)
                    if known is not None and known.cost == plan.cost:
                        taken, quantity = dict(+trial), quantity - some
                        left[keep.source] -= some
                        left[source] += some
        return plan._replace(taken=tuple(Taken(place, taken[place]) for place in sorted(taken)))

    def told(self, plan: Plan) -> Plan:
        """A plan with its cost as a person reckons it: less what the pieces bring that become spare."""
        away = self.all_spare + sum(self.penalties.get(place, 0) * quantity for place, quantity in plan.taken)
        return plan._replace(cost=plan.cost - away, bound=plan.bound - away) if away else plan
