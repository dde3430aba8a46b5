"""Records of the work in words: times, rates, shares."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import NamedTuple

from sortbench.engine.finishing.statement_log import way_words
from sortbench.engine.pace import MIN_SECONDS, MIN_TIMED, PAUSE_S
from sortbench.engine.records.checks import CheckFigures
from sortbench.engine.records.sittings import Interval, RateFigure, SittingFigures, WayFigures

NO_FIGURE = "-"
"""What stands where there is no figure."""

_COARSE = 10
"""Percent from which the end of an interval is told to a tenth."""

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


class Figures(NamedTuple):
    """A table: its headings, whether a column holds numbers, and its rows."""

    headings: tuple[str, ...]
    numbers: tuple[bool, ...]
    rows: tuple[tuple[str, ...], ...]


def sittings_table(sittings: Iterable[SittingFigures]) -> Figures:
    """Sittings, a row each."""
    return Figures(
        ("sitting", "began (UTC)", "at work", "pauses", "tallies", "pieces", "a minute", "95 %", "put right"),
        (False, False, True, True, True, True, True, False, True),
        tuple(
            (
                each.sitting,
                moment(each.began),
                span(each.work_s),
                span(each.pause_s) if each.pause_s else "",
                f"{each.entries:,}",
                f"{each.pieces:,}",
                rate(each.rate),
                rate_range(each.rate),
                share(each.touched, each.entries),
            )
            for each in sittings
        ),
    )


def ways_table(ways: Iterable[WayFigures]) -> Figures:
    """Ways of entry, a row each."""
    return Figures(
        ("way of entry", "a minute", "95 %", "pieces", "put right", "tallies", "at work"),
        (False, True, False, True, True, True, True),
        tuple(
            (
                way_words(each.way),
                rate(each.rate),
                rate_range(each.rate),
                f"{each.pieces:,}",
                share(each.touched, each.entries),
                f"{each.entries:,}",
                span(each.work_s),
            )
            for each in ways
        ),
    )


def course_table(course: Iterable[Interval]) -> Figures:
    """The course of a sitting, a row an interval of time at work."""
    return Figures(
        ("from", "to", "pieces", "a minute"),
        (True, True, True, True),
        tuple((span(each.from_s), span(each.to_s), f"{each.pieces:.1f}", f"{each.per_minute:.1f}") for each in course),
    )


def checks_rule(checks: Sequence[CheckFigures], together: CheckFigures | None) -> str:
    """By what rule the checks are put together; empty where there is nothing to say."""
    words = []
    if together is not None and not all(each.is_done for each in checks):
        words.append("Checks that are not done are left out of those put together.")
    if any(each.broke_off for each in checks):
        words.append("A check that was refused before all of its sample was looked at shows rather too many wrong.")
    return " ".join(words)


def _share_range(each: CheckFigures) -> str:
    low, high = 100 * each.error.low, 100 * each.error.high
    places = 1 if high >= _COARSE else 2
    return f"{low:.{places}f} to {high:.{places}f} %"


def checks_table(checks: Sequence[CheckFigures], together: CheckFigures | None) -> Figures:
    """Spot checks, a row each, and all that are done where there are several."""
    rows = [*checks, together] if together is not None and len(checks) > 1 else list(checks)
    return Figures(
        ("check", "drawn", "bin", "looked at", "wrong", "share", "95 %", "stands"),
        (False, False, False, True, True, True, False, False),
        tuple(
            (
                each.check or "done",
                each.at[:10],
                each.bin,
                f"{each.looked:,} of {each.sample:,}",
                f"{each.wrong:,}",
                share(each.wrong, each.looked),
                _share_range(each),
                each.standing.value if each.standing else "",
            )
            for each in rows
        ),
    )
