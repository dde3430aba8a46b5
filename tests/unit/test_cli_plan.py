"""`sortbench plan` and `sortbench prices`, from lists brought in to what is to be bought."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, make_bench, rows

SELLERS = """name,currency,shipping,steps,minimum,trust
Mill Lane Bricks,EUR,3.50,500 g 0 | 2000 g 2.50,,4
Attic & Co,USD,2.34,,,5
"""
OFFERS = """seller,part,shade,grade,price,stock
Mill Lane Bricks,plate-2x4,white,5,0.12,20
Attic & Co,plate-2x4,white,4-5,0.12,3
"""


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """Twelve white plates and a bell are asked for; five plates of grade 2 are there."""
    folder = make_bench(tmp_path / "bench")
    (tmp_path / "sellers.csv").write_text(SELLERS)
    (tmp_path / "offers.csv").write_text(OFFERS)
    for what in ("sellers", "offers"):
        assert call("--bench", folder, "import", what, "--yes", tmp_path / f"{what}.csv").exit_code == 0
    assert call("--bench", folder, "tally", "plate 2x4 white *5 !2").exit_code == 0
    return folder


def answer(*args: str | Path) -> dict[str, Any]:
    result = call(*args, "--json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def settled(plan: dict[str, Any]) -> list[tuple[str, int, str, int]]:
    return [(row["target"], row["line"], row["choice"], row["quantity"]) for row in plan["rows"]]


def test_a_plan_for_a_program(bench: Path) -> None:
    assert call("--bench", bench, "prices", "--hole", "1.50", "--blemish", "0.02").exit_code == 0
    plan = answer("--bench", bench, "plan")
    # Two half steps below grade 3 cost 0.04 a plate; a new one 0.12. The bell is not to be had.
    assert settled(plan) == [
        ("T-03", 1, "keep", 5),
        ("T-03", 1, "buy", 7),
        ("T-03", 2, "leave open", 1),
    ]
    assert plan["parcels"] == [
        {"seller": "Mill Lane Bricks", "pieces": 7, "grams": 7.0, "goods": "0.84", "shipping": "3.50"}
    ]
    total = plan["total"]
    assert (total["cost"], total["paid"], total["proven"], total["currency"]) == ("6.04", "4.34", True, "EUR")
    parts = sum(row["quantity"] * Decimal(row["cost"]) for row in plan["rows"])
    assert parts + sum(Decimal(parcel["shipping"]) for parcel in plan["parcels"]) == Decimal(total["cost"])
    assert plan["notes"][0] == "1 offer is left out, for there is no rate for USD."


def test_a_plan_for_people_says_why(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50", "--blemish", "0.02")
    result = call("--bench", bench, "plan")
    assert result.exit_code == 0
    assert "nobody offers it" in result.stdout
    assert "Mill Lane Bricks" in result.stdout
    assert "proven" in result.stderr


def test_a_budget_that_is_too_small_gives_what_can_be_had_and_says_so(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "4", "--blemish", "0.02")
    plan = answer("--bench", bench, "plan", "--budget", "3.74")
    assert ("T-03", 1, "buy", 2) in settled(plan)
    assert any("budget of 3.74 EUR binds" in words for words in plan["binding"])
    hole = next(row for row in plan["rows"] if row["choice"] == "leave open" and row["line"] == 1)
    assert hole["why"] == "the budget is spent"
    none = answer("--bench", bench, "plan", "--parcels", "0")
    assert not none["parcels"]
    assert any("no parcel binds" in words for words in none["binding"])


def test_an_order_never_reached_is_no_error(bench: Path, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("name,minimum\nMill Lane Bricks,50.00\n")
    assert call("--bench", bench, "import", "sellers", "--yes", tmp_path / "more.csv").exit_code == 0
    plan = answer("--bench", bench, "plan")
    assert not plan["parcels"]
    assert any("must come to" in words for words in plan["binding"])


def test_a_rate_lets_offers_in(bench: Path) -> None:
    call("--bench", bench, "prices", "--rate", "1 EUR = 1.17 USD", "--hole", "1.50", "--blemish", "0.02")
    plan = answer("--bench", bench, "plan", "--budget", "3")
    assert [parcel["seller"] for parcel in plan["parcels"]] == ["Attic & Co"]
    assert plan["parcels"][0]["shipping"] == "2.00"
    assert ("T-03", 1, "buy", 3) in settled(plan)


def test_locks_and_worth(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50")
    locked = answer("--bench", bench, "plan", "--lock", "T-03", "1", "leave open")
    assert {row["why"] for row in locked["rows"] if row["line"] == 1} == {"locked to leave open by hand"}
    assert settled(locked) == [("T-03", 1, "keep", 5), ("T-03", 1, "leave open", 7), ("T-03", 2, "leave open", 1)]
    worth = answer("--bench", bench, "plan", "--worth")
    assert worth["finished"] == {"T-03": False}
    assert not worth["rows"]


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("--lock", "T-03", "9", "keep"), 1),
        (("--lock", "T-03", "1", "burn"), 2),
        (("--lock", "T-03", "one", "keep"), 2),
        (("--budget", "lots"), 1),
        (("--parcels", "-1"), 2),
    ],
)
def test_what_cannot_be_meant_is_refused(bench: Path, args: tuple[str, ...], code: int) -> None:
    assert call("--bench", bench, "plan", *args).exit_code == code


def test_prices_are_kept_for_all_and_for_one_target(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50", "--improved", "80", "--broken", "5", "--gain", "3")
    call("--bench", bench, "prices", "T-03", "--hole", "4")
    told = rows(call("--bench", bench, "prices", "--json"), "prices")
    assert [(row["target"], row.get("hole")) for row in told] == [("", "1.50"), ("T-03", "4.00"), (None, None)]
    assert (told[2]["improved"], told[2]["broken"], told[2]["gain"]) == (0.8, 0.05, 3)


@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("--hole", "-1"), 1),
        (("--hole", "1.005"), 1),
        (("T-99", "--hole", "1"), 1),
        (("T-03", "--currency", "USD"), 2),
        (("--currency", "XYZ"), 1),
        (("--rate", "1 GBP = 2 USD"), 1),
        (("--improved", "90", "--broken", "20"), 1),
    ],
)
def test_prices_that_cannot_be_are_refused_and_nothing_is_kept(bench: Path, args: tuple[str, ...], code: int) -> None:
    before = (bench / "bench.json").read_bytes()
    assert call("--bench", bench, "prices", *args).exit_code == code
    assert (bench / "bench.json").read_bytes() == before


def test_a_bench_without_offers_says_what_to_bring_in(tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    result = call("--bench", folder, "plan")
    assert result.exit_code == 0
    assert "sortbench import sellers" in result.stderr
