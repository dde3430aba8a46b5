"""Keys a piece on the demo's pile: counts of keys, so they can be held to a figure without a clock."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest

from tests.benchmarks.economy import PadHand, World, entropy, read_world, sorted_by_shade, stirred


@pytest.fixture(scope="module")
def world() -> World:
    return read_world()


def test_the_entropy_of_a_worked_example() -> None:
    """Shares 1/2, 1/4, 1/8, 1/8 give 7/4 bits.

    C. E. Shannon, A Mathematical Theory of Communication, Bell System Technical Journal 27 (1948), section 10 (section
    from memory).
    """
    assert entropy({"A": 4, "B": 2, "C": 1, "D": 1}) == pytest.approx(7 / 4)


def test_a_pile_sorted_by_shade_keeps_to_the_aim(world: World) -> None:
    assert PadHand(world).count(sorted_by_shade(world.pile), hold=True).each <= 1.6
    assert PadHand(world).count(sorted_by_shade(stirred(world.pile)), hold=True).each <= 1.6


def test_an_unsorted_pile_keeps_to_the_aim(world: World) -> None:
    assert PadHand(world).count(world.pile, hold=False).each <= 3.5
    assert PadHand(world).count(stirred(world.pile), hold=False).each <= 3.5


def test_the_pad_that_mixes_shades_spares_strokes_on_an_unsorted_pile(world: World) -> None:
    pile = stirred(world.pile)
    without = PadHand(world, mixed=False).count(pile, hold=False).each
    assert PadHand(world).count(pile, hold=False).each < without - 0.5


def test_no_stroke_is_spent_that_the_count_does_not_name(world: World) -> None:
    tally = PadHand(world).count(world.pile, hold=False)
    assert tally.pieces == len(world.pile)
    assert tally.strokes == sum(tally.spent.values())


def test_stirred_kinds_cannot_beat_the_bound(world: World) -> None:
    """No keys can tell all orders of the pile apart with fewer strokes than the logarithm of the number of orders.

    There are n! / (n1! n2! ...) orders; the keypad has 21 keys that count (nine slots, nine pages, the tray, same
    again, typing; twelve strokes stand for a typed kind, more than enough to spell it on 21 keys). Source coding
    theorem, Shannon 1948, section 9. A simulation below the bound presses keys that it does not count.
    """
    pile = stirred(world.pile)
    counts = Counter(piece.kind for piece in pile).values()
    bits = (math.lgamma(len(pile) + 1) - sum(math.lgamma(n + 1) for n in counts)) / math.log(2)
    assert PadHand(world).count(pile, hold=False).strokes > bits / math.log2(21)


def test_with_nothing_known_beforehand_more_must_be_typed(world: World) -> None:
    cold = PadHand(replace(world, needs={})).count(world.pile, hold=False)
    assert cold.spent["typed"] > PadHand(world).count(world.pile, hold=False).spent["typed"]
