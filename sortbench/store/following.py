"""Reads the logs of all sittings, then only what was added to them since."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from sortbench.model.tally import Record
from sortbench.store.durable import names_in
from sortbench.store.log_reading import ENDING, read_from, unreadable_log

FOLD_FILE = ".fold"
"""Name of the snapshot in a bench folder; see ``fold_file``. It stands here, for a small bench has none to read."""


class Covered(NamedTuple):
    """How far a log was taken in.

    Attributes:
        end: bytes, up to and with the line break after the last record.
        next_seq: number of the record that follows.
        check: CRC-32 of those bytes.
        records: how many records they hold.
    """

    end: int = 0
    next_seq: int = 1
    check: int = 0
    records: int = 0


class LogFollower:
    """Follows the logs of a bench: every record once, whichever sitting wrote it.

    Args:
        tallies: the folder of the logs.
        covered: by name, logs that were taken in before, and how far.
    """

    def __init__(self, tallies: Path, covered: Mapping[str, Covered] = MappingProxyType({})) -> None:
        self._tallies = tallies
        self._covered = dict(covered)
        self.torn: dict[Path, bytes] = {}
        """Logs that end in a write cut short, with the bytes set aside."""

    @property
    def covered(self) -> Mapping[str, Covered]:
        """By name, the logs of which something was taken in, and how far."""
        return MappingProxyType(self._covered)

    def read_new(self) -> list[Record]:
        """Records not handed out before, sitting by sitting in the order of their names.

        Raises:
            BenchError: a log is damaged, unreadable or from a newer version; nothing was taken in, and the next call
                reads all of it again.
        """
        fresh: list[Record] = []
        covered, torn = dict(self._covered), dict(self.torn)
        for path in names_in(self._tallies, end=ENDING):
            if path.name[0] == ".":
                continue
            end, following, check, count = covered.get(path.name, Covered())
            try:
                if path.stat().st_size == end:
                    continue
            except FileNotFoundError:  # a sitting that counted nothing takes its log away when it ends
                continue
            except OSError as error:
                raise unreadable_log(path, error) from error
            reading = read_from(path, path.stem, end, following, check)
            torn.pop(path, None)
            if reading.torn:
                torn[path] = reading.torn
            if reading.end > end:
                count += len(reading.records)
                covered[path.name] = Covered(reading.end, reading.next_seq, reading.check, count)
                fresh += reading.records
        self._covered, self.torn = covered, torn
        return fresh
