"""The spot check and recount screens: drawn, noted, judged, compared, taken over, key by key."""

from __future__ import annotations

import json
import random

import pytest

from sortbench.bench import Bench
from sortbench.desks.recount_desk import RecountDesk
from sortbench.desks.spot_desk import SpotDesk, Standing
from sortbench.model.spot_check import Drawing, Level
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing.recount_rows import NO_NOTES, NOT_BEGUN
from sortbench.tui.drawing.spot_rows import NO_FINDS, SCOOPED
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.recount import RecountScreen
from sortbench.tui.screens.spot import SpotScreen
from sortbench.tui.widgets.rows import Row, row_width
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, lines, press, text

LEADING_AWAY = frozenset(
    {"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "?", "f1", "escape"}
)
"""Keys after which others would be struck elsewhere."""
SIZES = [(80, 24), (120, 36)]


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """B1 holds 95 pieces in three heaps."""
    for entry in ("wh pl 24 *60", "wh pl 12 *20 !4", "wh sl *15"):
        bench.enter(entry)
    return bench


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_check_from_its_plan_to_the_verdict(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f4", "c")
        await pilot.pause()
        assert isinstance(app.screen, SpotScreen)
        assert "look at 13 pieces, accept with 0 wrong, recount with 1" in text(app)
        # scipy 1.17: hypergeom.cdf(0, 95, 5, 13) = 0.47124
        assert "47.1 %" in line_with(app, "5     5.3 %")
        await press(pilot, "*")
        assert "nothing is drawn yet: Esc, then Enter draws the check" in line_with(app, "piece:")
        await press(pilot, "escape", "l", "a", "a", "a")
        assert "l level III · a limit 4.0 · d counted off" in lines(app)[0]
        await press(pilot, "l", "l", "enter")
        assert bench.documents.spots["S1"].level is Level.II
        numbers = SpotDesk(bench).numbers(bench.documents.spots["S1"])
        assert " ".join(map(str, numbers[:8])) in text(app)
        await press(pilot, "*")
        await enter(pilot, "wh pl 24 *9 !4-5")
        await enter(pilot, "wh sl *3 !2")
        assert "✗ grade off: 3 slope 45 2x2, white, 2" in text(app)
        assert "recount the bin · 25.0 % wrong so far" in lines(app)[1]
        await enter(pilot, "")
        await press(pilot, "delete", "m")
        assert "10 of 20 pieces looked at · 1 wrong · not done" in lines(app)[1]
        await press(pilot, "*")
        await enter(pilot, "wh pl 12 *10")
        await press(pilot, "escape")
        assert "accepted" in lines(app)[1]
        await press(pilot, "m")
        assert "0 of them not yet" in text(app)
        await press(pilot, "x")
        assert "cannot both be missing and be left over" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, BinsScreen)
    with Bench.open(bench.path) as again:
        desk = SpotDesk(again)
        assert desk.verdict(desk.check("S1")).standing is Standing.ACCEPTED


async def test_a_line_that_is_refused_is_given_back(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", "c")
        await pilot.pause()
        await press(pilot, "enter", "*")
        await enter(pilot, "xyzzy")
        assert "Nothing is called 'xyzzy'" in text(app)
        assert "xyzzy" in line_with(app, "piece:")
        await press(pilot, "escape", "*")
        await enter(pilot, "wh sl *99")
        assert "13 of them not yet, so 99 more are too many" in " ".join(text(app).split())
        await press(pilot, "escape")
    assert bench.documents.spots["S1"].finds == ()


async def test_checks_of_a_bin_one_after_the_other(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", "c")
        await pilot.pause()
        await press(pilot, "enter", "l")
        assert "n plans a new one" in text(app)
        await press(pilot, "n", "d", "enter")
        assert "S2" in lines(app)[0] and "2 of 2" in lines(app)[0] and "stir the bin well" in text(app)
        await press(pilot, "m")
        assert "A scoop cannot tell" in text(app)
        await press(pilot, "o")
        assert "S1" in lines(app)[0] and "1 of 2" in lines(app)[0]
        bench.enter("wh sl *5")
        await press(pilot, "right", "right", "left")
        assert "The bin's count has changed since" in text(app)
        await press(pilot, "n", "escape")
        assert "S1" in lines(app)[0]
    assert [check.drawing for check in bench.documents.spots.values()] == [Drawing.COUNTED_OFF, Drawing.SCOOP]


async def test_a_bin_that_holds_nothing_is_not_checked(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", "down", "c")
        await pilot.pause()
        assert "Nothing is counted into B2" in text(app)
        await press(pilot, "enter", "*")
        await enter(pilot, "wh sl")
        assert not bench.documents.spots
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, BinsScreen)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_recount_is_blind_then_compared_then_taken_over(
    app: SortbenchApp, bench: Bench, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f4", "r")
        await pilot.pause()
        assert isinstance(app.screen, RecountScreen)
        await press(pilot, "*")
        await enter(pilot, "wh sl")
        assert "Nothing is begun yet." in text(app)
        await press(pilot, "escape", "enter", "*")
        for entry in ("wh pl 24 *59", "wh pl 12 *20 !4-5", "wh sl *14", "*1 !2", "*7"):
            await enter(pilot, entry)
        await press(pilot, "escape", "delete")
        assert "taken back: 7 × slope 45 2x2, white" in text(app)
        assert "94 pieces noted" in lines(app)[0]
        assert "60" not in text(app) and "95" not in text(app), "the first count is not shown"
        await press(pilot, "t")
        assert "is not ended" in text(app)
        await press(pilot, "e", "n")
        assert not bench.documents.recounts["R1"].ended, "only y ends it"
        await press(pilot, "e", "y")
        assert "93 pieces agree · 3 heaps differ" in lines(app)[0]
        assert "differ" in line_with(app, "60        59")
        await press(pilot, "down", "up")
        assert "tallies 60?; notes 59?" in text(app)
        before = dict(bench.picture.ledger.counts)
        await press(pilot, "t", "x")
        assert dict(bench.picture.ledger.counts) == before, "only y takes it over"
        await press(pilot, "t", "y")
        assert "R1 is taken over: 3 records written" in text(app)
        await press(pilot, "t")
        assert "taken over already" in text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, BinsScreen)
    assert sorted(bench.picture.ledger.counts.values()) == [1, 14, 20, 59]
    with Bench.open(bench.path) as again:
        assert dict(again.picture.ledger.counts) == dict(bench.picture.ledger.counts)


async def test_a_recount_may_be_opened_again_and_done_anew(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", "r")
        await pilot.pause()
        await press(pilot, "*")
        assert "nothing is begun yet: Esc, then Enter begins" in line_with(app, "pieces:")
        await press(pilot, "escape", "enter", "n")
        assert "R1 is not ended." in text(app)
        await press(pilot, "e", "y", "*")
        assert "R1 is ended: Esc, then e opens it again" in line_with(app, "pieces:")
        await press(pilot, "escape", "e")
        assert "R1 is open again" in text(app)
        await press(pilot, "e", "y", "n", "escape")
        assert "R1" in lines(app)[0]
        await press(pilot, "n", "enter")
        assert "R2" in lines(app)[0]
    assert [bool(each.ended) for each in RecountDesk(bench).recounts()] == [True, False]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_what_the_screens_look_like(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    desk = SpotDesk(bench)
    desk.begin("B1", Level.II, "4", by="Ann", seed=7)
    desk.note("S1", "wh pl 24 *9")
    desk.note("S1", "wh sl !3 #crack")
    desk.missing("S1")
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f4", "c")
        await pilot.pause()
        assert_golden(app, f"spot-{size[0]}x{size[1]}")
        await press(pilot, "right")
        assert_golden(app, f"spot-numbers-{size[0]}x{size[1]}")
        await press(pilot, "escape")
        recounts = RecountDesk(bench)
        recounts.begin("B1", by="Bo")
        for entry in ("wh pl 24 *59", "wh pl 12 *20 !4", "wh sl *16"):
            recounts.note("R1", entry)
        recounts.end("R1")
        await press(pilot, "r")
        await pilot.pause()
        assert_golden(app, f"recount-{size[0]}x{size[1]}")


@pytest.mark.parametrize(("table", "key"), [("spots", "c"), ("recounts", "r")])
async def test_damaged_checks_leave_the_app_running(app: SortbenchApp, bench: Bench, table: str, key: str) -> None:
    SpotDesk(bench).begin("B1")
    RecountDesk(bench).begin("B1")
    path = bench.path / "bench.json"
    tables = json.loads(path.read_text("utf-8"))
    tables[table]["1"]["bin"] = ""
    path.write_text(json.dumps(tables), "utf-8")
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f4", key)
        await pilot.pause()
        assert isinstance(app.screen, BinsScreen)
        await press(pilot, "f2")
        await enter(pilot, "wh pl 24")
        assert bench.picture.ledger.pieces == 96


@pytest.mark.parametrize(("key", "screen"), [("c", SpotScreen), ("r", RecountScreen)])
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, key: str, screen: type[SpotScreen]) -> None:
    draw = random.Random(7)
    place = "spot" if screen is SpotScreen else "recount"
    keys = sorted(set(keymap(COMMANDS, place)) - LEADING_AWAY - {"t"})  # type: ignore[arg-type]
    before = dict(bench.picture.ledger.counts)
    async with app.run_test(size=(40, 12)) as pilot:
        for _ in range(8):
            if not isinstance(app.screen, screen):
                await press(pilot, "f4", key)
                await pilot.pause()
            await press(pilot, *(draw.choice([*keys, "2", "w", "enter", "enter"]) for _ in range(14)))
            await press(pilot, "escape")
            assert dict(bench.picture.ledger.counts) == before
    with Bench.open(bench.path) as again:
        assert dict(again.documents.spots) == dict(bench.documents.spots)
        assert dict(again.documents.recounts) == dict(bench.documents.recounts)


@pytest.mark.parametrize("rows", [NO_FINDS, SCOOPED, NO_NOTES, NOT_BEGUN])
def test_what_an_empty_list_says_fits_a_terminal_of_80(rows: tuple[Row, ...]) -> None:
    assert all(row_width(row) <= 80 for row in rows)
