"""Bins, sellers and offers brought in from inside the app: shown first, written after a yes, told as in a shell."""

from __future__ import annotations

from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.tui.app import SortbenchApp
from sortbench.tui.screens.bins import BinsScreen
from sortbench.tui.screens.bring_in import BringInScreen
from sortbench.tui.screens.orders import OrdersScreen
from sortbench.tui.screens.plan import PlanScreen
from tests.tui.golden import assert_golden
from tests.tui.looking import press, text
from tests.tui.planning import planned
from tests.tui.reconciling import reconciled

BINS = "Label;Families;Capacity\nPLATES;plate;60\nBRICKS;brick;40\nREST;;\n"
SELLERS = "Name,Currency,Shipping\nMill Lane Bricks,EUR,3.50\nAttic & Co,EUR,2.00\n"
OFFERS = (
    "Seller,Part,Shade,Price,Stock\n"
    'Mill Lane Bricks,brick 2x4,"grey, early",0.30,20\n'
    "Attic & Co,plate 2x4,white,ten,9\n"
    "Attic & Co,slope 45 2x2,white,0.25,9\n"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the app runs, with the lists in it."""
    here = tmp_path / "lists"
    here.mkdir()
    for name, content in (("bins.csv", BINS), ("sellers.csv", SELLERS), ("offers.csv", OFFERS)):
        (here / name).write_text(content, encoding="utf-8")
    monkeypatch.chdir(here)
    return here


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_bins_where_there_are_none(empty_bench: Bench, folder: Path, size: tuple[int, int]) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await press(pilot, "escape", "f4")
        assert "i brings bins in from a table" in " ".join(text(app).split())
        await press(pilot, "i")
        assert isinstance(app.screen, BringInScreen)
        assert_golden(app, f"bring-in-{size[0]}x{size[1]}")
        await press(pilot, *"bi", "enter")
        assert "3 new" in text(app) and "Families" in text(app)
        assert empty_bench.documents.bins == () and not empty_bench.folder.documents.load().bins
        assert_golden(app, f"bring-in-bins-{size[0]}x{size[1]}")
        await press(pilot, "y")
        assert isinstance(app.screen, BinsScreen)
        assert "bins: 3 new" in text(app)
    assert [each.label for each in empty_bench.folder.documents.load().bins] == ["PLATES", "BRICKS", "REST"]


async def test_words_typed_at_once_behind_the_key(empty_bench: Bench, folder: Path) -> None:
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "escape", "f4")
        await press(pilot, "i", *"bins.csv", "enter", "y")
        assert len(empty_bench.documents.bins) == 3


async def test_offers_on_the_plan_and_a_bad_row_is_left_out(app: SortbenchApp, bench: Bench, folder: Path) -> None:
    reconciled(bench)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "b")
        await planned(pilot, bench)
        assert "No offers: I brings sellers in from a table, then i their offers" in " ".join(text(app).split())
        await press(pilot, "i", *"offers", "enter")
        assert "Mill Lane Bricks" in text(app) and "does it" not in text(app), "nobody knows these sellers yet"
        assert not bench.folder.documents.load().offers
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, PlanScreen)
        await press(pilot, "I", *"sellers", "enter", "y")
        await press(pilot, "i", *"offers", "enter")
        assert "line 3 is left out" in text(app) and "ten" in text(app)
        await press(pilot, "n")
        assert "left as it was" in text(app) and not bench.folder.documents.load().offers
        await press(pilot, "escape", *"offers", "enter", "y")
        assert isinstance(app.screen, PlanScreen)
        assert "offers: 2 new; 1 row was left out" in text(app)
        await planned(pilot, bench)
        assert "No offers" not in text(app) and "buy" in text(app)
    assert len(bench.folder.documents.load().offers) == 2
    (refused,) = (bench.path / "refused").glob("*.csv")
    assert "ten" in refused.read_text(encoding="utf-8")


async def test_from_the_orders_screen_and_back(app: SortbenchApp, bench: Bench, folder: Path) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "o")
        assert "I brings sellers in from a table, then i their offers" in " ".join(text(app).split())
        await press(pilot, "i", "escape")
        assert isinstance(app.screen, OrdersScreen)
        await press(pilot, "I", *"sel", "enter", "y")
        assert isinstance(app.screen, OrdersScreen)
        assert "sellers: 2 new" in text(app)
        await press(pilot, "I", *"sel", "enter")
        assert "The bench holds all of it already." in text(app) and "does it" not in text(app)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("\x00\x01\x02", ""),
        ("Families;Capacity\nplate;60\n", "has no column that could be its label"),
        ("", ""),
    ],
)
async def test_rubbish_is_told_and_the_line_stays(empty_bench: Bench, folder: Path, content: str, said: str) -> None:
    (folder / "rubbish.csv").write_text(content, encoding="utf-8")
    app = SortbenchApp(lambda: empty_bench)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "escape", "f4", "i", *"rub", "enter")
        assert "✗" in text(app) and said in " ".join(text(app).split())
        assert "file: rub" in text(app)
        assert not empty_bench.folder.documents.load().bins
