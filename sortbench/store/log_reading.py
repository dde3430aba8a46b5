"""A log read back: every record checked, a torn end set aside, anything else that is wrong refused."""

from __future__ import annotations

import gc
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple, cast

from sortbench.model.errors import BenchError
from sortbench.model.tally import Record
from sortbench.store.record_codec import Gap, NewerFormatError, UnsoundError, is_sitting_id
from sortbench.store.record_decoding import Decoder

ENDING = ".jsonl"
_CHUNK = 100_000
"""Bytes decoded together."""
NO_LINE_BREAK = "the line break after the record is damaged"


class DamagedLog(BenchError):  # noqa: N818 - read as what it is, it needs no suffix
    """A log that is not what was written.

    Attributes:
        file: the log.
        line: the first line that is wrong, from 1.
        reason: what is wrong with it, as the end of a sentence.
    """

    def __init__(self, file: Path, line: int, reason: str) -> None:
        super().__init__(
            f"{file}, line {line}: {reason}.",
            "Run `sortbench check` to see all damage; `sortbench check --repair` keeps every sound record and moves "
            "the damaged bytes aside.",
        )
        self.file = file
        self.line = line
        self.reason = reason


class LogReading(NamedTuple):
    """What a log says.

    Attributes:
        sitting: whose log it is.
        records: in the order of their numbers.
        torn: bytes after the last newline: a write cut short by a crash or a power cut, never acknowledged.
        end: length in bytes of the sound part; where the next reading goes on.
        next_seq: number of the record that follows.
        gaps: records that an earlier repair moved aside.
        check: CRC-32 of all bytes up to ``end``, given that of the bytes before where the reading began.
    """

    sitting: str
    records: list[Record]
    torn: bytes
    end: int
    next_seq: int
    gaps: list[Gap]
    check: int


def read_log(path: Path) -> LogReading:
    """Read a whole log.

    Bytes after the last newline are set aside as ``torn``: the newline is the last byte of each write, so a write cut
    short lacks it. A last line that does end in a newline but whose checksum is wrong is therefore no write cut short;
    it may have been acknowledged, so it is damage and refused like damage anywhere else. (A power cut may also leave
    pages of one unfinished write out of order, newline present and middle missing. That record was not acknowledged,
    but nothing in the file tells the two cases apart, so the answer is the cautious one.) An empty file, or one that
    holds nothing but a torn first line, is a sitting without records.

    What no checksum can find is a log that ends earlier on a whole line, as after restoring an old copy: that is a
    sound, shorter log.

    Raises:
        DamagedLog: something is wrong before the last newline.
        NewerFormatError: written by a newer version.
        BenchError: the file cannot be read.
    """
    return read_from(path, path.stem, 0, 1)


def read_from(path: Path, sitting: str, offset: int, next_seq: int, check: int = 0) -> LogReading:
    """Read what was appended since an earlier reading ended at ``offset`` bytes with ``next_seq`` to follow and this
    ``check``.

    A line that another program is just writing shows as ``torn`` and is read whole the next time.

    Raises:
        DamagedLog, NewerFormatError, BenchError: as ``read_log``; also if the file became shorter.
    """
    data = _tail_of(path, offset)
    if not is_sitting_id(sitting):
        raise DamagedLog(path, 1, f"{sitting[:80]!r} is no name of a sitting")
    end = data.rfind(b"\n") + 1
    text = data[:end]
    decoder = Decoder(sitting)
    try:
        with no_garbage_collection():
            entries = [entry for chunk in _chunks(text) for entry in decoder.many(chunk)]
            records, gaps, following = _in_sequence(entries, next_seq)
    except UnsoundError:
        index, reason = _first_unsound(decoder, text.split(b"\n")[:-1], next_seq)
        raise DamagedLog(path, _lines_before(path, offset) + index + 1, reason) from None
    except NewerFormatError as error:
        raise BenchError(f"{path}: {error.message}", error.mend) from error
    if decoder.is_sealed(data[end:-1]):  # all of a record and one byte more: no write cut short
        raise DamagedLog(path, _lines_before(path, offset + end) + 1, NO_LINE_BREAK)
    return LogReading(sitting, records, data[end:], offset + end, following, gaps, zlib.crc32(text, check))


@contextmanager
def no_garbage_collection() -> Iterator[None]:
    """A hundred thousand new records set the collector off again and again, and none of them is garbage: without it
    reading takes about half the time.
    """
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _tail_of(path: Path, offset: int) -> bytes:
    try:
        with path.open("rb") as file:
            size = file.seek(0, 2)
            if size < offset:
                raise DamagedLog(path, 1, f"it shrank from {offset} to {size} bytes while it was being read")
            file.seek(offset)
            return file.read()
    except OSError as error:
        raise unreadable_log(path, error) from error


def unreadable_log(path: Path, error: OSError) -> BenchError:
    """The error for a log that the system does not let us read."""
    return BenchError(
        f"The log {path} cannot be read: {error.strerror or error}.",
        "Check that the file is there and that you may read it.",
    )


def _chunks(text: bytes) -> Iterator[bytes]:
    """Whole lines, some hundreds at a time: what reading needs on the way is then small and is used over and over."""
    begin = 0
    while begin < len(text):
        end = text.rfind(b"\n", begin, begin + _CHUNK) + 1 or text.index(b"\n", begin) + 1
        yield text[begin:end]
        begin = end


def _lines_before(path: Path, offset: int) -> int:
    if not offset:
        return 0
    with path.open("rb") as file:
        return file.read(offset).count(b"\n")


def _in_sequence(entries: list[Record | Gap], next_seq: int) -> tuple[list[Record], list[Gap], int]:
    if Gap not in set(map(type, entries)):  # nearly always: no need to walk through both kinds
        whole = cast("list[Record]", entries)
        if [record.id.seq for record in whole] != list(range(next_seq, next_seq + len(whole))):
            raise UnsoundError("the numbers do not follow each other")
        return whole, [], next_seq + len(whole)
    gaps = [entry for entry in entries if isinstance(entry, Gap)]
    records = []
    for entry in entries:
        following = after(entry, next_seq)
        if isinstance(entry, Record):
            records.append(entry)
        next_seq = following
    return records, gaps, next_seq


def after(entry: Record | Gap, expected: int) -> int:
    """The number that follows an entry.

    Raises:
        UnsoundError: the entry is not the expected one.
    """
    first, last = (entry.first, entry.last) if isinstance(entry, Gap) else (entry.id.seq, entry.id.seq)
    if first > expected:
        missing = f"{expected}" if first == expected + 1 else f"{expected} to {first - 1}"
        raise UnsoundError(f"record {first} stands where {expected} was to follow: {missing} missing")
    if first < expected:
        raise UnsoundError(f"record {first} stands where {expected} was to follow: doubled or out of order")
    return last + 1


def _first_unsound(decoder: Decoder, lines: list[bytes], next_seq: int) -> tuple[int, str]:
    """Index and reason of the first line that is wrong."""
    for index, line in enumerate(lines):
        try:
            next_seq = after(decoder.one(line), next_seq)
        except UnsoundError as error:
            return index, str(error)
    raise AssertionError("every line is sound one by one, yet not together")
