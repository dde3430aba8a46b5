"""A TinyDB storage whose file is never half written.

TinyDB's own JSON storage truncates and rewrites in place; killed in between, it leaves an unreadable file. This one
gathers what TinyDB writes and puts it in place in one step when told to.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from tinydb.storages import Storage

from sortbench.store.bench_json import Tables, parse_tables
from sortbench.store.durable import replace_file
from sortbench.store.seals import sealed_text


class AtomicStorage(Storage):
    """Keeps the tables in memory until ``commit``. Closing without a commit writes nothing.

    Args:
        path: the file.
        own: the tables that are sealed; see ``seals``.

    Raises:
        BenchError: from ``read``, when the file is no bench file.
    """

    def __init__(self, path: str | Path, own: Collection[str]) -> None:
        self._path = Path(path)
        self._own = own
        self._tables: Tables | None = None
        self._text = b""

    def read(self) -> Tables | None:
        """The tables as last written to this storage, or as in the file; None if there is no file."""
        if self._tables is None and self._path.exists():
            self._text = self._path.read_bytes()
            self._tables = parse_tables(self._path, self._text)
        return self._tables

    def write(self, data: Tables) -> None:
        """Take the tables, to be written by ``commit``."""
        self._tables = data

    def commit(self) -> bool:
        """Put the tables in place of the file if they differ from what it holds; whether they did.

        Raises:
            OSError, BenchError: as ``durable.replace_file``.
            DataError: something in the tables cannot be written as JSON.
        """
        text = sealed_text(self._tables or {}, self._own)
        if text == self._text:
            return False
        replace_file(self._path, text)
        self._text = text
        return True
