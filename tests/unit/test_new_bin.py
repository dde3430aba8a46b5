"""A bin from one line."""

from __future__ import annotations

import pytest
from small_bench import catalogue

from sortbench.engine.entering.new_bin import bin_from_words
from sortbench.model.bins import Bin, Rule
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade


@pytest.mark.parametrize(
    ("line", "bin"),
    [
        ("REST", Bin("REST")),
        ("B7 white plate *60", Bin("B7", Rule(("white",), ("plate",)), 60)),
        ("B7 plate white *60 *500g", Bin("B7", Rule(("white",), ("plate",)), 60, 500.0)),
        ("B8 grey, early grey late", Bin("B8", Rule(("grey, early", "grey, late")))),
        ("B8 Plate, TILE red red", Bin("B8", Rule(("red",), ("plate", "tile")))),
        ("OLD !3", Bin("OLD", Rule(lowest=Grade.G3))),
        ("BROKEN #any #crack", Bin("BROKEN", Rule(flaws=("any", "cracked")))),
    ],
)
def test_a_line_says_label_rule_and_capacity(line: str, bin: Bin) -> None:
    assert bin_from_words(line, catalogue()) == bin


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("", "needs a label"),
        ("*60 white", "needs a label"),
        ("B7 whte", "Did you mean 'white'"),
        ("B7 ch\x1bk", "No shade or shape family"),
        ("B7 grey", "No shade or shape family"),
        ("B7 *", "no capacity"),
        ("B7 *0", "cannot hold"),
        ("B7 *many", "no capacity"),
        ("B7 !9", "grade"),
        ("B7 #", "flaw"),
        ("B7 #shiny", "flaw"),
    ],
)
def test_what_cannot_be_meant_is_told(line: str, wrong: str) -> None:
    with pytest.raises(DataError) as told:
        bin_from_words(line, catalogue())
    assert wrong in str(told.value) and "\x1b" not in str(told.value)
