"""What a sitting did, in words: to be read when it ends, and to be kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sortbench.papers.record_words import summary

if TYPE_CHECKING:
    from sortbench.engine.board import BinRow
    from sortbench.engine.records.summing_up import Filled, SittingSummary


def summary_lines(found: SittingSummary, due: str = "") -> tuple[str, ...]:
    """A few lines: what was counted and how fast, then what that came to, as far as there is something to say.

    Args:
        due: what the wash waits for; empty for nothing.
    """
    lines = [f"Sitting {found.figures.sitting}: {summary(found.figures)}"]
    if found.filled:
        lines.append(f"  filled: {'; '.join(map(_filled, found.filled))}")
    if found.overflowed:
        lines.append(f"  overflowed: {', '.join(map(_over, found.overflowed))}")
    if due:
        lines.append(f"  in the wash: {due}")
    return tuple(lines)


def summary_mapping(found: SittingSummary, due: str = "") -> dict[str, Any]:
    """The same for programs."""
    figures = found.figures
    return {
        "sitting": figures.sitting,
        "began_s": figures.began,
        "ended_s": figures.ended,
        "tallies": figures.entries,
        "quantity": figures.pieces,
        "put_right": figures.touched,
        "work_s": figures.work_s,
        "per_minute": figures.rate.per_minute,
        "per_minute_low": figures.rate.low,
        "per_minute_high": figures.rate.high,
        "filled": [
            {
                "target": each.code,
                "target_name": each.name,
                "before": each.before,
                "now": each.now,
                "need": each.need,
                "complete": each.complete,
            }
            for each in found.filled
        ],
        "overflowed": [{"bin": row.label, "over": row.over, "over_g": row.over_g} for row in found.overflowed],
        "wash_due": due or None,
    }


def _filled(each: Filled) -> str:
    if each.complete:
        return f"{each.name} complete, {each.need:,} of {each.need:,}"
    return f"{each.name} {each.before:,} to {each.now:,} of {each.need:,}"


def _over(row: BinRow) -> str:
    return f"{row.label}, {row.over:,} over" if row.over else f"{row.label}, {row.over_g:,.0f} g over"
