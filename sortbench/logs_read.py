"""The logs of a bench taken in: from its snapshot and what was written since, or, where there is none, all of them."""

from __future__ import annotations

import os
from collections.abc import Callable
from enum import Enum
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.engine.ledger import Ledger
from sortbench.model.errors import BenchError
from sortbench.model.tally import Record, What
from sortbench.store.folder import BenchFolder
from sortbench.store.following import FOLD_FILE, LogFollower
from sortbench.store.log_reading import ENDING, no_garbage_collection

if TYPE_CHECKING:
    from sortbench.engine.folding.packed_records import PackedRecords

WORTH_PACKING = 5_000
"""Records that no snapshot covers, from which on a new one is written: reading so many takes some 50 ms."""


class LogsRead:
    """The logs of a bench as they are read, and their snapshot.

    Attributes:
        ledger: all that was taken in at the opening; records that come later are applied to it by whoever reads them.
    """

    def __init__(self, folder: BenchFolder) -> None:
        """
        Raises:
            BenchError: a log is damaged, unreadable or from a newer version.
        """
        self._path = folder.path / FOLD_FILE
        self._opening: list[Record] = []
        self._packed = 0
        with no_garbage_collection():
            packed, self._logs = None, LogFollower(folder.tallies)
            if os.path.lexists(self._path):
                packed, self._logs = _unpacked(self._path, folder.tallies) or (packed, self._logs)
            self.ledger = Ledger(self._logs.read_new(), packed)

    def read_new(self, own: str) -> list[Record]:
        """Records that other sittings wrote since the last look; those of a sitting of our own are left out.

        Raises:
            BenchError: a log is damaged, unreadable or from a newer version.
        """
        found = self._logs.read_new()
        # The record that opens our own log was written beside the first tally, so the ledger has not seen it.
        self._opening += [record for record in found if record.id.sitting == own and record.what is What.OPEN]
        return [record for record in found if record.id.sitting != own]

    def pack(self, own: str, take_in: Callable[[Record], None], at_least: int = WORTH_PACKING) -> bool:
        """Write a snapshot if that makes the next opening noticeably quicker.

        Args:
            own: a sitting of our own, whose records the ledger has already.
            take_in: applies a record that another sitting wrote.
            at_least: records that no snapshot covers yet, below which none is written.

        Returns:
            Whether it was written. It is not where the ledger does not hold just what the logs do, as after a write
            that failed and could not be taken back, nor where a log is damaged or the disk refuses. Nothing is lost by
            it: the next opening reads the logs.
        """
        if len(self.ledger.fresh) - self._packed < at_least:
            return False
        from sortbench.engine.folding.packing import pack
        from sortbench.store.fold_file import Snapshot, write_snapshot

        try:
            for record in self.read_new(own):
                take_in(record)
            covered = self._logs.covered
            if sum(each.records for each in covered.values()) != len(self.ledger.records) + len(self._opening):
                return False
            with no_garbage_collection():
                write_snapshot(self._path, Snapshot(pack(self.ledger, self._opening), covered))
            self._packed = len(self.ledger.fresh)
        except (OSError, BenchError, OverflowError):  # a number too large for a column stands in no honest log
            return False
        return True


def _unpacked(path: Path, tallies: Path) -> tuple[PackedRecords, LogFollower] | None:
    from sortbench.engine.folding.packed_records import PackedRecords
    from sortbench.store.fold_file import read_snapshot

    found = read_snapshot(path, tallies)
    return None if found is None else (PackedRecords(found.fold), LogFollower(tallies, found.covered))


class Standing(Enum):
    """How the snapshot of a bench stands to its logs."""

    NONE = "none"
    UNUSED = "unused"  # made by another version, damaged, or a log was changed since: the logs are read
    RIGHT = "right"
    WRONG = "wrong"  # it would be used, and comes to something else than the logs


def snapshot_standing(folder: BenchFolder) -> Standing:
    """How the snapshot of a bench stands to its logs, all of which are read.

    Raises:
        BenchError: a log is damaged, unreadable or from a newer version.
    """
    from sortbench.engine.folding.in_time import by_time
    from sortbench.engine.folding.packed_records import PackedRecords
    from sortbench.store.fold_file import read_snapshot

    path = folder.path / FOLD_FILE
    if not os.path.lexists(path):
        return Standing.NONE
    found = read_snapshot(path, folder.tallies)
    if found is None:
        return Standing.UNUSED
    ends = {name.removesuffix(ENDING): covered.next_seq for name, covered in found.covered.items()}
    read = LogFollower(folder.tallies).read_new()
    ledger = Ledger(record for record in read if record.id.seq < ends.get(record.id.sitting, 0))
    packed = PackedRecords(found.fold)
    says = Ledger((), packed)
    is_right = (
        len(packed) == len(ledger.records)
        and says.counts == ledger.counts
        and says.verdicts == ledger.verdicts
        and all(ledger.records.get(record.id) == record for record in packed.made())
        and list(packed.fold.order) == list(map(packed.place, map(attrgetter("id"), by_time(ledger.records.values()))))
    )
    return Standing.RIGHT if is_right else Standing.WRONG
