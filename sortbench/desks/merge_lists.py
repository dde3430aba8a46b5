"""The libraries of two copies of a bench brought together, list by list, each with its code as the key."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from sortbench.engine.merging.tables import Merged, Sides, merge_tables
from sortbench.model.errors import BenchError, WriteError
from sortbench.model.library import SetList
from sortbench.store.backups import keep_copy
from sortbench.store.library import library_bytes, load_library, save_library
from sortbench.store.locks import bench_lock

TABLE = "library"
_NOTHING = Merged({TABLE: {}}, (), (), ())


class ListsMerge(NamedTuple):
    """What merging the libraries would do.

    Attributes:
        ours, theirs: the two bench folders.
        merged: their lists, as the one table ``library``.
        why: why they are left alone; empty where they are not.
        files: the files of both, byte for byte, as they were looked at; None where there is none.
    """

    ours: Path
    theirs: Path
    merged: Merged
    why: str
    files: tuple[bytes | None, bytes | None]


def look_at_lists(ours: Path, theirs: Path, sides: Sides) -> ListsMerge:
    """What the other library would bring. A damaged one keeps nothing else from being merged.

    Args:
        ours: the bench folder that is added to.
        theirs: the one that is read.
        sides: which side holds where lists differ.

    Raises:
        DataError: both of two lists are to be kept.
    """
    try:
        files = library_bytes(ours), library_bytes(theirs)
        if files[1] is None or files[0] == files[1]:
            return ListsMerge(ours, theirs, _NOTHING, "", files)
        tables: tuple[Mapping[str, SetList], Mapping[str, SetList]] = load_library(ours), load_library(theirs)
    except BenchError as error:
        return ListsMerge(ours, theirs, _NOTHING, error.message, (None, None))
    return ListsMerge(ours, theirs, merge_tables({TABLE: tables[0]}, {TABLE: tables[1]}, sides), "", files)


def merge_lists(seen: ListsMerge, stamp: str) -> tuple[Path, ...]:
    """Write what was looked at; both files as they were are kept in ``backups``.

    Args:
        seen: what :func:`look_at_lists` answered.
        stamp: of the copies' names.

    Returns:
        The copies that were kept.

    Raises:
        BenchError: a library changed since it was looked at, or another program writes.
        WriteError: the disk refused.
    """
    if not seen.merged.changes:
        return ()
    kept = []
    with bench_lock(seen.ours):
        if (library_bytes(seen.ours), library_bytes(seen.theirs)) != seen.files:
            raise BenchError(
                "A library changed since it was looked at, so no list was brought in. All else was.", "Merge again."
            )
        try:
            for name, data in zip(("library-before-merge", "library-merged"), seen.files, strict=True):
                if data is not None:
                    kept.append(keep_copy(seen.ours, f"{name}-{stamp}", data, ".jsonl"))
        except OSError as error:
            raise WriteError(
                f"No copy of the library can be kept: {error.strerror or error}. No list was brought in; all else was.",
                "Make sure that the folder may be written to and that the disk is not full, and merge again.",
            ) from error
        save_library(seen.ours, seen.merged.tables[TABLE])
    return tuple(kept)
