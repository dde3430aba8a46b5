"""A bar, or a word, for what takes more than a moment; on standard error, and only on a terminal."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_WIDTH = 30
_EVERY_S = 0.1


@contextmanager
def counting(label: str) -> Iterator[Callable[[int, int], None]]:
    """Show how far something has come; what it gives takes pieces done and pieces in all."""
    live = sys.stderr.isatty()
    last = 0.0

    def progress(done: int, whole: int) -> None:
        nonlocal last
        now = time.monotonic()
        if live and (now - last >= _EVERY_S or done == whole):
            last = now
            filled = _WIDTH * done // max(1, whole)
            bar = "#" * filled + "." * (_WIDTH - filled)
            sys.stderr.write(f"\r{label} [{bar}] {done:,} of {whole:,}")
            sys.stderr.flush()

    try:
        yield progress
    finally:
        if live and last:
            sys.stderr.write("\n")


@contextmanager
def waiting(words: str) -> Iterator[None]:
    """Say what is being waited for, where nobody can tell how far it has come; the line is gone afterwards."""
    live = sys.stderr.isatty()
    if live:
        sys.stderr.write(f"{words} ...")
        sys.stderr.flush()
    try:
        yield
    finally:
        if live:
            sys.stderr.write(f"\r{' ' * (len(words) + 4)}\r")
            sys.stderr.flush()
