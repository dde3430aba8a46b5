"""Times of a wash as people say them: clock times near now, spans, and what is typed for either."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from sortbench.model.errors import DataError

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
_AGO = re.compile(r"-(?:(\d{1,3}):)?(\d{1,4})")
_GRAMS = re.compile(r"\d{1,6}(\.\d{1,4})?")
_TOLERANCE = timedelta(minutes=2)
"""How far ahead of this machine's clock a noted time may lie: two machines seldom agree to the second."""


def clock(at: datetime, now: datetime) -> str:
    """A time on the wall clock of ``now``: ``09:40``, on another day of this week ``Thu 09:40``, else with its date."""
    there = at.astimezone(now.tzinfo)
    days = abs((there.date() - now.date()).days)
    if days == 0:
        return f"{there:%H:%M}"
    return f"{_DAYS[there.weekday()]} {there:%H:%M}" if days < 6 else f"{there:%Y-%m-%d %H:%M}"


def span(length: timedelta) -> str:
    """A length of time: ``25 min``, ``3 h 10 min``, ``14 h``, ``3 days``; less than a minute is ``1 min``."""
    minutes = max(1, round(length.total_seconds() / 60))
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 600:
        hours, rest = divmod(minutes, 60)
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    hours = round(minutes / 60)
    return f"{hours} h" if hours < 48 else f"{round(hours / 24)} days"


def read_time(text: str, now: datetime) -> datetime:
    """The moment that somebody names, in UTC.

    ``07:40`` is the last such time on the clock of ``now``, ``-20`` is twenty minutes ago, ``-1:30`` an hour and a half
    ago, and ``2026-03-01 07:40`` is what it says, on the clock of ``now`` where it names no zone. Nothing is now.

    Args:
        text: what was typed.
        now: the time now, with its zone.

    Raises:
        DataError: it is no time, or it lies ahead.
    """
    words = text.strip()
    if not words:
        return now.astimezone(UTC)
    if found := _AGO.fullmatch(words):
        at = now - timedelta(hours=int(found[1] or 0), minutes=int(found[2]))
    elif found := _CLOCK.fullmatch(words):
        at = _last(int(found[1]), int(found[2]), words, now)
    else:
        at = _dated(words, now)
    if at > now + _TOLERANCE:
        raise DataError(f"{words[:40]!r} lies ahead.", "Only what has happened can be noted.")
    return at.astimezone(UTC)


def read_weight(text: str, now: datetime) -> tuple[float, str, datetime]:
    """Grams, the tray and the time out of ``1265.5``, ``1265,5 big`` or ``1265.5 big @07:40``.

    Raises:
        DataError: it does not begin with grams, or the time is none.
    """
    words, _, when = text.partition("@")
    first, _, tray = words.strip().partition(" ")
    number = first.removesuffix("g")
    if number.count(",") == 1 and "." not in number:
        number = number.replace(",", ".")  # as many keyboards write it; a thousands separator is not meant on a scale
    if not _GRAMS.fullmatch(number):
        raise DataError(f"{text.strip()[:40]!r} is no weight.", "Write grams, then the tray if there are several.")
    return float(number), tray.strip(), read_time(when, now)


def _last(hour: int, minute: int, words: str, now: datetime) -> datetime:
    if hour > 23 or minute > 59:
        raise DataError(f"{words!r} is no time of the day.", "Write it as in 07:40.")
    at = now.replace(hour=hour, minute=minute, second=0, microsecond=0)
    return at if at <= now + _TOLERANCE else at - timedelta(days=1)


def _dated(words: str, now: datetime) -> datetime:
    try:
        at = datetime.fromisoformat(words)
        # A date alone would be midnight, which nobody means.
        if not _CLOCK.search(words):
            raise ValueError
        at = at if at.tzinfo else at.replace(tzinfo=now.tzinfo)
        at.astimezone(UTC)
    except (ValueError, OverflowError):
        raise DataError(
            f"{words[:40]!r} is no time.", "Write 07:40, -20 for twenty minutes ago, or 2026-03-01 07:40."
        ) from None
    return at
