"""Statements of a bench's targets: what can be said of each, and files of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

from sortbench.engine.finishing.statement import Statement as Statement
from sortbench.engine.finishing.statement import statement_of
from sortbench.engine.finishing.statement_words import Section as Section
from sortbench.engine.finishing.statement_words import about as about
from sortbench.engine.finishing.statement_words import list_words as list_words
from sortbench.engine.finishing.statement_words import sections as sections
from sortbench.engine.finishing.statement_words import verdict as verdict
from sortbench.engine.reconciling.what_if import find_target
from sortbench.sitting import utc_now

if TYPE_CHECKING:
    from sortbench.desk import Desk

FOLDER = "statements"
"""The folder within a bench's that statements written by the app go into."""


def statement(bench: Desk, code: str, *, as_shared: bool = False, clock: Callable[[], datetime] = utc_now) -> Statement:
    """What can be said of a target, for today (UTC).

    Args:
        as_shared: speak of what the target would get if it were picked now, instead of what lies in its crate.

    Raises:
        DataError: no such target.
    """
    find_target(bench.picture, code)
    documents = bench.documents
    return statement_of(
        bench.picture,
        code,
        f"{clock():%Y-%m-%d}",
        batches=documents.batches.values(),
        treatments=documents.treatments.values(),
        spots=documents.spots.values(),
        recounts=documents.recounts.values(),
        as_shared=as_shared,
    )


def keep_files(bench: Desk, stated: Statement) -> tuple[Path, ...]:
    """Write a statement as text, Markdown and HTML into the bench's folder; earlier ones of the target are replaced.

    Returns:
        The files written.

    Raises:
        UsageError: something else lies in the place of one of them.
        WriteError: the disk refused.
        BenchError: the folder in the bench is a symbolic link.
    """
    from sortbench.papers.own_files import kept_folder
    from sortbench.papers.statement_files import markdown_of, page_of, text_of, write_statement

    folder = kept_folder(bench.path, FOLDER)
    written = []
    for ending, text in ((".txt", text_of(stated)), (".md", markdown_of(stated)), (".html", page_of(stated))):
        path = folder / (_file_name(stated.code) + ending)
        write_statement(path, text)
        written.append(path)
    return tuple(written)


def _file_name(code: str) -> str:
    """A target's code as a name that every file system takes: other characters by their number.

    A code with small letters gets its checksum too: some systems take ``T-07`` and ``t-07`` for one name.
    """
    name = "".join(char if char.isascii() and (char.isalnum() or char in "-_") else f"_{ord(char):x}_" for char in code)
    mark = "" if code == code.upper() else f"-{crc32(code.encode()):08x}"
    return f"statement-{name[:100]}{mark}"
