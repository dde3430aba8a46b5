"""The order of the targets that completes the most of them, or the most value, from what is there."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from sortbench.engine.fill import Fill
from sortbench.engine.picture import Picture
from sortbench.engine.planning.solver import turn
from sortbench.engine.reconciling.together import Claim, Together
from sortbench.engine.sharing.pieces import pieces_of
from sortbench.model.catalogue import Kind
from sortbench.model.target import Policy, Target

SECONDS = 60.0
"""How long is looked for the best order unless something else is said."""

_AT_ONCE = 20
"""Targets whose order is settled in one question: their weights are powers of two, which must stay exact."""


class BestOrder(NamedTuple):
    """Ranks to give, and what they complete.

    Attributes:
        ranks: by code, for every target: those that are completed first, then the others, both in their present order;
            targets that shared a rank share one again where they stay together. The present ranks where these complete
            the same targets.
        completed: codes of the targets that are complete at these ranks, in the order of the ranks.
        total: how many these are; by value what they are worth together, in whole units of money.
        proven: whether no order at all comes to more. False only where time ran out.
        valueless: codes of the targets to which no value was given, and which count as nothing by value.
    """

    ranks: Mapping[str, int]
    completed: tuple[str, ...]
    total: int
    proven: bool
    valueless: tuple[str, ...]


def best_order(picture: Picture, by_value: bool = False, *, seconds: float = SECONDS) -> BestOrder:
    """Ranks that complete the most targets that can be completed together, or the most value.

    Presence alone counts. Stand-ins fill lines as they do in the sharing; pieces set aside or in a crate serve their
    own target only; a parked target takes nothing and is never completed. Where several choices come to the same, by
    number the one of more value is taken, by value the one of more targets; then the one with the targets that stand
    first now.

    Under the policy *showpiece* the completed targets share the first rank: taken one by one, an earlier one could take
    the better piece that a later one cannot do without.

    Args:
        by_value: whether the targets' values count, not their number.
        seconds: for how long the best is looked for; then the best found so far is given, as not proven.

    Raises:
        UsageError: the solver is not installed.
    """
    targets = picture.targets
    hopeful = [target for target in targets if target.lines and not target.parked]
    together = Together(*_question(picture, hopeful), [target.code for target in hopeful], seconds)
    number = dict.fromkeys((target.code for target in hopeful), 1)
    value = {target.code: target.value or 0 for target in hopeful}
    worth = value if by_value else number
    chosen: frozenset[str] = frozenset()
    proven = not hopeful
    steps = (worth, number if by_value else value, *_first_ones(hopeful)) if hopeful else ()
    with turn():
        for step in steps:
            choice = together.best(step)
            if choice is None:
                break
            chosen = choice.codes
            if step is worth:
                proven = choice.proven
                if not proven:
                    break
            together.hold(step, sum(step.get(code, 0) for code in chosen))
    ranks = _ranks(targets, chosen, picture.policy)
    completed = _completed(_shared_by(picture, ranks))
    total = sum(worth[code] for code in completed)
    present = _completed(picture.fill)
    already = sum(worth[code] for code in present)
    # What the solver says is held against the sharing itself, which is exact.
    proven = proven and total == sum(worth[code] for code in chosen) >= already
    if already > total or set(present) == set(completed):
        ranks, completed, total = {target.code: target.rank for target in targets}, present, already
    return BestOrder(ranks, completed, total, proven, tuple(target.code for target in targets if target.value is None))


def _completed(fill: Fill) -> tuple[str, ...]:
    return tuple(each.target.code for each in fill.all() if each.complete)


def _shared_by(picture: Picture, ranks: Mapping[str, int]) -> Fill:
    """The sharing under other ranks."""
    return Fill(
        [target._replace(rank=ranks[target.code]) for target in picture.targets],
        picture.catalogue,
        picture.ledger.of_kind,
        swaps=picture.swaps,
        policy=picture.policy,
        reserved=picture.ledger.reserved,
    )


def _question(picture: Picture, targets: Sequence[Target]) -> tuple[list[Claim], dict[Kind, dict[str, int]]]:
    """What the targets claim, and the pieces that may serve it."""
    claims = [
        Claim(target.code, frozenset(picture.fill.accepts(target, number)), line.quantity)
        for target in targets
        for number, line in enumerate(target.lines, 1)
    ]
    ledger = picture.ledger
    stock: dict[Kind, dict[str, int]] = {}
    for kind in {kind for claim in claims for kind in claim.kinds}:
        for piece, quantity in pieces_of(kind, ledger.of_kind(kind), ledger.reserved(kind)).items():
            heap = stock.setdefault(kind, {})
            heap[piece.only] = heap.get(piece.only, 0) + quantity
    return claims, stock


def _first_ones(targets: Sequence[Target]) -> Iterable[Mapping[str, int]]:
    """Worths under which each target counts for more than all behind it, some targets at a time."""
    for start in range(0, len(targets), _AT_ONCE):
        some = targets[start : start + _AT_ONCE]
        yield {target.code: 1 << place for place, target in enumerate(reversed(some))}


def _ranks(targets: Sequence[Target], chosen: frozenset[str], policy: Policy) -> dict[str, int]:
    """The chosen first, then the others; who shared a rank shares one again."""
    ranks: dict[str, int] = {}
    rank, before = 0, None
    for target in sorted(targets, key=lambda target: target.code not in chosen):
        first = target.code in chosen
        place = (first, 0 if first and policy is Policy.SHOWPIECE else target.rank)
        if place != before:
            rank, before = rank + 1, place
        ranks[target.code] = rank
    return ranks
