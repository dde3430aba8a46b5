"""Lists of sellers and offers: what good rows come to, and every bad row told with its line and column."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from cli_bench import call, make_bench
from intake_sheets import KNOWN, complaints, plan_of

from sortbench.engine.importing.intake_plan import State
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.offer import Offer, Seller, ShippingStep

MILL_LANE = Seller("Mill Lane Bricks", "EUR", Decimal("3.50"), (), Decimal("5.00"), 4)
ATTIC = Seller("Attic & Co", "USD", Decimal("2.00"))
WITH_SELLERS = State(KNOWN.parts, KNOWN.shades, sellers={seller.name: seller for seller in (MILL_LANE, ATTIC)})
HEADER = "seller;part;shade;grade;flaws;price;currency;stock"


def test_a_seller_with_all_there_is_to_say() -> None:
    plan = plan_of(
        "sellers",
        "Shop;Currency;Shipping;Shipping by weight;Minimum order;Trust;How to pay",
        "Mill Lane Bricks;eur;3,5;500 g 0 | up to 2000g: 2.50;5;4;bank transfer",
    )
    assert not plan.errors
    steps = (ShippingStep(500, Decimal("0.00")), ShippingStep(2000, Decimal("2.50")))
    assert plan.sellers == (MILL_LANE._replace(steps=steps, note="bank transfer"),)
    assert plan.new == ("Mill Lane Bricks",)


def test_a_seller_keeps_what_the_list_has_no_column_for() -> None:
    plan = plan_of("sellers", "name;trust", "mill lane bricks;2", state=WITH_SELLERS)
    assert plan.sellers == (MILL_LANE._replace(trust=2),)
    assert [(each.field, each.old, each.new) for each in plan.changed[0].fields] == [("trust", "4", "2")]
    assert plan_of("sellers", "name;trust", "Mill Lane Bricks;4", state=WITH_SELLERS).same


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("Mill Lane Bricks;;1;;;", "currency"),
        ("Mill Lane Bricks;XYZ;1;;;", "currency"),
        ("Mill Lane Bricks;EUR;-1;;;", "shipping"),
        ("Mill Lane Bricks;EUR;1.005;;;", "shipping"),
        ("Mill Lane Bricks;JPY;1.5;;;", "shipping"),
        ("Mill Lane Bricks;EUR;1;heavy 2.50;;", "steps"),
        ("Mill Lane Bricks;EUR;1;2000 g 2 | 500 g 1;;", "steps"),
        ("Mill Lane Bricks;EUR;1;;lots;", "minimum"),
        ("Mill Lane Bricks;EUR;1;;;6", "trust"),
        (";EUR;1;;;", "name"),
    ],
)
def test_bad_sellers_are_told_with_their_column(row: str, column: str) -> None:
    plan = plan_of("sellers", "name;currency;shipping;steps;minimum;trust", row)
    assert column in [where for _, where, _ in complaints(plan)]
    assert not plan.sellers


def test_offers_are_told_apart_by_what_is_offered() -> None:
    plan = plan_of(
        "offers",
        HEADER,
        "Mill Lane Bricks;plate-2x4;white;4-5;scratched;0.12;;7",
        "mill lane bricks;flat 2x4;white;;;0.15;;3",
        "Attic & Co;tile 1x1;cloudy grey;;;0,10;GBP;1",
        state=WITH_SELLERS,
    )
    assert not plan.errors
    assert plan.offers == (
        Offer(
            "Mill Lane Bricks / plate-2x4 / white / 4-5, scratched",
            "Mill Lane Bricks",
            Kind("plate-2x4", "white"),
            Grade.G4_5,
            (Flaw.SCRATCHED,),
            Decimal("0.12"),
            7,
        ),
        Offer(
            "Mill Lane Bricks / plate-2x4 / white",
            "Mill Lane Bricks",
            Kind("plate-2x4", "white"),
            None,
            (),
            Decimal("0.15"),
            3,
        ),
        Offer(
            "Attic & Co / tile-1x1 / grey, late",
            "Attic & Co",
            Kind("tile-1x1", "grey, late"),
            None,
            (),
            Decimal("0.10"),
            1,
            "GBP",
        ),
    )


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ("Nobody;plate-2x4;white;;;0.12;;7", "seller"),
        (";plate-2x4;white;;;0.12;;7", "seller"),
        ("Attic & Co;plate-9x9;white;;;0.12;;7", "part"),
        ("Attic & Co;plate-2x4;puce;;;0.12;;7", "shade"),
        ("Attic & Co;plate-2x4;white;6;;0.12;;7", "grade"),
        ("Attic & Co;plate-2x4;white;;dusty;0.12;;7", "flaws"),
        ("Attic & Co;plate-2x4;white;;;cheap;;7", "price"),
        ("Attic & Co;plate-2x4;white;;;0.005;;7", "price"),
        ("Attic & Co;plate-2x4;white;;;;;7", "price"),
        ("Attic & Co;plate-2x4;white;;;0.12;XYZ;7", "currency"),
        ("Attic & Co;plate-2x4;white;;;0.12;;0", "stock"),
        ("Attic & Co;plate-2x4;white;;;0.12;;many", "stock"),
    ],
)
def test_bad_offers_are_told_with_their_column(row: str, column: str) -> None:
    plan = plan_of("offers", HEADER, "Attic & Co;tile-1x1;white;;;0.10;;1", row, state=WITH_SELLERS)
    assert [(line, where) for line, where, _ in complaints(plan)] == [(3, column)]
    assert plan.offers is not None
    assert len(plan.offers) == 1


def test_a_sellers_new_list_takes_the_place_of_the_old_one() -> None:
    old = {
        each.id: each
        for each in (
            Offer("A", "Attic & Co", Kind("tile-1x1", "white"), None, (), Decimal("0.10"), 1),
            Offer("M", "Mill Lane Bricks", Kind("tile-1x1", "white"), None, (), Decimal("0.10"), 1),
        )
    }
    state = State(KNOWN.parts, KNOWN.shades, sellers=WITH_SELLERS.sellers, offers=old)
    row = "plate-2x4;white;0.12;7"
    plan = plan_of("offers", "part;shade;price;stock", row, state=state, seller="attic & co")
    assert plan.offers is not None
    assert [each.seller for each in plan.offers] == ["Mill Lane Bricks", "Attic & Co"]
    assert plan.removed == ("A: tile-1x1 · white, Attic & Co",)
    kept = plan_of("offers", "part;shade;price;stock", row, state=state, seller="Attic & Co", keep="yes")
    assert kept.offers is not None
    assert len(kept.offers) == 3


def test_two_rows_of_one_offer_that_differ_are_refused() -> None:
    rows = [f"Attic & Co;tile-1x1;white;;;{price};;1" for price in ("0.10", "0.10", "0.11")]
    plan = plan_of("offers", HEADER, *rows, state=WITH_SELLERS)
    assert [line for line, _, _ in complaints(plan)] == [4]
    assert len(plan.notes) == 1


def test_both_lists_come_in_from_the_command_line(tmp_path: Path) -> None:
    bench = make_bench(tmp_path / "bench")
    (tmp_path / "sellers.csv").write_text("name,shipping\nAttic & Co,2.00\n")
    (tmp_path / "offers.csv").write_text("seller,part,shade,price,stock\nAttic & Co,plate 2x4,white,0.12,7\n")
    for what, more in (("sellers", ["--currency", "GBP"]), ("offers", [])):
        result = call("--bench", bench, "import", what, "--yes", "--json", *more, tmp_path / f"{what}.csv")
        assert result.exit_code == 0, result.stderr
        assert json.loads(result.stdout)["written"]
    again = call("--bench", bench, "import", "offers", "--yes", "--json", tmp_path / "offers.csv")
    assert json.loads(again.stdout)["same"]
