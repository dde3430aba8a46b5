"""Targets and their lines."""

from __future__ import annotations

import pytest

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import MAX_QUANTITY, Line, Target

KIND = Kind("plate-2x4", "red")


@pytest.mark.parametrize("quantity", [0, -1, MAX_QUANTITY + 1])
def test_a_line_asks_for_a_number_that_can_be(quantity: int) -> None:
    with pytest.raises(DataError, match=f"1 to {MAX_QUANTITY}"):
        Line(KIND, quantity)


def test_a_target_knows_how_many_pieces_it_asks_for() -> None:
    assert Target("T-01", "Signal Hut", lines=(Line(KIND, 3), Line(KIND, MAX_QUANTITY))).pieces == MAX_QUANTITY + 3
    assert Target("T-02", "Peat Tramway").pieces == 0
