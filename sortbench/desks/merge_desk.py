"""Another copy of a bench brought into this one: looked at first, then written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

from sortbench.desks.merge_lists import ListsMerge, look_at_lists, merge_lists
from sortbench.engine.ledger import Ledger
from sortbench.engine.merging.tables import Apart as Apart
from sortbench.engine.merging.tables import Merged, Sides, merge_tables
from sortbench.engine.merging.tables import Side as Side
from sortbench.model.errors import BenchError, DataError, UsageError, WriteError
from sortbench.model.tally import Record
from sortbench.store.backups import keep_copy
from sortbench.store.documents import BenchDocuments, Draft
from sortbench.store.durable import refuse_link
from sortbench.store.folder import BenchFolder
from sortbench.store.log_merge import LogMerge, compare_logs, take_logs
from sortbench.store.log_merge import Outcome as Outcome
from sortbench.store.log_reading import read_log

_SAY_SIDE = "Say which holds with --take: ours, theirs, or one by one as in --take theirs:targets/T-07."


class MergePreview(NamedTuple):
    """What merging would do.

    Attributes:
        ours, theirs: the two folders.
        logs: each log of the other bench, and what it would bring.
        documents: the tables of both.
        lists: the libraries of both.
        fresh: how many records are not here.
        before, after: pieces on the bench without them and with them.
        strangers: whether the two have no sitting in common although both counted: they may be no copies of one bench.
        files: the documents of both, byte for byte, as they were looked at.
    """

    ours: BenchFolder
    theirs: BenchFolder
    logs: tuple[LogMerge, ...]
    documents: Merged
    lists: ListsMerge
    fresh: int
    before: int
    after: int
    strangers: bool
    files: tuple[bytes, bytes]

    @property
    def changes(self) -> bool:
        """Whether there is anything to write."""
        return any(each.changes for each in self.tables) or bool(self.fresh)

    @property
    def tables(self) -> tuple[Merged, Merged]:
        """What is set up, and the library."""
        return self.documents, self.lists.merged

    @property
    def unsettled(self) -> tuple[Apart, ...]:
        """Rows and lists of which nobody said which side holds."""
        return tuple(row for each in self.tables for row in each.unsettled)

    @property
    def refused(self) -> tuple[LogMerge, ...]:
        """Logs that stand as they are although the other bench has another."""
        return tuple(log for log in self.logs if log.why)


def look(folder: Path, other: Path, take: Iterable[str] = ()) -> MergePreview:
    """What another bench would bring. Changes nothing in either.

    Args:
        folder: the bench that is added to.
        other: the bench that is read.
        take: which side holds where rows differ; see :class:`sortbench.engine.merging.tables.Sides`.

    Raises:
        UsageError: the two are one folder.
        DataError: ``take`` names no side, or a row that does not differ, or both of rows that cannot both be kept.
        BenchError: one of them is no bench, damaged, or from a newer version.
    """
    ours, theirs = BenchFolder.open(folder), BenchFolder.open(other)
    if ours.path == theirs.path:
        raise UsageError(f"{other} is this bench itself.", "Name the folder of the other copy.")
    sides = Sides(take)
    files = _bytes_of(ours), _bytes_of(theirs)
    documents = merge_tables(_tables(ours.documents.load()), _tables(theirs.documents.load()), sides)
    lists = look_at_lists(ours.path, theirs.path, sides)
    if unused := sides.unused((*documents.apart, *lists.merged.apart)):
        raise DataError(f"{unused[0]!r} is no row that differs.", "Run the merge without --take to see those that do.")
    logs = tuple(compare_logs(ours, theirs))
    here: list[Record] = [record for log in ours.logs() for record in read_log(log).records]
    fresh = [record for log in logs for record in log.fresh]
    ledger = Ledger(here)
    before = ledger.pieces
    for record in fresh:
        ledger.apply(record)
    mine, yours = {log.stem for log in ours.logs()}, {log.stem for log in theirs.logs()}
    counted = sum(log.counted for log in logs)
    strangers = bool(mine and yours and not mine & yours)
    return MergePreview(ours, theirs, logs, documents, lists, counted, before, ledger.pieces, strangers, files)


def merge(seen: MergePreview, now: datetime) -> tuple[Path, ...]:
    """Write what was looked at. Merging again afterwards changes nothing, and goes on where a crash broke it off.

    The documents come first, for records speak of what they hold; the library last, for nothing hangs on it. Both
    versions of either are kept in ``backups``.

    Args:
        seen: what :func:`look` answered.
        now: with a time zone; copies are named by it.

    Returns:
        The copies that were kept.

    Raises:
        DataError: rows differ and nobody said which side holds; nothing was written.
        BenchError: a bench changed since it was looked at, another program writes, or a log that was to be brought in
            can be read no longer.
        WriteError: the disk refused.
    """
    if unsettled := seen.unsettled:
        raise DataError(f"{len(unsettled)} rows differ, {unsettled[0].name} the first of them.", _SAY_SIDE)
    kept: tuple[Path, ...] = ()
    stamp = now.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    if seen.documents.changes:
        try:
            kept = (
                keep_copy(seen.ours.path, f"bench-before-merge-{stamp}", seen.files[0]),
                keep_copy(seen.ours.path, f"bench-merged-{stamp}", seen.files[1]),
            )
        except OSError as error:
            raise WriteError(
                f"No copy of the documents can be kept: {error.strerror or error}. Nothing was changed.",
                "Make sure that the folder may be written to and that the disk is not full.",
            ) from error
        with seen.ours.documents.edit() as draft:
            if (_bytes_of(seen.ours), _bytes_of(seen.theirs)) != seen.files:
                raise BenchError(
                    "One of the benches changed since it was looked at. Nothing was written.", "Merge again."
                )
            _put(draft, seen.documents.tables)
    logs = compare_logs(seen.ours, seen.theirs)
    take_logs(seen.ours, logs)
    told = {log.sitting for log in seen.refused}
    for log in logs:
        if log.why and log.sitting not in told:
            raise BenchError(
                f"The sitting {log.sitting} was not brought in: {log.why.rstrip('.')}. All else but the library was.",
                "Merge again.",
            )
    return kept + merge_lists(seen.lists, stamp)


def _bytes_of(bench: BenchFolder) -> bytes:
    path = bench.documents.path
    refuse_link(path)
    try:
        return path.read_bytes()
    except OSError as error:
        raise BenchError(f"{path} cannot be read: {error.strerror or error}.", "Check that you may read it.") from error


def _tables(documents: BenchDocuments) -> dict[str, Mapping[Any, Any]]:
    """All tables by name; bins by label, in their order."""
    tables = {name: value for name, value in documents._asdict().items() if isinstance(value, Mapping)}
    return tables | {"bins": {each.label: each for each in documents.bins}}


def _put(draft: Draft, tables: Mapping[str, Mapping[Any, Any]]) -> None:
    for name, rows in tables.items():
        if name != "bins":
            setattr(draft, name, dict(rows))
    known = {each.label for each in draft.bins}
    bins = [tables["bins"][label] for label in (each.label for each in draft.bins)]
    new = [each for label, each in tables["bins"].items() if label not in known]
    # What is for the rest comes last: a rule behind it would never be tried.
    rest = next((place for place, each in enumerate(bins) if each.rule.catch_all), len(bins))
    draft.bins[:] = [*bins[:rest], *(each for each in new if not each.rule.catch_all), *bins[rest:]] + [
        each for each in new if each.rule.catch_all
    ]
