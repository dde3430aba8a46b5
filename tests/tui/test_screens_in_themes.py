"""Every screen in every theme, at 80x24 and 120x36: the same text, the same roles, legible, and told without colour.

    SORTBENCH_GOLDEN=write python -m pytest -n0 tests/tui/test_screens_in_themes.py

writes the files in ``golden/themes`` anew.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from rich.color import Color, ColorType
from textual.pilot import Pilot

from sortbench.bench import Bench
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.statement_desk import statement
from sortbench.desks.weigh_desk import ScaleTold
from sortbench.model.library import SetList, Wanted
from sortbench.model.tally import Fate
from sortbench.model.wash import Batch, Stage, StageEvent
from sortbench.store.library import save_library
from sortbench.tui.app import SortbenchApp
from sortbench.tui.keys import PLACES
from sortbench.tui.screens.keyed import KeyedScreen
from sortbench.tui.themes import OWN_THEMES
from tests.contrast import TEXT, contrast
from tests.synthetic_photo import Scene
from tests.tui.conftest import furnish
from tests.tui.looking import lines as lines_of
from tests.tui.looking import press
from tests.tui.planning import with_market
from tests.tui.themed import HERE, Drawn, Line, Look, as_text, assert_themed, in_each_theme, looks_as_text, roles_of
from tests.working import Clock

SIZES = ((80, 24), (120, 36))
NOON = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
ENTRIES = ("wh pl 24 *9", "wh pl 12 *3 !4", "arch red !3 #crack", "wh sl *15", "gr br 24 *2", "arch red")
TRAM = SetList(
    "VW-12",
    "Peat Tramway",
    tuple(Wanted(part, "brick red", 8) for part in ("plate 1x2", "brick 2x4", "arch 1x6x2", "slope 45 2x2")),
    1987,
)
SCENE = Scene("d8d8d4", ("d8d8d4", "d4ccb0", "d0c090"), light=(0.95, 0.92, 0.85))


@pytest.fixture(autouse=True)
def surroundings(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A terminal of all colours, and the time of day of no place in particular."""
    for name in ("NO_COLOR", "TEXTUAL_COLOR_SYSTEM", "TEXTUAL_THEME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setitem(statement.__kwdefaults__, "clock", lambda: NOON)  # it tells of today
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def full_bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """Something on every screen: a bin that overflows, pieces that wait, a plan, an order, two batches, a check."""
    clock = Clock(NOON - timedelta(hours=1))
    monkeypatch.chdir(tmp_path)
    with Bench.create(Path("mill lane"), clock) as bench:
        bench.folder.path = Path("mill lane")  # a screen that names it looks the same wherever the tests run
        with_market(furnish(bench))
        for entry in ENTRIES:
            clock.wait(20)
            bench.enter(entry)
        bench.put_aside(Fate.WASH)
        save_library(bench.path, {TRAM.code: TRAM})
        set_pile(bench, 60)
        bench.weighing.tell(ScaleTold(0.01, 0.005, scatter=0.005))
        OrdersDesk(bench, clock).new([Purchase("O1", 4, "T-07"), Purchase("O3", 2)])
        soaks = Batch("W2", "greys", (StageEvent(Stage.SOAK, NOON - timedelta(minutes=30)),))
        dries = Batch(
            "W1", "plates", tuple(StageEvent(s, NOON - timedelta(hours=5)) for s in (Stage.SPIN, Stage.DRYING))
        )
        bench.keep(lambda draft: draft.batches.update(W1=dries, W2=soaks))
        clock.now = NOON
        bench.washing.now = clock
        yield bench


Settle = Callable[[Pilot[None], Bench], Awaitable[None]]


async def _at_once(pilot: Pilot[None], bench: Bench) -> None:
    await pilot.pause()


async def _planned(pilot: Pilot[None], bench: Bench) -> None:
    bench.planning.wait()
    await pilot.pause()


async def _weighed_up(pilot: Pilot[None], bench: Bench) -> None:
    for _ in range(400):
        await pilot.pause(0.005)
        if bench.identifying.is_settled:
            break
    assert bench.identifying.is_settled
    await pilot.pause(0.05)


PICTURE = "the path of the picture"
OF_COLOURS = ("judge", "photo")
"""Screens on which colours are the matter itself; without them they say so."""
SCREENS: tuple[tuple[str, str, tuple[str, ...], Settle], ...] = (
    ("typing", "typing", (*"pl 2x4", "down"), _at_once),
    ("pad", "pad", ("ctrl+u", "escape", "0"), _at_once),
    ("targets", "targets", ("escape", "/", "f3"), _at_once),
    ("statement", "statement", ("t",), _at_once),
    ("plan", "plan", ("f3", "b"), _planned),
    ("orders", "orders", ("f2", "f3", "o"), _at_once),
    ("sets", "sets", ("f2", "f3", "i"), _weighed_up),
    ("welcome", "welcome", ("f2", "f3", "a"), _at_once),
    ("bins", "bins", ("f2", "f4"), _at_once),
    ("split", "bins", ("s",), _at_once),
    ("spot", "spot", ("f2", "f4", "c"), _at_once),
    ("recount", "recount", ("f2", "f4", "r"), _at_once),
    ("bring", "bring", ("f2", "f4", "i"), _at_once),
    ("weigh", "weigh", ("f2", "f4", "right", "w"), _at_once),
    ("log", "log", ("f2", "f5"), _at_once),
    ("records", "records", ("r",), _at_once),
    ("pick", "pick", ("f2", "f6", "p"), _at_once),
    ("reconcile", "reconcile", ("f2", "f6", "down", "+"), _at_once),
    ("wash", "wash", ("f2", "f7"), _at_once),
    ("judge", "judge", ("f2", "f8", "/", *"e4dfc8", "enter"), _at_once),
    ("photo", "photo", ("o", "o", PICTURE, "enter"), _at_once),
    ("help", "help", ("f2", "f1"), _at_once),
    ("commands", "commands", ("escape", "ctrl+p", *"co"), _at_once),
)
"""A name, the place that it is, the keys that lead there from the one before, and what is waited for."""


STATES = frozenset({"good", "warning", "standard", "present", "possible", "over", "error"})
"""Roles that say how something stands."""


def test_every_place_is_among_them() -> None:
    assert {place for _, place, _, _ in SCREENS} == set(PLACES)


async def walked(pilot: Pilot[None], bench: Bench, folder: Path) -> AsyncIterator[str]:
    """Goes from screen to screen; its names."""
    picture = str(SCENE.save(folder, "p"))
    await pilot.pause()
    for name, place, keys, settle in SCREENS:
        for key in keys:
            await press(pilot, *(picture if key == PICTURE else (key,)))
        await settle(pilot, bench)
        assert isinstance(pilot.app.screen, KeyedScreen) and pilot.app.screen.place == place, name
        yield name


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen_in_every_theme(full_bench: Bench, tmp_path: Path, size: tuple[int, int]) -> None:
    app = SortbenchApp(lambda: full_bench)
    async with app.run_test(size=size) as pilot:
        roles = await roles_of(pilot)
        async for name in walked(pilot, full_bench, tmp_path):
            lines = await in_each_theme(pilot, roles)
            assert_themed(f"{name}-{size[0]}x{size[1]}", as_text(lines))
            for run in itertools.chain.from_iterable(lines):
                if any(character.isalnum() for character in run.text):
                    for theme, look in zip(OWN_THEMES, run.looks, strict=True):
                        assert contrast(look.ink, look.ground) >= TEXT, (name, theme, run)
            assert not told_by_colour_alone(lines), name
        assert_themed("looks", looks_as_text(roles))


def told_by_colour_alone(lines: Sequence[Line]) -> list[tuple[str, str, str]]:
    """Texts of a screen that stand there in the colour of a state, and in other looks as well."""
    seen: dict[str, set[str]] = {}
    for run in itertools.chain.from_iterable(lines):
        if run.text.strip():
            seen.setdefault(run.text.strip(), set()).add(run.role)
    return [(text, *sorted(found)[:2]) for text, found in seen.items() if len(found) > 1 and found & STATES]  # type: ignore[misc]


def test_a_state_told_by_colour_alone_would_be_found() -> None:
    look = (Look("#ffffff", "#000000", ""),)
    assert told_by_colour_alone([(Drawn("● W1", look, "good"),), (Drawn("● W1 ", look, "warning"),)])
    assert told_by_colour_alone([(Drawn("soon", look, "text"), Drawn("soon", look, "warning"))])
    assert not told_by_colour_alone([(Drawn("● W1", look, "good"),), (Drawn("○ W1", look, "warning"),)])


async def test_without_colours_the_text_is_the_same(
    full_bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = SortbenchApp(lambda: full_bench)
    async with app.run_test(size=SIZES[0]) as pilot:
        async for name in walked(pilot, full_bench, tmp_path):
            assert all(colour.is_default for colour in colours_on(app)), name
            assert name in OF_COLOURS or lines_of(app) == kept_text(name), name


async def test_with_16_colours_the_text_is_the_same_and_no_other_is_sent(
    full_bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLORTERM", "")
    monkeypatch.setenv("TERM", "linux")
    app = SortbenchApp(lambda: full_bench)
    async with app.run_test(size=SIZES[0]) as pilot:
        assert app.console.color_system == "standard"
        async for name in walked(pilot, full_bench, tmp_path):
            for colour in colours_on(app):
                assert colour.is_default or colour.type is ColorType.STANDARD, (name, colour)
            assert name in OF_COLOURS or lines_of(app) == kept_text(name), name


def colours_on(app: SortbenchApp) -> set[Color]:
    """All colours of the screen, as they go to the terminal."""
    strips = app.screen._compositor.render_strips()
    styles = {segment.style for strip in strips for segment in strip if segment.style is not None}
    return {colour for style in styles for colour in (style.color, style.bgcolor) if colour is not None}


def kept_text(name: str) -> list[str]:
    """The text of a screen of 80x24 as its file has it."""
    golden = (HERE / f"{name}-80x24.txt").read_text(encoding="utf-8").split("\n")
    return [line[1:] for line in golden if line.startswith("|")]
