"""What differs from system to system: syncing, replacing and removing files. Everything else of the store is the same.

``WINDOWS`` and ``MAC`` are looked at when something is done, so that tests can run the other systems' ways here.
"""

from __future__ import annotations

import errno
import os
import sys
import time
from pathlib import Path

WINDOWS = os.name == "nt"
MAC = sys.platform == "darwin"

# Binary: without it Windows would rewrite line ends. Not inherited and never through a link: a log stays where it is.
SAFE_FLAGS = getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)

# What file systems answer that cannot sync a folder at all; there is nothing better to do there.
_NO_FOLDER_SYNC = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EBADF})

_BUSY = frozenset({errno.EACCES, errno.EPERM, errno.EBUSY})
_TRIES = 40
_WAIT_S = 0.025


def sync_data(descriptor: int) -> None:
    """Return once the bytes and the length of a file are on the disk.

    ``fdatasync`` where there is one. On macOS ``fsync`` leaves bytes in the drive's cache, so ``F_FULLFSYNC`` is asked
    for (its ``fsync(2)`` manual page); elsewhere ``fsync``.

    Raises:
        OSError: the disk refused.
    """
    if MAC:
        _full_sync(descriptor)
    elif hasattr(os, "fdatasync"):
        os.fdatasync(descriptor)
    else:
        os.fsync(descriptor)


def sync_file(descriptor: int) -> None:
    """Return once all of a file is on the disk, what is noted of it included.

    Raises:
        OSError: the disk refused.
    """
    if MAC:
        _full_sync(descriptor)
    else:
        os.fsync(descriptor)


def _full_sync(descriptor: int) -> None:
    import fcntl

    try:
        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)  # type: ignore[attr-defined,unused-ignore]
    except OSError:  # network file systems do not know it
        os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """Return once the names in a folder are on the disk; does nothing where folders cannot be opened (Windows).

    Raises:
        OSError: the disk refused.
    """
    if WINDOWS:
        return
    descriptor = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(descriptor)


def put_in_place(temporary: Path, path: Path) -> None:
    """Let a file take the name of another in one step.

    On Windows a file that somebody reads at that moment cannot be replaced; that passes, so it is tried for a second.

    Raises:
        OSError: the disk refused.
    """
    for _ in range(_TRIES if WINDOWS else 0):
        try:
            temporary.replace(path)
        except OSError as error:
            if error.errno not in _BUSY:
                raise
            time.sleep(_WAIT_S)
        else:
            return
    temporary.replace(path)


_RESERVED = frozenset({"CON", "PRN", "AUX", "NUL", *(f"{name}{n}" for name in ("COM", "LPT") for n in range(1, 10))})
_NOT_IN_NAMES = frozenset('<>:"/\\|?*')


def file_name(text: str) -> str:
    """A text as a file name that all three systems take and keep as it is.

    Characters that Windows refuses, and those that do not print, become their number between underscores; so do dots
    and blanks at the end, which it drops. Names of its devices (``con.csv``) get an underscore in front. List after
    Microsoft, *Naming Files, Paths, and Namespaces*, from memory.
    """
    kept = text.rstrip(". ")
    name = "".join(f"_{ord(char):x}_" if char in _NOT_IN_NAMES or not char.isprintable() else char for char in kept)
    name += "".join(f"_{ord(char):x}_" for char in text[len(kept) :])
    return f"_{name}" if name.partition(".")[0].strip().upper() in _RESERVED else name
