"""Logs of another copy of a bench brought into this one: by record id, whole or not at all, as often as one likes.

A sitting's log is written by one program only, so two copies of it say the same as far as both reach: one is longer, or
one has records that a repair had to move aside in the other. Where two copies give one number to different records,
neither is touched.
"""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import NamedTuple

from sortbench.model.errors import BenchError, WriteError
from sortbench.model.tally import Record, What
from sortbench.store.durable import looking, refuse_link, replace_file
from sortbench.store.folder import BenchFolder
from sortbench.store.locks import is_live
from sortbench.store.log_reading import read_log
from sortbench.store.log_repair import mended_log
from sortbench.store.record_codec import Gap
from sortbench.store.record_decoding import Decoder


class Outcome(StrEnum):
    """What another bench's log is to this one."""

    NEW = "new"  # a sitting that is not here
    MORE = "more"  # records that the log here lacks
    KNOWN = "known"  # nothing that is not here
    BUSY = "busy"  # it has more, but the log here is being written
    DAMAGED = "damaged"  # one of the two cannot be read
    APART = "apart"  # the two say different things under one number


class LogMerge(NamedTuple):
    """One log, and what would be done about it.

    Attributes:
        sitting: whose it is.
        outcome: see :class:`Outcome`.
        fresh: records that are not here, in their order; empty where nothing is taken.
        why: what stands in the way, in words; empty if nothing.
        content: what the log here would hold; empty where it stays as it is.
    """

    sitting: str
    outcome: Outcome
    fresh: tuple[Record, ...] = ()
    why: str = ""
    content: bytes = b""

    @property
    def counted(self) -> int:
        """How many records it brings, the opening one aside."""
        return sum(record.what is not What.OPEN for record in self.fresh)


class _Lines(NamedTuple):
    raw: dict[int, bytes]  # by number; with their newlines
    records: dict[int, Record]


def compare_logs(ours: BenchFolder, theirs: BenchFolder) -> list[LogMerge]:
    """What each log of another bench would bring. Changes nothing.

    Raises:
        BenchError: one of the folders cannot be read.
    """
    here = {log.stem: log for log in ours.logs()}
    return [_compare(here.get(log.stem), log, ours.tallies) for log in theirs.logs()]


def take_logs(ours: BenchFolder, merges: list[LogMerge]) -> None:
    """Write the logs that bring something; each is replaced in one step.

    Raises:
        WriteError: the disk refused; logs before it are written, and merging again goes on from there.
        BenchError: a log has become a symbolic link.
    """
    for merge in merges:
        if not merge.content:
            continue
        path = ours.tallies / f"{merge.sitting}.jsonl"
        try:
            replace_file(path, merge.content)
        except WriteError:
            raise
        except OSError as error:
            raise WriteError(
                f"{path} cannot be written: {error.strerror or error}.",
                "Make sure that the folder may be written to and that the disk is not full, then merge again.",
            ) from error


def _compare(here: Path | None, there: Path, tallies: Path) -> LogMerge:
    sitting = there.stem
    try:
        refuse_link(there)
        found = _lines(there)
    except BenchError as error:
        return LogMerge(sitting, Outcome.DAMAGED, why=str(error))
    if here is None:
        fresh = tuple(found.records.values())
        return LogMerge(sitting, Outcome.NEW, fresh, content=_joined(sitting, found.raw)) if fresh else _known(sitting)
    try:
        refuse_link(here)
        known = _lines(here)
    except BenchError as error:
        return LogMerge(sitting, Outcome.DAMAGED, why=str(error))
    for seq in sorted(known.raw.keys() & found.raw.keys()):
        if known.raw[seq] != found.raw[seq]:
            return LogMerge(sitting, Outcome.APART, why=f"record {seq} says one thing here and another there")
    fresh = tuple(record for seq, record in found.records.items() if seq not in known.raw)
    if not fresh:
        return _known(sitting)
    if is_live(tallies, sitting):
        return LogMerge(sitting, Outcome.BUSY, why="this sitting is under way here; close it, then merge again")
    return LogMerge(sitting, Outcome.MORE, fresh, content=_joined(sitting, known.raw | found.raw))


def _known(sitting: str) -> LogMerge:
    return LogMerge(sitting, Outcome.KNOWN)


@looking()
def _lines(path: Path) -> _Lines:
    """The sound lines of a log by number. What a crash or a writer in the midst of it left at the end is left out.

    Raises:
        BenchError: damaged, unreadable, or from a newer version.
    """
    reading = read_log(path)
    with path.open("rb") as file:
        data = file.read(reading.end)
    decoder = Decoder(path.stem)
    raw: dict[int, bytes] = {}
    records: dict[int, Record] = {}
    for line in data.split(b"\n")[:-1]:
        entry = decoder.one(line)
        if not isinstance(entry, Gap):
            raw[entry.id.seq] = line + b"\n"
            records[entry.id.seq] = entry
    return _Lines(raw, records)


def _joined(sitting: str, raw: dict[int, bytes]) -> bytes:
    return mended_log(sitting, raw)[0]
