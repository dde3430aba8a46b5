"""What is settled by hand in a plan, at a sitting: held at once, and written aside.

A key that locks a line must not wait for a disk. So what was struck holds from then on, and is on its way to the disk
from the next search on; any number of keys struck before that are one write. What could not be written holds for now,
which is told, and is written with the next.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from sortbench.desk import Desk
from sortbench.desks.kept_aside import KeptAside
from sortbench.desks.plan_settings import Limits, settled_of, settling
from sortbench.engine.planning.plan_lines import LineKey
from sortbench.model.errors import SortbenchError
from sortbench.model.plan_lock import Lock


class _Writing(NamedTuple):
    """Locks (None: let go) and limits (None: as they are) on their way to the disk, as they were struck."""

    kept: KeptAside
    locks: Mapping[LineKey, Lock | None]
    limits: Limits | None


class ByHand:
    """Locks and limits of one sitting.

    Args:
        bench: the bench, open for one sitting.

    Attributes:
        locks: by line, those not written yet among them.
        limits: what plans must keep to.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self.locks: dict[LineKey, Lock] = {}
        self.limits = Limits()
        self._unkept: dict[LineKey, Lock | None] = {}
        """Locks struck, or let go (None), that are not on disk yet."""
        self._limits_unkept = False
        self._writing: _Writing | None = None
        self._waits = False  # whether something is to be written once the write that goes on has ended
        self._heard: Callable[[], None] = lambda: None
        self._lost: tuple[str, ...] = ()
        self._refused = ""

    def lock(self, lock: Lock) -> None:
        """Settle a line by hand."""
        self.locks[lock.line] = self._unkept[lock.line] = lock

    def unlock(self, key: LineKey) -> bool:
        """Let go of a line's lock; whether it had one."""
        if self.locks.pop(key, None) is None:
            return False
        self._unkept[key] = None
        return True

    def limit(self, limits: Limits) -> None:
        """Set what plans must keep to."""
        self.limits, self._limits_unkept = limits, True

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences on locks that were dropped, and on what could not be written."""
        return (*self._lost, self._refused) if self._refused else self._lost

    def keep(self, heard: Callable[[], None]) -> None:
        """Drop locks that lost their line, take in what others settled meanwhile, and have what was struck written.

        Args:
            heard: called, from another thread, once it is written or was given up; :meth:`heed` then says which.

        Raises:
            BenchError: locks that cannot be read.
            DataError: limits that cannot be read, or kept.
        """
        self._heard = heard
        bench, busy = self._bench, not self._has_written(0.0)
        settled, lost = settled_of(bench, self.limits if self._limits_unkept else None)
        self.limits = settled.limits
        self.locks = {lock.line: lock for lock in settled.locks}
        added = [lock for lock in self._unkept.values() if lock is not None]
        kept = bench.documents.locks.values()
        gone = [lock for lock in kept if lock.line in self._unkept and self._unkept[lock.line] is None]
        for key, lock in self._unkept.items():
            if lock is None:
                self.locks.pop(key, None)
            else:
                self.locks[key] = lock
        self._lost = tuple(each.words for each in lost)
        self._waits = busy
        if not busy and (added or gone or lost or self._limits_unkept):
            limits = self.limits if self._limits_unkept else None
            change = settling(bench, added, [*gone, *(each.lock for each in lost)], limits)
            self._writing = _Writing(bench.keep_aside(change, heard), dict(self._unkept), limits)

    def heed(self, wait_s: float = 0.0) -> None:
        """Take in what was written, and have written what was struck meanwhile; waits so many seconds for each."""
        if self._has_written(wait_s) and self._waits:
            try:
                self.keep(self._heard)
            except SortbenchError as error:
                self._refuse(error)
            self._has_written(wait_s)

    def close(self, wait_s: float) -> None:
        """The sitting ends: what was struck is written."""
        self._heard = lambda: None
        self._waits = bool(self._unkept) or self._limits_unkept
        self.heed(wait_s)

    def _has_written(self, wait_s: float) -> bool:
        """Whether nothing is on its way to the disk any more."""
        if not self._bench.settle(wait_s):  # be it ours or how the keypad lies
            return False
        writing = self._writing
        if writing is None:
            return True
        self._writing, kept = None, writing.kept
        if kept.fault is not None:
            raise kept.fault
        self._refused = ""
        if kept.error is not None:
            self._refuse(kept.error)
        elif kept.taken:
            self._unkept = {
                key: lock
                for key, lock in self._unkept.items()
                if key not in writing.locks or writing.locks[key] is not lock
            }
            self._limits_unkept = self._limits_unkept and writing.limits != self.limits
        return True

    def _refuse(self, error: SortbenchError) -> None:
        self._refused = f"Locks and limits could not be kept, and hold for now only: {error}"
