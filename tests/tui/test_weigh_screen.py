"""The weighing screen: pieces on a scale counted key by key, weighings confirmed and struck, rubbish typed."""

from __future__ import annotations

import json
import random
from datetime import UTC, datetime

import pytest

from sortbench.bench import Bench
from sortbench.desks.weigh_desk import ScaleTold
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.weighing import Handful, Scale, Weighing
from sortbench.tui.app import SortbenchApp
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.weigh import WeighScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, lines, press, text

PLATE = Kind("plate-2x4", "white")
SIZES = ((80, 24), (120, 36), (40, 12))
LEADING_AWAY = frozenset(
    {"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "?", "f1", "escape"}
)
"""Keys after which others would be struck elsewhere."""


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Six white plates in B1, one of them of grade 4; a scale that is known."""
    bench.count(PLATE, 5)
    bench.count(PLATE, 1, Grade.G4)
    bench.weighing.tell(ScaleTold(0.01, 0.005, scatter=0.005))
    return bench


async def open_with(pilot: object, *keys: str) -> None:
    await press(pilot, "f4", *keys, "w")  # type: ignore[arg-type]
    await pilot.pause()  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_load_is_counted_key_by_key(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await open_with(pilot, "right")
        assert isinstance(app.screen, WeighScreen)
        assert "plate 2x4 · white" in lines(app)[0], "the kind under the cursor"
        await press(pilot, "c")
        await enter(pilot, "12,5")
        await press(pilot, "h")
        await enter(pilot, "50 62.5")
        await press(pilot, "l")
        await enter(pilot, "155.5")
        assert "net 143 g" in line_with(app, "load") or size[0] == 40
        assert "exactly 143" in text(app)
        await press(pilot, "enter", "n")
        assert bench.picture.counted(PLATE) == 6, "only y counts them"
        await press(pilot, "enter", "y")
        assert bench.picture.counted(PLATE) == 149
        assert "143 × plate 2x4 · white into B1" in " ".join(text(app).split())
        assert "G1" in text(app)
        await press(pilot, "u")
        assert bench.picture.counted(PLATE) == 6
        await press(pilot, "escape")
        assert isinstance(app.screen, BinsScreen)


async def test_pieces_are_named_where_none_lies_under_the_cursor(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_with(pilot)
        assert "no piece named yet" in lines(app)[0]
        await press(pilot, "enter")
        assert "Nobody said what lies on the scale." in text(app)
        await press(pilot, "/")
        await enter(pilot, "nothing such")
        assert "Nothing is called 'nothing such'" in text(app)
        assert "nothing such" in line_with(app, "piece:"), "what was refused is given back"
        await press(pilot, *["backspace"] * 12)
        await enter(pilot, "br 2x4 grey !3 @b3")
        assert "brick 2x4 · grey, early  grade 3  into B3" in lines(app)[0]
        await press(pilot, "l")
        await enter(pilot, "25")
        assert "about 10: the catalogue does not say how sure 2.5 g a piece is" in text(app)
        await press(pilot, "*")
        await enter(pilot, "10")
        assert bench.picture.counted(Kind("brick-2x4", "grey, early")) == 10
        (heap,) = bench.heaps("B3")
        assert heap.cell.grade is Grade.G3
        assert bench.weighing.masses()[0].mass.mass_g == pytest.approx(2.5), "a count by hand is learnt from"


async def test_weighings_are_confirmed_and_struck(app: SortbenchApp, bench: Bench) -> None:
    bench.weighing.learn("plate-2x4", [Handful(50, 62.5, 12.5)])
    async with app.run_test(size=(120, 36)) as pilot:
        await open_with(pilot, "right")
        await press(pilot, "l")
        await enter(pilot, "155.4 12.5")
        await press(pilot, "enter", "y")
        await press(pilot, "=")
        await enter(pilot, "142")
        assert "G2: 142 by hand; its tally is put right" in text(app), text(app)
        assert bench.picture.counted(PLATE) == 148
        await press(pilot, "down", "delete")
        assert "G1: struck, nothing is learnt from it" in text(app)
        assert "struck" in line_with(app, "50 in 50 g")
        await press(pilot, "delete")
        assert "G1: holds again" in text(app)
        await press(pilot, "=")
        await enter(pilot, "50")
        assert "only handfuls were weighed" in text(app)
        await press(pilot, "escape", "h")
        await enter(pilot, "20 32.5 12.5")
        await press(pilot, "n")
        assert "G3 noted" in text(app)
        await press(pilot, "n")
        assert "There is no handful to learn from." in text(app)
        await press(pilot, "backspace")
        assert "Nothing lies on the scale." in text(app)


async def test_the_scale_is_told(app: SortbenchApp, bench: Bench) -> None:
    bench.weighing.tell(ScaleTold(), forget=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_with(pilot, "right")
        assert "not known: s tells its smallest step" in line_with(app, "scale")
        await press(pilot, "s")
        await enter(pilot, "0.1")
        assert "0.1 g steps, readings ± 0.05 g (assumed), pieces ± 1 % (assumed)" in line_with(app, "scale")
        await press(pilot, "s")
        await enter(pilot, "0.1 0.02 0.6%")
        assert "0.1 g steps, readings ± 0.02 g, pieces ± 0.6 %" in line_with(app, "scale")
        for wrong in ("1 2 3", "a", "0", "0.1 5%%", "nan"):
            await press(pilot, "s")
            await enter(pilot, wrong)
            assert "✗" in text(app), wrong
            await press(pilot, "escape")
    assert bench.weighing.told == ScaleTold(0.1, 0.02, None, 0.006)


async def test_the_size_of_the_pile_is_weighed(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_with(pilot)
        await press(pilot, "p")
        await enter(pilot, "2410 410")
        assert "Too few tallies of pieces with a known mass: 2." in text(app)
        await enter(pilot, "; 60 120 0; 55 115 0; 65 124 0")
        assert "the pile has about 1,009 pieces" in text(app)
        assert "6 are counted, about 1,003 are left" in text(app)
    assert bench.pile_said is not None
    assert bench.pile_said.pieces == 1009, "2,000 g at 359 g in 180 pieces, and the six that are counted"
    assert bench.pile_said.low < 1009 < bench.pile_said.high


@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_screen_as_a_whole(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    """With a weighing of a fixed time, noon in this place."""
    noon = datetime(2026, 3, 1, 12, tzinfo=datetime.now().astimezone().tzinfo).astimezone(UTC)
    at = noon.isoformat(timespec="milliseconds").replace("+00:00", "Z")
    made = Weighing("G1", at, "plate-2x4", Scale(0.01, 0.005), (Handful(20, 32.5, 12.5),))
    with bench.folder.documents.edit() as draft:
        draft.weighings["G1"] = made
    bench.reload()
    async with app.run_test(size=size) as pilot:
        await open_with(pilot, "right")
        await press(pilot, "l")
        await enter(pilot, "412.5 12.5")
        assert_golden(app, f"weigh-{size[0]}x{size[1]}")


async def test_damaged_weighings_leave_the_app_running(app: SortbenchApp, bench: Bench) -> None:
    bench.weighing.learn("plate-2x4", [Handful(50, 62.5, 12.5)])
    path = bench.path / "bench.json"
    tables = json.loads(path.read_text("utf-8"))
    tables["weighings"]["1"]["part"] = ""
    path.write_text(json.dumps(tables), "utf-8")
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_with(pilot, "right")
        assert isinstance(app.screen, BinsScreen)
        await press(pilot, "f2")
        await enter(pilot, "wh pl 24")
        assert bench.picture.ledger.pieces == 7


@pytest.mark.parametrize("seed", range(2))
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, seed: int) -> None:
    draw = random.Random(seed)
    keys = sorted(set(keymap(COMMANDS, "weigh")) - LEADING_AWAY)
    async with app.run_test(size=draw.choice([(80, 24), (40, 12)])) as pilot:
        for _ in range(8):
            if not isinstance(app.screen, WeighScreen):
                await open_with(pilot, "right")
            await press(pilot, *(draw.choice([*keys, "2", "0", " ", "down", "enter", "[", "%"]) for _ in range(14)))
            await press(pilot, "escape")
    with Bench.open(bench.path) as again:
        assert again.bin_rows() == bench.bin_rows(), "what is shown is on disk"
        assert again.weighing.masses() == bench.weighing.masses()
