"""Lists brought in while a bench is open: a file is named as a person types it, looked into, and taken in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.desks.intake import IntakePreview, commit, preview
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from sortbench.desk import Desk

LISTS = frozenset({".csv", ".tsv", ".txt"})
"""Ends of names of files that may be meant by the start of their names."""
NAMED = 4
"""Most files that are named where the start of a name leaves several."""


class ListsDesk:
    """What is brought in at a sitting.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench

    def look(self, what: str, typed: str) -> IntakePreview:
        """What bringing in a list from a file would do.

        Args:
            what: which list, as :func:`sortbench.desks.intake.preview` has it.
            typed: the file as a person types it, or as a terminal writes one that is dropped on it: in quotes, or with
                backslashes before blanks. The start of its name is enough where only one list begins so.

        Raises:
            DataError: no such file, several that begin so, or it cannot be read as a list.
        """
        path = _list_meant(path_of(typed))
        seen = preview(self._bench.folder.documents, what, [path])
        if seen.unreadable:
            lacking = ", ".join(field.name for field in seen.files[0].match.missing)
            raise DataError(
                f"{path.name} has no column that could be its {lacking}.",
                f"In a shell, say which it is: sortbench import {what} FILE --column {lacking.split(', ')[0]}=HEADER",
            )
        return seen

    def take(self, seen: IntakePreview) -> Notice:
        """Bring in what was looked at; bad rows go into the bench's folder ``refused`` with their reasons.

        Raises:
            DataError: the bench changed since.
            WriteError: the disk refused; the bench is as it was.
        """
        result = commit(self._bench.folder.documents, seen, skip_bad=True)
        self._bench.reload()
        left = sum(file.refused_rows for file in seen.files)
        were = "1 row was" if left == 1 else f"{left:,} rows were"
        kept = f"; {were} left out and kept in the bench's folder {result.refused[0].parent.name}" if left else ""
        return Notice(f"{_taken_words(seen)}{kept}")


def _taken_words(seen: IntakePreview) -> str:
    if seen.what == "targets":
        told = (f"{each.name}: {len(each.lines):,} lines" for each in seen.plan.targets)
        return ", ".join(told) or "nothing that was new"
    return f"{seen.what}: {seen.counts_words}"


def path_of(typed: str) -> Path:
    """A file as a person names it: see :meth:`ListsDesk.look`."""
    text = typed.strip()
    if len(text) > 1 and text[0] == text[-1] and text[0] in "'\"":
        text = text[1:-1]
    elif not Path(text).exists():
        text = text.replace("\\ ", " ")
    return Path(text).expanduser()


def _list_meant(path: Path) -> Path:
    """The file of this name, or the only list beside it whose name begins so, in small letters or capitals."""
    if path.is_file():
        return path
    start = path.name.casefold()
    try:
        begin = sorted(
            each
            for each in path.parent.iterdir()
            if start and each.name.casefold().startswith(start) and each.suffix.casefold() in LISTS and each.is_file()
        )
    except OSError:
        begin = []
    if len(begin) > 1:
        names = ", ".join(each.name for each in begin[:NAMED]) + (", …" if len(begin) > NAMED else "")
        raise DataError(f"Several lists begin so: {names}.", "Type more of the name.")
    if not begin:
        raise DataError(f"There is no file {path}.", "Type its name or the start of it, or drop it on this window.")
    return begin[0]
