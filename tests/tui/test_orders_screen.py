"""The orders screen: parcels ticked in key by key, notes struck, the standing list, files written."""

from __future__ import annotations

import json
import random
from decimal import Decimal

import pytest

from sortbench.bench import Bench
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.pile_desk import set_pile
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Grade
from sortbench.model.offer import Offer, Seller
from sortbench.tui.app import SortbenchApp
from sortbench.tui.drawing.order_rows import NO_MATCH, NO_ORDERS, NO_STANDING
from sortbench.tui.keymap import OWN_KEYS
from sortbench.tui.keys import COMMANDS, keymap
from sortbench.tui.screens.orders import OrdersScreen
from sortbench.tui.screens.targets import TargetsScreen
from sortbench.tui.widgets.rows import Row
from tests.tui.looking import enter, line_with, lines, press, text

PLATE = Kind("plate-2x4", "white")
BRICK = Kind("brick-2x4", "grey, early")
LEADING_AWAY = frozenset(
    {"f10", "ctrl+q", "ctrl+p", ":", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "?", "f1", "escape"}
)
"""Keys after which others would be struck elsewhere."""


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """P1: four white plates and two grey bricks; P2: one plate of a seller with a hostile name."""
    sellers = Seller("Mill Lane Bricks", "EUR", Decimal("2.50")), Seller("[red]Attic[/]", "EUR")
    offers = (
        Offer("m1", sellers[0].name, PLATE, Grade.G4, (), Decimal("0.10"), 9),
        Offer("m2", sellers[0].name, BRICK, None, (), Decimal("0.33"), 2),
        Offer("a1", sellers[1].name, PLATE, None, (), Decimal("0.20"), 1),
    )
    with bench.folder.documents.edit() as draft:
        draft.sellers.update({seller.name: seller for seller in sellers})
        draft.offers.update({offer.id: offer for offer in offers})
    bench.reload()
    OrdersDesk(bench).new([Purchase("m1", 4, "T-07"), Purchase("m2", 2), Purchase("a1", 1)])
    return bench


def figures(bench: Bench, order: str = "P1") -> list[tuple[int, ...]]:
    from sortbench.model.order import Outcome

    state = OrdersDesk(bench).state(order)
    return [(*(line.of(outcome) for outcome in Outcome), line.awaited) for line in state.lines]


@pytest.mark.parametrize("size", [(80, 24), (120, 36)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_parcel_is_ticked_in_key_by_key(app: SortbenchApp, bench: Bench, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        assert isinstance(app.screen, OrdersScreen)
        assert "orders 2, 7 pieces to come" in lines(app)[0]
        assert "P2 [red]Attic[/] · not sent yet · 1 of 1 piece to come · 0.20 EUR" in text(app)
        head = "P1 Mill Lane Bricks"
        assert "6 of 6 pieces to come · 3.56 EUR" in line_with(app, head)
        await press(pilot, "down", "down", "p")
        assert "awaited" in line_with(app, head)
        assert "P1: sent; 3.56 EUR noted in the lot ledger" in text(app)
        await press(pilot, "down", "g")
        assert "good: 1 × plate 2x4 · white into B1, for Glasshouse line 1" in text(app)
        assert "plate 2x4" in line_with(app, "3 of 4")
        await press(pilot, "s", "d", "w")  # good, short, wrong, damaged in this order; then awaited
        assert figures(bench)[0] == (1, 1, 1, 1, 0)
        await press(pilot, "g")
        assert "Nothing is awaited on line 1 of P1." in text(app)
        await press(pilot, "delete")
        assert figures(bench)[0] == (1, 0, 1, 1, 1)
        await press(pilot, "down", "enter")
        assert figures(bench)[1] == (2, 0, 0, 0, 0)
        await press(pilot, "u")
        assert figures(bench)[1] == (0, 0, 0, 0, 2)
        await press(pilot, "up", "up", "enter")
        assert "3 pieces of P1 counted" in text(app)
        assert "settled" in line_with(app, head)
        await press(pilot, "escape")
        assert isinstance(app.screen, TargetsScreen)
    assert bench.picture.ledger.pieces == 4


async def test_what_came_otherwise_is_typed(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        await press(pilot, "down", "down", "down", "*")
        await enter(pilot, "1 !2 #crack")
        assert "damaged: 1 × plate 2x4 · white" in text(app)
        await press(pilot, "*")
        await enter(pilot, "2 plate 1x2 wh")
        assert "wrong: 2 × plate 1x2 · white into B1" in text(app)
        await press(pilot, "*")
        await enter(pilot, "many")
        assert "does not begin with how many" in text(app)
        assert "many" in line_with(app, "came:"), "what was refused is given back"
        await press(pilot, "escape")
    assert figures(bench)[0] == (0, 2, 1, 0, 1)
    assert bench.picture.counted(Kind("plate-1x2", "white")) == 2


async def test_an_order_is_called_off_only_by_y(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        await press(pilot, "c", "n")
        assert figures(bench, "P2") == [(0, 0, 0, 0, 1)]
        await press(pilot, "c", "y")
        assert "called off" in line_with(app, "P2")
        assert figures(bench, "P2") == [(0, 0, 0, 0, 0)]
        await press(pilot, "c")
        assert figures(bench, "P2") == [(0, 0, 0, 0, 1)]


async def test_the_standing_list_and_a_filter(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        # Lacking: 4 + 2 plates, 6 bricks, 2 arches, 3 slopes; ordered 5 plates and 2 bricks, offered 5 plates more.
        assert "standing list 9" in lines(app)[0]
        await press(pilot, "l")
        assert line_with(app, "brick 2x4").split()[-5:-1] == ["6", "2", "0", "4"]
        assert "plate 2x4" not in text(app)
        await press(pilot, "end", "l")
        assert "P1 Mill Lane Bricks" in text(app)
        await press(pilot, "/", *"grey", "enter")
        assert "1 of 3 lines hold 'grey'" in text(app)
        assert "[red]Attic[/]" not in text(app)
        await press(pilot, "escape")
        assert "[red]Attic[/]" in text(app)


async def test_what_was_ordered_is_not_held_against_the_pile(app: SortbenchApp, bench: Bench) -> None:
    set_pile(bench, 100)
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        await press(pilot, "down", "down", "down", "enter", "f2")
        await pilot.pause()
        assert bench.picture.ledger.pieces == 4
        assert "0 of about 100" in lines(app)[0]


async def test_files_are_written_into_the_bench(app: SortbenchApp, bench: Bench) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        await press(pilot, "end", "f", "f")
        assert "P1.txt, P1.csv, P1.html" in text(app)
        written = {path.name for path in (bench.path / "orders").iterdir()}
        assert written == {"P1.txt", "P1.csv", "P1.html"}
        assert (bench.path / "orders" / "P1.txt").read_text("utf-8").startswith("To Mill Lane Bricks\nOrder P1 of ")
        mine = bench.path / "orders" / "P2.txt"
        mine.write_text("my own words\n")
        await press(pilot, "home", "f")
        assert "holds something else" in " ".join(text(app).split())  # wherever the line is broken
        assert mine.read_text() == "my own words\n"


async def test_damaged_orders_leave_the_app_running(app: SortbenchApp, bench: Bench) -> None:
    path = bench.path / "bench.json"
    tables = json.loads(path.read_text("utf-8"))
    tables["orders"]["1"]["currency"] = "XYZ"
    path.write_text(json.dumps(tables), "utf-8")
    bench.reload()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f3", "o")
        await pilot.pause()
        assert isinstance(app.screen, TargetsScreen)
        await press(pilot, "f2")
        await enter(pilot, "wh pl 24")
        assert bench.picture.ledger.pieces == 1


@pytest.mark.parametrize("seed", range(1))
async def test_any_keys_do_no_harm(app: SortbenchApp, bench: Bench, seed: int) -> None:
    draw = random.Random(seed)
    keys = sorted(set(keymap(COMMANDS, "orders")) - LEADING_AWAY)
    async with app.run_test(size=draw.choice([(80, 24), (40, 12)])) as pilot:
        for _ in range(8):
            if not isinstance(app.screen, OrdersScreen):
                await press(pilot, "f3", "o")
                await pilot.pause()
            await press(pilot, *(draw.choice([*keys, "2", "down", "enter"]) for _ in range(12)))
            await press(pilot, "escape")
            for order, ordered in (("P1", [4, 2]), ("P2", [1])):
                for line, quantity in zip(figures(bench, order), ordered, strict=True):
                    assert line[-1] in (max(0, quantity - sum(line[:-1])), 0)
    with Bench.open(bench.path) as again:
        assert figures(again) == figures(bench), "what is shown is on disk"
        assert again.target_rows() == bench.target_rows()


@pytest.mark.parametrize("rows", [NO_ORDERS, NO_STANDING, NO_MATCH])
def test_what_an_empty_list_says_fits_a_narrow_terminal(rows: tuple[Row, ...]) -> None:
    assert all(sum(len(OWN_KEYS.said(words)) for words, _ in row) < 80 for row in rows)
