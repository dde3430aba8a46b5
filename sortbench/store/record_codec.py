"""One record, one line: JSON with a checksum at its end.

A line reads ``{"seq":7,"at":"2026-03-01T09:31:12Z","what":"tally","n":12,"bin":"B7","part":"plate-2x4","shade":"red",
"grade":"4-5","flaws":["cracked"],"way":"typed","crc":"0c5d8f21"}``. Empty fields are left out; ``grade`` is written
wherever the record speaks of pieces, as null if nobody judged it, and so is ``to_grade`` in a regrade. A colour that
was measured reads ``"lab":[88.1,-1.2,14.0]``. The checksum is CRC-32 (ISO-HDLC, as in zlib) over the sitting's id and
the bytes of the line before ``,"crc"``, so the sequence number is under it. CRC-32 finds every error burst of up to 32
bits, hence every flipped bit; the checksum itself is compared byte by byte.

A repaired log also holds gap lines, ``{"gap":[4,5],"format":1,"crc":"…"}``: the records numbered 4 to 5 were damaged
and moved aside. They let a later reading accept exactly these gaps and no others, and travel with the log when it is
copied.
"""

from __future__ import annotations

import json
import re
import zlib
from typing import Any, NamedTuple

from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import flaws_of
from sortbench.model.tally import Cell, Fate, Record, What, is_reading
from sortbench.model.target import MAX_QUANTITY

FORMAT = 4
"""Version of the lines, written into the first of each log. Format 1 knew no reserves and no crates, format 2 no
regrades and no readings, format 3 no recounts."""

_SITTING = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,79}")
_WITH_PIECES = frozenset({What.TALLY, What.MOVE, What.LINE, What.RESERVE, What.REGRADE, What.RECOUNT})
_MEASURED = frozenset({What.TALLY, What.REGRADE})
_FOR_A_TARGET = frozenset({What.LINE, What.RESERVE})


class UnsoundError(Exception):
    """A line that is no record; the argument is the reason, as the end of a sentence."""


class NewerFormatError(BenchError):
    """The log was written by a newer version."""

    def __init__(self, found: int) -> None:
        super().__init__(
            f"The log is written in format {found}; this version reads up to format {FORMAT}.",
            "Open the bench with a newer sortbench. Nothing was changed.",
        )


class Gap(NamedTuple):
    """Records that a repair moved aside, first to last number, both included."""

    first: int
    last: int


def is_sitting_id(text: str) -> bool:
    """Whether a text can name a sitting: letters, digits, ``-`` and ``_``, at most 80."""
    return _SITTING.fullmatch(text) is not None


def encode(record: Record) -> bytes:
    """The line of a record, newline included.

    Raises:
        DataError: the record says something that could not be read back; see ``flaw_of_record``.
    """
    reason = flaw_of_record(record)
    if reason:
        raise DataError(f"The record {record.id} cannot be kept: {reason}.")
    fields: dict[str, Any] = {"seq": record.id.seq, "at": record.at, "what": record.what.value}
    if record.what is What.OPEN:
        fields["format"] = FORMAT
        fields["sitting"] = record.id.sitting
    if record.quantity:
        fields["n"] = record.quantity
    if record.cell is not None:
        _add_cell(fields, record.cell)
    if record.to_bin:
        fields["to"] = record.to_bin
    if record.to_fate is not Fate.KEPT:
        fields["to_fate"] = record.to_fate.value
    if record.became is not None:
        grade, flaws = record.became
        fields["to_grade"] = None if grade is None else grade.label
        if flaws:
            fields["to_flaws"] = [flaw.value for flaw in flaws_of(flaws)]
    if record.lab is not None:
        fields["lab"] = list(record.lab)
    if record.target:
        fields["target"] = record.target
    if record.voids is not None:
        fields["voids"] = [record.voids.sitting, record.voids.seq]
    if record.way:
        fields["way"] = record.way
    return _sealed(fields, record.id.sitting)


def encode_gap(sitting: str, gap: Gap) -> bytes:
    """The line that stands for records moved aside, newline included."""
    return _sealed({"gap": [gap.first, gap.last], "format": FORMAT}, sitting)


def _add_cell(fields: dict[str, Any], cell: Cell) -> None:
    for key, value in (("bin", cell.bin), ("part", cell.part), ("shade", cell.shade), ("family", cell.family)):
        if value:
            fields[key] = value
    fields["grade"] = None if cell.grade is None else cell.grade.label
    if cell.flaws:
        fields["flaws"] = [flaw.value for flaw in flaws_of(cell.flaws)]
    if cell.fate is not Fate.KEPT:
        fields["fate"] = cell.fate.value


def _sealed(fields: dict[str, Any], sitting: str) -> bytes:
    try:
        body = json.dumps(fields, ensure_ascii=False, separators=(",", ":"))[:-1].encode()
    except UnicodeEncodeError as error:
        raise DataError("The record holds a lone surrogate, which is no character.", "Remove it.") from error
    return b'%b,"crc":"%08x"}\n' % (body, zlib.crc32(body, zlib.crc32(sitting.encode())))


def _flaw_of_place(record: Record, cell: Cell) -> str:
    """What is wrong with where a record says its pieces are, or are to be."""
    if record.what is What.RESERVE and (cell.kind is None or cell.bin or cell.fate is not Fate.KEPT):
        return "a reserve that does not speak of a kind wherever it lies"
    if record.what is What.RECOUNT and (not cell.bin or cell.fate is not Fate.KEPT or record.to_bin or record.target):
        return "a recount of pieces that lie in no bin"
    if (cell.fate is Fate.CRATE and not cell.bin) or (record.to_fate is Fate.CRATE and not record.to_bin):
        return "pieces in a crate of no target"
    if record.what is What.MOVE and record.target and (record.to_fate, record.to_bin) != (Fate.CRATE, record.target):
        return "a move for a target into another place than its crate"
    return ""


def _flaw_of_condition(record: Record) -> str:
    """What is wrong with the condition or the colour that pieces were found in."""
    if (record.what is What.REGRADE) != (record.became is not None):
        return "a regrade says what the pieces became, and nothing else does"
    if record.became is not None and (record.to_bin or record.target):
        return "a regrade that carries pieces away"
    if record.lab is not None and record.what not in _MEASURED:
        return f"a {record.what.value} with a reading"
    if record.lab is not None and not is_reading(record.lab):
        return "its reading is no colour of a piece"
    return ""


def flaw_of_record(record: Record) -> str:
    """What keeps a record from being a sound one, as the end of a sentence; empty if nothing does.

    Tallies, moves, lines, reserves, regrades and recounts speak of 1 to MAX_QUANTITY pieces of a cell, a line and a
    reserve name their target, a reserve its kind, a regrade what became of its pieces, a recount a bin, pieces in a
    crate name its target, a void names what it voids, and a log opens with its only opening record. Readings stand in
    tallies and regrades.
    """
    what, seq = record.what, record.id.seq
    if not is_sitting_id(record.id.sitting):
        return f"{record.id.sitting[:80]!r} is no sitting"
    if seq < 1:
        return f"its number {seq} is below 1"
    if (what is What.OPEN) != (seq == 1):
        return "the opening record is the first, and no other"
    if what in _WITH_PIECES:
        if record.cell is None:
            return f"a {what.value} without pieces"
        if not 1 <= record.quantity <= MAX_QUANTITY:
            return f"its quantity {record.quantity} is not within 1 to {MAX_QUANTITY}"
        if what in _FOR_A_TARGET and not record.target:
            return f"a {what.value} without a target"
        if reason := _flaw_of_place(record, record.cell):
            return reason
    elif record.cell is not None or record.quantity:
        return f"the record {what.value!r} with pieces"
    elif what is What.VOID and record.voids is None:
        return "a void that names no record"
    if reason := _flaw_of_condition(record):
        return reason
    if record.to_fate is not Fate.KEPT and what is not What.MOVE:
        return f"a {what.value} that carries pieces away"
    if record.voids is not None and (not is_sitting_id(record.voids.sitting) or record.voids.seq < 1):
        return "what it voids is no record"
    return ""
