"""What spares bring, and which pieces become spare with a plan that may give targets up."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from typing import NamedTuple

from sortbench.engine.plan import Plan
from sortbench.engine.planning.plan_market import Market, own_price
from sortbench.engine.planning.plan_question import Question
from sortbench.engine.reconciling.why_words import condition_words
from sortbench.engine.sharing.pieces import Piece
from sortbench.model.catalogue import Kind
from sortbench.model.money import Rates


class Spares:
    """What a spare piece brings: the share that the user sets of the lowest price anybody asks for its kind.

    Nothing is guessed: without a share, and for kinds that nobody offers, nothing is known.

    Args:
        market: offers, whatever is left of them; those in a currency without a rate are no guide.

    Attributes:
        known: whether the share is set.
    """

    def __init__(self, market: Market) -> None:
        share = market.terms.spare
        self.known = share is not None
        self._share = Fraction(share or 0)
        self._lowest: dict[Kind, int] = {}
        rates = Rates(market.terms.currency, market.terms.rates)
        for offer in market.offers.values() if self.known else ():
            price = own_price(offer, market.sellers, rates)
            if price is not None:
                self._lowest[offer.kind] = min(price, self._lowest.get(offer.kind, price))

    def each(self, kind: Kind) -> int | None:
        """What one piece brings in minor units, rounded half to even; None where that is not known."""
        lowest = self._lowest.get(kind)
        return None if lowest is None else round(lowest * self._share)


class SpareRow(NamedTuple):
    """Like pieces that nobody needs.

    Attributes:
        piece: which.
        quantity: how many.
        each: what one brings, minor units; 0 where nothing is known of that.
        target: code of the target that has them now; empty where no line has them.
        replaced: whether that target is finished without them; else it is not worth finishing.
    """

    piece: Piece
    quantity: int
    each: int
    target: str = ""
    replaced: bool = False

    @property
    def all(self) -> int:
        """What they bring together, minor units."""
        return self.quantity * self.each

    @property
    def condition(self) -> str:
        """Grade, flaws, and whether they are still to be washed, in words."""
        return condition_words(self.piece)

    @property
    def why(self) -> str:
        """Why nobody needs them, in words."""
        if not self.target:
            return "spare already"
        return f"replaced in {self.target}" if self.replaced else f"{self.target} is not worth finishing"


def spares_of_plan(question: Question, plan: Plan) -> tuple[SpareRow, ...]:
    """What becomes spare with a plan, then what is spare already, each with what brings most first.

    Empty where no target may be given up: then nobody asked.
    """
    if not question.groups:
        return ()
    settled = {question.groups[place] for place in plan.settled}
    left = Counter({place: source.limit for place, source in enumerate(question.case.sources)})
    for place, quantity in plan.taken:
        left[question.case.ways[place].source] -= quantity
    found: Counter[tuple[Piece, int, str, bool]] = Counter()
    for place, stuff in enumerate(question.stuff):
        if stuff.piece is not None and stuff.holder is not None and left[place] > 0:
            code, _ = stuff.holder
            found[stuff.piece, stuff.brings, code, code in settled] += left[place]
    for each in question.idle:
        if each.target not in settled:
            found[each.piece, each.brings, each.target, False] += each.quantity
    rows = [SpareRow(piece, number, each, code, done) for (piece, each, code, done), number in found.items()]
    already = [SpareRow(*each) for each in question.spares]
    return (*sorted(rows, key=_order), *sorted(already, key=_order))


def _order(row: SpareRow) -> tuple[int, str, Kind, int]:
    return -row.all, row.target, row.piece.kind, -row.piece.quality
