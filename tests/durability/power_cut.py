"""A disk that loses power: what was written since the last sync is gone, or there in part, or in another order.

The layer records what a program asks of the disk; from the record any power cut can be played: a call ended, and of
all that was not synced by then, any part may be on the disk. Writes are torn at borders of 512 bytes and 4 KiB, the
pieces kept or lost one by one; where a piece is lost and a later one kept, the file has zeros. Names (files made,
renamed, removed) are kept in their order up to some point, folder by folder, unless the folder was synced: syncing a
file does not keep its name (fsync(2): "does not necessarily ensure that the entry in the directory containing the file
has also reached disk").
"""

from __future__ import annotations

import os
import random
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

BORDERS = (512, 4096)


@dataclass
class _File:
    """A file as it is and as it surely is.

    Attributes:
        kept: the bytes that are on the disk.
        pending: writes (offset, data) and cuts (length, None) since the last sync, in their order.
    """

    kept: bytes = b""
    pending: list[tuple[int, bytes | None]] = field(default_factory=list)

    def now(self) -> bytes:
        content = bytearray(self.kept)
        for offset, data in self.pending:
            _put(content, offset, data)
        return bytes(content)

    def after_a_cut(self, chance: random.Random, mode: str) -> bytes:
        content = bytearray(self.kept)
        border = chance.choice(BORDERS)
        for offset, data in self.pending:
            if data is None:
                if mode == "all" or (mode == "some" and chance.random() < 0.5):
                    _put(content, offset, None)
                continue
            for begin, piece in _pieces(offset, data, border):
                if mode == "all" or (mode == "some" and chance.random() < 0.5):
                    _put(content, begin, piece)
        return bytes(content)


def _put(content: bytearray, offset: int, data: bytes | None) -> None:
    if data is None:
        del content[offset:]
        content.extend(bytes(offset - len(content)))
        return
    content.extend(bytes(max(0, offset - len(content))))
    content[offset : offset + len(data)] = data


def _pieces(offset: int, data: bytes, border: int) -> Iterator[tuple[int, bytes]]:
    begin = offset
    while begin < offset + len(data):
        end = min(offset + len(data), (begin // border + 1) * border)
        yield begin, data[begin - offset : end - offset]
        begin = end


_Names = dict[str, _File]


class Disk:
    """Records what is asked of the disk under one folder.

    Attributes:
        moments: how many calls changed something so far; a power cut may come after each.
        cuts: by moment, plays the cut into an empty folder.
    """

    def __init__(self, root: Path) -> None:
        self._root = root.resolve()
        self._names: _Names = {}
        self._kept: _Names = {}
        self._folders: dict[str, bool] = {}
        self._pending: dict[str, list[Callable[[_Names], None]]] = {}
        self._open: dict[int, tuple[_File | str, bool, int]] = {}
        self.moments = 0
        self.at_moment: Callable[[], None] = lambda: None
        for path in sorted(self._root.rglob("*")):
            if path.is_file():
                self._names[self._own(path) or ""] = _File(path.read_bytes())
            else:
                self._folders[self._own(path) or ""] = True
        self._kept = dict(self._names)

    def _own(self, path: Any) -> str | None:
        """A path within the folder, None for any other."""
        try:
            return str(Path(os.path.abspath(path)).relative_to(self._root))  # noqa: PTH100 - resolve() asks the disk
        except (ValueError, TypeError):
            return None

    def cut(self, into: Path, chance: random.Random, mode: str) -> None:
        """Lay down what may be on the disk if the power goes now.

        Args:
            mode: ``none`` of what was not synced, ``all`` of it, or ``some``.
        """
        for folder in self._folders:
            (into / folder).mkdir(parents=True, exist_ok=True)
        names = dict(self._kept)
        for changes in self._pending.values():
            last = {"none": 0, "all": len(changes)}.get(mode, chance.randint(0, len(changes)))
            for change in changes[:last]:
                change(names)
        for name, file in names.items():
            (into / name).parent.mkdir(parents=True, exist_ok=True)
            (into / name).write_bytes(file.after_a_cut(chance, mode))

    def _changed(self) -> None:
        self.moments += 1
        self.at_moment()

    def _name(self, path: str, change: Callable[[_Names], None]) -> None:
        change(self._names)
        self._pending.setdefault(str(Path(path).parent), []).append(change)

    # What stands in for the calls; each does the real thing first.

    def open(self, real: Callable[..., int], path: Any, flags: int, *args: Any, **named: Any) -> int:
        own = self._own(path)
        new = own is not None and not os.path.lexists(path)
        descriptor = real(path, flags, *args, **named)
        if own is None:
            return descriptor
        if os.path.isdir(path):  # noqa: PTH112
            self._open[descriptor] = own, False, 0
            return descriptor
        if new:
            made = _File()
            self._name(own, lambda names: names.__setitem__(own, made))
            self._changed()
        self._open[descriptor] = self._names[own], bool(flags & os.O_APPEND), 0
        return descriptor

    def write(self, real: Callable[..., int], descriptor: int, data: bytes) -> int:
        taken = real(descriptor, data)
        if descriptor in self._open:
            file, append, place = self._open[descriptor]
            assert isinstance(file, _File)
            file.pending.append((len(file.now()) if append else place, bytes(data[:taken])))
            self._open[descriptor] = file, append, place + taken
            self._changed()
        return taken

    def ftruncate(self, real: Callable[..., None], descriptor: int, length: int) -> None:
        real(descriptor, length)
        if descriptor in self._open:
            file = self._open[descriptor][0]
            assert isinstance(file, _File)
            file.pending.append((length, None))
            self._changed()

    def fsync(self, real: Callable[..., None], descriptor: int) -> None:
        real(descriptor)
        if descriptor not in self._open:
            return
        file = self._open[descriptor][0]
        if isinstance(file, _File):
            file.kept, file.pending = file.now(), []
        else:
            for change in self._pending.pop(file, []):
                change(self._kept)
        self._changed()

    def close(self, real: Callable[..., None], descriptor: int) -> None:
        real(descriptor)
        self._open.pop(descriptor, None)

    def replace(self, real: Callable[..., None], path: Any, to: Any, **named: Any) -> None:
        real(path, to, **named)
        own, new = self._own(path), self._own(to)
        if own is not None and new is not None and own in self._names:
            file = self._names[own]

            def change(names: _Names) -> None:
                names.pop(own, None)
                names[new] = file

            self._name(new, change)
            self._changed()

    def unlink(self, real: Callable[..., None], path: Any, **named: Any) -> None:
        real(path, **named)
        own = self._own(path)
        if own in self._names:
            self._name(own, lambda names: names.pop(own, None) and None)
            self._changed()

    def mkdir(self, real: Callable[..., None], path: Any, *args: Any, **named: Any) -> None:
        real(path, *args, **named)
        own = self._own(path)
        if own is not None:
            self._folders[own] = True


@contextmanager
def recorded(root: Path) -> Iterator[Disk]:
    """Record what is asked of the disk under a folder within a block."""
    disk = Disk(root)

    def through(name: str, taken: Callable[..., Any]) -> Callable[..., Any]:
        real = getattr(os, name)
        return lambda *args, **named: taken(real, *args, **named)

    with patch.multiple(
        os,
        open=through("open", disk.open),
        write=through("write", disk.write),
        ftruncate=through("ftruncate", disk.ftruncate),
        fsync=through("fsync", disk.fsync),
        fdatasync=through("fdatasync", disk.fsync),
        close=through("close", disk.close),
        replace=through("replace", disk.replace),
        rename=through("rename", disk.replace),
        unlink=through("unlink", disk.unlink),
        mkdir=through("mkdir", disk.mkdir),
    ):
        yield disk
