"""Errors a person can act on: each says what is wrong, where, and how to mend it."""

from __future__ import annotations


class SortbenchError(Exception):
    """Base of all errors meant for the person at the bench.

    Attributes:
        message: what is wrong and where.
        mend: what to do about it; may be empty.
        in_app: what to do about it in the app, where that differs. The program's own words alone: an id in braces
            stands for the key that the command has there. Empty where ``mend`` will do.
        exit_code: 1 the data says no, 2 wrong usage, 3 the bench folder is damaged or locked.
    """

    exit_code = 1

    def __init__(self, message: str, mend: str = "", in_app: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.mend = mend
        self.in_app = in_app

    def __str__(self) -> str:
        return f"{self.message} {self.mend}".strip()


class DataError(SortbenchError):
    """The data says no: a bad value, an unknown name, a refused row."""

    exit_code = 1


class UsageError(SortbenchError):
    """Asked for in a way that cannot be meant."""

    exit_code = 2


class BenchError(SortbenchError):
    """The bench folder is missing, damaged, locked or from a newer version."""

    exit_code = 3


class WriteError(BenchError):
    """The disk refused: nothing was counted, all that was shown before still stands."""
