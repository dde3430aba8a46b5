"""Figures of checks and recounts in words, the same on the screen and on the command line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sortbench.engine.spot_check.recounting import Entry
from sortbench.engine.spot_check.verdict import Verdict


def percent(share: float) -> str:
    """A share, 0 to 1, in per cent: with one decimal, or two below 1 per cent."""
    value = 100 * share
    return f"{value:.2f} %" if 0 < value < 1 else f"{value:.1f} %"


def rate_words(verdict: Verdict) -> str:
    """The share of wrong pieces with its interval; empty where nothing was looked at."""
    error = verdict.error
    if error is None:
        return ""
    share = f"{percent(error.estimate)} wrong"
    if verdict.looked >= verdict.plan.lot:
        return f"{share}, every piece looked at"
    if verdict.looked < verdict.plan.sample:
        return f"{share} so far"
    return f"{share}, 95 % interval {percent(error.low)} to {percent(error.high)}"


def entries_words(entries: Sequence[Entry]) -> str:
    """Records by their pieces; those that no record of the other count is like are marked with a question mark."""
    alike = Counter((entry.quantity, entry.like) for entry in entries)
    return " + ".join(
        f"{f'{times} × ' if times > 1 else ''}{quantity:,}{'' if like else '?'}"
        for (quantity, like), times in alike.items()
    )
