"""Bytes that stay: whole writes, syncing, and files that are replaced in one step or not at all."""

from __future__ import annotations

import errno
import os
import stat
import sys
from contextlib import suppress
from pathlib import Path

from sortbench.model.errors import BenchError, WriteError

TEMPORARY = ".tmp"
"""Ending of a file that is being written; one found lying about was left by a crash and holds nothing of worth."""

# Binary: without it Windows would rewrite line ends. Not inherited and never through a link: a log stays where it is.
SAFE_FLAGS = getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)

# What file systems answer that cannot sync a folder at all; there is nothing better to do there.
_NO_FOLDER_SYNC = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EBADF})


def write_all(descriptor: int, data: bytes) -> None:
    """Write every byte, going on after a short write.

    Raises:
        OSError: the disk refused; some bytes may have been written.
    """
    written = os.write(descriptor, data)
    while written < len(data):
        more = os.write(descriptor, data[written:])
        if more == 0:
            raise OSError(errno.EIO, "the disk took no more bytes")
        written += more


def sync_data(descriptor: int) -> None:
    """Return once the bytes and the length of a file are on the disk.

    ``fdatasync`` where there is one. On macOS ``fsync`` leaves bytes in the drive's cache, so ``F_FULLFSYNC`` is asked
    for (its ``fsync(2)`` manual page); elsewhere ``fsync``.

    Raises:
        OSError: the disk refused.
    """
    if sys.platform == "darwin":
        import fcntl

        try:
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
        except OSError:  # network file systems do not know it
            os.fsync(descriptor)
    elif hasattr(os, "fdatasync"):
        os.fdatasync(descriptor)
    else:
        os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """Return once the names in a folder are on the disk; does nothing where folders cannot be opened (Windows).

    Raises:
        OSError: the disk refused.
    """
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY | getattr(os, "O_DIRECTORY", 0))
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(descriptor)


def refuse_link(path: Path) -> None:
    """Make sure that writing to a path stays in its folder.

    Raises:
        BenchError: the path is a symbolic link.
    """
    if path.is_symlink():
        raise BenchError(
            f"{path} is a symbolic link; nothing is written through it.",
            "Put the real file in its place, or open the folder that holds it.",
        )


def replace_file(path: Path, data: bytes) -> None:
    """Put new content in place of a file: after a crash at any moment the old or the new content is there, whole.

    Temporary file in the same folder, ``fsync``, ``os.replace``, ``fsync`` of the folder. Access rights stay as they
    were.

    Raises:
        OSError: the disk refused; the old content stands.
        WriteError: the new content stands, but the disk did not confirm it: a power cut may bring the old one back.
        BenchError: the path is a symbolic link.
    """
    refuse_link(path)
    temporary = path.with_name(f".{path.name}.{os.urandom(4).hex()}{TEMPORARY}")
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | SAFE_FLAGS, 0o666)
    try:
        try:
            if hasattr(os, "fchmod"):
                with suppress(FileNotFoundError):
                    os.fchmod(descriptor, stat.S_IMODE(path.stat().st_mode))
            write_all(descriptor, data)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        temporary.replace(path)
    except BaseException:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)
        raise
    try:
        sync_folder(path.parent)
    except OSError as error:
        raise WriteError(
            f"{path} was written, but the disk did not confirm it ({error.strerror or error}): after a power cut the "
            "old content may be back.",
            "Check the drive, then make sure that the change is there.",
        ) from error


def is_leftover(path: Path) -> bool:
    """Whether a file is what a crash left of a ``replace_file``."""
    return path.name.startswith(".") and path.name.endswith(TEMPORARY)
