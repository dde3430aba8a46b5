"""Plots made of characters: true to the figures, from nought."""

from __future__ import annotations

import unicodedata

import pytest

from sortbench.papers.plots import blocks, dots, plot, squeezed, top_of

LEFT, RIGHT = (7, 3, 2, 1), (8, 6, 5, 4)
"""Dots of a pattern's columns from below (The Unicode Standard, 15.0, chart U+2800)."""


def raised(character: str) -> frozenset[int]:
    """The dots of a pattern, as Unicode's own name of the character tells them."""
    name = unicodedata.name(character)
    if name == "BRAILLE PATTERN BLANK":
        return frozenset()
    return frozenset(int(digit) for digit in name.removeprefix("BRAILLE PATTERN DOTS-"))


def levels(rows: tuple[str, ...]) -> list[int]:
    """How high each column of dots is; a column with a gap in it is refused."""
    found = []
    for at in range(len(rows[0])):
        for column in (LEFT, RIGHT):
            bits = [dot in raised(row[at]) for row in reversed(rows) for dot in column]
            level = sum(bits)
            assert bits == [True] * level + [False] * (len(bits) - level)
            found.append(level)
    return found


def test_columns_of_dots_stand_on_nought_and_are_as_high_as_their_values() -> None:
    assert levels(dots([0, 1, 2, 3, 4, 5, 6, 8], 4, 2, 8)) == [0, 1, 2, 3, 4, 5, 6, 8]
    assert levels(dots([None, 4], 1, 1, 4)) == [0, 4]


def test_something_is_never_drawn_as_nothing_nor_almost_all_as_all() -> None:
    assert levels(dots([0.001, 99.999, 100, 250], 2, 3, 100)) == [1, 11, 12, 12]


def test_every_value_has_the_same_room() -> None:
    assert levels(dots([1, 2, 3], 6, 1, 4)) == [1] * 4 + [2] * 4 + [3] * 4
    assert levels(dots([4, 0, 4, 0], 1, 1, 4)) == [2, 2]  # four values in two columns: means
    assert dots([], 5, 2, 1) == ("", "") == dots([1], 0, 2, 1)
    assert dots([1], 5, 0, 1) == ()


def test_neighbours_share_what_room_there_is() -> None:
    assert squeezed([1, 3, None, 5, None, None], 3) == (2, 5, None)
    assert squeezed([1, 2], 5) == (1, 2)


@pytest.mark.parametrize(
    ("values", "top"), [([], 1), ([0, None], 1), ([0.9], 1), ([1.1], 1.5), ([21], 30), ([37.4], 40), ([1000], 1000)]
)
def test_an_axis_ends_at_a_round_number(values: list[float | None], top: float) -> None:
    assert top_of(values) == pytest.approx(top)


def test_blocks_begin_at_nought() -> None:
    assert blocks([0, 1, 4, 8, None, 0.01], 10) == "·▁▄█ ▁"
    assert blocks([5, 5], 10) == "██"
    assert blocks([], 10) == ""


def test_a_plot_tells_its_scale() -> None:
    shown = plot([10, 20, 45, 20], 12, 4, ("0:00:00", "0:02:00"), [0.5])
    assert shown == (
        "50 │⠀⠀⠀⠀⣶⣶⠀⠀",  # a dot is 50/8: 10, 20 and 45 come to 1.6, 3.2 and 7.2 dots
        "   │⣤⣤⣶⣶⣿⣿⣶⣶",
        " 0 └────┴───",
        "    0:00:00 0:02:00",
    )
    assert plot([1], 3, 4, ("", "")) == () == plot([], 40, 9, ("", "")) == plot([1], 40, 2, ("", ""))
