"""A bench folder on disk: made, opened, checked and mended."""

from __future__ import annotations

from contextlib import suppress
from enum import StrEnum
from pathlib import Path
from typing import NamedTuple

from sortbench.model.errors import BenchError, UsageError, WriteError
from sortbench.store.backups import BACKUPS, copies
from sortbench.store.documents import Documents
from sortbench.store.durable import is_leftover, looking, names_in, refuse_link, sync_folder
from sortbench.store.locks import bench_lock, is_live, sitting_lock_path
from sortbench.store.log_reading import ENDING

BENCH_FILE = "bench.json"
TALLIES = "tallies"
LIBRARY = "library"
PAPERS = ("orders", "records", "refused", "reports", "statements")
"""Folders in a bench for what people asked to have written down."""
_REPAIR = "Run `sortbench check --repair`."


class Severity(StrEnum):
    """How bad a finding is."""

    DAMAGE = "damage"  # something that was written cannot be read
    TRACE = "trace"  # left by a crash; nothing that was acknowledged is touched by it
    NOTE = "note"  # worth knowing; nothing to do


class Finding(NamedTuple):
    """One thing that a check found or a repair did.

    Attributes:
        file: which file.
        where: the place in it (``line 7``); empty if the whole file is meant.
        what: what is wrong, or what was done.
        mend: what to do about it; empty if nothing.
        severity: how bad it is.
    """

    file: Path
    where: str
    what: str
    mend: str
    severity: Severity


class BenchFolder:
    """A folder with ``bench.json`` and ``tallies/``.

    Attributes:
        path: the folder, resolved; nothing is written outside it.
        documents: what is set up.
        tallies: the folder of the logs.
    """

    def __init__(self, path: Path) -> None:
        self.path = path.expanduser().resolve()
        self.documents = Documents(self.path / BENCH_FILE)
        self.tallies = self.path / TALLIES

    @staticmethod
    @looking()
    def is_bench(path: Path) -> bool:
        """Whether a folder holds a bench, be it sound or damaged.

        Raises:
            BenchError: the folder cannot be looked at.
        """
        return (path / BENCH_FILE).is_file()

    @classmethod
    def create(cls, path: Path) -> BenchFolder:
        """Make an empty bench in a new or empty folder; files whose names begin with a dot do not count.

        Raises:
            UsageError: there is a bench already, or the folder holds other things.
            BenchError: the path is no folder.
            WriteError: the disk refused.
        """
        bench = cls(path)
        if cls.is_bench(bench.path):
            raise UsageError(f"There is a bench in {bench.path} already.", f"Open it with `--bench {bench.path}`.")
        try:
            if bench.path.exists():
                _refuse_other_things(bench.path)
            bench.path.mkdir(parents=True, exist_ok=True)
            bench.tallies.mkdir(exist_ok=True)
            sync_folder(bench.path)
            with suppress(PermissionError):  # a folder may let us make things in it and yet not be read
                sync_folder(bench.path.parent)
        except OSError as error:
            raise WriteError(
                f"No bench can be made in {bench.path}: {error.strerror or error}.",
                "Choose a folder that you may write to.",
            ) from error
        # Last, for it is what makes the folder a bench: a crash before leaves a folder that `create` takes again.
        bench.documents.create()
        return bench

    @classmethod
    @looking()
    def open(cls, path: Path) -> BenchFolder:
        """A bench that is there; its content is read by what asks for it.

        Raises:
            BenchError: there is no bench, or its ``tallies`` is missing or leads outside.
        """
        bench = cls(path)
        if not cls.is_bench(bench.path):
            raise BenchError(f"There is no bench in {bench.path}.", f"Make one with `sortbench new {bench.path}`.")
        refuse_link(bench.tallies)
        if not bench.tallies.is_dir():
            raise BenchError(
                f"{bench.tallies} is missing: the tallies of this bench are not here.",
                f"Put the folder back from where the bench was copied. If nothing was ever counted: {_REPAIR}",
            )
        return bench

    def logs(self) -> list[Path]:
        """The logs of all sittings, oldest first.

        Raises:
            BenchError: the folder cannot be read.
        """
        return [log for log in names_in(self.tallies, end=ENDING) if log.name[0] != "."]

    def live_sittings(self) -> list[str]:
        """Sittings that a program is writing now, this one included.

        Raises:
            WriteError: a lock that a crash left cannot be tried.
        """
        return [sitting for sitting in self._locked_sittings() if is_live(self.tallies, sitting)]

    @looking()
    def check(self) -> list[Finding]:
        """Everything that is wrong or worth knowing; changes nothing. May run while sittings are under way.

        A sitting's last line that is just being written is not taken for torn: the log of a live sitting is only
        checked up to its last newline.

        Raises:
            BenchError: the folder cannot be read.
        """
        findings = self._check_documents()
        if not self.tallies.is_dir() or self.tallies.is_symlink():
            mend = f"Put the folder back. If nothing was ever counted: {_REPAIR}"
            return [*findings, Finding(self.tallies, "", "the folder is missing or a link", mend, Severity.DAMAGE)]
        try:
            live = set(self.live_sittings())
        except WriteError:  # a folder that only lets us read, where nothing can be locked
            live = set(self._locked_sittings())
        findings += _check_library(self.path)
        for log in self.logs():
            findings += _check_log(log, log.stem in live)
        findings += self._traces(live)
        return findings

    @looking()
    def repair(self) -> list[Finding]:
        """Mend what can be mended without losing anything sound; tells what was done and what is left to a person.

        Damaged logs are mended (see ``log_repair.repair``), temporary files and locks that a crash left are removed,
        a missing ``tallies`` is made again. A damaged ``bench.json`` is left alone.

        Raises:
            BenchError: a sitting is under way, another program writes the documents, or the folder cannot be read.
            WriteError: the disk refused; what was mended before stays mended.
        """
        refuse_link(self.tallies)
        with bench_lock(self.path):
            try:
                done = self._make_tallies()
                live = self.live_sittings()
                if live:
                    raise BenchError(
                        f"The sitting {live[0]} is under way; its bench is not repaired meanwhile.",
                        "Close it, then repair.",
                    )
                for log in self.logs():
                    done += _repair_log(log)
                for trace in self._traces(set()):
                    if trace.severity is Severity.TRACE:
                        trace.file.unlink(missing_ok=True)
                        done.append(trace._replace(what=f"removed: {trace.what}", mend="", severity=Severity.NOTE))
            except OSError as error:
                raise WriteError(
                    f"{self.path} cannot be repaired: {error.strerror or error}.",
                    "Make sure that the folder may be written to and that the disk is not full.",
                ) from error
            return done + self._check_documents()

    def _make_tallies(self) -> list[Finding]:
        if self.tallies.is_dir():
            return []
        self.tallies.mkdir()
        sync_folder(self.path)
        return [Finding(self.tallies, "", "the folder was missing and was made again", "", Severity.NOTE)]

    def _check_documents(self) -> list[Finding]:
        file = self.documents.path
        if file.is_symlink():
            mend = "Put the real file in its place."
            return [Finding(file, "", "a symbolic link; nothing is written through it", mend, Severity.DAMAGE)]
        try:
            self.documents.load()
        except BenchError as error:
            return [Finding(file, "", error.message, error.mend, Severity.DAMAGE)]
        return []

    def _locked_sittings(self) -> list[str]:
        return [
            lock.name[1 : -len(".lock")]
            for lock in names_in(self.tallies, ".", ".lock")
            if not lock.is_symlink() and lock == sitting_lock_path(self.tallies, lock.name[1 : -len(".lock")])
        ]

    def _traces(self, live: set[str]) -> list[Finding]:
        """What crashes and earlier repairs left beside the files that count."""
        found = [
            Finding(file, "", "a file whose writing was cut short", _REPAIR, Severity.TRACE)
            for folder in (self.path, self.tallies, *_more_folders(self.path))
            for file in names_in(folder)
            if is_leftover(file)
        ]
        found += [
            Finding(
                sitting_lock_path(self.tallies, sitting), "", "the lock of a crashed sitting", _REPAIR, Severity.TRACE
            )
            for sitting in self._locked_sittings()
            if sitting not in live
        ]
        found += [
            Finding(file, "", "bytes moved aside by a repair", "Look at it; delete it when done.", Severity.NOTE)
            for file in names_in(self.tallies)
            if ".damaged-" in file.name and file.name[0] != "."
        ]
        found += [
            Finding(file, "", "kept before an upgrade or a merge", "Delete it once you do not need it.", Severity.NOTE)
            for file in copies(self.path)
        ]
        return found


def _refuse_other_things(folder: Path) -> None:
    if not folder.is_dir():
        raise BenchError(f"{folder} is no folder.", "Name a new or an empty folder.")
    others = sorted(
        child.name
        for child in folder.iterdir()
        if not child.name.startswith(".")
        and not (child.name == TALLIES and child.is_dir() and not any(child.iterdir()))
    )
    if others:
        raise UsageError(
            f"{folder} is not empty: it holds {others[0]!r}" + (f" and {len(others) - 1} more." if others[1:] else "."),
            "Name a new or an empty folder.",
        )


def _more_folders(bench: Path) -> list[Path]:
    """Folders of the bench's own in which files are written, as far as they are there."""
    folders = [bench / name for name in (BACKUPS, LIBRARY, *PAPERS)]
    return [folder for folder in folders if folder.is_dir() and not folder.is_symlink()]


def _check_library(bench: Path) -> list[Finding]:
    from sortbench.store.library import library_path, load_library

    try:
        load_library(bench)
    except BenchError as error:
        return [Finding(library_path(bench), "", error.message, error.mend, Severity.DAMAGE)]
    return []


def _check_log(log: Path, live: bool) -> list[Finding]:
    from sortbench.store import log_repair  # not needed to open a bench, and every start would wait for it

    try:
        reading = log_repair.sound_reading(log)
        if reading is not None:
            return [
                Finding(log, "", f"records {gap.first} to {gap.last} were lost to damage", "", Severity.NOTE)
                for gap in reading.gaps
            ]
        return [
            Finding(
                log,
                f"line {damage.line}",
                damage.reason,
                _REPAIR,
                Severity.TRACE if damage.torn else Severity.DAMAGE,
            )
            for damage in log_repair.examine(log)
            if not (damage.torn and live)
        ]
    except BenchError as error:
        return [Finding(log, "", error.message, error.mend, Severity.DAMAGE)]


def _repair_log(log: Path) -> list[Finding]:
    from sortbench.store import log_repair

    try:
        report = log_repair.repair(log)
    except WriteError:
        raise
    except BenchError as error:
        return [Finding(log, "", error.message, error.mend, Severity.DAMAGE)]
    if not report.changed:
        return []
    lost = sum(gap.last - gap.first + 1 for gap in report.missing)
    moved = f"; {report.moved} bytes moved to {report.aside.name}" if report.aside else ""
    missing = f"; {lost} missing" if lost else ""
    return [Finding(report.file, "", f"mended: {report.kept} records kept{missing}{moved}", "", Severity.NOTE)]
