"""A part made from the words of an entry line."""

from __future__ import annotations

import pytest
from small_bench import PARTS, catalogue

from sortbench.engine.entering.new_part import part_from_words
from sortbench.model.catalogue import Part
from sortbench.model.errors import DataError


def shades(text: str) -> list[str]:
    return [name for name in catalogue().shades if name.startswith(text)]


def made(words: str, held: str = "") -> tuple[str, Part]:
    return part_from_words(words, catalogue(), held, shades)


@pytest.mark.parametrize(
    ("words", "held", "shade", "code", "family"),
    [
        ("trough 2x4", "red", "red", "trough-2x4", "other"),
        ("hinge plate 1x2", "white", "white", "hinge-plate-1x2", "hinge"),
        ("trough 2x4 grey early", "", "grey, early", "trough-2x4", "other"),
        ("trough 2x4 grey, early", "red", "grey, early", "trough-2x4", "other"),
        ("Wedge 2 × 4 WHITE", "", "white", "wedge-2x4", "wedge"),
        ("bell", "red", "red", "bell", "other"),
        ("red trough 2x4", "", "red", "trough-2x4", "other"),
        ("grey early trough 2x4", "red", "grey, early", "trough-2x4", "other"),
        ("red trough white", "", "white", "red-trough", "other"),
    ],
)
def test_words_name_the_part_and_perhaps_its_shade(words: str, held: str, shade: str, code: str, family: str) -> None:
    found, part = made(words, held)
    assert (found, part.code, part.family) == (shade, code, family)


def test_the_name_is_what_was_typed() -> None:
    assert made("Wedge 2 × 4 left red")[1].name == "Wedge 2 × 4 left"


def test_a_part_that_goes_by_those_words_is_taken_as_it_is() -> None:
    assert made("plate 2×4 red") == ("red", PARTS[0])
    assert made("plate-2x4", "white") == ("white", PARTS[0])


def test_a_shade_alone_is_a_name_for_the_held_shade() -> None:
    assert made("red", "white")[1].code == "red"


def test_without_a_shade_it_says_how_to_name_one() -> None:
    with pytest.raises(DataError, match=r"Hold one first, or name it at the end of the line, as in \+trough wh white"):
        made("trough wh")
    with pytest.raises(DataError, match=r"trough 2x4 red"):
        made("trough 2x4")
    with pytest.raises(DataError, match="needs a name"):
        made("   ", "red")


@pytest.mark.parametrize("words", ["bell\x1b[31m red", "bell\u202e red", "a" * 300 + " red"])
def test_a_name_that_would_do_harm_is_refused(words: str) -> None:
    with pytest.raises(DataError):
        made(words)
