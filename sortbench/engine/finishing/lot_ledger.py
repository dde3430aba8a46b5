"""What targets and spares have cost so far: money that was spent, shared out so that it adds up to the smallest coin.

The rule, in full:

- Every expense is converted once into the bench's own currency, rounded half to even to the smallest coin.
- An expense for one target is that target's alone.
- All others (lots, washing, whatever names no target) are shared, for the pile is one and no piece is tied to the lot
  that it came in. Shares go by worth: a target whose value is told weighs that value times the part of its pieces that
  it has; everything else weighs its pieces times the worth of one piece.
- The worth of one piece is what the user says; else the mean of the targets whose value is told (their values over
  their pieces); else all pieces are worth the same.
- Pieces of the pile that are not counted yet take their share too, so that the few that are counted do not bear all.
- Shares are whole coins, by largest remainder: they add up to what was spent.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from sortbench.engine.picture import Picture
from sortbench.model.lot import Expense, Lot, Spent
from sortbench.model.money import Rates, share_out

SPARES, UNCOUNTED = "spares", "not counted yet"
"""What is told of pieces that no target has, and of those of the pile that are still to be counted."""


class CostRow(NamedTuple):
    """What one target, the spares, or the uncounted rest has cost.

    Attributes:
        target: the code; empty for spares and rest.
        name: what it is called; for a target that is on the bench no longer, its code.
        pieces: pieces that it has.
        worth: what these weigh in the sharing, as a share of all, 0 to 1.
        spent: whole minor units by what they were spent on.
    """

    target: str
    name: str
    pieces: int
    worth: Fraction
    spent: Mapping[Spent, int]

    @property
    def total(self) -> int:
        """Whole minor units in all."""
        return sum(self.spent.values())


class LotRow(NamedTuple):
    """A lot, and whole minor units of the bench's own currency that were spent on it."""

    lot: Lot
    spent: int


class LotLedger(NamedTuple):
    """Where the money went.

    Attributes:
        currency: the bench's own; all amounts are whole minor units of it.
        rows: targets in the order of their ranks, then the spares, then what is not counted yet; they add up to
            ``total``.
        lots: in the order in which they were noted.
        total: all that was spent.
        shared: the part of it that is for no one target.
        piece: what one piece without a value of its own weighs, in whole units of money; None where no worth is told
            at all, and all pieces weigh the same.
    """

    currency: str
    rows: tuple[CostRow, ...]
    lots: tuple[LotRow, ...]
    total: int
    shared: int
    piece: Fraction | None


class _Holder(NamedTuple):
    """Somebody who bears a share, while it is worked out."""

    target: str
    name: str
    pieces: int
    weight: Fraction


def lot_ledger(
    picture: Picture,
    lots: Iterable[Lot],
    expenses: Iterable[Expense],
    rates: Rates,
    *,
    piece_worth: Decimal | None = None,
    pile: int | None = None,
) -> LotLedger:
    """What targets and spares have cost so far.

    Args:
        lots, expenses: all that are noted; struck expenses count for nothing.
        rates: the bench's own currency, and what others are worth in it.
        piece_worth: what a piece without a value of its own is worth, in whole units of money, from 0; None: not told.
        pile: pieces of the whole pile, counted ones included; None: the sum of all lots, if each tells its own.

    Raises:
        DataError: there is no rate for the currency of an expense.
    """
    lots = tuple(lots)
    living = [(each, rates.to_own(each.amount, each.currency)) for each in expenses if not each.struck]
    piece = _piece_worth(picture, piece_worth)
    holders = _holders(picture, Fraction(1) if piece is None else piece, _uncounted(picture, lots, pile))
    known = {holder.target for holder in holders}
    gone = dict.fromkeys(each.target for each, _ in living if each.target not in known)
    holders[-2:-2] = [_Holder(code, code, 0, Fraction(0)) for code in gone]
    rows = _rows(holders, living)
    on_lots = {lot.code: 0 for lot in lots}
    for each, units in living:
        if each.lot in on_lots:
            on_lots[each.lot] += units
    told = tuple(LotRow(lot, on_lots[lot.code]) for lot in lots)
    total = sum(units for _, units in living)
    return LotLedger(rates.own, rows, told, total, sum(units for each, units in living if not each.target), piece)


def _rows(holders: Sequence[_Holder], living: Iterable[tuple[Expense, int]]) -> tuple[CostRow, ...]:
    spent: list[dict[Spent, int]] = [dict.fromkeys(Spent, 0) for _ in holders]
    place = {holder.target: at for at, holder in enumerate(holders) if holder.target}
    shared = dict.fromkeys(Spent, 0)
    for each, units in living:
        if each.target:
            spent[place[each.target]][each.what] += units
        else:
            shared[each.what] += units
    weights = [holder.weight for holder in holders]
    whole = sum(weights)
    for what, units in shared.items():
        # Where nothing has any worth nothing was counted, and all is still with the rest, which stands last.
        shares = share_out(units, weights) if whole else (*(0 for _ in holders[:-1]), units)
        for at, share in enumerate(shares):
            spent[at][what] += share
    return tuple(
        CostRow(holder.target, holder.name, holder.pieces, holder.weight / whole if whole else Fraction(0), by_what)
        for holder, by_what in zip(holders, spent, strict=True)
    )


def _piece_worth(picture: Picture, told: Decimal | None) -> Fraction | None:
    if told is not None:
        return Fraction(told)
    valued = [target for target in picture.targets if target.value is not None and target.pieces]
    pieces = sum(target.pieces for target in valued)
    return Fraction(sum(target.value or 0 for target in valued), pieces) if pieces else None


def _uncounted(picture: Picture, lots: tuple[Lot, ...], pile: int | None) -> int:
    if pile is None:
        told = [lot.pieces for lot in lots if lot.pieces is not None]
        pile = sum(told) if len(told) == len(lots) else 0
    return max(0, pile - picture.ledger.of_pile)


def _holders(picture: Picture, piece: Fraction, uncounted: int) -> list[_Holder]:
    """Targets, spares and rest, with what they weigh."""
    holders = []
    for fill in picture.fill.all():
        target = fill.target
        # A parked target takes nothing, but what lies in its crate is its own.
        crate = sum(quantity for quantity in picture.ledger.in_crate(target.code).values() if quantity > 0)
        has = min(crate, target.pieces) if target.parked else fill.present
        if target.value is None or not target.pieces:
            weight = piece * has
        else:
            weight = Fraction(target.value * has, target.pieces)
        holders.append(_Holder(target.code, target.name, has, weight))
    spares = max(0, picture.ledger.pieces - sum(holder.pieces for holder in holders))
    holders.append(_Holder("", SPARES, spares, piece * spares))
    holders.append(_Holder("", UNCOUNTED, uncounted, piece * uncounted))
    return holders
