"""Copies of ``bench.json`` and of the library kept before they are upgraded or merged: a folder ``backups``."""

from __future__ import annotations

from pathlib import Path

from sortbench.store.durable import looking, names_in, refuse_link, replace_file, sync_folder

BACKUPS = "backups"
ENDINGS = (".json", ".jsonl")
"""Of the copies: those of ``bench.json`` and those of the library."""


def keep_copy(bench: Path, name: str, data: bytes, ending: str = ".json") -> Path:
    """Keep bytes under a name; a copy that is there already with other bytes stays, the new one gets a number.

    Args:
        bench: the bench folder.
        name: of the copy, without its ending.
        data: what to keep.
        ending: of the copy, one of ``ENDINGS``.

    Returns:
        Where it lies.

    Raises:
        OSError, WriteError: the disk refused.
        BenchError: ``backups`` or the copy is a symbolic link.
    """
    folder = bench / BACKUPS
    refuse_link(folder)
    if not folder.is_dir():
        folder.mkdir()
        sync_folder(bench)
    path, number = folder / f"{name}{ending}", 1
    while path.exists() or path.is_symlink():
        refuse_link(path)
        if path.read_bytes() == data:
            return path
        number += 1
        path = folder / f"{name}-{number}{ending}"
    replace_file(path, data)
    return path


@looking()
def copies(bench: Path) -> list[Path]:
    """All copies that were kept, by name; none where the folder is missing or a link.

    Raises:
        BenchError: the folder cannot be read.
    """
    folder = bench / BACKUPS
    if not folder.is_dir() or folder.is_symlink():
        return []
    return sorted(path for ending in ENDINGS for path in names_in(folder, end=ending))
