"""Plans of benches drawn at random: always one, sound, no dearer than doing nothing, and locks are kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from picture_of import picture_of
from random_sharing import random_case

from sortbench.engine.finishing.orders import states_of
from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.plan import Plan, idle, solve
from sortbench.engine.planning.plan_asker import ask
from sortbench.engine.planning.plan_board import ChoiceRow, binding, choices_of, parcels_of
from sortbench.engine.planning.plan_case import Choice, figures
from sortbench.engine.planning.plan_lines import seen_of
from sortbench.engine.planning.plan_locks import settling_of
from sortbench.engine.planning.plan_market import Market
from sortbench.engine.planning.plan_question import Question
from sortbench.engine.planning.plan_spares import spares_of_plan
from sortbench.engine.planning.plan_view import totals_of
from sortbench.engine.sharing.pieces import Piece
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.offer import Offer, Seller, ShippingStep
from sortbench.model.order import Order, OrderLine
from sortbench.model.plan_lock import LOCKABLE, TAKING, Lock
from sortbench.model.prices import Prices, Terms


def random_market(rng: Random, picture: Picture) -> Market:
    """A few sellers who have some of the kinds that lines accept."""
    sellers = {}
    for name in ("Mill Lane Bricks", "Attic & Co"):
        steps = rng.choice(((), (ShippingStep(4, Decimal("0.10")), ShippingStep(9, Decimal("0.80")))))
        minimum = Decimal(rng.choice((0, 0, 2)))
        sellers[name] = Seller(name, "EUR", Decimal(rng.choice((0, 0, 1))), steps, minimum, rng.randint(1, 5))
    kinds = sorted(
        {
            kind
            for fill in picture.fill.all()
            for number in range(1, len(fill.lines) + 1)
            for kind in picture.fill.accepts(fill.target, number)
        }
    )
    offers = {}
    for number, kind in enumerate(kinds):
        for name in sellers:
            if rng.random() < 0.5:
                grade = rng.choice((None, Grade.G2, Grade.G4, Grade.G5))
                price = Decimal(rng.randint(1, 150)).scaleb(-2)
                key = f"{name} {number}"
                offers[key] = Offer(key, name, kind, grade, (), price, rng.randint(1, 5))
    prices = {"": Prices("", Decimal(rng.randint(20, 500)).scaleb(-2), Decimal("0.20"))}
    rates = (0.7, 0.1, 3) if rng.random() < 0.5 else (None, None, None)
    spare = rng.choice((None, Decimal(0), Decimal("0.45"), Decimal(1)))
    return Market(sellers, offers, prices, Terms("EUR", (), Decimal("0.02"), Decimal("0.03"), *rates, spare))


def value_of(code: str, seed: int) -> int:
    """What a target is worth."""
    return (7 * sum(map(ord, code)) + seed) % 9


def random_question(seed: int) -> tuple[Question, dict[tuple[str, int], Choice]]:
    """A question of a random bench, with locks in half of the cases."""
    rng = Random(seed)
    case = random_case(seed)
    targets = tuple(target._replace(value=value_of(target.code, seed)) for target in case.targets)
    picture = picture_of(replace(case, targets=targets))
    market = random_market(rng, picture)
    worth = rng.random() < 0.3
    budget = rng.choice((None, None, Decimal(rng.randint(0, 6))))
    parcels = rng.choice((None, None, 0, 1))
    question = ask(picture, market, budget=budget, parcels=parcels, worth=worth)
    locks: dict[tuple[str, int], Choice] = {}
    if rng.random() < 0.5:
        for spot in question.spots:
            if rng.random() < 0.5:
                trial = {**locks, (spot.target, spot.number): rng.choice(LOCKABLE)}
                try:
                    chosen = [Lock(*where, choice) for where, choice in trial.items()]
                    question = ask(picture, market, locks=chosen, budget=budget, parcels=parcels, worth=worth)
                except DataError:
                    continue  # nothing on the line can be treated
                locks = trial
    return question, locks


@pytest.mark.parametrize("block", range(6))
def test_there_is_always_a_sound_plan(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        question, locks = random_question(seed)
        nothing = figures(question.case, idle(question.case))
        assert nothing is not None, seed
        plan = solve(question.case)
        known = figures(question.case, dict(plan.taken))
        assert known is not None, seed
        assert plan.proven, seed
        assert known.cost == plan.cost <= nothing.cost, seed
        _check_locks(question, locks, dict(plan.taken), seed)
        _check_money(question, plan, seed)
        _check_pieces(question, plan, seed)
        rows = choices_of(question, plan)
        assert all(row.why for row in rows), seed
        paid = sum(row.quantity * row.price for row in rows if row.offer)
        assert paid + sum(row.shipping for row in parcels_of(question, plan)) == plan.outlay, seed
        binding(question, plan)


def _check_locks(question: Question, locks: dict[tuple[str, int], Choice], taken: dict[int, int], seed: int) -> None:
    for place in taken:
        way = question.case.ways[place]
        spot = question.spots[way.demand]
        locked = locks.get((spot.target, spot.number))
        if locked is Choice.OPEN:
            assert way.choice in (Choice.KEEP, Choice.OPEN), seed
        elif locked in (Choice.BUY, Choice.STAND_IN, Choice.MOVE):
            assert way.choice in (locked, Choice.KEEP, Choice.OPEN), seed
        elif locked is Choice.KEEP:
            assert way.choice is not Choice.TREAT, seed


def _check_money(question: Question, plan: Plan, seed: int) -> None:
    """What is told of a plan adds up to the cent, and holds no price but the user's."""
    told = question.told(plan)
    totals = totals_of(question, told)
    value = sum(value_of(question.groups[place], seed) for place in plan.settled)
    each = sum(question.cost_of(place) * quantity for place, quantity in plan.taken)
    becoming = sum(row.all for row in spares_of_plan(question, plan) if row.target)
    assert told.cost == each + totals.shipping - 100 * value - becoming, seed
    assert (totals.value, totals.spares) == (100 * value, becoming), seed
    parts = totals.goods + totals.shipping + totals.holes + totals.treating + totals.blemishes
    assert parts - totals.value - totals.spares == totals.cost == told.cost, seed
    assert told.bound == told.cost, seed


def _check_pieces(question: Question, plan: Plan, seed: int) -> None:
    """Each piece of the lines that are asked about is used or spare, and never both."""
    if not question.groups:
        assert not spares_of_plan(question, plan), seed
        return
    has = Counter[Piece]()
    for stuff, source in zip(question.stuff, question.case.sources, strict=True):
        if stuff.piece is not None:
            has[stuff.piece] += source.limit
    settled = {question.groups[place] for place in plan.settled}
    for each in question.idle:
        if each.target not in settled:
            has[each.piece] += each.quantity
    for place, quantity in plan.taken:
        source = question.case.ways[place].source
        piece = question.stuff[source].piece if source >= 0 else None
        if piece is not None:
            has[piece] -= quantity
    found = Counter[Piece]()
    for row in spares_of_plan(question, plan):
        if row.target:
            found[row.piece] += row.quantity
    assert found == +has, seed


@pytest.mark.parametrize("block", range(4))
def test_one_line_that_is_locked_and_can_be_had_is_not_left_open(block: int) -> None:
    """Without limits nothing stands against a lock: as many pieces come as there are."""
    for seed in range(block * 15, block * 15 + 15):
        rng = Random(seed)
        picture = picture_of(random_case(seed))
        market = random_market(rng, picture)
        sellers = {name: each._replace(steps=(), minimum=Decimal(0)) for name, each in market.sellers.items()}
        market = market._replace(sellers=sellers)
        settling = settling_of(ask(picture, market))
        for key, choices in settling.choices.items():
            for choice in set(choices) & set(TAKING):
                question = ask(picture, market, locks=[Lock(*key, choice)])
                plan = solve(question.case)
                against = sum(quantity for place, quantity in plan.taken if place in question.penalties)
                assert not against or _rest(question, key) == against, (seed, key, choice)
                free = solve(ask(picture, market).case)
                assert question.told(plan).cost >= free.cost, (seed, key, choice)


@pytest.mark.parametrize("block", range(3))
def test_a_plan_that_was_ordered_buys_nothing_more(block: int) -> None:
    """Sellers send every parcel here, whatever is in it: where two small ones cost less than a large one, two it is.

    Nothing is treated either: what a piece that breaks costs hangs on the offers that are left.
    """
    ordered = 0
    for seed in range(block * 30, block * 30 + 30):
        rng = Random(seed)
        picture = picture_of(random_case(seed))
        market = random_market(rng, picture)
        sellers = {name: each._replace(steps=(), minimum=Decimal(0)) for name, each in market.sellers.items()}
        terms = market.terms._replace(improved=None, broken=None, gain=None)
        market = market._replace(sellers=sellers, terms=terms)
        question = ask(picture, market)
        plan = solve(question.case)
        bought = [row for row in choices_of(question, plan) if row.offer]
        states = states_of([_order(market, bought)] if bought else [], Ledger(()), picture.catalogue)
        coming = Counter[str]()
        for row in bought:
            coming[row.offer] += row.quantity
        again = solve(ask(seen_of(picture, states), market._replace(ordered=coming)).case)
        paid = sum(row.quantity * row.each for row in bought) + sum(parcel.shipping for parcel in plan.parcels)
        blemishes = sum(row.quantity * _blemish(question, market, row) for row in bought)
        assert again.cost == plan.cost - paid + blemishes, seed
        ordered += len(bought)
    assert ordered > 20


def _order(market: Market, bought: Sequence[ChoiceRow]) -> Order:
    offers = [market.offers[row.offer] for row in bought]
    lines = tuple(
        OrderLine(offer.id, offer.kind, offer.grade, offer.flaws, offer.price, row.quantity, row.target)
        for offer, row in zip(offers, bought, strict=True)
    )
    return Order("P1", "Mill Lane Bricks", "EUR", lines, Decimal(0), "2026-03-01T09:00:00Z")


def _blemish(question: Question, market: Market, row: ChoiceRow) -> int:
    """What of the cost of a piece that is bought is left once it is paid: what it is, but not who sells it."""
    trust = market.sellers[market.offers[row.offer].seller].trust
    return row.each - row.price - (5 - trust) * 2


def _rest(question: Question, key: tuple[str, int]) -> int:
    """Pieces of a line that nothing but a hole can settle."""
    place = next(place for place, spot in enumerate(question.spots) if spot.key == key)
    reach = 0
    for way in question.case.ways:
        if way.demand == place and way.source >= 0:
            reach += min(question.case.sources[way.source].limit, way.most)
    return max(0, question.spots[place].need - reach)


def test_the_cases_bring_out_every_choice() -> None:
    seen = set()
    for seed in range(120):
        question, _ = random_question(seed)
        seen |= {question.case.ways[taken.way].choice for taken in solve(question.case).taken}
    assert seen == set(LOCKABLE)
