"""`sortbench plan` and `sortbench prices`, from lists brought in to what is to be bought."""

from __future__ import annotations

import json
import signal
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, make_bench, rows

from sortbench.bench import Bench
from sortbench.desks import plan_desk

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


def test_locks_are_kept_with_the_bench_until_they_are_let_go(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50")
    locked = answer("--bench", bench, "plan", "--lock", "T-03", "1", "leave open")
    assert {row["why"] for row in locked["rows"] if row["line"] == 1} == {"locked to leave open by hand"}
    open_ = [("T-03", 1, "keep", 5), ("T-03", 1, "leave open", 7), ("T-03", 2, "leave open", 1)]
    lock = {"target": "T-03", "line": 1, "choice": "leave open", "offer": None, "waits": False}
    assert (settled(locked), locked["locks"]) == (open_, [lock])
    again = answer("--bench", bench, "plan")
    assert (settled(again), again["locks"]) == (open_, [lock])
    said = call("--bench", bench, "plan").stderr
    assert "T-03 line 1 is locked to leave open. --unlock T-03 1 lets go." in said
    free = answer("--bench", bench, "plan", "--unlock", "T-03", "1")
    assert ("T-03", 1, "buy", 7) in settled(free)
    assert not answer("--bench", bench, "plan")["locks"]
    assert call("--bench", bench, "plan", "--unlock", "T-03", "1").exit_code == 1


def test_limits_are_kept_and_tried_out(bench: Path) -> None:
    tried = answer("--bench", bench, "plan", "--budget", "3", "--parcels", "0", "--try", "--lock", "T-03", "1", "keep")
    assert (tried["limits"], len(tried["locks"])) == ({"budget": "3.00", "parcels": 0}, 1)
    plain = answer("--bench", bench, "plan", "--budget", "9")
    assert (plain["limits"], plain["locks"]) == ({"budget": "9.00", "parcels": None}, [])
    both = answer("--bench", bench, "plan", "--parcels", "2")
    assert both["limits"] == {"budget": "9.00", "parcels": 2}
    said = call("--bench", bench, "plan").stderr
    assert "limits: at most 9.00 EUR paid (--budget none lifts it), at most 2 parcels" in said
    none = answer("--bench", bench, "plan", "--budget", "none", "--parcels", "none")
    assert none["limits"] == {"budget": None, "parcels": None}
    assert call("--bench", bench, "orders", "from-plan", "--budget", "4.34").exit_code == 0
    assert answer("--bench", bench, "plan")["limits"] == {"budget": None, "parcels": None}


def test_a_lock_to_buy_is_bought_though_a_hole_costs_less(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "0.10", "--blemish", "0.02")
    assert ("T-03", 1, "leave open", 7) in settled(answer("--bench", bench, "plan"))
    bought = answer("--bench", bench, "plan", "--lock", "T-03", "1", "buy")
    # The five that are there are below grade 3, and 20 are offered at 0.12: all twelve are bought.
    assert ("T-03", 1, "buy", 12) in settled(bought)
    # 1.44 and 3.50 of shipping, and a hole for the bell.
    assert bought["total"]["cost"] == "5.04"
    short = answer("--bench", bench, "plan", "--budget", "3.74")
    assert ("T-03", 1, "buy", 2) in settled(short)
    assert any("budget of 3.74 EUR binds" in words for words in short["binding"])
    holes = [row for row in short["rows"] if row["choice"] == "leave open" and row["line"] == 1]
    assert [row["why"] for row in holes] == ["locked to buy by hand, as far as that can be done: the budget is spent"]
    parts = sum(row["quantity"] * Decimal(row["cost"]) for row in short["rows"])
    assert parts + Decimal("3.50") == Decimal(short["total"]["cost"]), "no price but the user's own is told"


def test_a_lock_on_one_offer(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50", "--rate", "1 EUR = 1.17 USD")
    offers = {row["offer"] for row in answer("--bench", bench, "plan")["rows"] if row["offer"]}
    some = answer("--bench", bench, "plan", "--budget", "3", "--try")
    other = next(row["offer"] for row in some["rows"] if row["offer"])
    assert {other} != offers
    locked = answer("--bench", bench, "plan", "--lock-offer", "T-03", "1", other)
    assert {row["offer"] for row in locked["rows"] if row["offer"]} == {other}
    assert ("T-03", 1, "buy", 3) in settled(locked), "it has three"
    assert locked["locks"][0]["offer"] == other
    assert call("--bench", bench, "plan", "--lock-offer", "T-03", "2", other).exit_code == 1
    assert call("--bench", bench, "plan", "--lock-offer", "T-03", "1", "nobody").exit_code == 1


def test_a_lock_that_cannot_be_done_waits_and_one_that_lost_its_line_is_dropped(bench: Path, tmp_path: Path) -> None:
    answer("--bench", bench, "plan", "--lock", "T-03", "1", "buy")
    assert call("--bench", bench, "tally", "plate 2x4 white *12 !5").exit_code == 0
    full = answer("--bench", bench, "plan")
    assert [lock["waits"] for lock in full["locks"]] == [True]
    assert "which cannot be done now; it waits" in call("--bench", bench, "plan").stderr
    with Bench.open(bench) as opened:
        opened.undo()
    assert [lock["waits"] for lock in answer("--bench", bench, "plan")["locks"]] == [False]
    list_ = tmp_path / "list.csv"
    list_.write_text("target,name,part,shade,quantity\nT-03,Bell Foundry,brick-2x4,white,4\n")
    assert call("--bench", bench, "import", "targets", "--yes", list_).exit_code == 0
    dropped = answer("--bench", bench, "plan", "--try")
    assert (dropped["locks"], len(dropped["dropped"])) == ([], 1)
    assert "the list has another line there now" in call("--bench", bench, "plan").stderr
    assert not answer("--bench", bench, "plan")["dropped"], "told once, and forgotten"


def test_pieces_on_order_are_not_planned_again(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50", "--blemish", "0.02")
    offer = next(row["offer"] for row in answer("--bench", bench, "plan")["rows"] if row["offer"])
    assert call("--bench", bench, "orders", "new", f"{offer}*2", "--for", "T-03").exit_code == 0
    plan = answer("--bench", bench, "plan")
    assert sorted(settled(plan)) == [
        ("T-03", 1, "buy", 5),
        ("T-03", 1, "keep", 5),
        ("T-03", 1, "on order", 2),
        ("T-03", 2, "leave open", 1),
    ]
    assert call("--bench", bench, "orders", "new", f"{offer}*18", "--for", "T-03").exit_code == 0
    awaited = answer("--bench", bench, "plan")
    assert settled(awaited) == [("T-03", 1, "on order", 12), ("T-03", 2, "leave open", 1)], "better than those aged"
    assert not awaited["parcels"]
    assert call("--bench", bench, "plan", "--lock", "T-03", "1", "on order").exit_code == 2


def test_worth_finishing_and_what_is_spare_then(bench: Path) -> None:
    call("--bench", bench, "prices", "--hole", "1.50")
    call("--bench", bench, "tally", "brick 2x4 white *3")
    worth = answer("--bench", bench, "plan", "--worth")
    assert worth["finished"] == {"T-03": False}
    assert not worth["rows"]
    assert [(row["part"], row["quantity"], row["together"], row["target"]) for row in worth["spares"]] == [
        ("plate-2x4", 5, None, "T-03"),
        ("brick-2x4", 3, None, None),
    ]
    assert "sortbench prices --spare" in call("--bench", bench, "plan", "--worth").stderr
    assert call("--bench", bench, "prices", "--spare", "50").exit_code == 0
    priced = answer("--bench", bench, "plan", "--worth")
    # Half of the lowest price, 0.12, is 0.06 a plate; nobody offers bricks.
    assert [row["together"] for row in priced["spares"]] == ["0.30", None]
    assert (priced["total"]["spares"], priced["total"]["cost"]) == ("0.30", "-0.30")
    shown = call("--bench", bench, "plan", "--worth")
    assert "5 pieces become spare, 0.30 EUR" in shown.stderr
    assert "T-03 is not worth finishing" in shown.stdout


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


def test_ctrl_c_while_the_question_is_put_together_ends_the_search(
    bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = plan_desk.put_together

    def struck(*args: Any, **named: Any) -> plan_desk.Put:
        signal.raise_signal(signal.SIGINT)
        return real(*args, **named)

    monkeypatch.setattr(plan_desk, "put_together", struck)
    before = signal.getsignal(signal.SIGINT)
    plan = answer("--bench", bench, "plan")
    assert plan["total"]["cancelled"] or plan["total"]["proven"]
    assert not plan["binding"]
    assert signal.getsignal(signal.SIGINT) is before


def test_a_budget_that_another_currency_cannot_pay_is_not_overlooked(bench: Path) -> None:
    answer("--bench", bench, "plan", "--budget", "9.50")
    before = (bench / "bench.json").read_bytes()
    refused = call("--bench", bench, "prices", "--currency", "JPY")
    assert refused.exit_code == 1
    assert "finer than the smallest coin" in refused.stderr
    assert (bench / "bench.json").read_bytes() == before
