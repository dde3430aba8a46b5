"""How many pieces a pile holds: from its weight and handfuls, from what was counted so far, from scoops."""

from __future__ import annotations

import random
from math import exp, sqrt

import pytest

from sortbench.engine.weighing.pile_size import PileFrom, pile_by_handfuls, pile_by_scoops, pile_by_tallies
from sortbench.engine.weighing.unit_mass import OnScale, net_u
from sortbench.model.errors import DataError
from sortbench.model.weighing import Handful, Scale

SCALE = Scale(1.0, 0.5)
U_G = net_u(SCALE)
PIECES_G = (0.3, 0.4, 0.8, 1.0, 1.2, 2.4, 2.5, 5.0)
"""What pieces of a mixed pile weigh: small plates to large bricks."""


def on(pieces: int, grams: float) -> OnScale:
    return OnScale(Handful(pieces, grams), SCALE)


def test_the_ratio_of_sums_with_its_interval() -> None:
    """Worked by hand: 60 + 55 + 65 pieces in 120 + 115 + 124 g are 359 / 180 g a piece."""
    found = pile_by_handfuls(4000.0, U_G, [on(60, 120.0), on(55, 115.0), on(65, 124.0)])
    mean = 359 / 180
    assert found.mean_g == pytest.approx(mean)
    assert found.pieces == pytest.approx(4000 / mean)
    squares = sum((g - mean * n) ** 2 for n, g in ((60, 120.0), (55, 115.0), (65, 124.0)))
    relative = sqrt(squares / 2 / 3) / (mean * 60)
    of_load = sqrt(2 * (1 / 12 + 0.25)) / 4000
    factor = exp(4.30265 * sqrt(relative**2 + of_load**2))  # Student's t, 2 degrees of freedom, printed tables
    assert (found.low, found.high) == pytest.approx((found.pieces / factor, found.pieces * factor), rel=1e-5)
    assert (found.source, found.clusters, found.observed) == (PileFrom.HANDFULS, 3, 180)


def scooped(draw: random.Random, count: int) -> list[OnScale]:
    found = []
    for _ in range(count):
        pieces = [draw.choice(PIECES_G) for _ in range(draw.randrange(40, 80))]
        found.append(on(len(pieces), round(sum(pieces))))
    return found


def test_the_interval_of_a_weighed_pile_holds_the_truth() -> None:
    draw, runs, held = random.Random(5), 2000, 0
    for _ in range(runs):
        pieces = draw.randrange(2000, 6000)
        grams = sum(PIECES_G) / len(PIECES_G) * pieces
        found = pile_by_handfuls(round(grams), U_G, scooped(draw, draw.randrange(3, 8)))
        held += found.low <= pieces <= found.high
    assert 0.93 <= held / runs <= 0.97


def test_the_interval_from_tallies_holds_the_truth() -> None:
    """Handfuls that the hand takes, one piece or a few alike, from a pile that is what is left."""
    draw, runs, held = random.Random(6), 2000, 0
    for _ in range(runs):
        tallies = [
            (quantity, quantity * draw.choice(PIECES_G))
            for quantity in (draw.choice((1, 1, 1, 2, 3)) for _ in range(draw.randrange(40, 120)))
        ]
        pieces = draw.randrange(1000, 3000)
        found = pile_by_tallies(round(sum(PIECES_G) / len(PIECES_G) * pieces), U_G, tallies)
        held += found.low <= pieces <= found.high
    assert 0.93 <= held / runs <= 0.97


def test_the_interval_from_scoops_holds_the_truth() -> None:
    draw, runs, held = random.Random(7), 2000, 0
    for _ in range(runs):
        scoops = [draw.randrange(40, 80) for _ in range(draw.randrange(10, 50))]
        found = pile_by_scoops(len(scoops), draw.sample(scoops, draw.randrange(3, 9)))
        held += found.low <= sum(scoops) <= found.high
    assert 0.93 <= held / runs <= 0.975


def test_all_scoops_counted_leave_no_doubt() -> None:
    found = pile_by_scoops(3, [50, 60, 55])
    assert (found.pieces, found.low, found.high) == (165, 165, 165)
    assert pile_by_scoops(4, [1, 200]).low >= 201, "what was counted is there"


def test_too_little_to_go_by_is_refused() -> None:
    with pytest.raises(DataError, match="One handful"):
        pile_by_handfuls(100.0, U_G, [on(60, 120.0)])
    with pytest.raises(DataError, match="Too few tallies"):
        pile_by_tallies(100.0, U_G, [(1, 1.0)] * 3)
    with pytest.raises(DataError, match="One scoop"):
        pile_by_scoops(10, [50])
    with pytest.raises(DataError, match="cannot have been counted"):
        pile_by_scoops(2, [50, 40, 60])
    with pytest.raises(DataError, match="cannot have been counted"):
        pile_by_scoops(9, [50, 0, 60])
    with pytest.raises(DataError, match="pile of"):
        pile_by_handfuls(1_000_000.0, U_G, [on(6000, 120.0), on(6000, 121.0)])
