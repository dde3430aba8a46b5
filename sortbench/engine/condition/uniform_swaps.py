"""Pieces that might change places so that a target looks more of one colour, without any target being filled worse.

For the two tints that differ most in a target, all pieces of either are to be exchanged for others of the same kinds,
out of the spares or out of other targets. What a proposal comes to is not guessed: its pieces are set aside in a
sharing of its own (:class:`sortbench.engine.fill.Fill`), and it is kept only if there

- exactly these pieces change places, in no target are more or fewer pieces present, to standard or standing in,
- grades that change places are no more than so many half steps apart, and flaws are the same,
- no target gets worse pieces so that one of a lesser rank gets better ones, and none of a better rank than the target
  in question gets worse ones at all,
- the target's worst difference is smaller by LEAST_GAIN at least, and no other target's has grown.

Targets of one rank that share stand-ins may be shared equally well in several ways; then another of these may yet come
about, once in some ten thousand of the most tangled cases that were tried.

Annotations are not put off, for the reasons told in :mod:`sortbench.engine.board`.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sortbench.engine.condition.uniform import (
    Look,
    SpreadRow,
    Tint,
    difference,
    mean_reading,
    spreads,
    tints_of,
    worst_pair,
)
from sortbench.engine.fill import Fill, TargetFill
from sortbench.engine.picture import Picture
from sortbench.engine.sharing.pieces import Reserved, pieces_of
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Condition

LEAST_GAIN = 0.1
"""By how much the worst difference is to fall: less is within what rounding a reading comes to."""


class Exchange(NamedTuple):
    """Pieces of one kind that a target would give for others.

    Attributes:
        kind, name: which kind, and its part in words.
        quantity: pieces.
        flaws: of both.
        gives, gets: the grades.
        partners: names of the targets that would have the pieces given; empty: they become spare.
    """

    kind: Kind
    name: str
    quantity: int
    flaws: Flaws
    gives: Grade
    gets: Grade
    partners: tuple[str, ...]


class Aside(NamedTuple):
    """Pieces to set aside for a target, so that a proposal comes about."""

    kind: Kind
    grade: Grade | None
    flaws: Flaws
    quantity: int


class Proposal(NamedTuple):
    """What would make a target look more of one colour.

    Attributes:
        target, name, shade: where.
        before, after: the worst difference now and then; see :mod:`sortbench.engine.condition.uniform`.
        exchanges: what changes places.
        asides: what is to be set aside for the target to bring it about, and so can be let go again.
    """

    target: str
    name: str
    shade: str
    before: float
    after: float
    exchanges: tuple[Exchange, ...]
    asides: tuple[Aside, ...]


def proposals(picture: Picture, codes: Iterable[str] = (), half_steps: int = 1) -> tuple[Proposal, ...]:
    """For each target and shade the exchange that lowers the worst difference most, if there is any. Each stands for
    itself: after one was brought about the others are to be asked for anew.

    Args:
        codes: only for these targets; for all where none is named.
        half_steps: how far apart grades may be that change places, in half steps of the scale.
    """
    trial = _Trial(picture)
    found = (_best(trial, row, half_steps) for row in spreads(picture, codes))
    return tuple(proposal for proposal in found if proposal is not None)


class _Change(NamedTuple):
    """Pieces of one kind and flaws that are to be of another grade."""

    kind: Kind
    flaws: Flaws
    gives: Grade
    gets: Grade
    quantity: int


def _best(trial: "_Trial", row: SpreadRow, half_steps: int) -> Proposal | None:
    if row.worst is None or row.spread < LEAST_GAIN:
        return None
    tints = tints_of(trial.picture.ledger, trial.now[row.target])[row.shade]
    best: Proposal | None = None
    for end in (row.worst.worse, row.worst.better):
        changes = _changes(trial, row, tints, end.look, half_steps)
        found = trial.tried(row, changes) if changes else None
        if found is not None and (best is None or found.after < best.after):
            best = found
    return best


def _changes(trial: "_Trial", row: SpreadRow, tints: Sequence[Tint], end: Look, half_steps: int) -> tuple[_Change, ...]:
    """What to exchange the pieces of one look for, kind by kind; nothing where some of them cannot be."""
    rest = [tint for tint in tints if tint.look != end]
    changes = []
    for tint in tints:
        if tint.look != end:
            continue
        options = trial.options(row.target, tint, half_steps)
        ranked = sorted((_farthest(option, rest), -(option.grade or 0), option) for option in options)
        if not ranked or ranked[0][0] >= row.spread or tint.grade is None:
            return ()
        chosen = ranked[0][2]
        assert chosen.grade is not None, "only graded pieces are offered"
        changes.append(_Change(tint.kind, tint.flaws, tint.grade, chosen.grade, tint.quantity))
        rest.append(chosen)
    return tuple(changes)


def _farthest(tint: Tint, others: Iterable[Tint]) -> float:
    return max((difference(tint.look, other.look) or 0.0 for other in others), default=0.0)


class _Trial:
    """The pieces of a picture shared once more, to see what setting some of them aside comes to."""

    def __init__(self, picture: Picture) -> None:
        self.picture = picture
        self.now = picture.fill
        self._more: dict[Kind, dict[Condition, dict[str, int]]] = {}
        self._fill = self._shared(picture.fill)

    def _shared(self, before: Fill | None) -> Fill:
        """The pieces shared from nothing, those that are tried out set aside."""
        picture = self.picture
        return Fill(
            picture.targets,
            picture.catalogue,
            picture.ledger.of_kind,
            swaps=picture.swaps,
            policy=picture.policy,
            reserved=self._reserved,
            before=before,
        )

    def _reserved(self, kind: Kind) -> Reserved:
        more = self._more.get(kind)
        if not more:
            return self.picture.ledger.reserved(kind)
        both = {condition: dict(by) for condition, by in self.picture.ledger.reserved(kind).items()}
        for condition, by_target in more.items():
            held = both.setdefault(condition, {})
            for code, quantity in by_target.items():
                held[code] = held.get(code, 0) + quantity
        return both

    def _free(self, kind: Kind) -> dict[Condition, int]:
        """Washed pieces of a kind that nobody set aside and that lie in no crate."""
        ledger = self.picture.ledger
        found: dict[Condition, int] = {}
        for piece, quantity in pieces_of(kind, ledger.of_kind(kind), ledger.reserved(kind)).items():
            if not piece.only and piece.ready:
                found[piece.grade, piece.flaws] = quantity
        return found

    def _loose(self, code: str, kind: Kind, washed: bool = True) -> dict[Condition, int]:
        """Pieces of a kind that a target has and that may go elsewhere; with those that wait for a wash or without."""
        found: dict[Condition, int] = {}
        for line in self.now[code].lines:
            for share in line.shares:
                if share.piece.kind == kind and not share.piece.only and (share.piece.ready or not washed):
                    key = share.piece.grade, share.piece.flaws
                    found[key] = found.get(key, 0) + share.quantity
        return found

    def options(self, code: str, tint: Tint, half_steps: int) -> list[Tint]:
        """What all pieces of a tint could be exchanged for: enough pieces of a close grade that the target has not."""
        loose, found = self._loose(code, tint.kind), []
        if tint.grade is None or loose.get((tint.grade, tint.flaws), 0) < tint.quantity:
            return []
        for (grade, flaws), there in self._free(tint.kind).items():
            elsewhere = there - loose.get((grade, flaws), 0)
            close = grade is not None and 0 < abs(grade - tint.grade) <= half_steps
            if close and flaws == tint.flaws and elsewhere >= tint.quantity:
                lab = mean_reading(self.picture.ledger, tint.kind, grade, flaws)
                found.append(Tint(tint.kind, grade, flaws, tint.quantity, lab))
        return found

    def tried(self, row: SpreadRow, changes: Sequence[_Change]) -> Proposal | None:
        """What changes come to if their pieces are set aside; None where that is not what was meant.

        Where sharings are equally good, which one comes of it hangs on the way there. So it is tried by
        changing the sharing there is and by sharing all anew, near to it and not, and must come to the same.
        """
        asides = self._asides(row.target, changes)
        kinds = sorted({aside.kind for aside in asides})
        for aside in asides:
            held = self._more.setdefault(aside.kind, {}).setdefault((aside.grade, aside.flaws), {})
            held[row.target] = held.get(row.target, 0) + aside.quantity
        try:
            self._change(kinds)
            found = self._judged(self._fill, row, changes, asides)
            for before in (None, self.now) if found is not None else ():
                if found != self._judged(self._shared(before), row, changes, asides):
                    return None
            return found
        finally:
            self._more.clear()
            self._change(kinds)

    def _asides(self, code: str, changes: Sequence[_Change]) -> tuple[Aside, ...]:
        """What to set aside: the pieces that come in, and all of their kinds that the target keeps, for it might part
        with one of these sooner than with the ones meant."""
        asides: Counter[tuple[Kind, Condition]] = Counter()
        for kind in {change.kind: None for change in changes}:
            for condition, quantity in self._loose(code, kind, washed=False).items():
                asides[kind, condition] += quantity
        for change in changes:
            asides[change.kind, (change.gives, change.flaws)] -= change.quantity
            asides[change.kind, (change.gets, change.flaws)] += change.quantity
        return tuple(Aside(kind, *condition, n) for (kind, condition), n in asides.items() if n)

    def _change(self, kinds: Iterable[Kind]) -> None:
        for kind in kinds:
            self._fill.update(kind, self.picture.ledger.of_kind(kind))

    def _judged(
        self, fill: Fill, row: SpreadRow, changes: Sequence[_Change], asides: tuple[Aside, ...]
    ) -> Proposal | None:
        kinds = {change.kind for change in changes}
        codes = sorted(set().union(*(fill.targets_near(kind) for kind in kinds)))
        wanted: Counter[tuple[Kind, Condition]] = Counter()
        for change in changes:
            wanted[change.kind, (change.gets, change.flaws)] += change.quantity
            wanted[change.kind, (change.gives, change.flaws)] -= change.quantity
        partners: dict[tuple[Kind, Condition], list[str]] = {}
        for code in codes:
            before, after = self.now[code], fill[code]
            if _figures(before) != _figures(after):
                return None
            moved = _moved(before, after)
            if code == row.target:
                if moved != {key: n for key, n in wanted.items() if n}:
                    return None
                continue
            if not set(moved) <= set(wanted):
                return None
            for key, quantity in moved.items():
                if quantity > 0:
                    partners.setdefault(key, []).append(after.target.name)
            shades = {kind.shade for kind, _ in moved}
            if any(self._worst(after, shade) > self._worst(before, shade) + 1e-9 for shade in shades):
                return None
        if not self._ranks_respected(fill, row.target, codes):
            return None
        then = self._worst(fill[row.target], row.shade)
        if then > row.spread - LEAST_GAIN:
            return None
        exchanges = tuple(self._exchange(change, partners) for change in changes)
        return Proposal(row.target, row.name, row.shade, row.spread, then, exchanges, asides)

    def _worst(self, fill: TargetFill, shade: str) -> float:
        pair = worst_pair(tints_of(self.picture.ledger, fill).get(shade, ()))
        return pair.difference if pair else 0.0

    def _ranks_respected(self, fill: Fill, code: str, codes: Iterable[str]) -> bool:
        """Whether no target of a better rank gets worse pieces so that one of a lesser rank gets better ones."""
        change = {each: _quality(fill[each]) - _quality(self.now[each]) for each in codes}
        rank = {each: fill[each].target.rank for each in codes}
        worse = [each for each in codes if change[each] < 0]
        if any(rank[each] < rank[code] for each in worse):
            return False
        return not any(change[other] > 0 and rank[other] > rank[each] for each in worse for other in codes)

    def _exchange(self, change: _Change, partners: Mapping[tuple[Kind, Condition], Sequence[str]]) -> Exchange:
        name = self.picture.catalogue.part_name(change.kind.part)
        given = partners.get((change.kind, (change.gives, change.flaws)), ())
        return Exchange(change.kind, name, change.quantity, change.flaws, change.gives, change.gets, tuple(given))


def _figures(fill: TargetFill) -> tuple[int, int, int]:
    return fill.present, fill.standard, fill.stand_ins


def _quality(fill: TargetFill) -> int:
    return sum(share.quantity * share.piece.quality for line in fill.lines for share in line.shares)


def _held(fill: TargetFill) -> Counter[tuple[Kind, Condition]]:
    found: Counter[tuple[Kind, Condition]] = Counter()
    for line in fill.lines:
        for share in line.shares:
            found[share.piece.kind, (share.piece.grade, share.piece.flaws)] += share.quantity
    return found


def _moved(before: TargetFill, after: TargetFill) -> dict[tuple[Kind, Condition], int]:
    """Pieces that a target has more than before, or fewer (below 0), by kind and condition."""
    then = _held(after)
    then.subtract(_held(before))
    return {key: quantity for key, quantity in then.items() if quantity}
