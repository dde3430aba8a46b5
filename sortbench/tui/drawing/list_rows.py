"""What the screens with a list share: headings, local times, words over several lines, and which rows hold words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import lru_cache

from rich.cells import cell_len

from sortbench.tui.widgets.rows import Column, Row, Span, columns, fit

_PUNCTUATION = str.maketrans(dict.fromkeys("-,;:/()", " "))


def wrapped(text: str, style: str, width: int, most: int) -> tuple[Row, ...]:
    """Words on at most so many lines; what finds no room ends in an ellipsis."""
    lines: list[str] = []
    words = text.split(" ") if text else []
    while words and len(lines) < most - 1:
        line = words.pop(0)
        while words and cell_len(line) + 1 + cell_len(words[0]) <= width:
            line += " " + words.pop(0)
        lines.append(line)
    if words:
        lines.append(" ".join(words))
    return tuple(((fit(line, width), style),) for line in lines)


def headings(layout: tuple[Column, ...], names: Sequence[str], width: int) -> Row:
    """What the columns are called, over the columns."""
    return columns(layout, [(name, "quiet") for name in names], width)


@lru_cache(maxsize=512)
def local_time(at: str) -> str:
    """An RFC 3339 time as the clock on this wall shows it, ``2026-03-01 10:30:12``; as it stands if it is none."""
    try:
        return f"{datetime.fromisoformat(at).astimezone():%Y-%m-%d %H:%M:%S}"
    except ValueError:
        return at


def searchable(*texts: str) -> str:
    """Texts as words typed are looked for in them: without regard to case, sizes with a plain x."""
    text = " ".join(texts).casefold().replace("×", "x")
    return f" {text} {text.translate(_PUNCTUATION)}"


def holds_words(haystack: str, words: str) -> bool:
    """Whether for every word typed a word of a searchable text begins with it."""
    return all(f" {word}" in haystack for word in words.casefold().replace("×", "x").split())


def first_holding(haystacks: Iterable[str], words: str) -> int | None:
    """Place of the first searchable text that holds all the words, from 0; None if none does, or no word is typed."""
    if not words.strip():
        return None
    return next((place for place, haystack in enumerate(haystacks) if holds_words(haystack, words)), None)


def kept_note(shown: int, of: int, words: str, one: str, back: str = "Esc") -> Row:
    """How much of a list a filter leaves.

    Args:
        shown, of: rows there are with the filter and without it.
        words: the filter.
        one: what a row is.
        back: the key that lets go of the filter.
    """
    note: Span = (f"{shown:,} of {of:,} {one}s hold {words!r}; {back} shows all", "warning" if not shown else "text")
    return (note,)
