"""Copies of ``bench.json`` kept before it is upgraded or merged: a folder ``backups`` in the bench."""

from __future__ import annotations

from pathlib import Path

from sortbench.store.durable import looking, names_in, refuse_link, replace_file, sync_folder

BACKUPS = "backups"


def keep_copy(bench: Path, name: str, data: bytes) -> Path:
    """Keep bytes under a name; a copy that is there already with other bytes stays, the new one gets a number.

    Args:
        bench: the bench folder.
        name: of the copy, without its ending.
        data: what to keep.

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
    path, number = folder / f"{name}.json", 1
    while path.exists() or path.is_symlink():
        refuse_link(path)
        if path.read_bytes() == data:
            return path
        number += 1
        path = folder / f"{name}-{number}.json"
    replace_file(path, data)
    return path


@looking()
def copies(bench: Path) -> list[Path]:
    """All copies that were kept, by name; none where the folder is missing or a link.

    Raises:
        BenchError: the folder cannot be read.
    """
    folder = bench / BACKUPS
    return names_in(folder, end=".json") if folder.is_dir() and not folder.is_symlink() else []
