"""A bench with nothing on it: from what somebody has to the first counted piece."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.desks.intake import IntakePreview, commit, preview
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.model.target import Target

if TYPE_CHECKING:
    from sortbench.bench import Bench

LISTS = frozenset({".csv", ".tsv", ".txt"})
"""Ends of names of files that may be meant by the start of their names."""
NAMED = 4
"""Most files that are named where the start of a name leaves several."""


class FirstDesk:
    """Ways to begin on one bench.

    Args:
        bench: the bench, open for one sitting.
    """

    def __init__(self, bench: Bench) -> None:
        self._bench = bench

    def look(self, typed: str) -> IntakePreview:
        """What bringing in a set's list from a file would do.

        Args:
            typed: the file as a person types it, or as a terminal writes one that is dropped on it: in quotes, or with
                backslashes before blanks. The start of its name is enough where only one list begins so.

        Raises:
            DataError: no such file, several that begin so, or it cannot be read as a list.
        """
        path = _list_meant(path_of(typed))
        seen = preview(self._bench.folder.documents, "targets", [path])
        if seen.unreadable:
            lacking = ", ".join(field.name for field in seen.files[0].match.missing)
            raise DataError(
                f"{path.name} has no column that could be its {lacking}.",
                f"In a shell, say which it is: sortbench import targets FILE --column {lacking.split(', ')[0]}=HEADER",
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
        targets = seen.plan.targets
        said = ", ".join(f"{each.name}: {len(each.lines):,} lines" for each in targets) or "nothing that was new"
        left = sum(file.refused_rows for file in seen.files)
        were = "1 row was" if left == 1 else f"{left:,} rows were"
        kept = f"; {were} left out and kept in the bench's folder {result.refused[0].parent.name}" if left else ""
        return Notice(f"{said}{kept}")

    def write_up(self, typed: str) -> Notice:
        """Begin the list of a set from its manual: a new target, whose lines are typed next.

        Args:
            typed: code, name and year, as ``T-12 Orchard Gate 1991``.

        Raises:
            DataError: the code is taken, or there is no name.
            WriteError: the disk refused.
        """
        target = Target.from_words(typed)
        self._with_shades()
        self._bench.add_target(target)
        self._bench.write_up(target.code)
        return Notice(f"writing up {target.name}: +red plate 2x4 *3 puts three on its list; a dot alone ends it")

    def begin(self) -> Notice:
        """Count with nothing but a pile: words are learnt as they are typed.

        Raises:
            WriteError: the disk refused.
        """
        self._with_shades()
        return Notice("+red plate 2x4 counts one and learns the part; once known, red pl 2x4 will do")

    def _with_shades(self) -> None:
        if self._bench.catalogue.shades:
            return
        from sortbench.engine.entering.basic_shades import BASIC_SHADES

        with self._bench.folder.documents.edit() as draft:
            for shade in BASIC_SHADES:
                draft.shades.setdefault(shade.name, shade)
        self._bench.reload()


def path_of(typed: str) -> Path:
    """A file as a person names it: see :meth:`FirstDesk.look`."""
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
