"""Moving a target among the ranks, one place at a time, with as few other ranks changed as can be."""

from __future__ import annotations

from collections.abc import Mapping


def moved(ranks: Mapping[str, int], code: str, down: bool) -> dict[str, int]:
    """A target one place up or down.

    Alone on its rank, it changes places with all targets of the next rank. On a rank that it shares, it leaves the
    others behind and has the place just above or below them for itself.

    Args:
        ranks: of all targets, by code; 1 comes first.
        code: the target to move.
        down: away from rank 1.

    Returns:
        The ranks that change; none where it is at the end already.
    """
    own = ranks[code]
    beside = [other for other, rank in ranks.items() if rank == own and other != code]
    if beside:
        return _apart(ranks, code, beside, down)
    next_rank = min((r for r in ranks.values() if r > own), default=own) if down else _above(ranks, own)
    if next_rank == own:
        return {}
    return {code: next_rank} | {other: own for other, rank in ranks.items() if rank == next_rank}


def joined(ranks: Mapping[str, int], code: str) -> dict[str, int]:
    """A target on the rank above its own, together with those that have it already.

    Returns:
        The ranks that change; none where it has the first rank.
    """
    above = _above(ranks, ranks[code])
    return {} if above == ranks[code] else {code: above}


def _above(ranks: Mapping[str, int], own: int) -> int:
    return max((rank for rank in ranks.values() if rank < own), default=own)


def _apart(ranks: Mapping[str, int], code: str, beside: list[str], down: bool) -> dict[str, int]:
    """One target leaves the others on its rank; whoever is in the way moves down, as far as the next free rank."""
    own = ranks[code]
    taken = set(ranks.values())
    if not down and own > 1 and own - 1 not in taken:
        return {code: own - 1}
    free = own + 1
    while free in taken:
        free += 1
    changed = {other: rank + 1 for other, rank in ranks.items() if own < rank < free}
    leaving = [code] if down else beside
    return changed | dict.fromkeys(leaving, own + 1)
