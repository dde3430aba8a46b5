"""What a sharing comes to, criterion by criterion, so that two can be compared and the difference be told.

The criteria and their order are those of :mod:`sortbench.engine.sharing.criteria`, which packs them into one number for
the solver; here they are told apart.
"""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from sortbench.engine.sharing.asks import Ask
from sortbench.engine.sharing.shares import LineFill
from sortbench.model.target import Policy


class Criterion(StrEnum):
    """What one sharing can be better in than another, the weightiest first."""

    PRESENT = "present"
    HELD = "set aside"  # pieces set aside by hand, or in their crate, that are in use
    STANDARD = "to standard"
    STAND_INS = "stand-ins"  # how many
    COST = "cost of stand-ins"
    QUALITY = "quality"


class Score(NamedTuple):
    """What the targets of one rank come to by one criterion.

    Attributes:
        criterion: which.
        group: the place of the rank among all ranks.
        value: compares with that of another sharing; the greater the better.
        of: what each target comes to, by code; of stand-ins and their cost, the more the worse.
    """

    criterion: Criterion
    group: int
    value: tuple[Fraction | int, ...]
    of: Mapping[str, int]


_BLOCKS = (
    (Criterion.PRESENT,),
    (Criterion.HELD,),
    (Criterion.STANDARD,),
    (Criterion.STAND_INS, Criterion.COST),
    (Criterion.QUALITY,),
)
"""Criteria that go together, rank by rank, by the policy *complete*."""


def scores(asks: Sequence[Ask], fills: Sequence[LineFill], policy: Policy, needs: Mapping[str, int]) -> list[Score]:
    """What a sharing comes to, the weightiest criterion first.

    Args:
        asks: lines that are shared together.
        fills: what each has.
        policy: which criteria come first.
        needs: pieces that each target which shares its rank asks for in all, by code.
    """
    sums: dict[int, dict[str, dict[Criterion, int]]] = {}
    for ask, fill in zip(asks, fills, strict=True):
        of_target = sums.setdefault(ask.group, {}).setdefault(ask.target, dict.fromkeys(Criterion, 0))
        of_target[Criterion.PRESENT] += fill.present
        of_target[Criterion.STANDARD] += fill.standard
        of_target[Criterion.STAND_INS] += fill.stand_ins
        for share in fill.shares:
            of_target[Criterion.HELD] += share.quantity if share.piece.only else 0
            of_target[Criterion.COST] += share.quantity * share.cost
            of_target[Criterion.QUALITY] += share.quantity * share.piece.quality
    groups = sorted(sums)
    if policy is Policy.SHOWPIECE:
        order = [(group, criterion) for group in groups for criterion in Criterion]
    else:
        order = [(group, criterion) for block in _BLOCKS for group in groups for criterion in block]
    return [_score(criterion, group, sums[group], needs) for group, criterion in order]


def _score(
    criterion: Criterion, group: int, sums: Mapping[str, Mapping[Criterion, int]], needs: Mapping[str, int]
) -> Score:
    of = {code: figures[criterion] for code, figures in sorted(sums.items())}
    value: tuple[Fraction | int, ...]
    if criterion is Criterion.PRESENT:
        # Filled evenly: the smallest share counts first; where all shares are equal, the smaller code has more.
        shares = sorted(Fraction(present, needs[code]) for code, present in of.items()) if len(of) > 1 else []
        value = (*shares, *of.values())
    elif criterion in (Criterion.STAND_INS, Criterion.COST):
        value = (-sum(of.values()),)
    else:
        value = (sum(of.values()),)
    return Score(criterion, group, value, of)


def first_difference(better: Sequence[Score], worse: Sequence[Score]) -> tuple[Score, Score] | None:
    """The weightiest criterion in which two sharings among the same lines differ; None where they are equally good."""
    return next((pair for pair in zip(better, worse, strict=True) if pair[0].value != pair[1].value), None)
