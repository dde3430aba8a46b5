"""Which kinds and shades are likeliest next: from what was counted, how lately, and what targets still need."""

from __future__ import annotations

from collections.abc import Mapping

from sortbench.engine.entering.keypad import natural
from sortbench.model.catalogue import Kind

RECENT = 2.0
"""Weight of having been counted just now, in pieces."""
FADES_OVER = 64
"""Tallies after which that weight has halved."""


def rank_kinds(shade: str, use: Mapping[Kind, tuple[int, int]], needs: Mapping[Kind, int]) -> list[Kind]:
    """Kinds counted or still needed, likeliest next first; ties in natural order of shade and code.

    The weight of a kind is ``counted + needed + RECENT * 2 ** -(age / FADES_OVER)`` with the age in tallies. Counted
    plus still needed is the mean of a Dirichlet-multinomial posterior, up to a factor, whose prior counts are what the
    targets need: common practice in Bayesian estimation of shares.

    Args:
        shade: only kinds in it; all kinds if empty.
        use: times counted, and when last, as an ordinal (larger is later).
        needs: pieces that targets still need.
    """
    now = max((last for _, last in use.values()), default=0)
    weights: dict[Kind, float] = {}
    for kind, (times, last) in use.items():
        if times > 0 and (not shade or kind.shade == shade):
            weights[kind] = times + RECENT * 2.0 ** (-(now - last) / FADES_OVER)
    for kind, pieces in needs.items():
        if pieces > 0 and (not shade or kind.shade == shade):
            weights[kind] = weights.get(kind, 0.0) + pieces
    return sorted(weights, key=lambda kind: (-weights[kind], natural(kind)))


def guess_kinds(shade: str, use: Mapping[Kind, tuple[int, int]], needs: Mapping[Kind, int]) -> list[Kind]:
    """Kinds of a shade neither counted nor needed in it, whose part is counted or needed in others; likeliest first.

    Args:
        shade: the shade; empty has no guesses.
        use, needs: as for :func:`rank_kinds`.
    """
    if not shade:
        return []
    weights: dict[str, int] = {}
    for kind, (times, _) in use.items():
        weights[kind.part] = weights.get(kind.part, 0) + max(0, times)
    for kind, pieces in needs.items():
        weights[kind.part] = weights.get(kind.part, 0) + max(0, pieces)
    known = {kind.part for kind, (times, _) in use.items() if kind.shade == shade and times > 0}
    known |= {kind.part for kind, pieces in needs.items() if kind.shade == shade and pieces > 0}
    guesses = [Kind(part, shade) for part, weight in weights.items() if weight > 0 and part not in known]
    return sorted(guesses, key=lambda kind: (-weights[kind.part], natural(kind)))


def rank_shades(use: Mapping[Kind, tuple[int, int]], needs: Mapping[Kind, int]) -> list[str]:
    """Shades counted or still needed, likeliest next first; ties by name. Weights as for :func:`rank_kinds`."""
    now = max((last for _, last in use.values()), default=0)
    weights: dict[str, float] = {}
    latest: dict[str, int] = {}
    for kind, (times, last) in use.items():
        if times > 0:
            weights[kind.shade] = weights.get(kind.shade, 0.0) + times
            latest[kind.shade] = max(last, latest.get(kind.shade, last))
    for kind, pieces in needs.items():
        if pieces > 0:
            weights[kind.shade] = weights.get(kind.shade, 0.0) + pieces
    for shade, last in latest.items():
        weights[shade] += RECENT * 2.0 ** (-(now - last) / FADES_OVER)
    return sorted(weights, key=lambda shade: (-weights[shade], shade))
