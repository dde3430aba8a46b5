"""Readings as they are typed: anything is read as what it says, or refused in words; nothing else happens."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.desks.weigh_entry import read_grams, read_handful, read_load
from sortbench.model.errors import DataError
from sortbench.model.weighing import MAX_G, Handful, Load

typed = st.text(alphabet=st.sampled_from("0123456789.,:; -+eEgnaif_٣\x1b\u202e%"), max_size=24) | st.text(max_size=12)
grams = st.integers(1, 10_000_000).map(lambda tenths: tenths / 100)


@given(typed)
def test_anything_typed_is_read_or_refused(text: str) -> None:
    for read in (read_handful, read_load):
        try:
            found: Handful | Load = read(text)
        except DataError as error:
            assert error.message
            assert error.mend
        else:
            assert 0 < found.net_g <= found.gross_g <= MAX_G


@given(st.integers(1, 99_999), grams, grams, st.sampled_from([":", " ", " : "]))
def test_what_is_written_out_is_read_again(pieces: int, net: float, tare: float, between: str) -> None:
    gross = round(net + tare, 2)
    words = [str(pieces), f"{gross:.2f}", f"{tare:.2f}".replace(".", ",")]
    assert read_handful(between.join(words)) == Handful(pieces, gross, tare)
    assert read_load(between.join(words[1:])) == Load(gross, tare)
    assert read_load(words[1], tare) == Load(gross, tare)


@pytest.mark.parametrize("text", ["", "g", "1e", "0x10", "12 3"])
def test_what_is_no_weight_is_refused(text: str) -> None:
    with pytest.raises(DataError):
        read_grams(text)
