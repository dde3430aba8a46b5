"""Whatever is done to an order, it says what the counts say; sums are exact; nothing is covered twice."""

from __future__ import annotations

import tempfile
from collections import Counter
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from ordering import OFFERS, make_market
from small_bench import BRICK, PLATE, TILE, ticking

from sortbench.bench import Bench
from sortbench.desks.orders_desk import Came, OrdersDesk, Purchase
from sortbench.engine.finishing.order_costs import charges_of
from sortbench.engine.finishing.orders import OrderState, totals
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.offer import Offer
from sortbench.model.order import Order, OrderLine, Outcome

ORDERED = {1: 6, 2: 4}
CAME = {
    Outcome.GOOD: Came(),
    Outcome.DAMAGED: Came(flaws=(Flaw.CRACKED,)),
    Outcome.WRONG: Came(kind=TILE),
}
ACTS = st.lists(
    st.tuples(
        st.sampled_from(["arrive", "tell", "undo", "redo", "strike"]),
        st.integers(1, 2),
        st.integers(1, 4),
        st.sampled_from(Outcome),
    ),
    max_size=14,
)


def figures(state: OrderState) -> list[tuple[int, ...]]:
    return [(*(line.of(outcome) for outcome in Outcome), line.awaited) for line in state.lines]


@settings(max_examples=40, deadline=None)
@given(ACTS)
def test_an_order_says_what_was_counted_and_told(acts: list[tuple[str, int, int, Outcome]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = make_market(Path(folder) / "bench")
        counted: list[tuple[int, int, Outcome]] = []  # what is counted at present, and what was undone last
        undone: list[tuple[int, int, Outcome]] = []
        told: list[tuple[int, int, Outcome] | None] = []

        def settled(line: int) -> int:
            return sum(n for where, n, _ in [*counted, *filter(None, told)] if where == line)

        with Bench.open(path, ticking()) as bench:
            desk = OrdersDesk(bench, ticking())
            desk.new([Purchase("m1", ORDERED[1], "T-01"), Purchase("m2", ORDERED[2])])
            for act, line, n, outcome in acts:
                fits = n <= ORDERED[line] - settled(line)
                try:
                    if act == "arrive" and outcome in CAME:
                        assert desk.arrive("P1", line, n, CAME[outcome])[1] is outcome
                        assert fits
                        counted.append((line, n, outcome))
                        undone.clear()
                    elif act == "tell":
                        desk.tell("P1", line, n, outcome)
                        assert fits and outcome is not Outcome.GOOD
                        told.append((line, n, outcome))
                    elif act == "undo":
                        bench.undo()
                        undone.append(counted.pop())
                    elif act == "redo":
                        bench.redo()
                        counted.append(undone.pop())
                    elif act == "strike":
                        desk.strike("P1", n)
                        assert told[n - 1] is not None
                        told[n - 1] = None
                except DataError:
                    assert act != "arrive" or not fits
                    assert act != "tell" or not fits or outcome is Outcome.GOOD
        with Bench.open(path, ticking()) as bench:
            state = OrdersDesk(bench).state("P1")
            expected = []
            for line, ordered in ORDERED.items():
                of = Counter[Outcome]()
                for where, n, outcome in [*counted, *filter(None, told)]:
                    of[outcome] += n if where == line else 0
                expected.append((*(of[outcome] for outcome in Outcome), max(0, ordered - settled(line))))
            assert figures(state) == expected
            heaps = Counter[object]()
            for line, n, outcome in counted:
                heaps[TILE if outcome is Outcome.WRONG else {1: PLATE, 2: BRICK}[line]] += n
            assert {kind: bench.picture.counted(kind) for kind in (PLATE, BRICK, TILE)} == {
                kind: heaps[kind] for kind in (PLATE, BRICK, TILE)
            }


CODES = {"EUR": 2, "KWD": 3, "JPY": 0}


@given(
    st.lists(st.tuples(st.integers(0, 10**9), st.integers(1, 99_999), st.sampled_from(["", *CODES])), min_size=1),
    st.integers(0, 10**9),
)
def test_sums_of_an_order_are_exact(lines: list[tuple[int, int, str]], shipping: int) -> None:
    made = []
    expected = {"EUR": Fraction(shipping, 100)}
    for units, quantity, code in lines:
        price = Decimal(units).scaleb(-CODES[code or "EUR"])
        made.append(OrderLine("x", PLATE, None, (), price, quantity, currency=code))
        sum_so_far = expected.get(code or "EUR", Fraction(0))
        expected[code or "EUR"] = sum_so_far + Fraction(units, 10 ** CODES[code or "EUR"]) * quantity
    order = Order("P1", "s", "EUR", tuple(made), Decimal(shipping).scaleb(-2), "")
    assert {code: Fraction(amount) for code, amount in totals(order)} == expected


@given(
    st.lists(
        st.tuples(
            st.integers(0, 10**6),
            st.integers(1, 999),
            st.sampled_from(["", *CODES]),
            st.sampled_from(["", "T-1", "T-2"]),
        ),
        min_size=1,
    ),
    st.integers(0, 10**6),
)
def test_what_targets_bear_of_an_order_adds_up_to_what_is_to_be_paid(
    lines: list[tuple[int, int, str, str]], shipping: int
) -> None:
    made = [
        OrderLine("x", PLATE, None, (), Decimal(units).scaleb(-CODES[code or "EUR"]), quantity, target, code)
        for units, quantity, code, target in lines
    ]
    order = Order("P1", "s", "EUR", tuple(made), Decimal(shipping).scaleb(-2), "")
    charges = charges_of(order)
    sums = Counter[str]()
    for charge in charges:
        sums[charge.currency] += int(charge.amount.scaleb(CODES[charge.currency]))
    assert {code: n for code, n in sums.items() if n} == {
        code: int(amount.scaleb(CODES[code])) for code, amount in totals(order) if amount
    }
    assert len({(charge.target, charge.currency) for charge in charges}) == len(charges)
    pieces = sum(line.quantity for line in made)
    for target in {line.target for line in made}:
        own = [line for line in made if line.target == target and line.currency in ("", "EUR")]
        euros = sum((Fraction(line.price) * line.quantity for line in own), Fraction(0))
        share = Fraction(shipping, 100) * sum(line.quantity for line in made if line.target == target) / pieces
        borne = sum(Fraction(c.amount) for c in charges if (c.target, c.currency) == (target, "EUR"))
        assert abs(borne - euros - share) < Fraction(1, 100)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(OFFERS), st.integers(1, 4), st.sampled_from(["", "T-01", "T-02"])), max_size=6),
    st.lists(st.tuples(st.sampled_from([PLATE, BRICK, TILE]), st.integers(1, 3)), max_size=4),
)
def test_the_standing_list_covers_no_hole_twice(
    bought: list[tuple[Offer, int, str]], counts: list[tuple[Kind, int]]
) -> None:
    with tempfile.TemporaryDirectory() as folder, Bench.open(make_market(Path(folder) / "b"), ticking()) as bench:
        desk = OrdersDesk(bench, ticking())
        for offer, quantity, target in bought:
            try:
                desk.new([Purchase(offer.id, quantity, target)])
            except DataError:
                continue  # more than the offer has
        for kind, quantity in counts:
            bench.count(kind, quantity, Grade.G5)
        rows = desk.standing()
        assert {(row.target, row.number): row.short for row in rows} == {
            (row.code, line.number): line.short
            for row in bench.target_rows()
            for line in bench.line_rows(row.code)
            if line.short
        }
        assert all(row.short == row.ordered + row.offered + row.standing for row in rows)
        assert all(min(row.ordered, row.offered, row.standing) >= 0 for row in rows)
        for kind in (PLATE, BRICK, TILE):
            mine = [row for row in rows if row.kind == kind]
            coming = sum(line.awaited for state in desk.states() for line in state.lines if line.line.kind == kind)
            stock = sum(offer.stock for offer in OFFERS if offer.kind == kind)
            lacking = sum(row.short for row in mine)
            # Nothing accepts a stand-in here, so as much is covered as can be, and no more.
            assert sum(row.ordered for row in mine) == min(lacking, coming)
            assert sum(row.ordered + row.offered for row in mine) == min(lacking, stock)
