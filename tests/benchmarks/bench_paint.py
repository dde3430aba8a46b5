"""How long from a key to its paint, and from exec to the first paint, through a real pseudo-terminal.

Run as ``python -m tests.benchmarks.bench_paint [--keys N] [-- COMMAND...]``. Every figure stands beside a bare Textual
app measured in the same run, key by key in turn, so that a busy machine slows both alike.

Key to paint is the time from writing the key to the terminal until the end of the last frame that answers it: the last
end of a synchronized update (DEC mode 2026) before the terminal has been quiet for ``QUIET`` seconds. A screen that
paints its answer in two frames is charged for both.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import cycle

from tests.terminal import ESCAPES, SYNC_END, Terminal

QUIET = 0.06
"""Seconds without output after which a key counts as answered: more than three frames at sixty a second, so that a
second frame that answers a key is charged to it and not taken for the answer to the next."""
PATIENCE = 2.0
"""Seconds after which a key that painted nothing is an error."""

HELLO = (sys.executable, "-m", "tests.benchmarks.bare_apps", "hello")
COUNTER = (sys.executable, "-m", "tests.benchmarks.bare_apps", "counter")
WIDGETS = (sys.executable, "-m", "tests.benchmarks.widget_app")


@dataclass(frozen=True)
class Case:
    """A program to measure.

    Attributes:
        name: what to call it.
        command: program and arguments.
        ready: a text that stands on the screen once it is ready.
        keys: sent one by one, over and over.
        opening: keys sent once beforehand, not measured.
        env: variables set for it.
    """

    name: str
    command: tuple[str, ...]
    ready: str
    keys: tuple[bytes, ...] = (b"7",)
    opening: bytes = b""
    env: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Paint:
    """Seconds from one key to the end of its first and of its last frame, and bytes painted."""

    first: float
    last: float
    size: int


def paints(cases: Sequence[Case], n: int, columns: int = 120, rows: int = 36) -> dict[str, list[Paint]]:
    """Key to paint of several programs, ``n`` keys each, key by key in turn."""
    terminals = [Terminal(case.command, columns=columns, rows=rows, env=case.env, drawn=False) for case in cases]
    try:
        for terminal, case in zip(terminals, cases, strict=True):
            terminal.wait_for(lambda ready, case=case: case.ready in plain(ready.raw), 20)
            terminal.settle(0.3)
            if case.opening:
                terminal.send(case.opening)
                terminal.settle(0.3)
        keys = [cycle(case.keys) for case in cases]
        found: dict[str, list[Paint]] = {case.name: [] for case in cases}
        for turn in range(n + 10):
            for terminal, case, sequence in zip(terminals, cases, keys, strict=True):
                paint = _one_paint(terminal, next(sequence), case.name)
                if turn >= 10:  # the first few fill caches in either program
                    found[case.name].append(paint)
        return found
    finally:
        for terminal in terminals:
            terminal.close()


def first_paint(cases: Sequence[Case], n: int = 15, columns: int = 120, rows: int = 36) -> dict[str, list[float]]:
    """Seconds from exec to the end of the frame that first shows the ready text, ``n`` starts each, in turn.

    Every program runs from bytecode, as one that pip installed does, wherever this is run: otherwise the references
    would find their packages compiled while what lies in the source tree is compiled anew on each start. One start of
    each comes first, which leaves the bytecode in a folder of its own and is not measured.
    """
    found: dict[str, list[float]] = {case.name: [] for case in cases}
    with tempfile.TemporaryDirectory() as bytecode:
        installed = {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": bytecode}
        for turn in range(n + 1):
            for case in cases:
                env = {**case.env, **installed}
                with Terminal(case.command, columns=columns, rows=rows, env=env, drawn=False) as terminal:
                    terminal.wait_for(lambda ready, case=case: case.ready in plain(ready.raw), 20)
                    if turn:
                        found[case.name].append(time.perf_counter() - terminal.started)
    return found


def burst(case: Case, keys: bytes, done: str, columns: int = 120, rows: int = 36) -> float:
    """Seconds from writing many keys at once until a text stands on the screen."""
    with Terminal(case.command, columns=columns, rows=rows, env=case.env) as terminal:
        terminal.wait_for(case.ready, 20)
        terminal.settle(0.3)
        if case.opening:
            terminal.send(case.opening)
            terminal.settle(0.3)
        start = time.perf_counter()
        terminal.send(keys)
        terminal.wait_for(done, 20)
        return time.perf_counter() - start


def percentile(values: Sequence[float], share: float) -> float:
    """The value below which a share (0 to 1) of the values lies; nearest rank."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def report(title: str, reference: str, figures: Mapping[str, Sequence[float]]) -> None:
    """Print median and p99 in milliseconds, and their ratios to the reference."""
    base = figures[reference]
    print(f"{title} (median, p99 in ms; ratios to {reference})")
    for name, values in figures.items():
        median, tail = statistics.median(values), percentile(values, 0.99)
        print(
            f"  {name:<24} {median * 1e3:7.2f} {tail * 1e3:7.2f}   "
            f"x{median / statistics.median(base):.2f} x{tail / percentile(base, 0.99):.2f}"
        )


def plain(raw: bytes | bytearray) -> str:
    """What was written, without control sequences."""
    return ESCAPES.sub(b"", bytes(raw)).decode(errors="replace")


def _one_paint(terminal: Terminal, key: bytes, name: str) -> Paint:
    begin = len(terminal.raw)
    start = time.perf_counter()
    terminal.send(key)
    first = last = 0.0
    seen = begin
    while True:
        data = terminal.read(QUIET if last else PATIENCE)
        now = terminal.read_at - start
        if not data:
            break
        if SYNC_END in terminal.raw[max(begin, seen - len(SYNC_END)) :]:
            first, last = first or now, now
        seen = len(terminal.raw)
    if not last:
        raise RuntimeError(f"{name}: the key {key!r} painted nothing within {PATIENCE} s")
    return Paint(first, last, seen - begin)


def main() -> None:
    """Measure a command given after ``--``, or the demonstration of our widgets, beside the bare apps."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--keys", type=int, default=300, help="keys measured (default 300)")
    parser.add_argument("--starts", type=int, default=15, help="starts measured (default 15)")
    parser.add_argument("--ready", default="Ready", help="text that tells that the command is ready")
    parser.add_argument("--send", default="7", help="keys sent in turn")
    parser.add_argument("--opening", default="", help="keys sent once beforehand; \\e is Escape")
    parser.add_argument("command", nargs="*", help="command to measure (default: our widgets alone)")
    options = parser.parse_args()
    keys = tuple(key.encode() for key in options.send)
    opening = options.opening.replace("\\e", "\x1b").encode()
    counter = Case("bare counter", COUNTER, "Count 0")
    hello = Case("bare hello", HELLO, "Hello bench")
    if options.command:
        measured = [Case("app", tuple(options.command), options.ready, keys, opening)]
    else:
        measured = [
            Case("panels", (*WIDGETS, "panels"), "Ready", keys),
            Case("one board", (*WIDGETS, "board"), "Ready", keys),
        ]
    found = paints([counter, *measured], options.keys)
    report("key to paint", counter.name, {name: [paint.last for paint in all_] for name, all_ in found.items()})
    for name, all_ in found.items():
        print(f"  {name}: {statistics.median(paint.size for paint in all_):.0f} bytes a key")
    report("exec to first paint", hello.name, first_paint([hello, *measured], options.starts))


if __name__ == "__main__":
    main()
