"""Records of the work in words: times, rates, shares."""

from __future__ import annotations

from datetime import UTC, datetime

from sortbench.engine.pace import MIN_SECONDS, MIN_TIMED, PAUSE_S
from sortbench.engine.records.sittings import RateFigure, SittingFigures

NO_FIGURE = "-"
"""What stands where there is no figure."""

RULE = (
    f"Gaps over {PAUSE_S:.0f} s are pauses and no work. A rate is told from {MIN_TIMED} timed tallies and "
    f"{MIN_SECONDS:.0f} s of work on, with the interval that holds the true one in about 95 of 100 cases. Pieces are "
    "what stands of the tallies now. Parcels and count sheets are left out: they are none of the pile."
)
"""By what rule the figures are made."""


def span(seconds: float) -> str:
    """A time span on a clock: ``0:05:30``, ``12:00:00``."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}"


def moment(at_s: float | None) -> str:
    """A time in UTC, to the minute; empty for none."""
    return "" if at_s is None else f"{datetime.fromtimestamp(at_s, UTC):%Y-%m-%d %H:%M}"


def rate(figure: RateFigure) -> str:
    """Pieces a minute: ``14.2``; :data:`NO_FIGURE` where there is none."""
    return NO_FIGURE if figure.per_minute is None else f"{figure.per_minute:.1f}"


def rate_range(figure: RateFigure) -> str:
    """Its interval: ``13.1 to 15.4``; empty where there is none."""
    return "" if figure.low is None or figure.high is None else f"{figure.low:.1f} to {figure.high:.1f}"


def share(some: int, whole: int) -> str:
    """A share in per cent; :data:`NO_FIGURE` of nothing."""
    return f"{100 * some / whole:.1f} %" if whole else NO_FIGURE


def summary(figures: SittingFigures) -> str:
    """Figures in one sentence: how many pieces in how much time, how fast, how much of it was put right."""
    pieces = "1 piece" if figures.pieces == 1 else f"{figures.pieces:,} pieces"
    tallies = "1 tally" if figures.entries == 1 else f"{figures.entries:,} tallies"
    words = f"{pieces} in {tallies}, {span(figures.work_s)} at work"
    if figures.rate.per_minute is not None:
        words += f", {rate(figures.rate)} a minute ({rate_range(figures.rate)})"
    if figures.touched:
        words += f"; {figures.touched:,} put right or taken back ({share(figures.touched, figures.entries)})"
        words += f", {span(figures.backward_s)} spent on that" if figures.backward_s else ""
    if figures.jumps:
        words += f"; the clock went back {'once' if figures.jumps == 1 else f'{figures.jumps} times'}"
    return words + "."
