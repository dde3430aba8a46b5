"""The screen of sets in the lot: drawn, followed while another sitting counts, a list made a target."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from sortbench.bench import Bench
from sortbench.desks.pile_desk import set_pile
from sortbench.model.catalogue import Kind
from sortbench.model.library import SetList, Wanted
from sortbench.store.library import library_path, save_library
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.sets import SetsScreen
from sortbench.tui.screens.targets import TargetsScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import enter, line_with, lines, press, text

TRAM = SetList(
    "VW-12",
    "Peat Tramway",
    tuple(Wanted(part, "brick red", 8) for part in ("plate 1x2", "brick 2x4", "arch 1x6x2", "slope 45 2x2")),
    1987,
)
BELL = SetList("VW-15", "Bell [red]", tuple(Wanted(f"bell {n}", "white", 4) for n in range(12)))


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """With a library of two sets; a third of one target is counted."""
    save_library(bench.path, {each.code: each for each in (TRAM, BELL)})
    for part, shade, quantity in (
        ("plate-2x4", "white", 2),
        ("brick-2x4", "grey, early", 3),
        ("slope45-2x2", "white", 1),
    ):
        bench.count(Kind(part, shade), quantity)
    set_pile(bench, 30)
    return bench


async def settled(pilot: Pilot[None], bench: Bench) -> None:
    """Wait until the chances stand still; each step is a frame."""
    for _ in range(200):
        await pilot.pause(0.01)
        if "Holding what was counted" not in text(pilot.app) and bench.identifying.is_settled:
            break
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_likely_sets_and_what_tells(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        assert isinstance(app.screen, SetsScreen)
        assert "which sets are in the lot  6 pieces counted of 30" in lines(app)[0]
        assert "T-07" in line_with(app, "▸"), "the set of which most was seen"
        assert_golden(app, f"sets-{size[0]}x{size[1]}")
        await press(pilot, "escape")
        assert isinstance(app.screen, TargetsScreen)


async def test_it_follows_what_another_sitting_counts(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        assert "VW-12" not in text(app), "nothing of it was seen"
        with Bench.open(bench.path) as other:
            for part in ("plate-1x2", "brick-2x4", "arch-1x6x2", "slope45-2x2"):
                other.count(Kind(part, "brick red"), 4)
        bench.refresh()
        app.screen.bench_changed()  # type: ignore[attr-defined]
        await settled(pilot, bench)
        row = line_with(app, "VW-12")
        assert "4 of 4" in row and "%" in row
        assert "22 pieces counted" in lines(app)[0]


async def test_a_list_becomes_a_target_only_after_y(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        await press(pilot, "/")
        await enter(pilot, "peat")
        assert "1 of 4 sets hold 'peat'" in text(app)
        await press(pilot, "t", "n")
        assert "left as it was" in text(app) and "VW-12" not in bench.documents.targets
        await press(pilot, "t", "y")
        await settled(pilot, bench)
        assert "new target: VW-12 Peat Tramway, 4 lines" in text(app)
        assert bench.documents.targets["VW-12"].year == 1987
        await press(pilot, "t")
        assert "is a target already" in line_with(app, "✗")


async def test_the_filter_looks_through_the_whole_library(app: SortbenchApp, bench: Bench) -> None:
    """Not only through the likely ones; and what is chosen is of the words typed, however fast the keys come."""
    many = [TRAM._replace(code=f"X-{n}", name=f"Lamp {n}", lines=(Wanted(f"lamp {n}", "tan", 3),)) for n in range(90)]
    save_library(bench.path, {each.code: each for each in (*many, BELL, TRAM)})
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        assert "Lamp" not in text(app), "nothing of them was seen"
        await press(pilot, "/", *"lamp 77", "enter", "t")
        assert "Make Lamp 77 a target, 1 line" in text(app)
        assert "1 of 94 sets hold 'lamp 77'" in text(app)


async def test_nothing_counted_and_no_list_are_told(app: SortbenchApp, bench: Bench) -> None:
    for _ in range(3):
        bench.undo()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        assert "Nothing was counted yet that any list asks for" in text(app)
        assert "look for" not in text(app)
        await press(pilot, "/", *"peat", "enter")
        assert "0 of 4" in line_with(app, "▸")
        assert "nothing of it was counted yet" in text(app)


async def test_a_damaged_library_is_told_and_names_are_no_markup(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "i")
        await settled(pilot, bench)
        await press(pilot, "/", *"bell", "enter")
        assert "Bell [red]" in text(app)
        await press(pilot, "escape", "escape")
        library_path(bench.path).write_bytes(b"nothing")
        await press(pilot, "i")
        await pilot.pause(0.1)
        assert "is damaged" in text(app)
        await press(pilot, "f2")
        await enter(pilot, "pl 2x4 wh")
        assert bench.picture.ledger.pieces == 7
