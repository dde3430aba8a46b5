"""A layer under the store where system calls can be made to fail, one by one.

Every call by which the program reaches the disk goes through Python's ``os``, ``io.open`` or ``fcntl``; the layer
stands in their place for a block of code, counts the calls, and lets one of them (or one and all after it) fail in a
chosen way. A loop that goes on until a run passes without a failure has then failed every call once, the way SQLite is
tested (https://sqlite.org/testing.html, section 3, "Anomaly testing": an I/O error at the first operation, then at the
second, and so on until the test runs through).

What a failing call leaves behind is what the systems' manual pages say: ``close`` closes even when it reports an error
(close(2), "Dealing with error returns"), ``write`` may have taken a part of the bytes, all others have done nothing.
"""

from __future__ import annotations

import errno
import fcntl
import io
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from enum import Enum
from typing import Any
from unittest.mock import patch

CALLS = [
    "open",
    "close",
    "read",
    "write",
    "fsync",
    "fdatasync",
    "ftruncate",
    "fchmod",
    "fstat",
    "stat",
    "lstat",
    "listdir",
    "scandir",
    "mkdir",
    "rename",
    "replace",
    "unlink",
    "rmdir",
    "link",
    "symlink",
    "chmod",
    "utime",
]
"""Functions of ``os`` that ask the system for something on the disk."""


class Fault(Enum):
    """How a call fails."""

    NO_SPACE = errno.ENOSPC
    INPUT_OUTPUT = errno.EIO
    DENIED = errno.EACCES
    INTERRUPTED = errno.EINTR
    SHORT_WRITE = -1
    """A write takes half of the bytes; it and every other call succeed."""
    STOPPED = -2
    """Ctrl+C comes in while the call is made: ``KeyboardInterrupt``, the call done or not as it may be."""


class FaultLayer:
    """Counts the calls and fails one.

    Args:
        at: the number of the call that fails, from 1; 0: none does.
        fault: how.
        onward: all calls after it fail too, as on a disk that stays full or was pulled out.

    Attributes:
        calls: names of the calls that were made.
        failed: whether a call was made to fail.
    """

    def __init__(self, at: int = 0, fault: Fault = Fault.INPUT_OUTPUT, onward: bool = False) -> None:
        self.calls: list[str] = []
        self.failed = False
        self._at, self._fault, self._onward = at, fault, onward
        self._thread = threading.get_ident()

    def due(self, name: str) -> bool:
        """Count a call; whether it is to fail."""
        if threading.get_ident() != self._thread:
            return False
        self.calls.append(name)
        number = len(self.calls)
        due = bool(self._at) and (number == self._at or (self._onward and number > self._at))
        self.failed |= due
        return due

    def error(self, *path: object) -> BaseException:
        """What a failing call raises."""
        if self._fault is Fault.STOPPED:
            return KeyboardInterrupt()
        return OSError(self._fault.value, os.strerror(self._fault.value), *map(str, path))

    def call(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        """A function that stands in for a call."""

        def stand_in(*args: Any, **named: Any) -> Any:
            if not self.due(name):
                return real(*args, **named)
            if self._fault is Fault.SHORT_WRITE:
                if name == "write" and len(args[1]) > 1:
                    return real(args[0], args[1][: len(args[1]) // 2])
                return real(*args, **named)
            if name == "close" or (self._fault is Fault.STOPPED and len(self.calls) % 2):
                real(*args, **named)
            elif name == "write":
                real(args[0], args[1][: len(args[1]) // 3])  # a part went through before the disk refused
            raise self.error(*[each for each in args[:1] if isinstance(each, str | os.PathLike)])

        return stand_in

    def open_file(self, real: Callable[..., Any]) -> Callable[..., Any]:
        """``io.open``, for reading bytes with every read counted; anything else as it is, its opening counted."""

        def stand_in(file: Any, mode: str = "r", *args: Any, **named: Any) -> Any:
            if self.due("open") and self._fault is not Fault.SHORT_WRITE:
                raise self.error(file)
            if mode == "rb" and not isinstance(file, int):
                return io.BufferedReader(_CountedFile(file, self))
            return real(file, mode, *args, **named)

        return stand_in


class _CountedFile(io.FileIO):
    """A file open for reading whose reads and closing go through the layer."""

    def __init__(self, file: Any, layer: FaultLayer) -> None:
        super().__init__(file, "rb")
        self._layer = layer

    def _checked(self) -> None:
        if self._layer.due("read") and self._layer._fault is not Fault.SHORT_WRITE:
            raise self._layer.error()

    def readinto(self, buffer: Any) -> int | None:  # type: ignore[override]
        self._checked()
        return super().readinto(buffer)

    def readall(self) -> bytes:
        self._checked()
        return super().readall() or b""


@contextmanager
def faults(at: int = 0, fault: Fault = Fault.INPUT_OUTPUT, onward: bool = False) -> Iterator[FaultLayer]:
    """Put the layer in for a block; see :class:`FaultLayer`."""
    layer = FaultLayer(at, fault, onward)
    stand_ins = {name: layer.call(name, getattr(os, name)) for name in CALLS if hasattr(os, name)}
    with (
        patch.multiple(os, **stand_ins),
        patch.object(io, "open", layer.open_file(io.open)),
        patch.object(fcntl, "flock", layer.call("flock", fcntl.flock)),
    ):
        yield layer
