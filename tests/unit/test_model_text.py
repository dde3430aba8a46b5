"""Text from outside is made harmless where it enters."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.model.errors import DataError
from sortbench.model.text import MAX_NAME, clean_name, shown

# Canonical equivalence and composition: UAX #15, Unicode Normalization Forms, examples of its sections 1.1 to 1.2 and
# the composition exclusion U+0958; checked against unicodedata.
NFC = [
    ("A\u030a", "\u00c5"),
    ("\u212b", "\u00c5"),
    ("e\u0301", "\u00e9"),
    ("\ufb01", "\ufb01"),
    ("o\u0308", "\u00f6"),
    ("\u1e9b\u0323", "\u1e9b\u0323"),
    ("q\u0307\u0323", "q\u0323\u0307"),
    ("\u0958", "\u0915\u093c"),
]

# The twelve characters with the property Bidi_Control: UAX #9, Unicode Bidirectional Algorithm, table 4 and section 2.
BIDI_CONTROLS = {
    "LRE": "\u202a",
    "RLE": "\u202b",
    "PDF": "\u202c",
    "LRO": "\u202d",
    "RLO": "\u202e",
    "LRI": "\u2066",
    "RLI": "\u2067",
    "FSI": "\u2068",
    "PDI": "\u2069",
    "LRM": "\u200e",
    "RLM": "\u200f",
    "ALM": "\u061c",
}


@pytest.mark.parametrize(("given_text", "composed"), NFC)
def test_names_are_kept_in_nfc(given_text: str, composed: str) -> None:
    assert clean_name(given_text) == composed


@pytest.mark.parametrize("control", BIDI_CONTROLS.values(), ids=BIDI_CONTROLS)
def test_bidirectional_controls_are_refused_and_never_shown(control: str) -> None:
    with pytest.raises(DataError, match=f"U\\+{ord(control):04X} at place 4"):
        clean_name(f"red{control}der")
    assert shown(f"red{control}der") == "red\N{REPLACEMENT CHARACTER}der"


@pytest.mark.parametrize(
    "char", ["\x00", "\x1b", "\x7f", "\x9b", "\xad", "\u200b", "\u2028", "\u2029", "\ue000", "\U000fffff"]
)
def test_what_does_not_print_is_refused_and_never_shown(char: str) -> None:
    with pytest.raises(DataError, match="does not print"):
        clean_name(f"pl{char}ate")
    assert shown(f"pl{char}ate") == "pl\N{REPLACEMENT CHARACTER}ate"


@pytest.mark.parametrize("blank", ["\t", "\n", "\r\n", " \n "])
def test_line_breaks_of_a_quoted_cell_are_blanks_in_a_name_and_never_reach_the_screen(blank: str) -> None:
    """A quoted cell may hold line breaks (RFC 4180, section 2, rule 6)."""
    assert clean_name(f"plate{blank}2x4") == "plate 2x4"
    assert shown(f"plate{blank}2x4").isprintable()


def test_joiners_that_some_scripts_need_are_kept() -> None:
    assert clean_name("\u0646\u200c\u0645") == "\u0646\u200c\u0645"


@pytest.mark.parametrize("text", ["", " ", " \t "])
def test_an_empty_name_is_refused_by_what_it_stands_for(text: str) -> None:
    with pytest.raises(DataError, match="The shade name is empty"):
        clean_name(text, "shade name")


def test_blanks_are_dropped_outside_and_made_one_inside() -> None:
    assert clean_name("  plate \t  2x4 ") == "plate 2x4"


def test_the_longest_name_is_kept_and_a_longer_one_refused() -> None:
    assert clean_name("a" * MAX_NAME) == "a" * MAX_NAME
    with pytest.raises(DataError, match="10000 characters"):
        clean_name("a" * 10_000)


@pytest.mark.parametrize("text", ["[red]x[/]", "[/", "=1+1", "grey, early", "Käthe’s 2×4", "レンガ", "🧱"])
def test_markup_formulas_and_letters_of_any_script_are_plain_text(text: str) -> None:
    assert clean_name(text) == text
    assert shown(text) == text


@given(st.text(max_size=60))
def test_a_name_that_was_cleaned_is_clean(text: str) -> None:
    try:
        name = clean_name(text)
    except DataError:
        return
    assert clean_name(name) == name
    assert unicodedata.is_normalized("NFC", name)
    assert shown(name) == name


@given(st.text(max_size=60))
def test_showing_changes_no_length_and_leaves_nothing_that_acts(text: str) -> None:
    safe = shown(text)
    assert len(safe) == len(text)
    assert not any(unicodedata.category(char) == "Cc" or char in BIDI_CONTROLS.values() for char in safe)
