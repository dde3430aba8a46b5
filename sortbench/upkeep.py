"""Looking a bench folder over, and mending it: works where the bench itself cannot be opened."""

from __future__ import annotations

from pathlib import Path

from sortbench.model.errors import BenchError, WriteError
from sortbench.store.folder import BenchFolder, Finding, Severity
from sortbench.store.following import FOLD_FILE
from sortbench.store.log_reading import no_garbage_collection


def check(folder: Path) -> list[Finding]:
    """Everything that is wrong or worth knowing; changes nothing.

    Raises:
        BenchError: the folder cannot be read.
    """
    bench = BenchFolder(folder)
    with no_garbage_collection():
        findings = bench.check()
        return findings if _has_damage(findings) else findings + _check_snapshot(bench)


def repair(folder: Path) -> list[Finding]:
    """Mend what can be mended without losing anything sound; tells what was done and what is left to a person.

    Raises:
        BenchError: a sitting is under way.
        WriteError: the disk refused.
    """
    bench = BenchFolder(folder)
    done = bench.repair()
    return done + [_removed(finding) for finding in _check_snapshot(bench)]


def _has_damage(findings: list[Finding]) -> bool:
    return any(finding.severity is Severity.DAMAGE for finding in findings)


def _check_snapshot(bench: BenchFolder) -> list[Finding]:
    """Whether the snapshot comes to what the logs do. One that a start would not use does no harm."""
    from sortbench.logs_read import Standing, snapshot_standing

    file = bench.path / FOLD_FILE
    try:
        standing = snapshot_standing(bench)
    except BenchError:  # a log that cannot be read is told of by itself
        return []
    if standing is Standing.WRONG:
        what = "the snapshot says other counts than the logs; the logs are right"
        return [Finding(file, "", what, "Run `sortbench check --repair`.", Severity.DAMAGE)]
    if standing is Standing.UNUSED:
        what = "the snapshot does not fit the logs as they are; it is not used, and made anew in time"
        return [Finding(file, "", what, "", Severity.NOTE)]
    return []


def _removed(finding: Finding) -> Finding:
    try:
        finding.file.unlink(missing_ok=True)
    except OSError as error:
        raise WriteError(
            f"{finding.file} cannot be removed: {error.strerror or error}.",
            "Make sure that the folder may be written to.",
        ) from error
    return finding._replace(what=f"removed: {finding.what}", mend="", severity=Severity.NOTE)


__all__ = ["Finding", "Severity", "check", "repair"]
