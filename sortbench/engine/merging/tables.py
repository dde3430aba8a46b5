"""Tables of two benches brought together, row by row: what only one has is kept, what both changed is told.

There is no third copy to say who changed a row, so rows that differ are apart until somebody says which side holds;
only a row whose events or remarks go on from the other's is taken to be the newer one.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import StrEnum
from typing import Any, NamedTuple

from sortbench.model.errors import DataError

Table = Mapping[Any, Any]
"""Rows by what tells each apart from the others."""

GROWING: Mapping[str, str] = {"batches": "entries", "orders": "remarks", "spots": "finds"}
"""By table, the field of its rows that is only ever added to."""
RECALLED = frozenset({"columns", "pads", "standing"})
"""Tables that only spare somebody keys or a look at the calendar: where both have a row, the one here stays and nobody
is asked."""

OWN_KEYS: Mapping[str, str] = {
    "batches": "code",
    "treatments": "id",
    "expenses": "id",
    "spots": "id",
    "recounts": "id",
    "weighings": "id",
}
"""By table, the field that tells its rows apart, where the program chose it and nothing else refers to it: two rows
under one such key may be two things, so both can be kept."""


class Side(StrEnum):
    """Which bench a row is taken from."""

    OURS = "ours"
    THEIRS = "theirs"
    BOTH = "both"


class Apart(NamedTuple):
    """A row that the two benches have differently.

    Attributes:
        table: its table.
        key: what it is told by, as text.
        ours, theirs: the two.
        fields: names of what differs; empty where the rows have no fields.
        side: which one is taken; None while nobody said.
    """

    table: str
    key: str
    ours: Any
    theirs: Any
    fields: tuple[str, ...]
    side: Side | None

    @property
    def name(self) -> str:
        """Table and key, as one names the row to choose a side: ``targets/T-07``."""
        return f"{self.table}/{self.key}"


class Merged(NamedTuple):
    """What the tables come to.

    Attributes:
        tables: with the rows of both; a row that is apart is ours unless theirs was chosen.
        added: rows that only they had, as ``targets/T-07``.
        newer: rows that go on from ours.
        apart: rows that differ.
    """

    tables: Mapping[str, Mapping[Any, Any]]
    added: tuple[str, ...]
    newer: tuple[str, ...]
    apart: tuple[Apart, ...]

    @property
    def unsettled(self) -> tuple[Apart, ...]:
        """Rows of which nobody said which side holds."""
        return tuple(each for each in self.apart if each.side is None)

    @property
    def changes(self) -> bool:
        """Whether our tables become others than they were."""
        return bool(self.added or self.newer or any(each.side in (Side.THEIRS, Side.BOTH) for each in self.apart))


class Sides:
    """Which side holds where rows differ.

    Args:
        said: ``ours``, ``theirs`` or ``both``, or one of them for one row, as ``theirs:targets/T-07``; what was said of
            a row goes before what was said of all.

    Raises:
        DataError: something else was said.
    """

    def __init__(self, said: Iterable[str] = ()) -> None:
        self._all: Side | None = None
        self._rows: dict[str, Side] = {}
        for words in said:
            word, _, name = words.partition(":")
            try:
                side = Side(word.strip())
            except ValueError:
                raise DataError(
                    f"{words[:60]!r} names no side.", "Say ours, theirs or both; for one row as in theirs:targets/T-07."
                ) from None
            if name:
                self._rows[name] = side
            else:
                self._all = side

    def of(self, name: str) -> Side | None:
        """The side of a row, None where nobody said."""
        return self._rows.get(name, self._all)

    def unused(self, apart: Iterable[Apart]) -> list[str]:
        """Rows that a side was said for although they do not differ."""
        return sorted(self._rows.keys() - {each.name for each in apart})


def merge_tables(ours: Mapping[str, Table], theirs: Mapping[str, Table], sides: Sides | None = None) -> Merged:
    """Bring two benches' tables together.

    Args:
        ours, theirs: tables by name; both have the same names.
        sides: what holds where rows differ.

    Raises:
        DataError: both of two rows are to be kept that cannot be.
    """
    chosen = sides or Sides()
    tables: dict[str, dict[Any, Any]] = {}
    added: list[str] = []
    newer: list[str] = []
    apart: list[Apart] = []
    for table, rows in ours.items():
        kept = tables[table] = dict(rows)
        for key, row in theirs[table].items():
            name = f"{table}/{key_words(key)}"
            if key not in kept:
                kept[key] = row
                added.append(name)
            elif kept[key] == row or table in RECALLED or _goes_on(table, row, kept[key]) or _is_kept(table, kept, row):
                continue
            elif _goes_on(table, kept[key], row):
                kept[key] = row
                newer.append(name)
            else:
                side = chosen.of(name)
                apart.append(Apart(table, key_words(key), kept[key], row, _differing(kept[key], row), side))
                if side is Side.THEIRS:
                    kept[key] = row
                elif side is Side.BOTH:
                    _keep_both(table, kept, theirs[table], key)
    return Merged(tables, tuple(added), tuple(newer), tuple(apart))


def _keep_both(table: str, kept: dict[Any, Any], theirs: Table, key: str) -> None:
    """Put their row in under a key that is free on both sides."""
    field = OWN_KEYS.get(table)
    if field is None:
        raise DataError(
            f"Both rows of {table}/{key_words(key)} cannot be kept: other things go by that name.",
            "Say ours or theirs for it.",
        )
    stem = key.rstrip("0123456789")
    stem, number = (stem, int(key[len(stem) :])) if key != stem else (f"{key}-", 1)
    while (free := f"{stem}{number}") in kept or free in theirs:
        number += 1
    kept[free] = theirs[key]._replace(**{field: free})


def _is_kept(table: str, kept: Mapping[Any, Any], row: Any) -> bool:
    """Whether a row is there already under a key that an earlier merge gave it."""
    field = OWN_KEYS.get(table)
    if field is None:
        return False
    return any(bool(each._replace(**{field: getattr(row, field)}) == row) for each in kept.values())


def key_words(key: Hashable) -> str:
    """What a row is told by, as text."""
    if isinstance(key, tuple):
        return " ".join(str(part) for part in key)
    return str(key)


def _goes_on(table: str, before: Any, after: Any) -> bool:
    """Whether a row is another one with more events behind it, and nothing else changed."""
    field = GROWING.get(table)
    if field is None:
        return False
    old, new = getattr(before, field), getattr(after, field)
    return bool(new[: len(old)] == old and before == after._replace(**{field: old}))


def _differing(ours: Any, theirs: Any) -> tuple[str, ...]:
    if type(ours) is not type(theirs):
        return ()
    names = [each.name for each in fields(ours)] if is_dataclass(ours) else getattr(ours, "_fields", ())
    return tuple(name for name in names if getattr(ours, name) != getattr(theirs, name))
