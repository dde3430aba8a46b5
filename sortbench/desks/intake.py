"""Bringing in lists of all that is set up: looked at first, written only when every row is good."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from sortbench.engine.importing.cells import RowError, Sheet
from sortbench.engine.importing.columns import ColumnMatch, match_columns, signature
from sortbench.engine.importing.fields import FIELDS
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.errors import DataError, UsageError
from sortbench.model.library import SetList
from sortbench.model.text import shown
from sortbench.papers.own_files import kept_folder
from sortbench.store.documents import BenchDocuments, Documents, Draft
from sortbench.store.durable import looking
from sortbench.store.folder import BenchFolder
from sortbench.store.library import load_library, save_library
from sortbench.store.system import file_name
from sortbench.store.tables import Table, read_table, table_bytes, write_table

REFUSED_FOLDER = "refused"
"""Folder inside the bench that takes the rows that were left out."""

REASON_HEADER = "refused because"
_LONGEST_STEM = 80


@dataclass(frozen=True, slots=True)
class FileIntake:
    """One file as it was read.

    Attributes:
        path: as the user named it.
        table: its header and rows.
        match: which column holds what.
        errors: what is wrong with its rows.
    """

    path: Path
    table: Table
    match: ColumnMatch
    errors: tuple[RowError, ...]

    @property
    def refused_rows(self) -> int:
        """Rows left out: each may have several errors."""
        if self.match.missing:
            return len(self.table.rows)
        bad = {line for error in self.errors for line in (error.line, *error.also)}
        return sum(row.number in bad for row in self.table.rows)


@dataclass(frozen=True, slots=True)
class IntakePreview:
    """What an import would do; nothing has been written.

    Attributes:
        what: which list, one of those that :data:`sortbench.engine.importing.fields.FIELDS` names.
        files: in the order given.
        plan: what the good rows come to.
        learns: whether a column match would be remembered that is not yet.
    """

    what: str
    files: tuple[FileIntake, ...]
    plan: Plan
    learns: bool
    _sheets: tuple[Sheet, ...]
    _defaults: Mapping[str, str]

    @property
    def errors(self) -> tuple[RowError, ...]:
        """Everything wrong with any row, in the order of files and lines."""
        return tuple(error for file in self.files for error in file.errors)

    @property
    def same(self) -> bool:
        """Whether the bench already holds just what the good rows say."""
        return self.plan.same

    @property
    def counts_words(self) -> str:
        """How many are new, changed, unchanged, and on the list no longer."""
        plan = self.plan
        counts = (
            (len(plan.new), "new"),
            (len(plan.changed), "changed"),
            (len(plan.unchanged), "unchanged"),
            (len(plan.removed), "taken off the list"),
        )
        return ", ".join(f"{count:,} {word}" for count, word in counts if count) or "no rows taken"

    @property
    def unreadable(self) -> tuple[Path, ...]:
        """Files lacking a column that their kind of list cannot do without; no row of theirs can be taken."""
        return tuple(file.path for file in self.files if file.match.missing)


@dataclass(frozen=True, slots=True)
class IntakeResult:
    """What an import did.

    Attributes:
        written: whether the bench was changed.
        refused: files that hold the rows left out, each with its reason.
    """

    written: bool
    refused: tuple[Path, ...] = ()


def documents_of(folder: Path) -> Documents:
    """The documents of the bench in a folder.

    Raises:
        BenchError: no bench there.
    """
    return BenchFolder.open(folder).documents


def preview(
    documents: Documents,
    what: str,
    paths: Sequence[Path],
    *,
    fixed: Mapping[str, str] | None = None,
    defaults: Mapping[str, str] | None = None,
) -> IntakePreview:
    """Read files and work out what bringing them in would do.

    Args:
        documents: the bench's.
        what: which list, one of those that :data:`sortbench.engine.importing.fields.FIELDS` names.
        paths: files of delimited text; one named twice is read once.
        fixed: field to header, as the user says; an empty header leaves a field out. For several files a header need
            stand in one of them only.
        defaults: values for what no column says (``target``, ``name``, ``year``, ``rank``; ``rest`` for bins), and
            what is wanted otherwise (``known_only`` for targets; ``replace`` for stand-ins; ``keep`` for offers).

    Raises:
        DataError: a file cannot be read as a table.
        UsageError: a fixed field, a fixed header or a default cannot be meant.
        BenchError: the documents cannot be read.
    """
    if what not in FIELDS:
        raise UsageError(f"{shown(what)!r} is nothing to bring in.", f"Say one of {', '.join(FIELDS)}.")
    paths = list(dict.fromkeys(paths))
    now = documents.load()
    tables = [read_table(path) for path in paths]
    matches = [
        match_columns(table.headers, FIELDS[what], now.columns.get(signature(what, table.headers), {}), known)
        for table, known in zip(tables, _fixed_by_file(tables, fixed or {}), strict=True)
    ]
    sheets = tuple(
        Sheet(shown(str(path)), path.stem, table.delimiter, match, table.rows)
        for path, table, match in zip(paths, tables, matches, strict=True)
    )
    given = dict(defaults or {})
    plan = work_out(what, sheets, _state(now, _library(documents, what)), given)
    files = tuple(
        FileIntake(path, table, match, tuple(error for error in plan.errors if error.file == sheet.file))
        for path, table, match, sheet in zip(paths, tables, matches, sheets, strict=True)
    )
    learns = any(now.columns.get(key) != match for key, match in _remembered(what, files).items())
    return IntakePreview(what, files, plan, learns, sheets, given)


def commit(documents: Documents, seen: IntakePreview, skip_bad: bool = False) -> IntakeResult:
    """Write what a preview showed, all or nothing; nothing at all where nothing changes.

    Args:
        documents: the bench's.
        seen: the preview.
        skip_bad: take the good rows and put the others into the bench's folder ``refused``.

    Raises:
        DataError: a row is bad and not to be skipped, a file lacks a column, or the bench changed since the preview.
        BenchError: the bench is locked or damaged.
        WriteError: the disk refused; the documents are as they were.
    """
    if seen.unreadable:
        raise DataError(
            f"{shown(str(seen.unreadable[0]))} lacks a column; nothing was written.",
            "Name it with --column FIELD=HEADER.",
        )
    if seen.errors and not skip_bad:
        count = sum(file.refused_rows for file in seen.files)
        raise DataError(
            f"{count} {'row is' if count == 1 else 'rows are'} bad; nothing was written.",
            "Mend the file, or take the good rows with --skip-bad.",
        )
    if seen.same and not seen.learns:
        return IntakeResult(False, _write_refused(documents.path.parent, seen))
    with documents.edit() as draft:
        library = _library(documents, seen.what)
        if work_out(seen.what, seen._sheets, _state(draft, library), seen._defaults) != seen.plan:
            raise DataError("The bench was changed while you looked; nothing was written.", "Bring the file in again.")
        refused = _write_refused(documents.path.parent, seen)
        _apply(draft, seen)
        if seen.plan.library:
            save_library(documents.path.parent, {**library, **{each.code: each for each in seen.plan.library}})
    return IntakeResult(True, refused)


def _fixed_by_file(tables: Sequence[Table], fixed: Mapping[str, str]) -> list[Mapping[str, str]]:
    """What is fixed for each file: with several, a header that stands in one of them is not asked of the others."""
    if len(tables) == 1:
        return [fixed]
    somewhere = {header for table in tables for header in table.headers}
    return [
        {field: header for field, header in fixed.items() if header in table.headers or header not in somewhere}
        for table in tables
    ]


def _library(documents: Documents, what: str) -> Mapping[str, SetList]:
    """The library, where it is what is brought in; nothing else needs it."""
    return load_library(documents.path.parent) if what == "library" else {}


def _state(documents: BenchDocuments | Draft, library: Mapping[str, SetList]) -> State:
    return State(
        documents.parts,
        documents.shades,
        documents.targets,
        tuple(documents.bins),
        documents.swaps,
        documents.sellers,
        documents.offers,
        library,
    )


def _remembered(what: str, files: Sequence[FileIntake]) -> dict[str, dict[str, str]]:
    return {signature(what, file.table.headers): file.match.remember for file in files if not file.match.missing}


def _apply(draft: Draft, seen: IntakePreview) -> None:
    draft.parts |= {part.code: part for part in seen.plan.parts}
    draft.shades |= {shade.name: shade for shade in seen.plan.shades}
    draft.targets |= {target.code: target for target in seen.plan.targets}
    if seen.plan.bins is not None:
        draft.bins[:] = seen.plan.bins
    if seen.plan.swaps is not None:
        draft.swaps = {swap.key: swap for swap in seen.plan.swaps}
    draft.sellers |= {seller.name: seller for seller in seen.plan.sellers}
    if seen.plan.offers is not None:
        draft.offers = {offer.id: offer for offer in seen.plan.offers}
    draft.columns |= _remembered(seen.what, seen.files)


@looking()
def _write_refused(bench: Path, seen: IntakePreview) -> tuple[Path, ...]:
    """Put the refused rows of each file beside the bench's documents, the reasons in a last column."""
    bad = [file for file in seen.files if file.refused_rows]  # an error may speak of the header alone
    if not bad:
        return ()
    folder = kept_folder(bench, REFUSED_FOLDER)
    return tuple(_write_refused_rows(folder, file) for file in bad)


def _write_refused_rows(folder: Path, file: FileIntake) -> Path:
    reasons: dict[int, list[str]] = {}
    for error in file.errors:
        said = f"{error.column}: {error.reason}" if error.column else error.reason
        for line in (error.line, *error.also):
            reasons.setdefault(line, []).append(said)
    width = max([len(file.table.headers), *(len(row.cells) for row in file.table.rows if row.number in reasons)])
    headers = [*file.table.headers, *(f"column {place}" for place in range(len(file.table.headers) + 1, width + 1))]
    rows = [
        [*row.cells, *[""] * (width - len(row.cells)), f"line {row.number}: {' '.join(reasons[row.number])}"]
        for row in file.table.rows
        if row.number in reasons
    ]
    path = _free_path(folder, file.path, table_bytes([*headers, REASON_HEADER], rows))
    write_table(path, [*headers, REASON_HEADER], rows)
    return path


def _free_path(folder: Path, source: Path, content: bytes) -> Path:
    """A name that is not taken, so that rows refused earlier stay; one that holds just this content serves again."""
    name, turn = f"{file_name(source.name[:_LONGEST_STEM])}.refused", 1
    path = folder / f"{name}.csv"
    while path.is_symlink() or (path.exists() and not _holds(path, content)):
        turn += 1
        path = folder / f"{name}-{turn}.csv"
    return path


def _holds(path: Path, content: bytes) -> bool:
    try:
        return path.is_file() and path.read_bytes() == content
    except OSError:
        return False
