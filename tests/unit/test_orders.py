"""Orders: made by seller, ticked in against the parcel, and never at odds with what was counted."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from ordering import make_market
from small_bench import BRICK, PLATE, TILE, counted, ticking

from sortbench.bench import Bench
from sortbench.desks.orders_desk import Came, OrdersDesk, OrderState, Purchase
from sortbench.engine.finishing.orders import totals
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError, WriteError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.order import Outcome
from sortbench.model.tally import Cell, Record
from sortbench.store.tally_log import SittingLog


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with Bench.open(make_market(tmp_path / "bench"), ticking()) as opened:
        yield opened


@pytest.fixture
def desk(bench: Bench) -> OrdersDesk:
    return OrdersDesk(bench, ticking())


def awaited(state: OrderState) -> list[int]:
    return [line.awaited for line in state.lines]


def figures(state: OrderState, line: int = 1) -> dict[str, int]:
    found = state.lines[line - 1]
    return {outcome.value: n for outcome in Outcome if (n := found.of(outcome))}


def test_what_is_to_be_bought_becomes_an_order_a_seller(desk: OrdersDesk) -> None:
    bought = [Purchase("m1", 3, "T-01"), Purchase("a1", 2), Purchase("m2", 2), Purchase("m1", 1, "T-01")]
    first, second = desk.new(bought, note="by post")
    assert (first.id, first.seller, first.currency, first.note) == ("P1", "Mill Lane Bricks", "EUR", "by post")
    assert [(line.offer, line.kind, line.quantity, line.target) for line in first.lines] == [
        ("m1", PLATE, 4, "T-01"),
        ("m2", BRICK, 2, ""),
    ]
    assert (second.id, second.seller, second.lines[0].price) == ("P2", "Attic & Co", Decimal("0.25"))
    assert [state.words for state in desk.states()] == ["not sent yet", "not sent yet"]
    assert desk.sent("p1").words == "awaited"
    with pytest.raises(DataError, match="P1 was sent already"):
        desk.sent("P1")
    assert desk.sent("P1", back=True).words == "not sent yet"


def test_totals_are_exact_in_each_currency_and_shipping_goes_by_weight(desk: OrdersDesk) -> None:
    (light,) = desk.new([Purchase("m1", 5)])  # 5 g: the first step
    assert totals(light) == (("EUR", Decimal("3.00")),)  # 2.50 + 5 x 0.10
    (heavy,) = desk.new([Purchase("m1", 4), Purchase("m2", 3), Purchase("m3", 1)])  # 4 x 1.0 + 3 x 2.5 g, no weight
    assert totals(heavy) == (("EUR", Decimal("5.09")), ("KWD", Decimal("1.000")))  # 2.50 + 1.20 + 0.40 + 0.99
    with pytest.raises(DataError, match="no parcel of 22 g") as refused:
        desk.new([Purchase("m2", 9)])
    assert "20 g is the most" in refused.value.mend
    (told,) = desk.new([Purchase("m2", 1)], shipping="4,75")
    assert told.shipping == Decimal("4.75")


@pytest.mark.parametrize(
    ("bought", "word"),
    [
        ([Purchase("zz", 1)], "No offer is called 'zz'"),
        ([Purchase("a1", 3)], "a1 has 2 left"),
        ([Purchase("a1", 1), Purchase("a1", 2, "T-01")], "a1 has 1 left"),
        ([Purchase("a1", 1, "T-99")], "T-99"),
        ([Purchase("a1", 0)], "0 pieces"),
        ([], "nothing to order"),
    ],
)
def test_what_cannot_be_ordered_is_refused(desk: OrdersDesk, bought: list[Purchase], word: str) -> None:
    with pytest.raises(DataError, match=word):
        desk.new(bought)
    assert desk.states() == ()


def test_open_orders_take_from_the_stock(desk: OrdersDesk) -> None:
    desk.new([Purchase("a1", 1, "T-01")])
    with pytest.raises(DataError, match="a1 has 1 left"):
        desk.new([Purchase("a1", 2)])
    desk.call_off("P1")
    assert [line.quantity for order in desk.new([Purchase("a1", 2)]) for line in order.lines] == [2]


def test_what_was_planned_with_other_orders_in_sight_is_not_ordered(desk: OrdersDesk, bench: Bench) -> None:
    before = bench.documents.orders
    desk.new([Purchase("a1", 1, "T-01")], since=before)
    with pytest.raises(DataError, match="since it was planned"):
        desk.new([Purchase("m1", 1, "T-01")], since=before)
    assert [state.order.id for state in desk.states()] == ["P1"]
    desk.new([Purchase("m1", 1, "T-01")], since=bench.documents.orders)


def test_a_least_order_is_pointed_out(desk: OrdersDesk) -> None:
    small, large = *desk.new([Purchase("m1", 2)]), *desk.new([Purchase("m1", 2), Purchase("m2", 3)])
    assert desk.below_minimum(small) == "Mill Lane Bricks sends nothing below 1.00 EUR; these pieces come to 0.20."
    assert desk.below_minimum(large) == ""


def test_a_parcel_is_ticked_in_and_counted(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 6, "T-01"), Purchase("m2", 2)])
    receipt, good = desk.arrive("P1", 1, 2)
    assert (good, receipt.kind, receipt.grade, receipt.flaws) == (Outcome.GOOD, PLATE, Grade.G4, (Flaw.SCRATCHED,))
    assert receipt.bin == "FLAWED"  # by the rules of the bins, like every piece
    faded, damaged = desk.arrive("P1", 1, 1, Came(grade=Grade.G2, flaws=()))
    assert (damaged, faded.bin) == (Outcome.DAMAGED, "FADED")
    assert desk.arrive("P1", 1, 1, Came(flaws=(Flaw.CRACKED, Flaw.SCRATCHED)))[1] is Outcome.DAMAGED
    other, wrong = desk.arrive("P1", 1, 1, Came(kind=TILE, bin_label="rest"))
    assert (wrong, other.kind, other.bin, other.flaws) == (Outcome.WRONG, TILE, "REST", ())
    state = desk.tell("P1", 1, 1, Outcome.SHORT, "next week")
    assert figures(state) == {"good": 2, "wrong": 1, "damaged": 2, "short": 1}
    assert (awaited(state), state.words) == ([0, 2], "partly here")
    assert bench.picture.ledger.counts[Cell("REST", *TILE, "", Grade.G5, ())] == 1
    assert (bench.picture.counted(PLATE), bench.picture.counted(TILE)) == (4, 1)
    # Of these bricks the seller told no grade: no grade is a worse one.
    assert desk.arrive("P1", 2, 2, Came(grade=Grade.G1))[1] is Outcome.GOOD
    assert desk.state("P1").words == "settled"


def test_no_more_than_is_awaited_without_a_word(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 2)])
    with pytest.raises(DataError, match="2 are awaited on line 1 of P1, not 3") as refused:
        desk.arrive("P1", 1, 3)
    assert "--extra" in refused.value.mend
    assert bench.picture.ledger.pieces == 0
    desk.arrive("P1", 1, 3, extra=True)
    assert (figures(desk.state("P1")), awaited(desk.state("P1"))) == ({"good": 3}, [0])
    for line in (0, 2):
        with pytest.raises(DataError, match=f"no line {line}"):
            desk.arrive("P1", line, 1)
    with pytest.raises(DataError, match="No order is called 'P7'"):
        desk.arrive("P7", 1, 1)
    with pytest.raises(DataError, match="plate-9x9"):
        desk.arrive("P1", 1, 1, Came(kind=Kind("plate-9x9", "red")), extra=True)


def test_undo_and_correction_change_counts_and_order_alike(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 5)])
    receipt, _ = desk.arrive("P1", 1, 3)
    bench.undo()
    assert (awaited(desk.state("P1")), bench.picture.counted(PLATE)) == ([5], 0)
    bench.redo()
    assert (awaited(desk.state("P1")), bench.picture.counted(PLATE)) == ([2], 3)
    bench.correct(receipt.record, "*2")
    assert (figures(desk.state("P1")), awaited(desk.state("P1"))) == ({"good": 2}, [3])
    bench.regrade(down=True)
    assert figures(desk.state("P1")) == {"damaged": 2}


def test_what_was_told_can_be_struck_and_brought_back(desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 5)])
    desk.tell("P1", 1, 2, Outcome.WRONG, "sent back")
    desk.tell("P1", 1, 3, Outcome.SHORT)
    assert desk.state("P1").words == "settled"
    assert awaited(desk.strike("P1", 1)) == [2]
    assert awaited(desk.strike("P1", 1, back=True)) == [0]
    for remark, word in ((1, "not struck already"), (3, "no remark 3")):
        with pytest.raises(DataError, match=word):
            desk.strike("P1", remark, back=True)
    with pytest.raises(DataError, match="are awaited"):
        desk.tell("P1", 1, 1, Outcome.SHORT)
    with pytest.raises(DataError, match="are counted"):
        desk.tell("P1", 1, 1, Outcome.GOOD)


def test_an_order_called_off_awaits_nothing(desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 5)])
    state = desk.call_off("P1")
    assert (state.words, awaited(state)) == ("called off", [0])
    with pytest.raises(DataError, match="0 are awaited") as refused:
        desk.arrive("P1", 1, 1)
    assert "called off" in refused.value.mend
    assert awaited(desk.call_off("P1", back=True)) == [5]


def test_a_stop_between_the_lines_of_a_parcel_counts_nothing_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk refuses the second line, the program ends, and the same is asked for again."""
    folder = make_market(tmp_path / "bench")
    append, written = SittingLog.append, 0

    def failing(self: SittingLog, record: Record) -> None:
        nonlocal written
        written += 1
        if written == 2:
            raise WriteError("The disk is full.")
        append(self, record)

    with Bench.open(folder, ticking()) as bench:
        desk = OrdersDesk(bench, ticking())
        desk.new([Purchase("m1", 4), Purchase("m2", 3)])
        with monkeypatch.context() as patched, pytest.raises(WriteError):
            patched.setattr(SittingLog, "append", failing)
            desk.arrive_all("P1")
    with Bench.open(folder, ticking()) as bench:
        desk = OrdersDesk(bench, ticking())
        assert awaited(desk.state("P1")) == [0, 3]
        assert [receipt.quantity for receipt in desk.arrive_all("P1")] == [3]
        assert (bench.picture.counted(PLATE), bench.picture.counted(BRICK)) == (4, 3)
        with pytest.raises(DataError, match="Nothing is awaited of P1: it is settled"):
            desk.arrive_all("P1")
        assert bench.picture.ledger.pieces == 7


def test_a_number_that_tallies_name_is_not_given_out_again(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 2)])
    desk.arrive("P1", 1, 1)
    bench.keep(lambda draft: draft.orders.clear())
    (order,) = desk.new([Purchase("m1", 2)])
    assert (order.id, awaited(desk.state(order.id))) == ("P2", [2])


def test_the_standing_list_is_what_neither_orders_nor_offers_cover(bench: Bench, desk: OrdersDesk) -> None:
    # Asked for: T-01 3 plates, 2 bricks; T-02 1 tile, 4 plates. Offered: 11 plates, 12 bricks, no tile.
    def rows() -> list[tuple[str, int, int, int, int, int]]:
        return [(r.target, r.number, r.short, r.ordered, r.offered, r.standing) for r in desk.standing()]

    plates = [("T-01", 1, 3, 0, 3, 0), ("T-02", 2, 4, 0, 4, 0)]
    assert rows() == [plates[0], ("T-01", 2, 2, 0, 2, 0), ("T-02", 1, 1, 0, 0, 1), plates[1]]
    desk.new([Purchase("m1", 3, "T-02"), Purchase("m2", 2)])
    assert rows() == [plates[0], ("T-01", 2, 2, 2, 0, 0), ("T-02", 1, 1, 0, 0, 1), ("T-02", 2, 4, 3, 1, 0)]
    with bench.folder.documents.edit() as draft:
        draft.offers.clear()
    bench.reload()
    assert [row[5] for row in rows()] == [3, 0, 1, 1]
    desk.call_off("P1")
    assert [row[5] for row in rows()] == [3, 2, 1, 4]


def test_a_find_is_pointed_out_when_it_is_tallied(bench: Bench, desk: OrdersDesk) -> None:
    desk.new([Purchase("m1", 2)])
    assert counted(bench, "br 2x4 red").sought == ""  # offers have it, and it is not on order
    assert counted(bench, "pl 2x4 red *2").sought == "on order too (P1)"
    found = counted(bench, "ti 2x2 wh")
    assert (found.sought, found.targets_done) == ("was on the standing list", ())
    assert counted(bench, "ti 2x2 wh").sought == ""  # a spare fills nothing
    assert desk.arrive("P1", 1, 2)[0].sought == ""  # that is the order, no find
    assert counted(bench, "pl 2x4 red").sought == ""  # nothing is on order any more, and offers have it
    bench.undo()
    bench.undo()
    assert counted(bench, "pl 2x4 red").sought == "on order too (P1)"
    done = counted(bench, "br 2x4 red")
    assert done.targets_done == ("Signal Hut",)


def test_where_nobody_buys_nothing_is_said(tmp_path: Path) -> None:
    from small_bench import make_folder

    with Bench.open(make_folder(tmp_path / "plain"), ticking()) as plain:
        assert counted(plain, "ti 2x2 wh").sought == ""
