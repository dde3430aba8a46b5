"""The plan's question where something is settled by hand, on order, or given up: what binds, and what becomes spare."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import pytest
from plan_market import BELL, BELL_FOUNDRY, CATALOGUE, PLATE, TILE, costs, done, market, offer, picture

from sortbench.engine.finishing.orders import OrderState, states_of
from sortbench.engine.ledger import Ledger
from sortbench.engine.plan import Taken, solve
from sortbench.engine.planning.plan_asker import ask
from sortbench.engine.planning.plan_board import choices_of
from sortbench.engine.planning.plan_case import Choice, figures
from sortbench.engine.planning.plan_lines import seen_of
from sortbench.engine.planning.plan_locks import gone_words, settling_of
from sortbench.engine.planning.plan_question import Question
from sortbench.engine.planning.plan_spares import SpareRow, Spares, spares_of_plan
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Flaws, Grade
from sortbench.model.order import Order, OrderLine
from sortbench.model.plan_lock import Lock
from sortbench.model.prices import Terms
from sortbench.model.target import Line, Target

# Locks that bind


def locked_costs(question: Question) -> tuple[int, int]:
    """What the solver reckons, and what a person is told."""
    plan = solve(question.case)
    assert plan.proven
    return plan.cost, question.told(plan).cost


def test_what_is_locked_to_be_bought_is_bought_even_where_a_hole_costs_less() -> None:
    bench = picture([BELL_FOUNDRY._replace(lines=(Line(PLATE, 1), Line(TILE, 1)))])
    goods = market(offer(PLATE, "0.10"), offer(TILE, "3.00"))
    assert done(ask(bench, goods)) == {("T-03", 1, Choice.BUY): 1, ("T-03", 2, Choice.OPEN): 1}
    question = ask(bench, goods, locks=[Lock("T-03", 2, Choice.BUY)])
    assert done(question) == {("T-03", 1, Choice.BUY): 1, ("T-03", 2, Choice.BUY): 1}
    assert locked_costs(question) == (410, 410)


def test_limits_are_above_locks_and_no_price_of_ours_is_told() -> None:
    bench = picture([BELL_FOUNDRY])
    question = ask(bench, market(offer(PLATE, "1.50")), locks=[Lock("T-03", 1, Choice.BUY)], budget=Decimal(3))
    assert done(question) == {("T-03", 1, Choice.BUY): 1, ("T-03", 1, Choice.OPEN): 2}
    reckoned, told = locked_costs(question)
    assert told == 250 + 2 * 200  # a piece and its parcel, and two holes
    assert reckoned > told
    assert all(row.each in (150, 200) for row in choices_of(question, solve(question.case)))


def test_what_a_lock_cannot_reach_is_a_hole_like_any_other() -> None:
    bench = picture([BELL_FOUNDRY])
    question = ask(bench, market(offer(PLATE, "0.50", stock=2)), locks=[Lock("T-03", 1, Choice.BUY)])
    assert done(question) == {("T-03", 1, Choice.BUY): 2, ("T-03", 1, Choice.OPEN): 1}
    assert locked_costs(question) == (200 + 200, 200 + 200)


def test_a_lock_on_one_offer_takes_no_other() -> None:
    bench = picture([BELL_FOUNDRY])
    cheap, dear = offer(PLATE, "0.10"), offer(PLATE, "0.40", stock=2)
    question = ask(bench, market(cheap, dear), locks=[Lock("T-03", 1, Choice.BUY, dear.id)])
    assert {stuff.offer for stuff in question.stuff} == {dear}
    assert done(question) == {("T-03", 1, Choice.BUY): 2, ("T-03", 1, Choice.OPEN): 1}


def test_a_hole_left_by_hand_finishes_a_target_that_may_be_given_up() -> None:
    bench = picture([BELL_FOUNDRY._replace(value=9)], (PLATE, Grade.G5, (), 2))
    assert not solve(ask(bench, market(), worth=True).case).settled
    question = ask(bench, market(), worth=True, locks=[Lock("T-03", 1, Choice.OPEN)])
    plan = solve(question.case)
    assert (plan.settled, plan.cost) == ((0,), 200 - 900)


def test_what_a_line_may_be_locked_to() -> None:
    target = BELL_FOUNDRY._replace(lines=(Line(BELL, 2), Line(PLATE, 3)))
    bench = picture([target], (BELL, Grade.G1, (), 1))
    terms = Terms(improved=0.9, broken=0.0, gain=4)
    settling = settling_of(ask(bench, market(offer(PLATE, "0.30"), offer(PLATE, "0.20"), terms=terms)))
    assert settling.choices["T-03", 1] == (Choice.KEEP, Choice.TREAT, Choice.OPEN), "by hand even what is printed"
    assert settling.choices["T-03", 2] == (Choice.BUY, Choice.OPEN)
    assert [way.price for way in settling.offers["T-03", 2]] == [20, 30], "the cheapest first"
    locks = [
        Lock("T-03", 1, Choice.BUY),
        Lock("T-03", 2, Choice.BUY, "nobody's"),
        Lock("T-03", 2, Choice.BUY, settling.offers["T-03", 2][1].offer),
    ]
    assert [settling.allows(lock) for lock in locks] == [False, False, True]


@pytest.mark.parametrize(
    ("lock", "word"),
    [
        (Lock("T-09", 1, Choice.KEEP, "", PLATE), "no such target"),
        (Lock("T-03", 2, Choice.KEEP, "", PLATE), "another line"),
        (Lock("T-03", 1, Choice.KEEP, "", TILE), "another line"),
        (Lock("T-03", 1, Choice.BUY, "17", PLATE), "no offer 17"),
        (Lock("T-03", 1, Choice.BUY, "18", PLATE), ""),
    ],
)
def test_a_lock_goes_with_what_it_was_on(lock: Lock, word: str) -> None:
    words = gone_words(lock, {"T-03": BELL_FOUNDRY}, {"18"})
    assert word in words
    assert bool(words) is bool(word)


# On order


def awaited(*pieces: tuple[Kind, int], target: str = "T-03", flaws: Flaws = ()) -> OrderState:
    """An order of which nothing came yet."""
    lines = tuple(OrderLine("17", kind, None, flaws, Decimal("0.10"), number, target) for kind, number in pieces)
    order = Order("P1", "Attic & Co", "EUR", lines, Decimal(0), "2026-03-01T09:00:00Z")
    return states_of([order], Ledger(()), CATALOGUE)[0]


def test_what_is_on_order_is_not_planned_again() -> None:
    target = BELL_FOUNDRY._replace(lines=(Line(PLATE, 3), Line(TILE, 2)))
    seen = seen_of(picture([target], (PLATE, Grade.G5, (), 1)), [awaited((PLATE, 1), (TILE, 5))])
    question = ask(seen, market(offer(PLATE, "0.50")))
    assert done(question) == {
        ("T-03", 1, Choice.KEEP): 1,
        ("T-03", 1, Choice.AWAIT): 1,
        ("T-03", 1, Choice.BUY): 1,
        ("T-03", 2, Choice.AWAIT): 2,
    }
    told = {row.why for row in choices_of(question, solve(question.case)) if row.choice is Choice.AWAIT}
    assert told == {"waits for an order"}


def test_what_is_on_order_in_place_of_aged_pieces_is_not_planned_again() -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G1, (Flaw.BENT,), 2))
    goods = market(offer(PLATE, "0.10"))
    assert done(ask(bench, goods)) == {("T-03", 1, Choice.BUY): 3}
    question = ask(seen_of(bench, [awaited((PLATE, 2))]), goods)
    # Another parcel costs more than one blemish.
    assert done(question) == {("T-03", 1, Choice.AWAIT): 2, ("T-03", 1, Choice.KEEP): 1}
    assert done(ask(seen_of(bench, [awaited((PLATE, 3))]), goods)) == {("T-03", 1, Choice.AWAIT): 3}
    locked = ask(seen_of(bench, [awaited((PLATE, 3))]), goods, locks=[Lock("T-03", 1, Choice.KEEP)])
    assert done(locked) == {("T-03", 1, Choice.KEEP): 2, ("T-03", 1, Choice.AWAIT): 1}, "kept by hand"


def test_what_was_ordered_for_a_target_is_for_no_other() -> None:
    second = Target("T-05", "Signal Hut", 1988, 2, (Line(PLATE, 2),))
    bench = picture([BELL_FOUNDRY, second])
    own = ask(seen_of(bench, [awaited((PLATE, 4), target="T-05")]), market())
    assert done(own) == {("T-03", 1, Choice.OPEN): 3, ("T-05", 1, Choice.AWAIT): 2}
    for_all = ask(seen_of(bench, [awaited((PLATE, 4), target="")]), market())
    assert sum(number for (_, _, choice), number in done(for_all).items() if choice is Choice.AWAIT) == 4


def test_what_is_on_order_is_weighed_as_the_seller_describes_it() -> None:
    cracked = awaited((PLATE, 3), flaws=(Flaw.CRACKED,))
    question = ask(seen_of(picture([BELL_FOUNDRY]), [cracked]), market())
    assert costs(question, Choice.AWAIT) == [25]
    assert done(question) == {("T-03", 1, Choice.AWAIT): 3}


def test_what_cannot_be_had_stays_though_another_is_on_order() -> None:
    printed = BELL_FOUNDRY._replace(lines=(Line(BELL, 2),))
    bench = picture([printed], (BELL, Grade.G1, (), 1))
    question = ask(seen_of(bench, [awaited((BELL, 2))]), market())
    assert done(question) == {("T-03", 1, Choice.KEEP): 1, ("T-03", 1, Choice.AWAIT): 1}


def test_a_lock_to_buy_counts_what_is_on_order() -> None:
    bench = picture([BELL_FOUNDRY])
    goods = market(offer(PLATE, "0.10", stock=1))
    question = ask(seen_of(bench, [awaited((PLATE, 1))]), goods, locks=[Lock("T-03", 1, Choice.BUY)])
    assert done(question) == {
        ("T-03", 1, Choice.AWAIT): 1,
        ("T-03", 1, Choice.BUY): 1,
        ("T-03", 1, Choice.OPEN): 1,
    }
    assert locked_costs(question) == (110 + 200, 110 + 200)


def test_what_is_on_order_of_an_offer_cannot_be_bought_again() -> None:
    some = offer(PLATE, "0.50", stock=5)
    question = ask(picture([BELL_FOUNDRY]), market(some)._replace(ordered={some.id: 3}))
    assert [stuff.offer.stock for stuff in question.stuff if stuff.offer] == [2]
    gone = ask(picture([BELL_FOUNDRY]), market(some)._replace(ordered={some.id: 5}))
    assert costs(gone, Choice.BUY) == []


# Worth finishing, and spares

SPARE = Terms(spare=Decimal("0.5"))


def spares(question: Question) -> list[tuple[str, int, int, str]]:
    """Kind, pieces, what they bring, and why, of all spares with the plan."""
    rows: Iterable[SpareRow] = spares_of_plan(question, solve(question.case))
    return [(row.piece.kind.part, row.quantity, row.all, row.why) for row in rows]


def test_a_target_is_finished_only_where_it_is_worth_more_than_its_pieces() -> None:
    # Two plates are there, a third costs 1.00 and 1.00 of shipping: of the value of 4.00 there are 2.00 left. As spares
    # the two bring half of 1.00 each. Where a plate costs 2.00, they bring as much more as the third costs more.
    target = BELL_FOUNDRY._replace(value=4)
    bench = picture([target], (PLATE, Grade.G5, (), 2))
    finished = ask(bench, market(offer(PLATE, "1.00"), terms=SPARE), worth=True)
    plan = finished.told(solve(finished.case))
    assert (plan.settled, plan.cost) == ((0,), 200 - 400)
    assert spares(finished) == []
    given_up = ask(bench, market(offer(PLATE, "2.00"), terms=SPARE), worth=True)
    plan = given_up.told(solve(given_up.case))  # 2.00 of spares, against 4.00 less 3.00
    assert (plan.settled, plan.cost) == ((), -200)
    assert spares(given_up) == [("plate-2x4", 2, 200, "T-03 is not worth finishing")]


def test_without_a_share_spares_are_listed_and_bring_nothing() -> None:
    bench = picture([BELL_FOUNDRY._replace(value=0)], (PLATE, Grade.G5, (), 2), (TILE, Grade.G4, (), 7))
    question = ask(bench, market(offer(PLATE, "2.00"), offer(TILE, "0.50")), worth=True)
    assert spares(question) == [
        ("plate-2x4", 2, 0, "T-03 is not worth finishing"),
        ("tile-1x1", 7, 0, "spare already"),
    ]
    assert not question.priced
    priced = ask(bench, market(offer(PLATE, "2.00"), offer(TILE, "0.50"), terms=SPARE), worth=True)
    assert [row[2] for row in spares(priced)] == [200, 175]
    assert priced.told(solve(priced.case)).cost == -200, "what is spare in any case is no reason for or against"


def test_a_complete_target_may_be_worth_more_as_spares() -> None:
    bench = picture([BELL_FOUNDRY._replace(value=2)], (PLATE, Grade.G5, (), 3))
    kept = ask(bench, market(offer(PLATE, "1.00"), terms=SPARE), worth=True)
    assert solve(kept.case).settled == (0,)
    sold = ask(bench, market(offer(PLATE, "1.50"), terms=SPARE), worth=True)
    assert solve(sold.case).settled == ()
    assert spares(sold) == [("plate-2x4", 3, 225, "T-03 is not worth finishing")]


def test_lines_that_are_not_asked_about_become_spare_too() -> None:
    target = BELL_FOUNDRY._replace(value=1, lines=(Line(PLATE, 1), Line(TILE, 4)))
    bench = picture([target], (TILE, Grade.G5, (), 4))
    question = ask(bench, market(offer(PLATE, "5.00"), offer(TILE, "0.30"), terms=SPARE), worth=True)
    assert [spot.number for spot in question.spots] == [1]
    assert spares(question) == [("tile-1x1", 4, 60, "T-03 is not worth finishing")]
    assert question.told(solve(question.case)).cost == -60


def test_pieces_of_a_target_given_up_go_to_another_before_they_are_spare() -> None:
    first = BELL_FOUNDRY._replace(value=0, lines=(Line(PLATE, 2), Line(BELL, 1)))
    second = Target("T-05", "Signal Hut", 1988, 2, (Line(PLATE, 1),), 9)
    bench = picture([first, second], (PLATE, Grade.G5, (), 2))
    question = ask(bench, market(offer(PLATE, "1.00"), terms=SPARE), worth=True)
    assert done(question) == {("T-05", 1, Choice.MOVE): 1}
    assert spares(question) == [("plate-2x4", 1, 50, "T-03 is not worth finishing")]


def test_nothing_is_moved_to_where_a_piece_as_good_lies_already() -> None:
    """The solver may choose either of two plans that cost the same; a person would not carry pieces to and fro."""
    first = BELL_FOUNDRY._replace(value=0, lines=(Line(PLATE, 2), Line(BELL, 1)))
    second = Target("T-05", "Signal Hut", 1988, 2, (Line(PLATE, 2),), 9)
    bench = picture([first, second], (PLATE, Grade.G5, (), 3))
    question = ask(bench, market(offer(PLATE, "1.00"), terms=SPARE), worth=True)
    own, moved = (
        [place for place, way in enumerate(question.case.ways) if way.choice is choice and way.demand == 2]
        for choice in (Choice.KEEP, Choice.MOVE)
    )
    best = solve(question.case)
    to_and_fro = best._replace(taken=(Taken(moved[0], 2),))
    known = figures(question.case, dict(to_and_fro.taken))
    assert known is not None
    assert known.cost == best.cost
    assert question.at_home(to_and_fro).taken == tuple(sorted([Taken(own[0], 1), Taken(moved[0], 1)]))


def test_a_piece_that_is_replaced_becomes_spare() -> None:
    bench = picture([BELL_FOUNDRY._replace(value=50)], (PLATE, Grade.G1, (Flaw.BENT,), 3))
    question = ask(bench, market(offer(PLATE, "0.20"), terms=SPARE), worth=True)
    assert done(question) == {("T-03", 1, Choice.BUY): 3}
    assert spares(question) == [("plate-2x4", 3, 30, "replaced in T-03")]


def test_the_lowest_price_of_all_is_the_guide_and_money_without_a_rate_is_none() -> None:
    offers = [offer(PLATE, "0.31"), offer(PLATE, "0.35"), offer(TILE, "0.10", currency="USD")]
    found = Spares(market(*offers, terms=SPARE))
    assert (found.each(PLATE), found.each(TILE), found.each(BELL)) == (16, None, None)  # 15.5 rounds to the even 16
    assert Spares(market(*offers)).each(PLATE) is None
