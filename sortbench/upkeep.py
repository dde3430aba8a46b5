"""Looking a bench folder over, and mending it: works where the bench itself cannot be opened."""

from __future__ import annotations

from pathlib import Path

from sortbench.store.folder import BenchFolder, Finding, Severity


def check(folder: Path) -> list[Finding]:
    """Everything that is wrong or worth knowing; changes nothing.

    Raises:
        BenchError: the folder cannot be read.
    """
    return BenchFolder(folder).check()


def repair(folder: Path) -> list[Finding]:
    """Mend what can be mended without losing anything sound; tells what was done and what is left to a person.

    Raises:
        BenchError: a sitting is under way.
        WriteError: the disk refused.
    """
    return BenchFolder(folder).repair()


__all__ = ["Finding", "Severity", "check", "repair"]
