"""Lines of a log read back: checked against their checksums, and built into records.

How a line is written says ``record_codec``.
"""

from __future__ import annotations

import json
import re
import struct
import zlib
from collections.abc import Sequence
from functools import partial
from itertools import repeat
from typing import Any

from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of
from sortbench.model.tally import Cell, Condition, Fate, Reading, Record, RecordId, What
from sortbench.model.target import MAX_QUANTITY
from sortbench.store.record_codec import FORMAT, Gap, NewerFormatError, UnsoundError, flaw_of_record, is_sitting_id

_TAIL = len(',"crc":"00000000"}')
_CELL_FIELDS = frozenset({"bin", "part", "shade", "family", "grade", "flaws", "fate"})
_FIELDS = _CELL_FIELDS | {
    "seq",
    "at",
    "what",
    "n",
    "to",
    "to_fate",
    "to_grade",
    "to_flaws",
    "lab",
    "target",
    "voids",
    "way",
    "format",
    "sitting",
    "crc",
}
_PLAIN_TALLY = ("what", "n", "bin", "part", "shade", "grade", "way")
_GRADES = {grade.label: grade for grade in Grade}
_FATES = {fate.value: fate for fate in Fate}
_WHATS = {what.value: what for what in What}
# Any line but the first as ``encode`` writes it: what is under the checksum, of that number, time and the rest, and the
# checksum. Other spellings take the longer road. The time is plain ASCII here, for decoding it must not depend on
# JSON's escapes.
_COMMON = re.compile(
    rb'^(\{"seq":([2-9]|[1-9][0-9]{1,17}),"at":"([ !#-\[\]-~]*)",("what":.*)),"crc":"(.{8})"\}\n', re.MULTILINE
)
_COLUMNS = 1 + _COMMON.groups

_Said = tuple[What, Cell | None, int, str, str, RecordId | None, str, Fate, Condition | None, Reading | None]
"""What a record says besides its id and time, in the order of its fields."""


class Decoder:
    """Reads lines of one sitting back, checking everything. Like cells come back as the same object."""

    def __init__(self, sitting: str) -> None:
        self.sitting = sitting
        self._seed = zlib.crc32(sitting.encode())
        self._cells: dict[Cell, Cell] = {}
        self._conditions: dict[tuple[Any, ...], tuple[Grade | None, Flaws, Fate]] = {}
        self._shapes: set[tuple[str, ...]] = set()
        self._said: dict[bytes, _Said] = {}

    def is_sealed(self, line: bytes) -> bool:
        """Whether the checksum at the end of a line, newline left out, fits."""
        return line[-_TAIL:] == b',"crc":"%08x"}' % zlib.crc32(line[:-_TAIL], self._seed)

    def one(self, line: bytes) -> Record | Gap:
        """A line, newline left out, as what it says.

        Raises:
            UnsoundError: it is no sound record of this sitting.
            NewerFormatError: it is the first line of a log written by a newer version.
        """
        if not self.is_sealed(line):
            raise UnsoundError(self._why_unsealed(line))
        try:
            fields = json.loads(line)
        except (ValueError, RecursionError):
            raise UnsoundError("it is no JSON") from None
        return self.built(fields)

    def many(self, text: bytes) -> list[Record | Gap]:
        """Many lines at once, each with its newline, several times faster than one by one.

        What follows number and time is much the same from tally to tally, so it is parsed and checked once and found
        by its bytes from then on. Everything is done for all lines before the next thing is, which keeps the work out
        of loops in Python: reading is most of what a start of the app waits for.

        Raises:
            UnsoundError: one of them is unsound; ``one`` tells which and why.
            NewerFormatError: as for ``one``.
        """
        pieces = _COMMON.split(text)
        others = pieces[::_COLUMNS]  # before, between and after the common lines
        bodies, seqs, times, rests, sums = (pieces[column::_COLUMNS] for column in range(1, _COLUMNS))
        found = struct.pack(f">{len(sums)}I", *map(zlib.crc32, bodies, repeat(self._seed))).hex().encode()
        if found != b"".join(sums):
            raise UnsoundError("the checksum does not fit")
        # First, for the opening line may tell that all the others were written by a newer version.
        uncommon = {
            place: [self.one(line) for line in other[:-1].split(b"\n")] for place, other in enumerate(others) if other
        }
        self._learn_what_is_said(list(set(rests).difference(self._said)))
        records = self._together(seqs, times, rests)
        entries: list[Record | Gap] = []
        begin = 0
        for place, between in uncommon.items():
            entries += records[begin:place]
            entries += between
            begin = place
        entries += records[begin:]
        return entries

    def _together(self, seqs: Sequence[bytes], times: Sequence[bytes], rests: Sequence[bytes]) -> list[Record]:
        """Records from their fields; made as plain tuples are, in half the time of calling their classes."""
        as_id, as_record = partial(tuple.__new__, RecordId), partial(tuple.__new__, Record)
        ids = map(as_id, zip(repeat(self.sitting), map(int, seqs), strict=False))
        ats = b"\n".join(times).decode().split("\n")  # none holds a line break
        said = map(self._said.__getitem__, rests)
        return [as_record((rid, at, *says)) for rid, at, says in zip(ids, ats, said, strict=False)]

    def _learn_what_is_said(self, rests: list[bytes]) -> None:
        """Parse and check what records say besides number and time."""
        try:
            parsed = json.loads(b"[{%b}]" % b"},{".join(rests)) if rests else []
        except (ValueError, RecursionError):
            raise UnsoundError("it is no JSON") from None
        if len(parsed) != len(rests):
            raise UnsoundError("it is no single object")
        for rest, fields in zip(rests, parsed, strict=True):
            plain = self._plain_tally(fields)
            if plain is not None:
                self._said[rest] = plain
                continue
            entry = self.built({"seq": 2, "at": "", **fields})
            if isinstance(entry, Gap) or entry.id.seq != 2 or entry.at:
                raise UnsoundError("number or time stand twice")
            self._said[rest] = entry[2:]

    def _plain_tally(self, fields: dict[str, Any]) -> _Said | None:
        """What is said by far the most often, a tally of flawless pieces as ``encode`` writes it; None if it is not
        that, or not sound: then the longer road tells.
        """
        if tuple(fields) != _PLAIN_TALLY:
            return None
        what, quantity, bin_label, part, shade, label, way = fields.values()
        if not (type(bin_label) is type(part) is type(shade) is type(label) is type(way) is str):
            return None
        grade = _GRADES.get(label)
        if grade is None or what != "tally" or type(quantity) is not int or not 1 <= quantity <= MAX_QUANTITY:
            return None
        cell = Cell(bin_label, part, shade, "", grade, ())
        return What.TALLY, self._cells.setdefault(cell, cell), quantity, "", "", None, way, Fate.KEPT, None, None

    def built(self, fields: Any) -> Record | Gap:
        """Parsed JSON as what it says.

        Raises:
            UnsoundError: a field is unknown, missing, of the wrong type or out of range.
            NewerFormatError: written by a newer version.
        """
        if type(fields) is not dict:
            raise UnsoundError("it is no object")
        if "format" in fields:
            self._check_format(fields)
        if "gap" in fields:
            return _gap(fields)
        said = self._what_is_said(fields)
        seq, at = fields.get("seq"), fields.get("at")
        if not (type(seq) is int and type(at) is str):
            raise UnsoundError("a field is missing or of the wrong type")
        record = Record(RecordId(self.sitting, seq), at, *said)
        if reason := flaw_of_record(record):
            raise UnsoundError(reason)
        return record

    def _what_is_said(self, fields: dict[str, Any]) -> _Said:
        shape = tuple(fields)
        if shape not in self._shapes:
            self._learn(shape)
        get = fields.get
        quantity, to_bin, target, way = get("n", 0), get("to", ""), get("target", ""), get("way", "")
        if not (type(quantity) is int and type(way) is type(to_bin) is type(target) is str):
            raise UnsoundError("a field is missing or of the wrong type")
        try:
            what = _WHATS.get(fields["what"])
            to_fate = _FATES.get(fields["to_fate"]) if "to_fate" in fields else Fate.KEPT
            cell = self._cell(fields) if "grade" in fields else None
            became = (
                self._known_condition(get("to_grade"), get("to_flaws", []), "kept")[:2]
                if "to_grade" in fields
                else None
            )
        except TypeError:
            raise UnsoundError("a field is of the wrong type") from None
        if what is None or to_fate is None:
            raise UnsoundError("what it says is not known")
        voids = _record_id(fields["voids"]) if "voids" in fields else None
        lab = _reading(fields["lab"]) if "lab" in fields else None
        return what, cell, quantity, to_bin, target, voids, way, to_fate, became, lab

    def _learn(self, shape: tuple[str, ...]) -> None:
        """Accept a sequence of keys, once for all lines that have it."""
        unknown = sorted(set(shape) - _FIELDS)
        if unknown:
            raise UnsoundError(f"the field {unknown[0][:40]!r} is not known")
        if "what" not in shape:
            raise UnsoundError("it does not say what happened")
        if "grade" not in shape and _CELL_FIELDS.intersection(shape):
            raise UnsoundError("it speaks of pieces but not of their grade")
        if "to_flaws" in shape and "to_grade" not in shape:
            raise UnsoundError("it says what flaws were found but no grade")
        self._shapes.add(shape)

    def _cell(self, fields: dict[str, Any]) -> Cell:
        get = fields.get
        bin_label, part, shade, family = get("bin", ""), get("part", ""), get("shade", ""), get("family", "")
        if not (type(bin_label) is type(part) is type(shade) is type(family) is str):
            raise UnsoundError("a field of the pieces is of the wrong type")
        condition = self._known_condition(get("grade"), get("flaws", []), get("fate", "kept"))
        cell = Cell(bin_label, part, shade, family, *condition)
        return self._cells.setdefault(cell, cell)

    def _known_condition(self, grade: Any, flaws: Any, fate: Any) -> tuple[Grade | None, Flaws, Fate]:
        if type(flaws) is not list:
            raise UnsoundError("the flaws are no list")
        raw = (grade, tuple(flaws), fate)
        condition = self._conditions.get(raw)
        if condition is None:
            condition = self._conditions[raw] = _condition(*raw)
        return condition

    def _check_format(self, fields: dict[str, Any]) -> None:
        version = fields["format"]
        if type(version) is not int or version < 1:
            raise UnsoundError("its format version is no whole number")
        if version > FORMAT:
            raise NewerFormatError(version)
        if fields.get("what") != "open" and "gap" not in fields:
            raise UnsoundError("only the first record carries a format version")
        if "gap" not in fields and fields.get("sitting") != self.sitting:
            raise UnsoundError("it names another sitting")

    def _why_unsealed(self, line: bytes) -> str:
        other = sitting_named_by(line)
        if other and other != self.sitting:
            return f"it belongs to the sitting {other}: the file was renamed"
        return "the checksum does not fit"


def sitting_named_by(line: bytes) -> str:
    """The sitting that a sound opening line, newline left out, names; empty for any other line."""
    if b'"open"' not in line:
        return ""
    try:
        named = json.loads(line)["sitting"]
    except (ValueError, RecursionError, KeyError, TypeError):
        return ""
    return named if isinstance(named, str) and is_sitting_id(named) and Decoder(named).is_sealed(line) else ""


def _condition(grade: Any, flaws: tuple[Any, ...], fate: Any) -> tuple[Grade | None, Flaws, Fate]:
    if type(fate) is not str:
        raise UnsoundError("a field of the pieces is of the wrong type")
    if grade is not None and type(grade) is not str:
        raise UnsoundError("the grade is of the wrong type")
    try:
        return (
            None if grade is None else Grade.from_label(grade),
            flaws_of(Flaw(flaw) for flaw in flaws),
            Fate(fate),
        )
    except (ValueError, DataError):
        raise UnsoundError("a grade, flaw or fate is not known") from None


def _record_id(raw: Any) -> RecordId:
    if type(raw) is not list or len(raw) != 2 or type(raw[0]) is not str or type(raw[1]) is not int:
        raise UnsoundError("what it voids is no record")
    return RecordId(raw[0], raw[1])


def _reading(raw: Any) -> Reading:
    if type(raw) is not list or len(raw) != 3 or not all(type(each) in (int, float) for each in raw):
        raise UnsoundError("its reading is not three numbers")
    try:
        return float(raw[0]), float(raw[1]), float(raw[2])
    except OverflowError:
        raise UnsoundError("its reading is no colour of a piece") from None


def _gap(fields: dict[str, Any]) -> Gap:
    span = fields["gap"]
    if set(fields) != {"gap", "format", "crc"} or type(span) is not list or len(span) != 2:
        raise UnsoundError("the gap line is malformed")
    first, last = span
    if type(first) is not int or type(last) is not int or not 1 <= first <= last:
        raise UnsoundError("the gap line names no records")
    return Gap(first, last)
