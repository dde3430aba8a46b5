"""`sortbench orders`, as people and other programs call it."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from cli_bench import call, rows
from ordering import make_market

from sortbench.store.folder import BenchFolder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_market(tmp_path / "bench")


def run(folder: Path, *words: str | Path) -> str:
    """What a call that must succeed says, on both outputs."""
    result = call("--bench", folder, "orders", *words)
    assert result.exit_code == 0, result.stderr
    return result.stdout + result.stderr


def refused(folder: Path, *words: str | Path, code: int = 1) -> str:
    result = call("--bench", folder, "orders", *words)
    assert result.exit_code == code, result.stdout + result.stderr
    return result.stderr


def shown(folder: Path, number: str = "P1") -> dict[str, Any]:
    (found,) = rows(call("--bench", folder, "orders", "show", number, "--json"), "orders")
    return found


def test_from_an_offer_to_the_bins(folder: Path) -> None:
    said = run(folder, "new", "m1*4", "a1", "--for", "T-01")
    assert "P1: 4 pieces from Mill Lane Bricks, 2.90 EUR to pay" in said
    assert "  Mill Lane Bricks sends nothing below 1.00 EUR; these pieces come to 0.40." in said
    assert "P2: 1 piece from Attic & Co, 3.35 USD to pay" in said
    said = run(folder, "sent", "P1")
    assert "awaited, 4 of 4 pieces awaited" in said
    assert "  E1 in the lot ledger: 2.90 EUR, for T-01\n" in said
    assert "good: 2 × plate 2x4, red, grade 4, scratched -> FLAWED; Signal Hut line 1 +2" in run(
        folder, "arrive", "P1", "1", "2"
    )
    assert "damaged: 1 × plate 2x4" in run(folder, "arrive", "P1", "1", "1", "--as", "!2 #cracked")
    assert "P1 from Mill Lane Bricks: settled" in run(folder, "tell", "P1", "1", "1", "short", "--note", "paid back")
    assert "partly here, 1 of 4 pieces awaited" in run(folder, "strike", "P1", "1")
    assert "wrong: 1 × tile 2x2, white -> REST" in run(folder, "arrive", "P1", "1", "--as", "ti 2x2 wh @rest")
    found = shown(folder)
    (line,) = found["lines"]
    assert {key: line[key] for key in ("good", "wrong", "damaged", "short", "awaited")} == {
        "good": 2,
        "wrong": 1,
        "damaged": 1,
        "short": 0,
        "awaited": 0,
    }
    assert (line["price"], line["target"], len(line["records"])) == ("0.10", "T-01", 3)
    assert (found["stands"], found["total"]) == ("settled", [{"amount": "2.90", "currency": "EUR"}])
    assert found["remarks"][0]["struck"] is True
    tallies = rows(call("--bench", folder, "counts", "--json"), "counts")
    assert sum(row["quantity"] for row in tallies) == 4
    listed = run(folder, "list")
    assert "settled" in listed and "not sent yet" in listed and "3.35 USD" in listed
    assert "remark 1, line 1: 1 short, paid back (struck)" in run(folder, "show", "P1")
    assert "1 × plate 2x4" in run(folder, "arrive", "P2")
    assert "Nothing is awaited of P2" in refused(folder, "arrive", "P2")


def test_an_order_called_off_is_struck_in_the_lot_ledger(folder: Path) -> None:
    run(folder, "new", "m1*4")
    run(folder, "sent", "P1")
    assert "E1 in the lot ledger: 2.90 EUR, shared by worth, struck: it counts for nothing" in run(
        folder, "strike", "P1"
    )
    (expense,) = rows(call("--bench", folder, "lots", "list", "--json"), "expenses")
    assert (expense["order"], expense["struck"], expense["amount"]) == ("P1", True, "2.90")


def test_the_standing_list_tells_since_when(folder: Path) -> None:
    (found,) = rows(call("--bench", folder, "orders", "standing", "--json"), "standing")
    day = found["since"][:10]
    assert (found["target"], found["part"], found["standing"]) == ("T-02", "tile-2x2", 1)
    assert run(folder, "standing").splitlines()[-1].endswith(f"1  {day}")
    covered = rows(call("--bench", folder, "orders", "standing", "--all", "--json"), "standing")
    assert [row["since"] for row in covered if not row["standing"]] == [None, None, None]


def test_the_text_names_nothing_that_is_the_users_own(folder: Path) -> None:
    run(folder, "new", "m1*4", "m3", "--for", "T-01", "--note", "my own words", "--shipping", "3.00")
    made = shown(folder)["made"][:10]
    assert call("--bench", folder, "orders", "text", "P1").stdout == (
        "To Mill Lane Bricks\n"
        f"Order P1 of {made}\n"
        "\n"
        "Please send:\n"
        "\n"
        "4 x plate 2x4, red, grade 4, scratched\n"
        "     0.10 EUR each,  0.40 EUR, offer m1\n"
        "1 x arch 1x6x2, grey, early, grade 5\n"
        "    1.000 KWD each, 1.000 KWD, offer m3\n"
        "\n"
        "5 pieces, shipping 3.00 EUR\n"
        "To pay: 3.40 EUR and 1.000 KWD\n"
        "\n"
        "Grades are those of the grey scale for change in colour: 5 is no change, 1 the most.\n"
    )


class Page(HTMLParser):
    """Tags and texts of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.texts: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append(data)


def test_table_and_page_take_no_name_for_a_formula_or_for_markup(folder: Path, tmp_path: Path) -> None:
    hostile = "=HYPERLINK(1) <script>x</script>"
    with BenchFolder.open(folder).documents.edit() as draft:
        draft.sellers[hostile] = draft.sellers["Attic & Co"]._replace(name=hostile)
        draft.offers["a1"] = draft.offers["a1"]._replace(seller=hostile)
    run(folder, "new", "a1*2")
    table, page = tmp_path / "order.csv", tmp_path / "order.html"
    run(folder, "text", "P1", "--csv", table, "--html", page)
    (line,) = csv.DictReader(io.StringIO(table.read_text("utf-8")))
    assert line["seller"] == "'" + hostile
    assert (line["offer"], line["quantity"], line["price"], line["amount"]) == ("a1", "2", "0.25", "0.50")
    read = Page(page.read_text("utf-8"))
    assert "script" not in read.tags
    assert f"Order P1: {hostile}" in read.texts
    assert {"plate 2x4", "0.50 USD", "To pay: 3.60 USD"} <= set(read.texts)
    run(folder, "text", "P1", "--csv", table)  # an earlier order may be written over
    other = tmp_path / "mine.csv"
    other.write_text("my own list\n")
    assert "holds something else" in refused(folder, "text", "P1", "--csv", other, code=2)
    assert other.read_text() == "my own list\n"


def test_the_standing_list(folder: Path) -> None:
    run(folder, "new", "m2*2")
    found = rows(call("--bench", folder, "orders", "standing", "--json"), "standing")
    assert [(row["target"], row["line"], row["part"], row["standing"]) for row in found] == [("T-02", 1, "tile-2x2", 1)]
    every = rows(call("--bench", folder, "orders", "standing", "--all", "--json"), "standing")
    assert [row["ordered"] for row in every] == [0, 2, 0, 0]
    said = call("--bench", folder, "tally", "ti 2x2 wh")
    assert "was on the standing list" in said.stdout + said.stderr
    assert "Orders and offers cover all" in run(folder, "standing")


def test_the_last_hole_is_pointed_out(folder: Path) -> None:
    told = rows(call("--bench", folder, "tally", "pl 2x4 red *3", "br 2x4 red *2", "--json"), "receipts")
    assert [(row["completes"], row["sought"]) for row in told] == [([], None), (["Signal Hut"], None)]
    said = call("--bench", folder, "tally", "ti 2x2 wh", "pl 2x4 red *4")
    assert "fills the last hole in Peat Tramway" in said.stdout + said.stderr


def test_what_the_plan_buys_becomes_orders_once(folder: Path) -> None:
    call("--bench", folder, "prices", "--rate", "1 EUR = 1.10 USD", "--rate", "1 EUR = 0.35 KWD", "--hole", "5")
    planned = rows_of_plan(folder)
    bought = sum(row["quantity"] for row in planned if row["offer"])
    assert bought == 9  # 7 plates and 2 bricks: a hole costs more than any offer; the tile is not to be had
    run(folder, "from-plan")
    ordered = rows(call("--bench", folder, "orders", "list", "--json"), "orders")
    assert sum(row["quantity"] for row in ordered) == bought
    assert "buys nothing" in refused(folder, "from-plan")
    assert not [row for row in rows_of_plan(folder) if row["offer"]], "what is on order is not planned again"


def rows_of_plan(folder: Path) -> list[dict[str, Any]]:
    import json

    found: list[dict[str, Any]] = json.loads(call("--bench", folder, "plan", "--json").stdout)["rows"]
    return found


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["arrive", "P9"], 1, "No order is called 'P9'"),
        (["arrive", "P1", "1", "9"], 1, "4 are awaited on line 1 of P1, not 9"),
        (["arrive", "P1", "7"], 1, "P1 has no line 7"),
        (["arrive", "P1", "1", "1", "--as", "!7"], 1, "7"),
        (["arrive", "P1", "1", "1", "--as", "*3"], 1, "does not describe pieces"),
        (["arrive", "P1", "--as", "!3"], 2, "go with a LINE"),
        (["tell", "P1", "1", "1", "good"], 2, "good"),
        (["tell", "P1", "1", "9", "short"], 1, "4 are awaited"),
        (["strike", "P1", "1"], 1, "no remark 1"),
        (["new", "zz*2"], 1, "No offer is called 'zz'"),
        (["new", "m1*100"], 1, "m1 has 5 left"),
        (["new", "m1", "--shipping", "1.234"], 1, "1.234"),
        (["new", "m1", "--for", "T-77"], 1, "T-77"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(folder: Path, words: list[str], code: int, told: str) -> None:
    run(folder, "new", "m1*4")
    before = shown(folder)
    assert told in refused(folder, *words, code=code)
    assert shown(folder) == before
    assert len(rows(call("--bench", folder, "orders", "list", "--json"), "orders")) == 1
