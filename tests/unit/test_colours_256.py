"""The 256 colours of terminals, and the nearest of them."""

from __future__ import annotations

import pytest
from rich._palettes import EIGHT_BIT_PALETTE

from sortbench.engine.condition.colours_256 import nearest
from sortbench.model.errors import DataError


@pytest.mark.parametrize("number", [*range(16, 256, 7), 231, 255])
def test_each_fixed_colour_is_its_own_nearest_with_the_number_that_rich_knows_it_by(number: int) -> None:
    rgb = EIGHT_BIT_PALETTE[number].hex.removeprefix("#")
    found = nearest(rgb)
    assert found.rgb == rgb
    assert EIGHT_BIT_PALETTE[found.number].hex == f"#{rgb}"


def test_a_white_stays_a_light_grey_and_turns_no_yellow() -> None:
    assert nearest("f0f0ee").rgb == "eeeeee"


def test_colours_that_everybody_may_set_are_never_taken() -> None:
    assert all(nearest(rgb).number >= 16 for rgb in ("000000", "800000", "c0c0c0", "ff0000", "ffffff"))


def test_what_is_no_colour_is_refused() -> None:
    with pytest.raises(DataError, match="no sRGB value"):
        nearest("f0f0e")
