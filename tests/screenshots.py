"""Draw the README's screenshots anew: ``python -m tests.screenshots``.

The demo bench is built in a temporary folder, the app is driven without a terminal, and each screen is written as an
SVG under ``screenshots/``. Fonts are left to the reader's machine: nothing is fetched to show them.
"""

from __future__ import annotations

import asyncio
import os
import re
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sortbench.bench import Bench
from sortbench.demo_bench import build_demo
from sortbench.tui.app import SortbenchApp

HERE = Path(__file__).resolve().parent.parent / "screenshots"
SHOTS: Sequence[tuple[str, tuple[int, int], tuple[str, ...]]] = (
    ("bench-typing-120x36", (120, 36), (*"pl 2x4", "enter", *"gr e br 1x2")),
    ("bench-keypad-120x36", (120, 36), ("escape", "5", "8", "9", "d", "2", "6")),
    ("bench-typing-80x24", (80, 24), (*"pl 2x4", "enter", *"gr e br 1x2")),
    ("bench-keypad-80x24", (80, 24), ("escape", "0", "4", "0", "5", "8")),
    ("targets-120x36", (120, 36), ("f3",)),
    ("bins-120x36", (120, 36), ("f4",)),
    ("log-80x24", (80, 24), ("f5",)),
    ("reconcile-120x36", (120, 36), ("f6", "down", "+")),
    ("pick-120x36", (120, 36), ("f6", "p", "enter", "enter", "enter")),
    ("wash-120x36", (120, 36), ("f7",)),
    ("judge-120x36", (120, 36), ("f8", "/", *"e4dfc8", "enter")),
)
"""Name, size in cells, and the keys that lead there from a demo half sorted."""
_FONT_FACE = re.compile(r"@font-face\s*\{.*?\}\s*", re.S)
_UNIQUE = re.compile(r"terminal-\d+")


class _SteadyClock:
    """A clock that moves three seconds at each look, so that the pace shown is the same every time."""

    def __init__(self, begin: datetime) -> None:
        self.now = begin

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=3)
        return self.now


async def shoot(folder: Path, name: str, size: tuple[int, int], keys: Sequence[str]) -> None:
    """Drive the app to a screen and write it down."""
    with Bench.open(folder, _SteadyClock(datetime(2026, 3, 1, 9, 30, tzinfo=UTC))) as bench:
        bench.washing.now = lambda: datetime(2026, 3, 1, 10, 6, tzinfo=UTC)
        app = SortbenchApp(lambda: bench)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            for key in keys:
                await pilot.press({" ": "space"}.get(key, key))
            await pilot.pause(0.3)
            svg = app.export_screenshot(title="sortbench")
    svg = _UNIQUE.sub(f"shot-{name}", _FONT_FACE.sub("", svg))
    (HERE / f"{name}.svg").write_text(svg, encoding="utf-8")
    print(f"screenshots/{name}.svg")


def main() -> None:
    """Draw all of them, each from a demo of its own."""
    HERE.mkdir(exist_ok=True)
    os.environ |= {"COLORTERM": "truecolor", "TERM": "xterm-256color"}  # the judge screen asks what can be shown
    for name, size, keys in SHOTS:
        with tempfile.TemporaryDirectory() as scratch:
            folder = Path(scratch) / "autumn-lot"
            build_demo(folder, clock=_SteadyClock(datetime(2026, 3, 1, 8, 0, tzinfo=UTC)))
            asyncio.run(shoot(folder, name, size, keys))


if __name__ == "__main__":
    main()
