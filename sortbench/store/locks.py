"""Who may write: one lock for the documents of a bench, one for each sitting that is under way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.model.errors import BenchError, WriteError
from sortbench.store import system
from sortbench.store.durable import looking, refuse_link

if TYPE_CHECKING:
    from filelock import BaseFileLock

BENCH_LOCK = ".bench.lock"
PATIENCE_S = 5.0
"""Seconds to wait for another program to finish writing the documents; a write takes well under one."""

_held_on: list[BaseFileLock] = []
"""Locks that the system did not let go."""


def _acquired(path: Path, timeout_s: float) -> BaseFileLock | None:
    """The lock, held; None if another holds it longer than the timeout in seconds."""
    # Imported here: 25 ms that a program which only reads must not pay.
    from filelock import FileLock, Timeout

    refuse_link(path)
    for _ in range(len(_held_on)):
        _let_go(_held_on.pop(0))
    # Not bound to a thread: a sitting is opened by one thread and may be closed by another.
    lock = FileLock(path, timeout=timeout_s, thread_local=False)
    try:
        lock.acquire(poll_interval=0.02)
    except Timeout:
        return None
    except OSError as error:
        raise WriteError(
            f"{error.strerror or error}: the lock {path} cannot be made.",
            "Make sure that the folder may be written to and that the disk is not full.",
        ) from error
    return lock


def _let_go(lock: BaseFileLock) -> None:
    """Give a lock back. What the system says against it is no reason to call undone what was done under the lock: it is
    tried again before the next one is taken, and ends with the program at the latest.
    """
    try:
        lock.release()
    except OSError:
        _held_on.append(lock)


@contextmanager
def bench_lock(folder: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold the right to write the documents of a bench.

    Raises:
        BenchError: another program holds it longer than ``patience_s`` seconds.
        WriteError: the lock file cannot be made.
    """
    lock = _acquired(folder / BENCH_LOCK, patience_s)
    if lock is None:
        raise BenchError(
            f"The bench {folder} is locked by another program.",
            "Wait until it has finished writing, or close it, and try again.",
        )
    try:
        yield
    finally:
        _let_go(lock)


class SittingLock:
    """Says that a sitting is under way. Its file lies beside the log and goes away with it; a crash leaves the file
    but not the lock.
    """

    def __init__(self, tallies: Path, sitting: str) -> None:
        """Take the lock.

        Raises:
            BenchError: another program writes this sitting.
            WriteError: the lock file cannot be made.
        """
        self._path = sitting_lock_path(tallies, sitting)
        # Not at once: `is_live` may hold a lock for the blink of an eye to see whether it is free.
        lock = _acquired(self._path, 0.3)
        if lock is None:
            raise BenchError(f"The sitting {sitting} is being written by another program.", "Begin a new one.")
        self._lock = lock

    def release(self) -> None:
        """Give the lock back and remove its file; harmless when done twice."""
        if not self._lock.is_locked:
            return
        if system.WINDOWS:  # an open file cannot be removed there
            _let_go(self._lock)
            with suppress(OSError):
                self._path.unlink(missing_ok=True)
            return
        # Removed while still held: whoever waits on the old file sees that it has lost its name and tries anew.
        with suppress(OSError):
            self._path.unlink(missing_ok=True)
        _let_go(self._lock)


def sitting_lock_path(tallies: Path, sitting: str) -> Path:
    """Where the lock of a sitting lies."""
    return tallies / f".{sitting}.lock"


@looking()
def is_live(tallies: Path, sitting: str) -> bool:
    """Whether a program is writing this sitting now. A lock file that nobody holds is a trace of a crash.

    Raises:
        BenchError: the lock cannot be looked at, or (WriteError) not be tried.
    """
    path = sitting_lock_path(tallies, sitting)
    if not path.exists():
        return False
    lock = _acquired(path, 0)
    if lock is None:
        return True
    _let_go(lock)
    return False
