"""How texts are cut into words."""

from __future__ import annotations

import unicodedata

import pytest

from sortbench.engine.entering.words import MAX_TEXT, fold, sizes, spelling, tokens


@pytest.mark.parametrize("text", ["2x4", "2×4", "2 x 4", "2-4", "2X4", "2 × 4", "2 by 4", "２×４", "2\N{EN DASH}4"])
def test_every_spelling_of_a_size_is_one_word(text: str) -> None:
    assert tokens(text) == ("2x4",)
    assert tokens(f"plate {text} red") == ("plate", "2x4", "red")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("plate-2x4", ("plate", "2x4")),
        ("plate-2-4", ("plate", "2x4")),
        ("slope45-2x2-inv", ("slope", "45", "2x2", "inv")),
        ("45-2x2", ("45", "2x2")),
        ("arch-1x6x2", ("arch", "1x6x2")),
        ("1 x 6 x 2", ("1x6x2",)),
        ("1-6-2", ("1x6x2",)),
        ("pl2x4", ("pl", "2x4")),
        ("pl24", ("pl", "24")),
        ("pl2-4", ("pl", "2x4")),
        ("2x4gr", ("2x4", "gr")),
        ("grey, late", ("grey", "late")),
        ("GREY/late", ("grey", "late")),
        ("brick 1x1x2/3", ("brick", "1x1x2/3")),
        ("1½", ("1", "1/2")),
        ("panel 1.5x2", ("panel", "1.5x2")),
        ("beekeeper's hat", ("beekeepers", "hat")),
        ("Grün", ("grun",)),
        ("plate 2 x", ("plate", "2x")),
        ("2xylophone", ("2", "xylophone")),
        ("1986-1993", ("1986", "1993")),
        ("1-2-3-4", ("1", "2", "3", "4")),
        ("!?#", ()),
        ("", ()),
    ],
)
def test_words(text: str, words: tuple[str, ...]) -> None:
    assert tokens(text) == words


def test_folding_agrees_with_the_unicode_database_on_compatible_characters() -> None:
    """NFKC and case folding as in the Unicode Character Database that Python carries (UAX #15, UTS #18)."""
    for text in ("ﬁgure", "Ⅳ", "ｐｌａｔｅ", "STRASSE"):
        assert fold(text) == unicodedata.normalize("NFKC", text).casefold()
    assert fold("Straße") == fold("STRASSE")


def test_sizes_leave_other_text_alone() -> None:
    assert sizes("Plate 2 × 4, red") == "plate 2x4, red"


def test_spelling_keeps_marks_and_order() -> None:
    assert spelling("  Plate-2x4   RED ") == "plate-2x4 red"
    assert spelling("red plate-2x4") != spelling("plate-2x4 red")


@pytest.mark.parametrize(
    "text", ["9" * 10_000, "2 x " * 2_500, "2-" * 5_000, " " * 10_000, "é" * 10_000, "\ufdfa" * 10_000]
)
def test_long_text_is_cut_off(text: str) -> None:
    assert tokens(text) == tokens(text[:MAX_TEXT])
