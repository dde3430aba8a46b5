"""Files that the program writes for people, outside what a bench keeps: lists and statements to print or hand on."""

from __future__ import annotations

import html
from pathlib import Path

from sortbench.model.errors import UsageError, WriteError
from sortbench.model.text import shown
from sortbench.store.durable import looking, refuse_link, replace_file
from sortbench.store.folder import BENCH_FILE, PAPERS, TALLIES


def page_text(text: str) -> str:
    """A text that a page shows as it is: nothing in it is taken for markup, what does not print is made to."""
    return html.escape(shown(text), quote=True)


def page_head(title: str, generator: str, style: str) -> tuple[str, ...]:
    """The first lines of an HTML page, up to its body, that lets nothing run and fetches nothing.

    Args:
        title: as people wrote it; it is escaped here.
        generator: the element that tells pages of one sort from all others.
        style: the page's CSS.
    """
    return (
        "<!doctype html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        generator,
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{page_text(title)}</title>",
        f"<style>{style}</style>",
        "</head>",
        "<body>",
    )


@looking()
def write_own_file(path: Path, data: bytes, start: bytes, what: str, *, overwrite: bool = False) -> None:
    """Write a file that people asked for. An earlier one of the same sort in its place is replaced.

    Args:
        start: how each file of that sort begins, so that an earlier one is known.
        what: what it is, for errors: ``pick list``.
        overwrite: replace whatever lies there.

    Raises:
        UsageError: something else lies there, and it is not to be overwritten.
        WriteError: the disk refused; what was there is still there.
        BenchError: the path is a symbolic link.
    """
    if path.is_dir():
        raise UsageError(f"{path} is a folder.", "Name a file.")
    if _is_of_a_bench(path):
        raise UsageError(f"{path} belongs to a bench.", "Choose another name.")
    try:
        if path.exists() and not overwrite and not _begins(path, start):
            raise UsageError(
                f"{path} is there already and holds something else.", "Choose another name, or say --overwrite."
            )
        replace_file(path, data)
    except OSError as error:
        raise WriteError(
            f"The {what} could not be written to {path}: {error.strerror or error}.",
            "Make room or choose another folder; the bench itself is untouched.",
        ) from error


@looking()
def kept_folder(bench: Path, name: str, otherwise: str = "move away what lies in its place") -> Path:
    """A folder in a bench's own for files that people asked for; made where there is none.

    Args:
        otherwise: what else mends it where it cannot be made.

    Args:
        bench: the bench folder.
        name: one of `PAPERS`, in which a check looks for what a crash left.

    Raises:
        WriteError: the disk refused.
        BenchError: it is a symbolic link; nothing is written through it.
    """
    assert name in PAPERS, name
    folder = bench / name
    refuse_link(folder)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise WriteError(
            f"The folder {shown(str(folder))} cannot be made: {error.strerror or error}.",
            f"Make room, mend its rights, or {otherwise}.",
        ) from error
    return folder


def _is_of_a_bench(path: Path) -> bool:
    """Whether a bench keeps something of its own in a file of that name."""
    folder = path.resolve().parent
    return path.name == BENCH_FILE or (folder.name == TALLIES and (folder.parent / BENCH_FILE).exists())


def _begins(path: Path, start: bytes) -> bool:
    with path.open("rb") as file:
        return file.read(len(start)) == start
