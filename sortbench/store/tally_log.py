"""The append-only log of one sitting: what is shown as counted is on the disk."""

from __future__ import annotations

import os
import threading
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType

from sortbench.model.errors import BenchError, WriteError
from sortbench.model.tally import Record, RecordId, What
from sortbench.store.durable import SAFE_FLAGS, sync_data, sync_folder, write_all
from sortbench.store.locks import SittingLock
from sortbench.store.log_reading import ENDING, DamagedLog, LogReading, read_from, read_log
from sortbench.store.record_codec import Gap, encode, is_sitting_id

__all__ = [
    "DamagedLog",
    "Gap",
    "LogReading",
    "SittingLog",
    "encode",
    "new_sitting_id",
    "read_from",
    "read_log",
]

_BASE32 = "abcdefghijklmnopqrstuvwxyz234567"
_REOPEN = "Leave and open the bench again; everything shown before still stands."


def new_sitting_id(now: datetime) -> str:
    """An id such as ``20260301T093000Z-k3f9xq``: sorts by time; 30 random bits keep two sittings begun in the same
    second apart.

    Args:
        now: with a time zone.
    """
    stamp = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    return f"{stamp}-{''.join(_BASE32[byte % 32] for byte in os.urandom(6))}"


class SittingLog:
    """Writes one sitting. The file comes into being with the first record, so that looking leaves no trace.

    Attributes:
        path: the log.
        sitting: its id.
        next_seq: number that the next record must carry; 2 at first, for number 1 is the opening record, which is
            written together with the first record that is appended.
    """

    def __init__(self, folder: Path, sitting: str) -> None:
        if not is_sitting_id(sitting):
            raise BenchError(f"{sitting[:80]!r} is no name of a sitting.")
        self.path = folder / f"{sitting}{ENDING}"
        self.sitting = sitting
        self.next_seq = 2
        self._end = 0
        self._descriptor: int | None = None
        self._identity = (0, 0)
        self._lock: SittingLock | None = None
        self._closed_because = ""
        self._turn = threading.Lock()

    def prepare(self) -> None:
        """Take the lock now rather than with the first record, which is then some 40 ms quicker. May be left out.

        Raises:
            BenchError, WriteError: as ``append``.
        """
        with self._turn:
            if self._lock is None and not self._closed_because:
                self._lock = SittingLock(self.path.parent, self.sitting)

    def append(self, record: Record) -> None:
        """Write a record and return once it is on the disk.

        After an error nothing of the record is in the log, and unless the error says otherwise the same record may
        be appended again, for instance once there is space on the disk.

        Raises:
            ValueError: the record is of another sitting or not the next one.
            DataError: the record cannot be kept (see ``record_codec.encode``).
            WriteError: the disk refused; nothing was counted.
            BenchError: another program writes this sitting.
        """
        with self._turn:
            self._append(record)

    def _append(self, record: Record) -> None:
        if record.id != (self.sitting, self.next_seq):
            raise ValueError(f"record {record.id} is not {RecordId(self.sitting, self.next_seq)}")
        if self._closed_because:
            raise WriteError(self._closed_because, _REOPEN)
        line = encode(record)
        if self._end == 0:
            line = encode(Record(RecordId(self.sitting, 1), record.at, What.OPEN)) + line
        descriptor = self._opened()
        self._check_untouched()
        try:
            write_all(descriptor, line)
            sync_data(descriptor)
            if self._end == 0:
                sync_folder(self.path.parent)
        except BaseException as error:
            self._take_back(descriptor, error)
            if isinstance(error, OSError):
                raise WriteError(
                    f"Nothing was counted: {self.path} cannot be written ({error.strerror or error}).",
                    self._closed_because or "Make space on the disk or check the drive, then count again.",
                ) from error
            raise
        self._end += len(line)
        self.next_seq += 1

    def close(self) -> None:
        """End the sitting and give its lock back. A log without a record is removed; harmless when done twice.

        Raises:
            WriteError: the file did not close; every record that was acknowledged is on the disk all the same.
        """
        with self._turn:
            self._close()

    def _close(self) -> None:
        self._closed_because = self._closed_because or f"The sitting {self.sitting} has ended."
        try:
            if self._descriptor is not None:
                descriptor, self._descriptor = self._descriptor, None
                os.close(descriptor)
                if self._end == 0 and self.path.exists() and self.path.stat().st_size == 0:
                    self.path.unlink()
        except OSError as error:
            raise WriteError(f"{self.path} did not close: {error.strerror or error}.", _REOPEN) from error
        finally:
            if self._lock is not None:
                self._lock.release()
                self._lock = None

    def __enter__(self) -> SittingLog:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        self.close()

    def _opened(self) -> int:
        if self._descriptor is None:
            try:
                if self._lock is None:
                    self._lock = self._locked()
                self._descriptor = os.open(
                    self.path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_EXCL | SAFE_FLAGS, 0o666
                )
                # By name, as it is asked for later: what Windows says of an open file need not be the same.
                found = self.path.stat(follow_symlinks=False)
            except FileExistsError as error:
                raise WriteError(f"Nothing was counted: {self.path} exists already.", "Begin a new sitting.") from error
            except OSError as error:
                raise WriteError(
                    f"Nothing was counted: {self.path} cannot be made ({error.strerror or error}).",
                    "Make sure that the folder may be written to and that the disk is not full.",
                ) from error
            self._identity = (found.st_dev, found.st_ino)
        return self._descriptor

    def _locked(self) -> SittingLock:
        try:
            return SittingLock(self.path.parent, self.sitting)
        except WriteError as error:
            raise WriteError(f"Nothing was counted: {error.message}", error.mend) from error

    def _check_untouched(self) -> None:
        """A log deleted, replaced or changed under our hands would swallow tallies: two microseconds well spent."""
        try:
            found = self.path.stat(follow_symlinks=False)
            sound = (found.st_dev, found.st_ino) == self._identity and found.st_size == self._end
        except OSError:
            sound = False
        if not sound:
            self._closed_because = (
                f"Nothing was counted: {self.path} was removed, replaced or changed by another program."
            )
            raise WriteError(
                self._closed_because,
                "Put the file back as it was if you can, run `sortbench check`, then open the bench again.",
            )

    def _take_back(self, descriptor: int, cause: BaseException) -> None:
        """Cut the log back to its last good end, on the disk too; if even that fails, write no more."""
        try:
            os.ftruncate(descriptor, self._end)
            sync_data(descriptor)  # else a power cut may bring back what was told to be not counted
        except OSError as error:
            self._closed_because = (
                f"The log {self.path} is closed to further writing: after a failed write ({cause}) it could not be cut "
                f"back ({error.strerror or error}), so the last entry, shown as not counted, may be in it."
            )
