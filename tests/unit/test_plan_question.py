"""The plan's question from a bench: what each line may have done to it, what that costs, and what comes of it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from plan_market import ATTIC, BELL, BELL_FOUNDRY, CREAM, PLATE, TILE, costs, done, market, offer, picture

from sortbench.engine.plan import solve
from sortbench.engine.planning.plan_asker import ask
from sortbench.engine.planning.plan_case import Choice
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.offer import ShippingStep
from sortbench.model.plan_lock import Lock
from sortbench.model.prices import Terms
from sortbench.model.target import Line, StandIn, Target
from sortbench.model.treatment import Treatment


def test_a_line_to_standard_is_not_asked_about() -> None:
    question = ask(picture([BELL_FOUNDRY], (PLATE, Grade.G5, (), 3)), market(offer(PLATE, "0.10")))
    assert (question.spots, question.case.ways) == ((), ())


def test_holes_are_bought_or_left_open() -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G5, (), 1))
    question = ask(bench, market(offer(PLATE, "0.50", stock=1)))
    assert (costs(question, Choice.OPEN), costs(question, Choice.BUY), costs(question, Choice.KEEP)) == (
        [200],
        [50],
        [0],
    )
    assert done(question) == {
        ("T-03", 1, Choice.KEEP): 1,
        ("T-03", 1, Choice.BUY): 1,
        ("T-03", 1, Choice.OPEN): 1,
    }


def test_blemishes_cost_by_half_step_and_flaw_and_are_kept_where_nothing_is_cheaper() -> None:
    # Standard is grade 3; 2 is two half steps below, and one flaw comes on top.
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G2, (Flaw.CHIPPED,), 3))
    question = ask(bench, market(offer(PLATE, "0.11")))
    assert costs(question, Choice.KEEP) == [45]
    # Three kept cost 1.35. Bought they are 0.33 and 1.00 of shipping; at 0.12 each it is 1.36.
    assert done(question) == {("T-03", 1, Choice.BUY): 3}
    assert done(ask(bench, market(offer(PLATE, "0.12")))) == {("T-03", 1, Choice.KEEP): 3}


def test_a_stand_in_costs_its_points() -> None:
    target = BELL_FOUNDRY._replace(lines=(Line(PLATE, 1, stand_ins=(StandIn(CREAM, 2),)),))
    question = ask(picture([target]), market(offer(CREAM, "0.10"), offer(PLATE, "0.90")))
    assert (costs(question, Choice.STAND_IN), costs(question, Choice.BUY)) == ([70], [90])


def test_distrust_costs_by_piece() -> None:
    terms = Terms(doubt=Decimal("0.05"))
    question = ask(
        picture([BELL_FOUNDRY]), market(offer(PLATE, "0.10"), terms=terms, sellers=(ATTIC._replace(trust=3),))
    )
    assert costs(question, Choice.BUY) == [20]
    assert question.case.sources[-1].price == 10


def test_pieces_that_cannot_be_had_are_kept_and_not_treated() -> None:
    target = BELL_FOUNDRY._replace(lines=(Line(BELL, 1), Line(PLATE, 1)))
    bench = picture([target], (BELL, Grade.G1, (), 1), (PLATE, Grade.G1, (), 1))
    terms = Terms(improved=0.9, broken=0.0, gain=4)
    question = ask(bench, market(offer(BELL, "0.01"), terms=terms))
    assert costs(question, Choice.TREAT) == []
    result = done(question)
    assert result == {("T-03", 1, Choice.KEEP): 1, ("T-03", 2, Choice.KEEP): 1}
    by_hand = ask(bench, market(offer(BELL, "0.01"), terms=terms), locks=[Lock("T-03", 1, Choice.TREAT)])
    assert done(by_hand)["T-03", 1, Choice.TREAT] == 1


def test_treating_costs_what_is_to_be_expected() -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G1, (), 3))
    terms = Terms(treatment=Decimal("0.03"), improved=0.8, broken=0.05, gain=3)
    question = ask(bench, market(offer(PLATE, "1.00"), terms=terms))
    # Grade 1 is four half steps below 3: 0.40 as it is, 0.10 once improved by three; lost it costs a new one at 1.00:
    # 3 + 0.8 * 10 + 0.15 * 40 + 0.05 * 100 = 22.
    assert costs(question, Choice.TREAT) == [22]
    assert done(question) == {("T-03", 1, Choice.TREAT): 3}


def test_rates_come_from_the_record_of_the_bench() -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G1, (), 3))
    row = Treatment(
        "1", "2026-03-01T09:00:00Z", "tile-1x1", "white", Grade.G1, 20, None, None, None, 16, 3, 1, Grade.G2_3
    )
    seen = market(offer(PLATE, "1.00"))._replace(treatments=[row])
    assert costs(ask(bench, seen), Choice.TREAT) == [19]  # as above, and without the 3 for the treatment
    few = seen._replace(treatments=[row._replace(quantity=9, improved=9, unchanged=0, broken=0)])
    question = ask(bench, few)
    assert costs(question, Choice.TREAT) == []
    assert any("Treating is not weighed" in note for note in question.notes)


def test_a_better_piece_moves_up_and_leaves_a_hole() -> None:
    targets = [
        BELL_FOUNDRY._replace(lines=(Line(PLATE, 1),)),
        Target("T-05", "Signal Hut", 1988, 2, (Line(PLATE, 1, Grade.G1),)),
    ]
    bench = picture(targets, (PLATE, Grade.G1, (), 1), (PLATE, Grade.G1, (Flaw.BENT,), 1))
    question = ask(bench, market())
    assert question.case.ways
    assert all(spot.target in ("T-03", "T-05") for spot in question.spots)
    assert any(way.choice is Choice.MOVE for way in question.case.ways)
    holders = {question.stuff[way.source].holder for way in question.case.ways if way.choice is Choice.MOVE}
    assert {holder[0] for holder in holders if holder} == {"T-05"}


def test_worth_finishing_or_not() -> None:
    cheap = BELL_FOUNDRY._replace(value=5)
    dear = Target("T-05", "Signal Hut", 1988, 2, (Line(TILE, 9),), 5)
    question = ask(picture([cheap, dear]), market(offer(PLATE, "0.50"), offer(TILE, "0.60")), worth=True)
    plan = solve(question.case)
    assert [question.groups[place] for place in plan.settled] == ["T-03"]
    assert plan.cost == 250 - 500
    none = ask(picture([cheap._replace(value=None)]), market(offer(PLATE, "0.50")), worth=True)
    assert any("no value" in note for note in none.notes)


@pytest.mark.parametrize("choice", [Choice.KEEP, Choice.OPEN, Choice.BUY])
def test_a_lock_is_kept(choice: Choice) -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G2, (), 1))
    locked = done(ask(bench, market(offer(PLATE, "0.30")), locks=[Lock("T-03", 1, choice)]))
    expected = {
        Choice.KEEP: {Choice.KEEP: 1, Choice.BUY: 2},
        Choice.OPEN: {Choice.KEEP: 1, Choice.OPEN: 2},
        Choice.BUY: {Choice.BUY: 3},
    }
    assert locked == {("T-03", 1, each): number for each, number in expected[choice].items()}


def test_a_lock_to_buy_takes_what_there_is_and_keeps_the_rest() -> None:
    bench = picture([BELL_FOUNDRY], (PLATE, Grade.G2, (), 3))
    question = ask(bench, market(offer(PLATE, "5.00", stock=2)), locks=[Lock("T-03", 1, Choice.BUY)])
    assert sum(done(question).values()) == 3
    assert done(question)["T-03", 1, Choice.KEEP] <= 1


def test_a_lock_on_nothing_is_refused() -> None:
    bench = picture([BELL_FOUNDRY])
    for lock in (Lock("T-09", 1, Choice.BUY), Lock("T-03", 2, Choice.BUY), Lock("T-03", 1, Choice.TREAT)):
        with pytest.raises(DataError):
            ask(bench, market(), locks=[lock])


def test_offers_without_a_rate_are_left_out_and_said() -> None:
    question = ask(picture([BELL_FOUNDRY]), market(offer(PLATE, "0.10", currency="USD")))
    assert costs(question, Choice.BUY) == []
    assert question.notes[0] == "1 offer is left out, for there is no rate for USD."
    rated = ask(
        picture([BELL_FOUNDRY]),
        market(offer(PLATE, "0.10", currency="USD"), terms=Terms(rates=("1 EUR = 2 USD",))),
    )
    assert costs(rated, Choice.BUY) == [5]


def test_a_seller_is_reckoned_in_the_benchs_own_money() -> None:
    seller = ATTIC._replace(
        currency="USD",
        shipping=Decimal("3.00"),
        steps=(ShippingStep(500, Decimal("1.00")),),
        minimum=Decimal("5.00"),
    )
    terms = Terms(rates=("1 EUR = 2 USD",))
    question = ask(picture([BELL_FOUNDRY]), market(offer(PLATE, "0.10"), terms=terms, sellers=(seller,)))
    assert question.case.shops == ((150, ((500_000, 50),), 250),)
    assert question.case.sources[-1].mg == 2000


def test_parked_targets_are_left_alone() -> None:
    assert not ask(picture([BELL_FOUNDRY._replace(parked=True)]), market(offer(PLATE, "0.10"))).spots
