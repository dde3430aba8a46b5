"""What came in a parcel, as it is typed: ``!3 #cracked``, ``tile 2x2 white @B3``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.desks.orders_desk import Came
from sortbench.engine.entry import parse
from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.catalogue import Kind


def read_came(bench: Bench, text: str) -> Came:
    """What pieces are that came, where they are other than ordered, in the words and marks of an entry line.

    Args:
        bench: knows the kinds.
        text: words name another kind, ``!`` a grade, ``#`` a flaw, ``@`` a bin. Empty: just as ordered.

    Raises:
        DataError: a mark that cannot be meant or tells a quantity, or words that name no one kind.
    """
    entry = parse(text)
    if entry.hold or entry.add or entry.quantity is not None:
        raise DataError(f"{text[:60]!r} does not describe pieces.", "Write it as in: !3 #cracked, or: tile 2x2 white")
    return Came(_kind(bench, entry.words) if entry.words else None, entry.grade, entry.flaws or None, entry.bin)


def read_some(bench: Bench, text: str) -> tuple[int, Came]:
    """How many pieces came, and what they are: ``3``, ``1 #cracked``, ``2 tile 2x2 white``.

    Raises:
        DataError: no number stands in front, or as :func:`read_came`.
    """
    number, _, rest = text.strip().partition(" ")
    if not (number.isascii() and number.isdecimal() and len(number) <= 6):
        raise DataError(f"{text[:40]!r} does not begin with how many.", "Write it as in: 3, or: 1 #cracked")
    return int(number), read_came(bench, rest)


def _kind(bench: Bench, words: str) -> Kind:
    rows = bench.search(words).rows
    if not rows:
        raise DataError(f"Nothing is called {words[:60]!r}.", "Name part and shade, as in: plate 2x4 white")
    if len(rows) > 1 and rows[0].tie:
        names = " or ".join(f"{row.name} ({row.kind.part}) in {row.kind.shade}" for row in rows[:2])
        raise DataError(f"Could be {names}.", "Type more of what tells them apart.")
    return rows[0].kind
