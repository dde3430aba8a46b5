"""The entry line, whatever is typed."""

from __future__ import annotations

from contextlib import suppress

from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.entering.words import tokens
from sortbench.engine.entry import Entry, parse
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade, flaws_of
from sortbench.model.target import MAX_QUANTITY

_LETTERS = st.characters(exclude_categories=("C", "Z"), exclude_characters="*!#@")
_WORD = st.text(_LETTERS, min_size=1, max_size=8).filter(lambda word: word.split() == [word])
_LABEL = st.text(st.sampled_from("ABCxyz0189-_."), min_size=1, max_size=6)


@st.composite
def entries(draw: st.DrawFn) -> Entry:
    """Entries of every sort that a line can say."""
    sort = draw(st.sampled_from(["count", "hold", "add"]))
    words = " ".join(draw(st.lists(_WORD, min_size=1 if sort == "add" else 0, max_size=4)))
    return Entry(
        words=words,
        quantity=None if sort == "hold" else draw(st.none() | st.integers(1, MAX_QUANTITY)),
        grade=draw(st.none() | st.sampled_from(Grade)),
        flaws=() if sort == "hold" else flaws_of(draw(st.lists(st.sampled_from(Flaw), max_size=3))),
        bin=draw(st.just("") | _LABEL),
        hold=sort == "hold",
        add=sort == "add",
    )


@given(entries())
def test_what_is_written_is_read_back(entry: Entry) -> None:
    written = str(entry)
    if not written.startswith((".", "+")) or entry.hold or entry.add:
        assert parse(written) == entry
    else:
        # Bare words that begin with a prefix mark cannot be typed first with nothing before them.
        assert entry.words.startswith((".", "+")) and entry == Entry(words=entry.words)


@given(st.text() | st.text("*!#@.+-123x ABcrak\x00\u202e", max_size=40))
def test_any_line_is_read_or_refused_with_a_reason(text: str) -> None:
    try:
        entry = parse(text)
    except DataError as error:
        assert error.message
        return
    assert entry.quantity is None or 1 <= entry.quantity <= MAX_QUANTITY
    assert entry.words == " ".join(entry.words.split())
    assert parse(str(entry)) == entry


@given(st.permutations(["pl", "2x4", "*12", "!4-5", "#crack", "@B7"]))
def test_marks_may_stand_anywhere(chunks: list[str]) -> None:
    entry = parse(" ".join(chunks))
    assert sorted(entry.words.split()) == ["2x4", "pl"]
    assert (entry.quantity, entry.grade, entry.flaws, entry.bin) == (12, Grade.G4_5, (Flaw.CRACKED,), "B7")


@given(st.text(max_size=60))
def test_cutting_words_never_fails_and_leaves_only_letters_numbers_and_sizes(text: str) -> None:
    for word in tokens(text):
        assert word
        assert not any(char.isspace() or char in "*!#@-_,;'" for char in word)
        assert word[0].isalnum()


@given(st.integers(1, 99), st.integers(1, 99), st.sampled_from(["x", "×", " x ", " X ", "-", "X", " by "]))
def test_a_size_is_one_word_in_any_spelling(long: int, wide: int, cross: str) -> None:
    assert tokens(f"{long}{cross}{wide}") == (f"{long}x{wide}",)


@given(st.text("0123456789.-+e,_ x", min_size=1, max_size=8))
def test_only_whole_numbers_in_range_are_quantities(value: str) -> None:
    given_value = value.split()[0] if value.split() and not value[0].isspace() else ""
    meant = None
    with suppress(DataError):
        meant = parse(f"pl *{value}").quantity
    plain = given_value.isdecimal() and 1 <= int(given_value) <= MAX_QUANTITY
    assert meant == (int(given_value) if plain else None)
