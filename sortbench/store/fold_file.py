"""The snapshot: a fold of the logs kept in a file, so that a start need not read every log again.

It is never needed and never trusted blindly. It says which bytes of which logs it covers, with a checksum over all of
them; where one differs, is missing or ends earlier, where the file itself does not fit its checksums, or where another
version wrote it, it is as if there were none, and the logs are read as they always can be.

The file begins with MAGIC, then the length and the CRC-32 of the head, four bytes each, then the head, JSON, then the
columns one after the other, whose lengths and checksums the head tells. Numbers are little-endian.
"""

from __future__ import annotations

import json
import os
import stat
import struct
import sys
import zlib
from array import array
from collections.abc import Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from sortbench import __version__
from sortbench.model.errors import BenchError
from sortbench.model.fold import NUMBERS, TIME_LENGTH, WHOLE, Fold, Manner, Stretch
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Condition, Fate, Reading, RecordId, What
from sortbench.store.durable import SAFE_FLAGS, replace_file
from sortbench.store.following import Covered
from sortbench.store.log_reading import ENDING
from sortbench.store.record_codec import FORMAT as LOG_FORMAT

FORMAT = 1
"""Raised whenever a ledger may come to something else from the same records, or the file is laid out otherwise."""
MAGIC = b"sortbench fold\r\n"

_MADE_BY = [FORMAT, LOG_FORMAT, __version__]
_HEAD = struct.Struct("<II")
_CHUNK = 1 << 20
_BYTES, _REALS = "B", "d"
_COLUMNS = {
    "manner_of": NUMBERS,
    "cell_of": NUMBERS,
    "quantity_of": NUMBERS,
    "times": _BYTES,
    "heaps": WHOLE,
    "unheld": NUMBERS,
    "dead": NUMBERS,
    "ignored": NUMBERS,
    "order": NUMBERS,
    "use_cells": NUMBERS,
    "use_times": NUMBERS,
    "use_last": NUMBERS,
    "cell_bins": NUMBERS,
    "cell_parts": NUMBERS,
    "cell_shades": NUMBERS,
    "cell_families": NUMBERS,
    "cell_states": NUMBERS,
    "void_places": NUMBERS,
    "void_sittings": NUMBERS,
    "void_seqs": WHOLE,
    "lab_places": NUMBERS,
    "labs": _REALS,
}
"""Columns in the order in which they stand, and the type of their numbers."""


class _UnfitError(Exception):
    """The file is no snapshot that can be used; the argument says why."""


_NOT_USED = (
    *(_UnfitError, OSError, BenchError, struct.error, ValueError, TypeError, LookupError, ArithmeticError),
    *(AttributeError, RecursionError),
)
"""What comes of reading a file of which nothing is known."""


class Snapshot(NamedTuple):
    """A fold, and what of the logs is in it."""

    fold: Fold
    covered: Mapping[str, Covered]


def read_snapshot(path: Path, tallies: Path) -> Snapshot | None:
    """The snapshot of a bench, None if there is none or it is doubtful in any way.

    Args:
        path: its file.
        tallies: the folder of the logs; those that it covers are looked through.
    """
    try:
        return _read(path, tallies)
    except _NOT_USED:
        return None


def write_snapshot(path: Path, snapshot: Snapshot) -> None:
    """Put a snapshot in place of the one before, whole or not at all.

    Raises:
        OSError, WriteError, BenchError: as ``durable.replace_file``.
    """
    fold, texts = snapshot.fold, _Numbers()
    states = _Numbers()
    columns: dict[str, array[Any] | bytes | bytearray] = {
        "manner_of": fold.manner_of,
        "cell_of": fold.cell_of,
        "quantity_of": fold.quantity_of,
        "times": fold.times,
        "heaps": fold.heaps,
        "unheld": fold.unheld,
        "dead": fold.dead,
        "ignored": fold.ignored,
        "order": fold.order,
        "use_cells": fold.use_cells,
        "use_times": fold.use_times,
        "use_last": fold.use_last,
        "cell_bins": texts.column(cell.bin for cell in fold.cells),
        "cell_parts": texts.column(cell.part for cell in fold.cells),
        "cell_shades": texts.column(cell.shade for cell in fold.cells),
        "cell_families": texts.column(cell.family for cell in fold.cells),
        "cell_states": states.column((cell.grade, cell.flaws, cell.fate) for cell in fold.cells),
        "void_places": array(NUMBERS, fold.voids),
        "void_sittings": texts.column(rid.sitting for rid in fold.voids.values()),
        "void_seqs": array(WHOLE, (rid.seq for rid in fold.voids.values())),
        "lab_places": array(NUMBERS, fold.labs),
        "labs": array(_REALS, (each for lab in fold.labs.values() for each in lab)),
    }
    assert list(columns) == list(_COLUMNS), "columns are written in the order in which they are read"
    blocks = [_little(column).tobytes() if isinstance(column, array) else column for column in columns.values()]
    head = {
        "made_by": _MADE_BY,
        "covered": dict(snapshot.covered),
        "stretches": fold.stretches,
        "manners": [_manner_fields(manner) for manner in fold.manners],
        "odd_times": list(fold.odd_times.items()),
        "texts": list(texts),
        "states": [[*_condition_fields((grade, flaws)), fate] for grade, flaws, fate in states],
        "columns": [[len(block), zlib.crc32(block)] for block in blocks],
    }
    text = json.dumps(head, separators=(",", ":")).encode()
    replace_file(path, b"".join([MAGIC, _HEAD.pack(len(text), zlib.crc32(text)), text, *blocks]))


def _read(path: Path, tallies: Path) -> Snapshot:
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | SAFE_FLAGS)
    with os.fdopen(descriptor, "rb") as file:
        found = os.fstat(descriptor)
        _check(stat.S_ISREG(found.st_mode), "it is no file")
        _check(file.read(len(MAGIC)) == MAGIC, "it begins otherwise")
        length, check = _HEAD.unpack(file.read(_HEAD.size))
        left = found.st_size - file.tell()
        _check(length <= left, "it is cut short")
        text = file.read(length)
        _check(zlib.crc32(text) == check, "the checksum of its head does not fit")
        head = json.loads(text)
        _check(head["made_by"] == _MADE_BY, "another version made it")
        covered = {name: Covered(*map(_whole, fields)) for name, fields in head["covered"].items()}
        lengths = [(_whole(size), _whole(crc)) for size, crc in head["columns"]]
        _check(length + sum(size for size, _ in lengths) == left, "its length does not fit")
        _check_logs(tallies, covered)  # before the columns, which are of no use if a log was changed
        columns: dict[str, array[Any]] = {}
        for (name, code), (size, crc) in zip(_COLUMNS.items(), lengths, strict=True):
            block = file.read(size)
            _check(zlib.crc32(block) == crc, "the checksum of a column does not fit")
            columns[name] = column = array(code)
            column.frombytes(block)
            _little(column, in_place=True)
    fold = _fold(head, columns)
    _check_fold(fold, covered)
    return Snapshot(fold, covered)


def _check_logs(tallies: Path, covered: Mapping[str, Covered]) -> None:
    """Make sure that every log is there and begins with the bytes that were taken in."""
    for name, (end, _, check, _) in covered.items():
        _check(Path(name).name == name and name.endswith(ENDING), "it names no log of this bench")
        found = 0
        with (tallies / name).open("rb") as file:
            left = end
            while left and (chunk := file.read(min(left, _CHUNK))):
                found = zlib.crc32(chunk, found)
                left -= len(chunk)
        _check(not left and found == check, "a log was changed")


def _fold(head: Mapping[str, Any], columns: Mapping[str, array[Any]]) -> Fold:
    texts: list[str] = [_text(text) for text in head["texts"]]
    states = [(*_condition(grade, flaws), Fate(fate)) for grade, flaws, fate in head["states"]]
    names = ("cell_bins", "cell_parts", "cell_shades", "cell_families")
    told = (map(texts.__getitem__, columns[name]) for name in names)
    grades, flaws, fates = zip(*states, strict=True) if states else ((), (), ())
    conditions = (map(each.__getitem__, columns["cell_states"]) for each in (grades, flaws, fates))
    cells = tuple(map(partial(tuple.__new__, Cell), zip(*told, *conditions, strict=True)))
    voided = map(RecordId, map(texts.__getitem__, columns["void_sittings"]), columns["void_seqs"])
    reals = iter(columns["labs"])
    labs: dict[int, Reading] = dict(zip(columns["lab_places"], zip(reals, reals, reals, strict=True), strict=True))
    return Fold(
        cells=cells,
        manners=tuple(_manner(*fields) for fields in head["manners"]),
        stretches=tuple(Stretch(_text(each[0]), *map(_whole, each[1:])) for each in head["stretches"]),
        manner_of=columns["manner_of"],
        cell_of=columns["cell_of"],
        quantity_of=columns["quantity_of"],
        times=columns["times"].tobytes(),
        odd_times={_whole(place): _text(text) for place, text in head["odd_times"]},
        voids=dict(zip(columns["void_places"], voided, strict=True)),
        labs=labs,
        heaps=columns["heaps"],
        unheld=columns["unheld"],
        dead=columns["dead"],
        ignored=columns["ignored"],
        order=columns["order"],
        use_cells=columns["use_cells"],
        use_times=columns["use_times"],
        use_last=columns["use_last"],
    )


def _check_fold(fold: Fold, covered: Mapping[str, Covered]) -> None:
    """Make sure that no place lies outside, and that the records are just those of the logs."""
    count = len(fold.manner_of)
    ends = [0, *(stretch.begin + stretch.length for stretch in fold.stretches)]
    _check(all(stretch.begin == end for stretch, end in zip(fold.stretches, ends, strict=False)), "a stretch is off")
    _check(ends[-1] == len(fold.cell_of) == len(fold.quantity_of) == len(fold.order) == count, "a column is off")
    _check(len(fold.times) == count * TIME_LENGTH and fold.times.isascii(), "the times are off")
    _check(len(fold.heaps) == len(fold.cells), "the heaps are off")
    _check(max(fold.manner_of, default=-1) < len(fold.manners), "a manner is off")
    _check(max(fold.cell_of, default=0) <= len(fold.cells), "a cell is off")
    _check(len(fold.use_cells) == len(fold.use_times) == len(fold.use_last), "a column of use is off")
    _check(max(fold.use_cells, default=0) <= len(fold.cells), "a cell of use is off")
    places = (fold.order, fold.unheld, fold.dead, fold.ignored, fold.voids, fold.labs, fold.odd_times)
    _check(all(max(each, default=-1) < count for each in places), "a place is off")
    counts: dict[str, int] = {}
    for stretch in fold.stretches:
        counts[stretch.sitting] = counts.get(stretch.sitting, 0) + stretch.length
    _check(counts == {Path(name).stem: each.records for name, each in covered.items()}, "its records are not the logs'")


def _check(fits: bool, why: str) -> None:
    if not fits:
        raise _UnfitError(why)


def _whole(value: Any) -> int:
    if type(value) is not int or value < 0:
        raise _UnfitError("no whole number")
    return value


def _text(value: Any) -> str:
    if type(value) is not str:
        raise _UnfitError("no text")
    return value


def _manner_fields(manner: Manner) -> list[Any]:
    became = None if manner.became is None else _condition_fields(manner.became)
    return [manner.what, manner.to_bin, manner.target, manner.way, manner.to_fate, became]


def _manner(what: Any, to_bin: Any, target: Any, way: Any, to_fate: Any, became: Any) -> Manner:
    condition = None if became is None else _condition(*became)
    return Manner(What(what), _text(to_bin), _text(target), _text(way), Fate(to_fate), condition)


def _condition_fields(condition: Condition) -> list[Any]:
    grade, flaws = condition
    return [None if grade is None else grade.label, list(flaws)]


def _condition(grade: Any, flaws: Any) -> Condition:
    return None if grade is None else Grade.from_label(_text(grade)), tuple(map(Flaw, flaws))


class _Numbers(dict[Any, int]):
    """Numbers things in the order in which they are first met."""

    def __missing__(self, key: Any) -> int:
        number = self[key] = len(self)
        return number

    def column(self, things: Iterable[Any]) -> array[int]:
        """The numbers of things."""
        return array(NUMBERS, map(self.__getitem__, things))


def _little(column: array[Any], in_place: bool = False) -> array[Any]:
    """A column as it stands in the file, or back again: nothing to do but on machines of the other byte order."""
    if sys.byteorder == "little" or column.itemsize == 1:
        return column
    turned = column if in_place else column[:]
    turned.byteswap()
    return turned
