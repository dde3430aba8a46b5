"""Bytes that stay: whole writes, syncing, and files that are replaced in one step or not at all."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Container, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sortbench.model.errors import BenchError, WriteError
from sortbench.store.system import SAFE_FLAGS as SAFE_FLAGS
from sortbench.store.system import put_in_place, sync_file
from sortbench.store.system import sync_data as sync_data
from sortbench.store.system import sync_folder as sync_folder

TEMPORARY = ".tmp"
"""Ending of a file that is being written; one found lying about was left by a crash and holds nothing of worth."""
_CHANCE = len(f".01234567{TEMPORARY}")


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


@contextmanager
def looking() -> Iterator[None]:
    """Tell what the system refuses in a block (or a function that this decorates) as an error a person can act on.

    Raises:
        BenchError: a file or folder could not be looked at or read.
    """
    try:
        yield
    except OSError as error:
        raise BenchError(
            f"{error.filename or 'The bench'} cannot be read: {error.strerror or error}.",
            "Check the drive, and that you may read what lies there.",
        ) from error


def names_in(folder: Path, start: str = "", end: str = "") -> list[Path]:
    """What lies in a folder by a name of that start and end, in the order of the names.

    Not ``glob``, which passes over a folder that may not be read as if it were empty: a bench would show no counts.

    Raises:
        BenchError: the folder cannot be read.
    """
    with looking():
        names = sorted(path.name for path in folder.iterdir())
    return [folder / name for name in names if name.startswith(start) and name.endswith(end)]


@looking()
def refuse_link(path: Path) -> None:
    """Make sure that writing to a path stays in its folder.

    Raises:
        BenchError: the path is a symbolic link, or cannot be looked at.
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
    replace_files([(path, (data,))])


def replace_files(files: Iterable[tuple[Path, Iterable[bytes]]]) -> None:
    """Put new contents in place of files of one folder, one at least; as `replace_file`, all written first.

    Files are written, and then take their places, in the order in which they are given; contents are asked for bit by
    bit, so that they need not be held, and each only when those before it are written.

    Raises:
        OSError: the disk refused. All old contents stand, unless it did so while the files took their places: then
            those given first are new, each file whole.
        WriteError: the new contents stand, but the disk did not confirm it: a power cut may bring old ones back.
        BenchError: a path is a symbolic link.
    """
    aside: dict[Path, Path] = {}
    try:
        for path, content in files:
            refuse_link(path)
            temporary = aside[path] = path.with_name(f".{path.name}.{os.urandom(4).hex()}{TEMPORARY}")
            _write_aside(temporary, path, content)
        for path, temporary in aside.items():
            put_in_place(temporary, path)
    except BaseException:
        for temporary in aside.values():
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


def _write_aside(temporary: Path, path: Path, content: Iterable[bytes]) -> None:
    """Write a file that is to take the place of another, whose access rights it gets, and sync it."""
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | SAFE_FLAGS, 0o666)
    try:
        if hasattr(os, "fchmod"):
            with suppress(FileNotFoundError):
                os.fchmod(descriptor, stat.S_IMODE(path.stat().st_mode))
        for data in content:
            write_all(descriptor, data)
        sync_file(descriptor)
    finally:
        os.close(descriptor)


def clear_leftovers(folder: Path, names: Container[str], before_s: float) -> None:
    """Remove what crashes left of files of these names, unless it was still being written after a moment.

    What cannot be removed stays: it does no harm.

    Args:
        folder: where the files lie.
        names: of the files themselves.
        before_s: the moment, in seconds of the system's clock.
    """
    with suppress(OSError):
        for path in list(folder.iterdir()):
            if is_leftover(path) and path.name[1:-_CHANCE] in names and path.lstat().st_mtime < before_s:
                path.unlink()


def is_leftover(path: Path) -> bool:
    """Whether a file is what a crash left of a ``replace_file``."""
    chance = path.name.removesuffix(TEMPORARY)[-8:]
    made_here = len(chance) == 8 and not chance.strip("0123456789abcdef")
    return path.name.startswith(".") and path.name.endswith(f".{chance}{TEMPORARY}") and made_here
