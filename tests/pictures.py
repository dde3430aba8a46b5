"""The pictures that the README shows: who opens which bench, which keys lead there.

Each walk is one app on one bench of the invented world; nothing is taken from the machine's clock, zone or settings, so
the same pictures come out every time.
"""

from __future__ import annotations

import asyncio
import contextlib
import csv
import os
import shutil
import time
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import NamedTuple

from sortbench.bench import Bench
from sortbench.demo_bench import build_demo
from sortbench.demo_data import demo_files
from sortbench.tui.app import SortbenchApp
from tests.picture_svg import compact, text_of
from tests.synthetic_photo import Scene
from tests.tui.conftest import furnish
from tests.tui.looking import press, text
from tests.tui.planning import with_market

PLATES = Scene("e8e8e2", ("e4e4dc", "ded6b8", "d8c898", "e6e6e0"), light=(0.97, 0.95, 0.9))
"""The photograph: a card, an unaged piece and four pieces on a dark table."""
DAY = "2026-03-01"
"""The day that stands in the pictures wherever a screen shows today."""


class Shot(NamedTuple):
    """One picture.

    Attributes:
        name: of the file, without its ending.
        keys: what leads there from the picture before.
        until: words to wait for where a screen works something out first.
        before: what no key does quickly, done before the last key is struck.
    """

    name: str
    keys: tuple[str, ...]
    until: str = ""
    before: Callable[[Bench], None] = lambda _: None


class Walk(NamedTuple):
    """Pictures of one app, one after the other.

    Attributes:
        size: columns and lines of the terminal.
        on: the bench, one of :data:`BENCHES`.
        shots: in their order.
    """

    size: tuple[int, int]
    on: str
    shots: Sequence[Shot]


def _mark_plates(bench: Bench) -> None:
    bench.photo.marks = PLATES.marks


WALKS = (
    Walk(
        (80, 24),
        "bare",
        (
            Shot("sitting-1-welcome", ()),
            Shot("sitting-2-list", ("1", *"glasshouse.csv", "enter"), "Bring this in?"),
        ),
    ),
    Walk(
        (80, 24),
        "demo",
        (
            Shot("sitting-3-typing", (*"pl 2x4", "enter", *"gr e br 1x2")),
            Shot("sitting-4-keypad", (*["backspace"] * 11, "escape", "0", "4", "0", "5", "8")),
            Shot("sitting-5-overflow", ("f4",)),
            Shot("sitting-6-reconcile", ("f6", "down")),
            Shot("sitting-7-pick", ("p", "enter", "enter", "enter")),
            Shot("sitting-8-statement", ("escape", "t", "a")),
        ),
    ),
    Walk((120, 36), "demo", (Shot("bench", (*"pl 2x4", "enter", *"gr e br 1x2")),)),
    Walk(
        (120, 30),
        "demo",
        (
            Shot("targets", ("f3",)),
            Shot("reconcile", ("f6", "down", "+")),
            Shot("wash", ("escape", "f7")),
            Shot("judge", ("f8", "s", *"white", "enter", "/", *"e4dfc8", "enter")),
        ),
    ),
    Walk(
        (100, 24),
        "demo",
        (
            Shot("photo", ("f8", "o", "o", *"plates.png", "enter", "home"), before=_mark_plates),
            Shot(
                "weigh",
                ("f4", "right", "w", "s", *"0.1", "enter", "h", *"60 30.5 12.5", "enter", "l", *"81.4 12.5", "enter"),
            ),
            Shot("spot", ("escape", "f4", "c")),
            Shot("records", ("f5", "r")),
            Shot("sets", ("f3", "i"), "occur in no other"),
        ),
    ),
    Walk(
        (100, 24),
        "market",
        (
            Shot("plan", ("f3", "b"), "proven"),
            Shot("orders", ("o", "y"), "Mill Lane"),
        ),
    ),
)


class Picture(NamedTuple):
    """A picture as it is now: the SVG, and the lines that it shows."""

    name: str
    svg: str
    lines: list[str]


class SteadyClock:
    """A clock that moves three seconds at each look, so that the pace shown is the same every time."""

    def __init__(self, begin: datetime) -> None:
        self.now = begin

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=3)
        return self.now


def _bare(folder: Path) -> None:
    Bench.create(folder).close()


def _demo(folder: Path) -> None:
    """Half sorted, on a morning long ago."""
    build_demo(folder, clock=SteadyClock(datetime(2026, 3, 1, 8, 0, tzinfo=UTC)))


def _market(folder: Path) -> None:
    """Two small targets that lack pieces, and two sellers who have some of them."""
    with Bench.create(folder, SteadyClock(datetime(2026, 3, 1, 8, 0, tzinfo=UTC))) as bench:
        with_market(furnish(bench))


BENCHES: dict[str, Callable[[Path], None]] = {"bare": _bare, "demo": _demo, "market": _market}


async def drawn(walk: Walk, folder: Path) -> list[Picture]:
    """Drive the app through a walk.

    Args:
        folder: the bench, which the walk changes. Lists and photographs lie in the current folder.
    """
    found = []
    today = f"{datetime.now(UTC):%Y-%m-%d}"
    with Bench.open(folder, SteadyClock(datetime(2026, 3, 1, 9, 30, tzinfo=UTC))) as bench:
        bench.washing.now = lambda: datetime(2026, 3, 1, 10, 6, tzinfo=UTC)
        app = SortbenchApp(lambda: bench)
        async with app.run_test(size=walk.size) as pilot:
            await pilot.pause()
            for shot in walk.shots:
                for at, key in enumerate(shot.keys, 1):
                    if at == len(shot.keys):
                        shot.before(bench)
                    await press(pilot, {" ": "space"}.get(key, key))
                for _ in range(500):
                    await pilot.pause()
                    if shot.until in text(app):
                        break
                    await asyncio.sleep(0.01)
                else:
                    raise AssertionError(f"{shot.name}: {shot.until!r} never stood on the screen:\n{text(app)}")
                svg = compact(app.export_screenshot(title="sortbench")).replace(today, DAY)
                found.append(Picture(shot.name, svg, text_of(svg)))
    return found


@contextlib.contextmanager
def steady_terminal() -> Iterator[None]:
    """A terminal with true colours in a place at UTC, whatever this one is; no settings of the user's."""
    before = dict(os.environ)
    os.environ |= {"COLORTERM": "truecolor", "TERM": "xterm-256color", "TZ": "UTC"}
    os.environ["SORTBENCH_SETTINGS"] = str(Path(__file__) / "settings.toml")
    os.environ.pop("NO_COLOR", None)
    _read_zone()
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)
        _read_zone()


def _read_zone() -> None:
    if hasattr(time, "tzset"):  # not on Windows
        time.tzset()


def all_pictures(scratch: Path) -> Iterator[Picture]:
    """Draw every walk, on benches in a scratch folder; the demo is built once."""
    _glasshouse(scratch / "glasshouse.csv")
    PLATES.save(scratch, "plates")
    with steady_terminal(), contextlib.chdir(scratch):
        for name, make in BENCHES.items():
            make(scratch / name)
        for number, walk in enumerate(WALKS):
            folder = scratch / f"walk-{number}" / "autumn-lot"
            shutil.copytree(scratch / walk.on, folder)
            yield from asyncio.run(drawn(walk, folder))


def _glasshouse(path: Path) -> None:
    """One set's list as somebody may have it, with headers of their own."""
    with (demo_files() / "targets.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["target_name"] == "Glasshouse"]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("Piece", "Colour", "How many"))
        writer.writerows((row["part"], row["shade"], row["quantity"]) for row in rows)
