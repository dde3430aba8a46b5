"""The wash screen: batches on the clock, what is struck, the scrub list, the pull list; the bench's due line."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import pytest

from sortbench.bench import Bench
from sortbench.model.catalogue import Care, Part
from sortbench.model.tally import Fate
from sortbench.model.target import Line, Target
from sortbench.model.wash import Batch, Stage, StageEvent, Stirring, Tray, Weighing
from sortbench.tui.app import TELL_EVERY, SortbenchApp
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.bench import BenchScreen
from sortbench.tui.screens.wash import WashScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, lines, press, text

SIZES = ((80, 24), (120, 36))
LEADING_AWAY = frozenset(
    {"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "f6", "f8", "f9", "?", "f1", "escape"}
)
"""Keys after which others would be struck elsewhere."""


class Wall:
    """A clock that is set by hand; it begins at nine on a Wednesday."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 4, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        self.now += timedelta(**by)


@pytest.fixture
def wall(bench: Bench) -> Wall:
    wall = Wall()
    bench.washing.now = wall
    return wall


def two_batches(bench: Bench, wall: Wall) -> None:
    """W1 has been drying for five hours and was weighed; W2 has been soaking for half an hour."""

    def ago(hours: float) -> datetime:
        return wall.now - timedelta(hours=hours)

    weighed = [Weighing(ago(5 - hour), "", round(900 + 60 * 0.5**hour, 1)) for hour in (0, 1, 2, 3, 4)]
    stages = (StageEvent(Stage.SOAK, ago(7)), StageEvent(Stage.SPIN, ago(5.2)), StageEvent(Stage.DRYING, ago(5)))
    dries = Batch("W1", "whites, plates", (*stages, *weighed), (Tray("", 400.0),), resolution_g=0.1)
    soaks = Batch("W2", "[red]greys[/", (StageEvent(Stage.SOAK, ago(0.5)), Stirring(ago(0.3))))
    bench.keep(lambda draft: draft.batches.update(W1=dries, W2=soaks))


def cared(bench: Bench) -> None:
    """A target that asks for what must not go into the tub, and for what needs a hand after it."""
    with bench.folder.documents.edit() as draft:
        draft.parts["lamp"] = Part("lamp", "lamp", "other", mass_g=4.0, care=(Care.ELECTRIC,))
        draft.parts["fern"] = Part("fern", "fern", "plant", mass_g=0.8, care=(Care.FOLIAGE,))
        kinds = [Line(kind, 2) for kind in (draft.targets["T-03"].lines[0].kind,)]
        lines = [Line(kinds[0].kind._replace(part=part), 3) for part in ("lamp", "fern")]
        draft.targets["T-09"] = Target("T-09", "Bell Foundry", 1988, 3, tuple(lines))
    bench.reload()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_as_a_whole(app: SortbenchApp, bench: Bench, wall: Wall, size: tuple[int, int]) -> None:
    two_batches(bench, wall)
    cared(bench)
    bench.enter("wh pl 24 *3")
    bench.put_aside(Fate.WASH)
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f7")
        assert_golden(app, f"wash-{size[0]}x{size[1]}")
        await press(pilot, "down", "right", "down")
        assert_golden(app, f"wash-entries-{size[0]}x{size[1]}")
        await press(pilot, "c")
        assert_golden(app, f"wash-scrub-{size[0]}x{size[1]}")
        await press(pilot, "p")
        assert_golden(app, f"wash-pull-{size[0]}x{size[1]}")


async def test_a_batch_from_the_tub_to_dry(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f7")
        assert "No batch yet" in text(app)
        await press(pilot, "enter")
        assert "No batch yet: n begins one." in text(app)
        await press(pilot, "n", *"whites [/", "enter")
        assert "W1 soaks: 1.5 h, stirred every 20 min" in text(app)
        wall.on(minutes=21)
        await press(pilot, "s")
        assert "W1: stirred at 09:21" in text(app)
        wall.on(minutes=70)
        await press(pilot, "enter")
        wall.on(minutes=5)
        await press(pilot, "5")
        assert "■─■─□─□─▣─□ drying" in line_with(app, "W1 ")
        await press(pilot, "t", *"400", "enter", "w", *"960,5", "enter")
        assert "W1: 960.5 g at 10:36" in text(app)
        assert "560.5 g of pieces" in text(app)
        await press(pilot, "6")
        assert "W1: dry from 10:36" in text(app)
    assert [type(entry).__name__ for entry in bench.washing.find("W1").entries] == [
        *("StageEvent", "Stirring", "StageEvent", "StageEvent", "Weighing", "StageEvent"),
    ]


async def test_what_is_wrong_is_given_back_to_be_mended(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    two_batches(bench, wall)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f7", "down", "w", *"heavy", "enter")
        assert "'heavy' is no weight" in text(app)
        assert "weight: heavy" in text(app)
        await press(pilot, *["backspace"] * 5, *"300", "enter")
        assert "no more than the empty tray of 400 g" in text(app)
        await press(pilot, "escape", "enter")
        assert "W1: dry from 09:00" in text(app)
    assert len(bench.washing.find("W1").weighings) == 5


async def test_an_entry_is_struck_and_brought_back(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    two_batches(bench, wall)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f7", "delete")
        assert "W2: stirred at 08:42 struck" in text(app)
        assert "stir now" in line_with(app, "W2 ")
        await press(pilot, "right", "down", "delete")
        assert "W2: stirred at 08:42 holds again" in text(app)
        await press(pilot, "end", "delete")
        assert "This line is nothing noted" in text(app)
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, BenchScreen)
    assert not any(entry.struck for entry in bench.washing.find("W2").entries)


async def test_the_cursor_stays_on_its_batch(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    two_batches(bench, wall)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f7")
        assert "W2 [red]greys[/" in line_with(app, "▸")
        wall.on(hours=15)  # W1 should be dry by now, W2's soak is long over: both press
        await press(pilot, "enter", "enter", "enter", "enter")
        assert "W2" in line_with(app, "▸")
        assert [row.code for row in bench.washing.due()] == ["W1", "W2"]


async def test_pieces_found_dirty_and_clean_again(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await enter(pilot, "wh pl 24 *3")
        await press(pilot, "f9", "f9", "f9", "f7", "c")
        assert "scrub list 3" in lines(app)[0]
        assert "Glasshouse" in line_with(app, "plate 2x4")
        await press(pilot, "*", *"9", "enter")
        assert "3 wait, not 9" in text(app)
        await press(pilot, "backspace", *"1 !4", "enter")
        assert "scrub list 2" in lines(app)[0]
        await press(pilot, "enter")
        assert "Nothing waits for a wash" in text(app)
        await press(pilot, "enter", "s")
        assert "That is for batches" in text(app)
    assert bench.picture.ledger.of_fate(Fate.WASH) == 0
    grades = {cell.grade.label: n for cell, n in bench.picture.ledger.counts.items() if cell.grade and n}
    assert grades == {"5": 2, "4": 1}


async def test_the_pull_list_is_filtered(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    cared(bench)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f7", "p")
        assert "3 stay out, 3 need a hand" in lines(app)[0]
        assert line_with(app, "lamp").split()[:3] == ["▸", "✗", "3"]
        await press(pilot, "/", *"foli", "enter")
        assert "1 of 2 lines hold 'foli'" in text(app)
        assert "▸ →" in line_with(app, "fern")
        await press(pilot, "/", *"nobody", "enter")
        assert "No line holds these words" in text(app)
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, WashScreen)
        assert "No batch yet" in text(app)


async def test_the_bench_says_what_is_due_and_follows_what_is_noted(
    app: SortbenchApp, bench: Bench, wall: Wall
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        assert "━ bins ━" in text(app)
        bench.keep(lambda draft: draft.batches.update(W1=Batch("W1", "", (StageEvent(Stage.SOAK, wall.now),))))
        wall.on(minutes=25)
        await press(pilot, "f7")
        await press(pilot, "escape")
        assert "bins · W1 stir now" in text(app)
        # Another sitting, a command in a shell, notes that it was stirred.
        with Bench.open(bench.path) as other:
            other.washing.now = wall
            other.washing.stirred("W1")
        bench.refresh()
        assert isinstance(app.screen, BenchScreen)
        app.screen.bench_changed()
        await pilot.pause()
        assert "bins · W1 stir in 20 min" in text(app)


async def test_a_start_says_what_is_due_once_all_else_stands(app: SortbenchApp, bench: Bench, wall: Wall) -> None:
    two_batches(bench, wall)
    async with app.run_test(size=(80, 24)) as pilot:
        assert isinstance(app.screen, BenchScreen)
        for _ in range(4):  # a start goes on with each frame
            app.screen.frame_stands()
            await pilot.pause()
        assert "bins · W2 stir in 2 min +1" in text(app)


@pytest.mark.parametrize("keys", [(), ("f7",)])
async def test_time_that_passes_is_told_without_a_key(
    app: SortbenchApp, bench: Bench, wall: Wall, keys: tuple[str, ...]
) -> None:
    two_batches(bench, wall)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, *keys)
        assert "stir in 2 min" in text(app)
        wall.on(hours=15)
        for _ in range(TELL_EVERY):  # looks at what other sittings wrote, two a second
            app._follow()
        await pilot.pause()
        assert "soak over 14 h ago" in text(app)


@pytest.mark.parametrize("size", [(40, 12), (20, 6), (64, 20), (200, 60)])
@pytest.mark.parametrize("view", ["b", "c", "p"])
async def test_every_size_is_drawn(
    app: SortbenchApp, bench: Bench, wall: Wall, size: tuple[int, int], view: str
) -> None:
    two_batches(bench, wall)
    cared(bench)
    bench.enter("wh pl 24")
    bench.put_aside(Fate.WASH)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f7", view, "right")
        await pilot.resize_terminal(*size)
        await pilot.pause()
        assert all(len(line) <= size[0] for line in lines(app))
        assert lines(app)[0].startswith("wash")


@pytest.mark.parametrize("seed", range(2))
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, wall: Wall, seed: int) -> None:
    two_batches(bench, wall)
    bench.enter("wh pl 24 *3")
    bench.put_aside(Fate.WASH)
    chance = random.Random(seed)
    keys = [*sorted(set(keymap(COMMANDS, "wash")) - LEADING_AWAY), *"789 !@x"]
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f7")
        await press(pilot, *chance.choices(keys, k=150))
        assert isinstance(app.screen, WashScreen)
    numbers = [len(batch.entries) for batch in bench.washing.batches.values()]
    assert numbers[0] >= 8 and numbers[1] >= 2  # nothing noted is deleted


async def test_damaged_batches_leave_the_counting_alone(app: SortbenchApp, bench: Bench) -> None:
    path = bench.path / "bench.json"
    bench.keep(lambda draft: draft.batches.update(W1=Batch("W1")))
    path.write_text(path.read_text("utf-8").replace('"code": "W1"', '"code": "W1", "soak_h": "long"'), "utf-8")
    bench.reload()
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f7")
        assert isinstance(app.screen, BenchScreen)
        assert "'soak_h' is no number" in text(app)
        await enter(pilot, "wh pl 24")
        assert "✓ 1 ×" in text(app)
