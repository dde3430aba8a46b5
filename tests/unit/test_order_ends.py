"""What an order leads to beside pieces: money spent in the lot ledger, a pile that stays as it is, a list with days."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from ordering import make_market
from small_bench import PLATE, TILE, counted, ticking

from sortbench.bench import Bench
from sortbench.desks.lot_desk import LotDesk
from sortbench.desks.orders_desk import OrdersDesk, Purchase
from sortbench.desks.pile_desk import set_pile
from sortbench.desks.plan_settings import keep_terms, terms_of
from sortbench.engine.finishing.lot_ledger import UNCOUNTED
from sortbench.model.errors import BenchError, DataError
from sortbench.model.lot import Spent
from sortbench.model.order import Outcome
from sortbench.model.standing import StandingNote
from sortbench.store.documents import Documents


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(make_market(tmp_path / "bench"), ticking()) as opened:
        yield opened


@pytest.fixture
def desk(bench: Bench) -> OrdersDesk:
    return OrdersDesk(bench, ticking())


def spent(bench: Bench) -> list[tuple[str, str, str, bool]]:
    found = LotDesk(bench).expenses.values()
    return [(each.id, f"{each.amount} {each.currency}", each.target, each.struck) for each in found]


# -- money


def test_an_order_that_is_sent_is_an_expense_noted_once(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 5, "T-01")])
    assert spent(bench) == []
    desk.sent("P1")
    assert spent(bench) == [("E1", "3.00 EUR", "T-01", False)]  # 5 x 0.10 and 2.50 for the parcel
    (noted,) = desk.expenses("p1")
    assert (noted.what, noted.order, noted.note) == (Spent.PARCEL, "P1", "order P1, Mill Lane Bricks")
    with pytest.raises(DataError, match="sent already"):
        desk.sent("P1")
    desk.sent("P1", back=True)
    assert spent(bench) == [("E1", "3.00 EUR", "T-01", True)]
    assert LotDesk(bench).ledger().total == 0
    desk.sent("P1")
    assert spent(bench) == [("E1", "3.00 EUR", "T-01", False)]
    with Bench.open(bench.path) as again:
        assert spent(again) == spent(bench)
        costs = {row.target: row.spent[Spent.PARCEL] for row in LotDesk(again).ledger().rows if row.target}
        assert costs == {"T-01": 300, "T-02": 0, "T-03": 0}


def test_each_target_bears_its_own_pieces_and_shipping_goes_by_pieces(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 3, "T-01"), Purchase("m1", 1, "T-02"), Purchase("m2", 3)])
    desk.sent("P1")  # 4 x 1.0 + 3 x 2.5 g: shipping 2.50 + 1.20, of which 3/7, 1/7 and 3/7
    assert spent(bench) == [
        ("E1", "1.89 EUR", "T-01", False),  # 0.30 + 1.59: of the cent left over, the largest remainder
        ("E2", "0.63 EUR", "T-02", False),  # 0.10 + 0.53
        ("E3", "2.57 EUR", "", False),  # 0.99 + 1.58
    ]


def test_what_the_bench_has_no_rate_for_is_not_sent_until_it_has(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("a1", 2)])
    with pytest.raises(DataError, match="no rate for USD") as refused:
        desk.sent("P1")
    assert "sortbench prices --rate" in refused.value.mend
    assert (desk.state("P1").words, spent(bench)) == ("not sent yet", [])
    keep_terms(bench, terms_of(bench)._replace(rates=("1 EUR = 1.20 USD",)))
    desk.sent("P1")
    assert spent(bench) == [("E1", "3.60 USD", "", False)]
    assert LotDesk(bench).ledger().total == 300


def test_an_order_called_off_costs_nothing_unless_something_came(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 2)])
    desk.new([Purchase("m1", 2)])
    for number in ("P1", "P2"):
        desk.sent(number)
    desk.tell("P1", 1, 1, Outcome.SHORT)  # told of, and nothing came
    desk.call_off("P1")
    desk.arrive("P2", 1, 1)
    desk.call_off("P2")
    assert [row[3] for row in spent(bench)] == [True, False]
    desk.call_off("P1", back=True)
    assert [row[3] for row in spent(bench)] == [False, False]
    desk.sent("P1", back=True)
    desk.call_off("P1")
    desk.call_off("P1", back=True)
    assert [row[3] for row in spent(bench)] == [True, False], "an order that was not sent costs nothing"


# -- the pile


def test_ordered_pieces_are_none_of_the_pile(bench: Bench, desk: OrdersDesk) -> None:
    set_pile(bench, 100)
    LotDesk(bench).set_piece_worth("1")
    counted(bench, "ti 2x2 wh *10")
    desk.new([Purchase("m1", 6), Purchase("m2", 2)])
    before = bench.pace()
    assert (before.counted, before.left_pieces) == (10, 90)

    def uncounted() -> list[int]:
        return [row.pieces for row in LotDesk(bench).ledger().rows if row.name == UNCOUNTED]

    receipt, _ = desk.arrive("P1", 1, 4)
    assert bench.pace() == before
    assert uncounted() == [90]
    bench.correct(receipt.record, "*3")
    assert bench.pace() == before
    bench.undo()
    bench.redo()
    desk.arrive_all("P1")
    assert bench.pace() == before
    assert bench.picture.ledger.pieces == 18
    with Bench.open(bench.path) as again:
        assert again.pace().left_pieces == 90
    counted(bench, "ti 2x2 wh")
    assert (bench.pace().counted, bench.pace().left_pieces) == (11, 89)


# -- since when


def since(desk: OrdersDesk) -> dict[tuple[str, int], str]:
    return {(row.target, row.number): row.since for row in desk.standing()}


def test_the_standing_list_keeps_the_day_on_which_a_line_was_first_seen_on_it(bench: Bench, desk: OrdersDesk) -> None:
    # T-02 lacks a tile that nobody offers; all else is offered.
    assert set(since(desk).values()) == {""}
    desk.note_standing()
    first = since(desk)
    noted = {line for line, at in first.items() if at}
    assert noted == {("T-02", 1)}
    desk.note_standing()
    assert since(desk) == first
    with bench.folder.documents.edit() as draft:
        draft.offers.clear()
    bench.reload()
    assert since(desk) == first, "what came onto the list since then has no day before somebody looks"
    with Bench.open(bench.path) as again:
        later = OrdersDesk(again, ticking())
        later.note_standing()
        assert since(later)["T-02", 1] == first["T-02", 1]
        assert all(since(later).values())
    bench.refresh()
    counted(bench, "ti 2x2 wh")
    desk.note_standing()
    assert StandingNote("T-02", TILE, "").key not in bench.documents.standing
    bench.undo()
    desk.note_standing()
    assert since(desk)["T-02", 1] > first["T-02", 1], "covered in between, it stands anew"


def test_a_change_of_an_order_notes_what_stands_too(bench: Bench, desk: OrdersDesk) -> None:
    with bench.folder.documents.edit() as draft:
        draft.offers["m1"] = draft.offers["m1"]._replace(stock=4)
        del draft.offers["a1"]
    bench.reload()
    desk.new([Purchase("m1", 4, "T-02")])
    assert StandingNote("T-01", PLATE, "").key in bench.documents.standing
    desk.call_off("P1")
    assert {note.target for note in bench.documents.standing.values() if note.kind == PLATE} == {"T-02"}


def test_a_bench_that_cannot_be_written_still_shows_the_list(
    bench: Bench, desk: OrdersDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise BenchError("another program writes")

    monkeypatch.setattr(Documents, "edit", refuse)
    desk.note_standing()
    assert ("T-02", 1) in since(desk)
    assert set(since(desk).values()) == {""}
