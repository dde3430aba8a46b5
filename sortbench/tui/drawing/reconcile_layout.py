"""How the three panels of the reconcile screen share the lines where they stand one under the other. Pure."""

from __future__ import annotations

_LEAST = 2
"""Lines below which a panel shows nothing but its rim."""


def stacked_heights(room: int, crates: int) -> tuple[int, int, int]:
    """Lines for the crates, for the lines of one, and for what fills one, rims included.

    The crates take no more than they fill and no more than two fifths; the others share what is left, so that a panel
    keeps its place whatever is shown in it.

    Args:
        room: lines there are.
        crates: rows that the crates would fill.
    """
    first = min(crates + 1, max(room * 2 // 5, _LEAST))
    last = max((room - first) // 2, _LEAST)
    return first, max(room - first - last, _LEAST), last
