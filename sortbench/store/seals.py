"""Seals on the tables of a bench file: a flipped bit in a quantity or a year is found, as one in a log is.

JSON that is still JSON says nothing about whether it is what was written. So the table ``meta`` holds a CRC-32 of all
that follows it in the file, and one of each table: ``{"format": 4, "crc": "…", "seals": {"parts": "…", …}}``. The first
takes a fraction of a millisecond to check, and only where it does not fit are the tables looked at one by one: another
program may have laid the file out anew without changing a word, and a damaged table that most sittings never ask for
leaves counting alone. CRC-32 (ISO-HDLC, as in zlib) finds every error burst of up to 32 bits, hence every flipped bit.

A file without seals (an earlier format, or one that a person changed and took them out of) is taken as it stands.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from sortbench.model.errors import BenchError
from sortbench.store.bench_json import Tables, json_text, rows_text, unreadable

META = "meta"
Seals = Mapping[str, str]
"""Table name -> checksum as eight hexadecimal digits."""

_WRITTEN = re.compile(
    rb'\{\n"meta": \{\n"1": \{"format": [0-9]+, "crc": "([0-9a-f]{8})", "seals": \{[^{}]*\}\}\n\}(,\n.*\}\n)\Z',
    re.DOTALL,
)


def sealed_text(tables: Tables, own: Collection[str]) -> bytes:
    """The tables as JSON, one document a line, ``meta`` first and with seals in it.

    Args:
        tables: with ``meta``, which holds one document.
        own: the tables that are sealed; those of other programs stand behind them.

    Raises:
        DataError: a value that JSON does not have.
    """
    texts = {name: rows_text(table) for name, table in tables.items() if name != META}
    order = [name for name in texts if name in own] + [name for name in texts if name not in own]
    rest = "".join(f",\n{json_text(name)}: {texts[name]}" for name in order) + "\n}\n"
    (meta,) = tables[META].values()
    seals = {name: seal(name, texts[name]) for name in order if name in own}
    head = {"1": {**meta, "crc": f"{zlib.crc32(rest.encode()):08x}", "seals": seals}}
    return f'{{\n"{META}": {rows_text(head)}{rest}'.encode()


def seal(name: str, rows: str) -> str:
    """The seal of a table: its name and its rows as ``rows_text`` writes them."""
    return f"{zlib.crc32(f'{name}: {rows}'.encode()):08x}"


def seals_to_check(path: Path, text: bytes, tables: Tables) -> Seals:
    """The seals that the tables of a file must be held against; none where the whole file is as it was written.

    Args:
        path: the file, for what is said of it.
        text: its bytes.
        tables: what they say, the only document of ``meta`` among it.

    Raises:
        BenchError: ``meta`` is malformed.
    """
    found = _WRITTEN.match(text)
    if found and b"%08x" % zlib.crc32(found[2]) == found[1]:
        return {}
    (meta,) = tables[META].values()
    seals: Any = meta.get("seals", {})
    if set(meta) - {"format", "crc", "seals"} or not _are_texts([meta.get("crc", "")]):
        raise unreadable(path, f"the table {META!r} is malformed")
    if type(seals) is not dict or not _are_texts(list(seals.values())):
        raise unreadable(path, f"the table {META!r} is malformed")
    return dict(seals)


def check_seal(path: Path, tables: Tables, name: str, seals: Seals) -> None:
    """Hold a table against its seal, if it has one.

    Raises:
        BenchError: it is not as it was written.
    """
    if not fits(tables, name, seals):
        raise BenchError(
            f"{path} cannot be read: the table {name!r} is not as it was written; it is damaged, or was changed by "
            "hand.",
            "Put a good copy of the file in its place; the tallies lie in files of their own and are not touched by "
            'this. If the change is yours, take "crc" and "seals" out of the table "meta": the file is then taken as '
            "it stands.",
        )


def fits(tables: Tables, name: str, seals: Seals) -> bool:
    """Whether a table is as it was written; one without a seal is."""
    return name not in seals or seal(name, rows_text(tables.get(name, {}))) == seals[name]


def _are_texts(values: list[Any]) -> bool:
    return all(type(value) is str for value in values)
