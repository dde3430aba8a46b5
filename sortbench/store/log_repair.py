"""Damage in a log: found in full, and mended without losing a sound record."""

from __future__ import annotations

import errno
import os
import re
from dataclasses import dataclass
from pathlib import Path

from sortbench.model.errors import BenchError, WriteError
from sortbench.store.durable import SAFE_FLAGS, replace_file, sync_folder, write_all
from sortbench.store.log_reading import NO_LINE_BREAK, DamagedLog, LogReading, read_log
from sortbench.store.record_codec import Gap, UnsoundError, encode_gap, is_sitting_id
from sortbench.store.record_decoding import Decoder, sitting_named_by

# A quotation mark inside a JSON text is escaped, so neither end of this pattern can match inside one. Where a second
# record begins before the first has ended, the first is broken.
_RECORD_SHAPE = re.compile(rb'\{"seq":(?:(?!\{"seq":).)*?,"crc":"[0-9a-f]{8}"\}', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Damage:
    """Something wrong in a log.

    Attributes:
        line: from 1.
        offset, length: where it stands and how long it is, in bytes.
        reason: as the end of a sentence.
        torn: the end of a write cut short: nothing acknowledged is lost.
    """

    line: int
    offset: int
    length: int
    reason: str
    torn: bool = False


@dataclass(frozen=True, slots=True)
class RepairReport:
    """What a repair did.

    Attributes:
        file: the log, under its name after the repair.
        changed: whether anything had to be done.
        kept: sound records in the log now.
        missing: numbers of the records that are gone.
        moved: bytes moved aside.
        aside: where they are now; None if there were none.
    """

    file: Path
    changed: bool
    kept: int
    missing: tuple[Gap, ...] = ()
    moved: int = 0
    aside: Path | None = None


@dataclass(frozen=True, slots=True)
class _Scan:
    damages: list[Damage]
    sound: dict[int, bytes]  # by number; lines with their newline
    aside: bytes  # every byte that is not, as it stands, a sound record or gap line


def examine(path: Path) -> list[Damage]:
    """Everything that is wrong in a log, in the order of the file; empty for a sound one.

    Raises:
        BenchError: the file cannot be read, or a newer version wrote it.
    """
    return [] if sound_reading(path) is not None else _scan(_bytes_of(path), path).damages


def repair(path: Path) -> RepairReport:
    """Mend a log. The caller makes sure that nobody is writing it.

    Every sound record stays, byte for byte, in the order of the numbers; sound records inside a damaged line (two
    lines run together, a newline lost) are kept as well. All other bytes go to ``<name>.damaged-<n>`` beside the log,
    which is written first; where numbers are missing between sound records a gap line says so. The log is replaced in
    one step, so a crash leaves it as it was or mended. A log that was renamed gets its name back.

    Raises:
        BenchError: cannot be read, a symbolic link, written by a newer version, or renamed while the right name is
            taken by a log that says something else.
        WriteError: the disk refused; the log is as it was.
    """
    if path.is_symlink():
        raise BenchError(f"{path} is a symbolic link; it is not repaired.", "Repair the file that it points to.")
    reading = sound_reading(path)
    if reading is not None:
        return RepairReport(path, changed=False, kept=len(reading.records))
    data = _bytes_of(path)
    rightful = _rightful_path(path, data)
    try:
        if rightful != path:
            return _rename(path, rightful, data)
        scan = _scan(data, path)
        aside = _set_aside(path, scan.aside) if scan.aside else None
        content, missing = mended_log(path.stem, scan.sound)
        replace_file(path, content)
    except OSError as error:
        raise WriteError(
            f"{path} cannot be repaired: {error.strerror or error}. It is as it was.",
            "Make sure that the folder may be written to and that the disk is not full.",
        ) from error
    return RepairReport(path, True, len(scan.sound), missing, len(scan.aside), aside)


def sound_reading(path: Path) -> LogReading | None:
    """What a wholly sound log says, None for any other: the quick way to find nothing.

    Raises:
        BenchError: the file cannot be read, or a newer version wrote it.
    """
    try:
        reading = read_log(path)
    except DamagedLog:
        return None
    return None if reading.torn else reading


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise BenchError(f"The log {path} cannot be read: {error.strerror or error}.") from error


def _scan(data: bytes, path: Path) -> _Scan:
    decoder = Decoder(path.stem)
    entries: list[tuple[Damage, bytes, Gap | None]] = []  # a place, its bytes, the numbers it stands for
    sound: dict[int, bytes] = {}
    aside = bytearray()
    named = sitting_named_by(data.partition(b"\n")[0])
    if named and named != path.stem:
        reason = f"the log belongs to the sitting {named}: the file was renamed"
        return _Scan([Damage(1, 0, len(data), reason)], {}, b"")
    offset = 0
    for number, raw in enumerate(_lines(data), 1):
        place = Damage(number, offset, len(raw), "")
        offset += len(raw)
        unbroken = not raw.endswith(b"\n") and decoder.is_sealed(raw[:-1])
        torn = not raw.endswith(b"\n") and not unbroken
        try:
            if unbroken:
                raise UnsoundError(NO_LINE_BREAK)
            if torn:
                raise UnsoundError("the end of a write that was cut short")
            entry = decoder.one(raw[:-1])
        except UnsoundError as error:
            entries.append((Damage(number, place.offset, place.length, str(error), torn), raw, None))
            aside += raw
            for line in _RECORD_SHAPE.findall(raw):
                _salvage(decoder, line, sound)
            continue
        if isinstance(entry, Gap):
            entries.append((place, raw, entry))
            continue
        if sound.setdefault(entry.id.seq, raw) is not raw:
            aside += raw
        entries.append((place, raw, Gap(entry.id.seq, entry.id.seq)))
    return _Scan(_damages(entries, sound), sound, bytes(aside))


def _lines(data: bytes) -> list[bytes]:
    *whole, rest = data.split(b"\n")
    return [line + b"\n" for line in whole] + ([rest] if rest else [])


def _salvage(decoder: Decoder, line: bytes, sound: dict[int, bytes]) -> None:
    try:
        entry = decoder.one(line)
    except UnsoundError:
        return
    if not isinstance(entry, Gap):
        sound.setdefault(entry.id.seq, line + b"\n")


def _damages(entries: list[tuple[Damage, bytes, Gap | None]], sound: dict[int, bytes]) -> list[Damage]:
    """Unsound lines, and sound ones that do not stand where their number says."""
    found: list[Damage] = []
    seen: set[int] = set()
    expected = 1
    excused = False  # an unsound line explains why the next number is not the expected one
    for place, _, span in entries:
        if span is None:
            found.append(place)
            excused = True
            continue
        reason = ""
        if span.first in seen:
            reason = f"record {span.first} stands twice"
        elif span.first < expected:
            reason = f"record {span.first} is out of order"
        elif span.first > expected and not excused:
            last = span.first - 1
            if any(expected <= number <= last for number in sound):
                reason = f"record {span.first} is out of order"
            else:
                numbers = f"record {expected} is" if last == expected else f"records {expected} to {last} are"
                reason = f"{numbers} missing"
        seen.add(span.first)
        expected = max(expected, span.last + 1)
        excused = False
        if reason:
            found.append(Damage(place.line, place.offset, place.length, reason))
    return found


def mended_log(sitting: str, sound: dict[int, bytes]) -> tuple[bytes, tuple[Gap, ...]]:
    content = bytearray()
    missing: list[Gap] = []
    expected = 1
    for seq in sorted(sound):
        if seq > expected:
            missing.append(Gap(expected, seq - 1))
            content += encode_gap(sitting, missing[-1])
        content += sound[seq]
        expected = seq + 1
    return bytes(content), tuple(missing)


def _set_aside(path: Path, data: bytes) -> Path:
    """Keep damaged bytes in the first free ``<name>.damaged-<n>``."""
    aside, descriptor = _first_free(path)
    try:
        write_all(descriptor, data)
        os.fsync(descriptor)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    finally:
        os.close(descriptor)
    sync_folder(path.parent)
    return aside


def _first_free(path: Path) -> tuple[Path, int]:
    for number in range(1, 10_000):
        aside = path.with_name(f"{path.name}.damaged-{number}")
        try:
            return aside, os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | SAFE_FLAGS, 0o666)
        except FileExistsError:
            continue
    raise OSError(errno.EEXIST, f"too many files {path.name}.damaged-<n>")


def _rightful_path(path: Path, data: bytes) -> Path:
    """Where the log belongs by its own first line."""
    named = sitting_named_by(data.partition(b"\n")[0])
    return path.with_name(f"{named}{path.suffix}") if named and is_sitting_id(named) else path


def _rename(path: Path, rightful: Path, data: bytes) -> RepairReport:
    """Give a renamed log its name back, or set a copy aside that says nothing new."""
    if not rightful.exists():
        path.rename(rightful)
        sync_folder(path.parent)
        mended = repair(rightful)
        return RepairReport(rightful, True, mended.kept, mended.missing, mended.moved, mended.aside)
    if not rightful.read_bytes().startswith(data):
        raise BenchError(
            f"{path.name} is a copy of {rightful.name} that says something else.",
            "Compare the two, keep the one that is right under that name, and move the other out of the folder.",
        )
    aside = _set_aside(path, data)
    path.unlink()
    sync_folder(path.parent)
    return RepairReport(path, changed=True, kept=0, moved=len(data), aside=aside)
