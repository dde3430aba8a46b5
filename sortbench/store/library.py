"""The library of set lists on disk: a file of its own, so that a start need not read thousands of lists.

``library/lists.jsonl``: a first line with the format, the number of lists and a CRC-32 of all that follows; a second
with every part and shade named; then a list a line, its lines as numbers into the second and quantities.
"""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sortbench.model.errors import BenchError, DataError, WriteError
from sortbench.model.library import SetList, Wanted
from sortbench.model.target import MAX_QUANTITY
from sortbench.model.text import clean_name
from sortbench.store.durable import refuse_link, replace_file
from sortbench.store.folder import LIBRARY

FILE = "lists.jsonl"
FORMAT = 1
"""Version of the file."""

_MEND = "Put a good copy in its place, or remove it and bring the lists in again with `sortbench import library`."
_ENCODE = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode
_SURROGATE = re.compile("[\ud800-\udfff]")


def library_path(bench: Path) -> Path:
    """Where the library of the bench in a folder lies."""
    return bench / LIBRARY / FILE


def library_bytes(bench: Path) -> bytes | None:
    """The file of the library as it is, None where there is none.

    Args:
        bench: the bench folder.

    Raises:
        BenchError: the file is unreadable or a link.
    """
    path = library_path(bench)
    _refuse_links(path)
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise BenchError(f"{path} cannot be read: {error.strerror or error}.", _MEND) from error


def load_library(bench: Path) -> dict[str, SetList]:
    """The lists of the library by code; none where none were brought in.

    Args:
        bench: the bench folder.

    Raises:
        BenchError: the file is damaged, unreadable, a link, or from a newer version.
    """
    path, data = library_path(bench), library_bytes(bench)
    if data is None:
        return {}
    head, _, rest = data.partition(b"\n")
    try:
        said = json.loads(head)
        form = said["format"]
        if isinstance(form, int) and form > FORMAT:
            raise BenchError(
                f"{path} is of format {form}; this version knows formats up to {FORMAT}.", "Use a newer sortbench."
            )
        if form != FORMAT or said["crc"] != _seal(rest):
            raise ValueError("its checksum does not fit")
        found = {each.code: each for each in _lists(rest.decode())}
        if len(found) != said["lists"]:
            raise ValueError("lists are missing")
    except (ValueError, KeyError, TypeError, IndexError, RecursionError, DataError) as error:
        raise BenchError(f"{path} is damaged: {error}.", _MEND) from error
    return found


def save_library(bench: Path, lists: Mapping[str, SetList]) -> None:
    """Put the lists in place of those of the library, all or nothing. The bench's lock must be held.

    Args:
        bench: the bench folder.

    Raises:
        WriteError: the disk refused; the library is as it was.
        BenchError: the folder or the file is a link.
        DataError: a name that cannot be kept.
    """
    path = library_path(bench)
    _refuse_links(path)
    rest = _text(lists)
    head = _ENCODE({"format": FORMAT, "lists": len(lists), "crc": _seal(rest)})
    try:
        path.parent.mkdir(exist_ok=True)
        replace_file(path, head.encode() + b"\n" + rest)
    except OSError as error:
        raise WriteError(
            f"{path} cannot be written: {error.strerror or error}.",
            "Make sure that the folder may be written to and that the disk is not full.",
        ) from error


def library_stamp(bench: Path) -> tuple[int, int]:
    """What changes when the library does: its time in nanoseconds and its length in bytes; noughts where it is none."""
    try:
        found = library_path(bench).stat()
    except OSError:
        return 0, 0
    return found.st_mtime_ns, found.st_size


def _refuse_links(path: Path) -> None:
    refuse_link(path.parent)
    refuse_link(path)


def _seal(rest: bytes) -> str:
    return f"{zlib.crc32(rest):08x}"


def _text(lists: Mapping[str, SetList]) -> bytes:
    numbers: dict[tuple[str, str], int] = {}
    rows = []
    for each in lists.values():
        lines = [[numbers.setdefault((w.part, w.shade), len(numbers)), w.quantity] for w in each.lines]
        rows.append(_ENCODE({"code": each.code, "name": each.name, "year": each.year, "lines": lines}))
    text = "\n".join([_ENCODE(list(numbers)), *rows]) + "\n"
    if _SURROGATE.search(text):
        raise DataError("The library cannot be written: a name holds a lone surrogate.", "Nothing was changed.")
    return text.encode()


def _lists(text: str) -> Iterator[SetList]:
    first, *rows = text.splitlines()
    kinds = [(clean_name(part), clean_name(shade)) for part, shade in json.loads(first)]
    for row in rows:
        yield _list(json.loads(row), kinds)


def _list(row: dict[str, Any], kinds: list[tuple[str, str]]) -> SetList:
    year = row["year"]
    if year is not None and type(year) is not int:
        raise ValueError("a year is no number")
    lines = []
    for place, quantity in row["lines"]:
        if type(place) is not int or type(quantity) is not int or place < 0 or not 1 <= quantity <= MAX_QUANTITY:
            raise ValueError("a line makes no sense")
        lines.append(Wanted(*kinds[place], quantity))
    return SetList(clean_name(row["code"]), clean_name(row["name"]), tuple(lines), year)
