"""A target from the words somebody types."""

from __future__ import annotations

import pytest

from sortbench.model.errors import DataError
from sortbench.model.target import Target


def test_code_name_and_year() -> None:
    assert Target.from_words("  T-12  Orchard   Gate 1991 ") == Target("T-12", "Orchard Gate", 1991)


def test_the_year_may_be_left_out_and_a_name_may_be_a_number() -> None:
    assert Target.from_words("T-12 Orchard Gate") == Target("T-12", "Orchard Gate")
    assert Target.from_words("T-12 1991") == Target("T-12", "1991")


@pytest.mark.parametrize("text", ["", "T-12", "   ", "T-12 Gate\u202e", "T-12 Gate 9999", "T\x07 Gate"])
def test_what_cannot_be_meant_is_refused(text: str) -> None:
    with pytest.raises(DataError):
        Target.from_words(text)
