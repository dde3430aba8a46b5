"""What makes one sharing better than another: criteria in a strict order, packed exactly into whole numbers.

Each criterion is a digit of one number, wide enough for whatever it can come to; a sharing is better if its number is
greater, which is just the comparison criterion by criterion. The numbers are Python's own, of any size, so nothing is
rounded and no weight is guessed.

In the order of the policy *complete*: pieces present, group by group; pieces set aside by hand that are in use; pieces
to standard; stand-ins, first their number, then their cost; quality. A group is a rank: one target, or several that
share it. The policy *showpiece* has all criteria of the first group before those of the second.

Targets that share a rank are filled evenly: the k-th piece of a target that asks for n counts the more the smaller
(k - 1) / n is. The presence vectors of a transportation network are the bases of a polymatroid, on which this greedy
order gives the lexicographic max-min share (S. Fujishige, Lexicographically optimal base of a polymatroid with respect
to a weight vector, Math. Oper. Res. 5 (1980) 186-196; for whole numbers, A. Federgruen and H. Groenevelt, The greedy
procedure for resource allocation problems, Oper. Res. 34 (1986) 909-918; both cited from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import lcm
from typing import NamedTuple

from sortbench.engine.sharing.pieces import MAX_QUALITY
from sortbench.model.target import Policy


class GroupSize(NamedTuple):
    """How much one rank group can come to in one component.

    Attributes:
        need: pieces its lines ask for.
        shared: whether several targets share the rank.
        dearest: the highest cost of a stand-in that any of its lines accepts, 0 where none does.
    """

    need: int
    shared: bool
    dearest: int


class Weights(NamedTuple):
    """What one piece counts for the criteria of one group; whole numbers, not below 0."""

    present: int
    held: int
    standard: int
    stand_in: int
    cost: int
    quality: int


def weigh(groups: Sequence[GroupSize], policy: Policy) -> list[Weights]:
    """The weights of each group, so that sums of them compare like the criteria one after another.

    Args:
        groups: of one component, the first rank first.
        policy: which criteria come first.
    """
    criteria = len(Weights._fields)
    totals = [
        (
            size.need * (size.need + 1) // 2 if size.shared else size.need,
            size.need,
            size.need,
            size.need if size.dearest else 0,
            size.need * size.dearest,
            MAX_QUALITY * size.need,
        )
        for size in groups
    ]
    places = range(len(groups))
    if policy is Policy.SHOWPIECE:
        order = [(group, criterion) for group in places for criterion in range(criteria)]
    else:
        # Number and cost of the stand-ins go together, group by group.
        blocks = ((0,), (1,), (2,), (3, 4), (5,))
        order = [(group, criterion) for block in blocks for group in places for criterion in block]
    weights = [[0] * criteria for _ in groups]
    shift = 0
    for group, criterion in reversed(order):
        weights[group][criterion] = 1 << shift
        # Twice the total: two sharings may differ by it either way.
        shift += (2 * totals[group][criterion]).bit_length()
    return [Weights(*each) for each in weights]


def even_order(needs: Mapping[str, int]) -> list[str]:
    """Whose turn it is to get a piece, where targets share a rank and are filled evenly.

    Args:
        needs: pieces that each target asks for, by code.

    Returns:
        Codes, each as often as its target asks for pieces; what comes first counts most.
    """
    whole = lcm(*(need for need in needs.values() if need))
    # Where shares are even the smaller target steps on further with one piece, and so comes first.
    order = sorted(
        ((k - 1) * (whole // need), -k * (whole // need), code)
        for code, need in needs.items()
        for k in range(1, need + 1)
    )
    return [code for _, _, code in order]
