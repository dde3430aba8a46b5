"""Lots and money at a bench: noted, shared, struck, and all of it on the command line."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest

from sortbench.bench import Bench
from sortbench.desks.lot_desk import LotDesk, Paid
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.plan_settings import keep_terms, terms_of
from sortbench.model.catalogue import Kind
from sortbench.model.errors import BenchError, DataError
from sortbench.model.lot import Lot, Spent
from sortbench.store.folder import BenchFolder
from tests.small_bench import give_worth, ticking
from tests.unit.cli_bench import call, make_bench, rows

PLATE, BELL = Kind("plate-2x4", "white"), Kind("bell", "grey, late")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Bell Foundry, worth 26, has six of its thirteen pieces; four early bells are spare."""
    path = make_bench(tmp_path / "b")
    with Bench.open(path) as bench:
        give_worth(bench, "T-03", 26)
        bench.count(PLATE, 6)
        bench.count(Kind("bell", "grey, early"), 4)
    return path


def totals(desk: LotDesk) -> dict[str, int]:
    return {row.target or row.name: row.total for row in desk.ledger().rows}


def test_a_lot_is_shared_by_worth_and_a_parcel_is_its_targets_own(folder: Path) -> None:
    with Bench.open(folder, ticking()) as bench:
        desk = LotDesk(bench, ticking())
        lot, paid = desk.new(Lot("", " attic  lot ", "2026-03-01", "Attic & Co"), Paid("10.00"))
        assert (lot.code, lot.name) == ("L1", "attic lot")
        assert paid is not None
        assert (paid.id, paid.what, paid.amount, paid.currency, paid.lot) == (
            ("E1", Spent.LOT, Decimal("10.00"), "EUR", "L1")
        )
        # Six of thirteen pieces of a set worth 26 weigh 12; each spare weighs 2, as the set's pieces do in the mean.
        assert totals(desk) == {"T-03": 600, "T-05": 0, "spares": 400, "not counted yet": 0}
        desk.spend(Spent.PARCEL, Paid("7,45"), target="T-03")
        assert totals(desk)["T-03"] == 600 + 745
        desk.set_piece_worth("0.50")
        # Now the spares weigh 2 beside 12: 1000 * 2 / 14 = 142.86
        assert totals(desk) == {"T-03": 857 + 745, "T-05": 0, "spares": 143, "not counted yet": 0}
        desk.set_piece_worth(None)
        set_pile(bench, 20)
        # Ten more pieces of worth 2 are to come: 12, 8 and 20 of 40.
        assert totals(desk) == {"T-03": 300 + 745, "T-05": 0, "spares": 200, "not counted yet": 500}


def test_without_values_every_piece_weighs_the_same(folder: Path) -> None:
    with Bench.open(folder) as bench:
        give_worth(bench, "T-03", None)
        desk = LotDesk(bench)
        desk.spend(Spent.WASHING, Paid("0.05"))
        # 3 and 2 of 5 cents.
        assert totals(desk) == {"T-03": 3, "T-05": 0, "spares": 2, "not counted yet": 0}
        assert desk.ledger().piece is None


def test_other_currencies_are_converted_once_and_need_a_rate(folder: Path) -> None:
    with Bench.open(folder) as bench:
        desk = LotDesk(bench)
        with pytest.raises(DataError, match="There is no rate for USD"):
            desk.spend(Spent.LOT, Paid("10.00", "usd"))
        assert not desk.expenses
        keep_terms(bench, terms_of(bench)._replace(rates=("1 EUR = 1.25 USD",)))
        desk.spend(Spent.LOT, Paid("10.01", "usd"))
        # 10.01 / 1.25 = 8.008
        assert desk.ledger().total == 801


def test_a_struck_expense_counts_for_nothing_and_can_come_back(folder: Path) -> None:
    with Bench.open(folder) as bench:
        desk = LotDesk(bench)
        desk.spend(Spent.OTHER, Paid("1.00"))
        assert desk.strike("e1").struck
        assert desk.ledger().total == 0
        with pytest.raises(DataError, match="E1 is struck already"):
            desk.strike("E1")
        desk.strike("E1", back=True)
        assert desk.ledger().total == 100
        assert desk.spend(Spent.OTHER, Paid("1.00")).id == "E2"
    with Bench.open(folder) as bench:
        assert LotDesk(bench).ledger().total == 200


def test_what_cannot_be_is_refused_and_nothing_is_kept(folder: Path) -> None:
    with Bench.open(folder) as bench:
        desk = LotDesk(bench)
        for lot, paid in (
            (Lot("", " "), None),
            (Lot("A B", "attic"), None),
            (Lot("", "attic", "1.3.2026"), None),
            (Lot("", "attic", pieces=0), None),
            (Lot("", "attic"), Paid("12.345")),
            (Lot("", "attic"), Paid("-3")),
            (Lot("", "attic"), Paid("3", "XXX")),
        ):
            with pytest.raises(DataError):
                desk.new(lot, paid)
        desk.new(Lot("A", "attic"))
        for again in (lambda: desk.new(Lot("A", "attic")), lambda: desk.spend(Spent.LOT, Paid("1"), lot="B")):
            with pytest.raises(DataError):
                again()
        with pytest.raises(DataError, match="No target has the code"):
            desk.spend(Spent.PARCEL, Paid("1"), target="T-77")
        assert (list(desk.lots), list(desk.expenses)) == (["A"], [])


def test_the_costs_of_a_target_that_was_taken_off_are_still_told(folder: Path) -> None:
    with Bench.open(folder) as bench:
        desk = LotDesk(bench)
        desk.spend(Spent.TREATMENT, Paid("2.00"), target="T-05")
        with bench.folder.documents.edit() as draft:
            del draft.targets["T-05"]
        bench.reload()
        assert totals(desk) == {"T-03": 0, "T-05": 200, "spares": 0, "not counted yet": 0}


@pytest.mark.parametrize(
    ("field", "value"),
    [("amount", "NaN"), ("amount", 3.5), ("amount", "0.005"), ("what", "fun"), ("currency", "XYZ"), ("id", "7")],
)
def test_a_damaged_expense_is_told_by_its_place(folder: Path, field: str, value: object) -> None:
    with Bench.open(folder) as bench:
        LotDesk(bench).spend(Spent.OTHER, Paid("1.00"))
    path = folder / "bench.json"
    tables = json.loads(path.read_text("utf-8"))
    tables["expenses"]["1"][field] = value
    path.write_text(json.dumps(tables), "utf-8")
    with pytest.raises(BenchError, match="table 'expenses', document 1"):
        BenchFolder.open(folder).documents.load()
    with Bench.open(folder) as bench, pytest.raises(BenchError, match="table 'expenses', document 1"):
        LotDesk(bench).ledger()  # counting goes on beside it


def test_the_command_line(folder: Path) -> None:
    def run(*words: str) -> str:
        result = call("--bench", folder, "lots", *words)
        assert result.exit_code == 0, result.stderr
        return result.stdout + result.stderr

    run("new", "attic lot", "--paid", "10.00", "--seller", "Attic & Co", "--pieces", "10")
    assert "E2: 3.20 EUR on washing, dish soap" in run("spend", "3.20", "--on", "washing", "--note", "dish soap")
    run("spend", "7.45", "--on", "parcel", "--target", "T-03")
    run("spend", "99", "--on", "other")
    assert "E4 struck: 99.00 EUR on other" in run("strike", "E4")
    shown = run("show")
    assert "20.65 EUR spent in all, 13.20 EUR of it shared by worth." in shown
    assert "A piece without a value of its own weighs 2 EUR." in shown
    found = rows(call("--bench", folder, "lots", "show", "--json"), "costs")
    assert found[0] == {
        "target": "T-03",
        "name": "Bell Foundry",
        "quantity": 6,
        "worth": 0.6,
        "lot": "6.00",
        "washing": "1.92",
        "parcel": "7.45",
        "treatment": "0.00",
        "other": "0.00",
        "total": "15.37",
        "currency": "EUR",
    }
    assert sum(Decimal(row["total"]) for row in found) == Decimal("20.65")
    listed = rows(call("--bench", folder, "lots", "list", "--json"), "expenses")
    assert [(row["id"], row["amount"], row["struck"]) for row in listed] == [
        ("E1", "10.00", False),
        ("E2", "3.20", False),
        ("E3", "7.45", False),
        ("E4", "99.00", True),
    ]
    assert "L1 attic lot: 10.00 EUR, from Attic & Co, about 10 pieces" in run("list")
    assert "A piece is worth 0.04." in run("worth", "0.04")
    assert "Nothing is said" in run("worth", "none")
    assert call("--bench", folder, "lots", "spend", "1", "--on", "fun").exit_code == 2
    assert call("--bench", folder, "lots", "spend", "1.234", "--on", "lot").exit_code == 1
