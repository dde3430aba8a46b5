"""What a few typed letters find."""

from __future__ import annotations

import subprocess
import sys

import pytest

from sortbench.engine.lookup import MAX_WORDS, Lookup, Tier
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade

SHADES = ("black", "white", "red", "grey, early", "grey, late", "brown, early", "blue")
PARTS = (
    Part("brick-2x4", "brick 2x4", "brick"),
    Part("brick-1x2", "brick 1x2", "brick"),
    Part("plate-1x1", "plate 1x1", "plate"),
    Part("plate-2x4", "plate 2x4", "plate"),
    Part("plate-4x4", "plate 4x4", "plate"),
    Part("plate-24x24", "plate 24x24", "baseplate"),
    Part("plate-2x4-round", "plate 2x4 round", "plate"),
    Part("grille-1x2", "grille 1x2", "tile"),
    Part("arch-1x6x2", "arch 1x6x2", "arch"),
    Part("slope45-2x2-inv", "slope 45 2x2 inverted", "slope", aliases=("overhang",)),
)


def catalogue() -> Catalogue:
    return Catalogue({part.code: part for part in PARTS}, {name: Shade(name) for name in SHADES})


@pytest.fixture
def lookup() -> Lookup:
    return Lookup(catalogue())


def found(lookup: Lookup, words: str, shade: str = "") -> list[Kind]:
    return [hit.kind for hit in lookup.search(words, shade=shade)]


@pytest.mark.parametrize(
    ("words", "kind", "tier"),
    [
        ("plate-2x4 red", Kind("plate-2x4", "red"), Tier.EXACT),
        ("red plate 2×4", Kind("plate-2x4", "red"), Tier.EXACT),
        ("overhang red", Kind("slope45-2x2-inv", "red"), Tier.EXACT),
        ("2 x 4 pl re", Kind("plate-2x4", "red"), Tier.START),
        ("pl24 red", Kind("plate-2x4", "red"), Tier.START),
        ("pl2x4red", Kind("plate-2x4", "red"), Tier.START),
        ("sl45inv bla", Kind("slope45-2x2-inv", "black"), Tier.START),
        ("pl 2x4 gr l", Kind("plate-2x4", "grey, late"), Tier.START),
        ("early grey br 12", Kind("brick-1x2", "grey, early"), Tier.START),
        ("plt 1x1 gry e", Kind("plate-1x1", "grey, early"), Tier.WORDS),
        ("brk 4x2 blk", Kind("brick-2x4", "black"), Tier.WORDS),
        ("pl 2 4 wh", Kind("plate-2x4", "white"), Tier.WORDS),
        ("arch 16 red", Kind("arch-1x6x2", "red"), Tier.WORDS),
        ("plaet 2x4 red", Kind("plate-2x4", "red"), Tier.FUZZY),
        ("inverrtdd red", Kind("slope45-2x2-inv", "red"), Tier.FUZZY),
        ("brick 2x4 hwite", Kind("brick-2x4", "white"), Tier.FUZZY),
        ("lue brick 1x2", Kind("brick-1x2", "blue"), Tier.FUZZY),
    ],
)
def test_the_kind_meant_comes_first(lookup: Lookup, words: str, kind: Kind, tier: Tier) -> None:
    first = lookup.search(words)[0]
    assert (first.kind, first.tier) == (kind, tier)


@pytest.mark.parametrize("words", ["", "   ", "!", "x", "zzzz", "plate 2x4 zzzz", "plate 2x3 red"])
def test_what_names_nothing_finds_nothing(lookup: Lookup, words: str) -> None:
    assert lookup.search(words) == []


def test_sizes_are_never_taken_for_a_typo(lookup: Lookup) -> None:
    assert found(lookup, "brick 2x5") == []


def test_an_exact_size_comes_before_a_longer_one_however_often_that_was_counted(lookup: Lookup) -> None:
    lookup.weigh(Kind("plate-24x24", "red"), 1000)
    assert [hit.part for hit in found(lookup, "pl 24 red")][:2] == ["plate-2x4", "plate-2x4-round"]


def test_the_exact_match_comes_first_however_often_others_were_counted(lookup: Lookup) -> None:
    lookup.weigh(Kind("plate-2x4-round", "red"), 1000)
    assert found(lookup, "plate 2x4 red")[0] == Kind("plate-2x4", "red")
    assert found(lookup, "pl 2x4 red")[0] == Kind("plate-2x4", "red")
    assert found(lookup, "pl ro 2x4 red")[0] == Kind("plate-2x4-round", "red")


def test_a_code_comes_before_the_same_words_elsewhere() -> None:
    parts = {"a": Part("a", "b"), "b": Part("b", "a"), "c": Part("c", "c", aliases=("a",))}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red")}))
    assert [kind.part for kind in found(lookup, "a")] == ["a", "b", "c"]


def test_a_held_shade_applies_unless_the_words_name_another(lookup: Lookup) -> None:
    assert {kind.shade for kind in found(lookup, "pl", shade="blue")} == {"blue"}
    assert found(lookup, "pl 2x4 red", shade="blue")[0] == Kind("plate-2x4", "red")
    assert found(lookup, "r", shade="blue")[0] == Kind("plate-2x4-round", "blue")
    assert found(lookup, "re", shade="blue")[0].shade == "red"


def test_the_held_shade_decides_between_equal_readings() -> None:
    parts = {"a": Part("a", "brick"), "b": Part("b", "brick, red")}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red"), "blue": Shade("blue")}))
    lookup.weigh(Kind("a", "red"), 1000)
    assert found(lookup, "brick red")[0] == Kind("a", "red")
    assert found(lookup, "brick red", shade="blue")[0] == Kind("b", "blue")


def test_weighed_kinds_come_first_and_are_forgotten_with_weight_0(lookup: Lookup) -> None:
    usual = found(lookup, "2x4")
    lookup.weigh(Kind("brick-2x4", "blue"), 5)
    lookup.weigh(Kind("plate-2x4", "white"), 7)
    assert found(lookup, "2x4")[:2] == [Kind("plate-2x4", "white"), Kind("brick-2x4", "blue")]
    assert found(lookup, "blue")[0] == Kind("brick-2x4", "blue")
    assert found(lookup, "b")[0] == Kind("brick-2x4", "blue")
    lookup.weigh(Kind("brick-2x4", "blue"), 0)
    lookup.weigh(Kind("plate-2x4", "white"), 0)
    assert found(lookup, "2x4") == usual


def test_without_a_shade_the_list_shows_different_parts(lookup: Lookup) -> None:
    kinds = found(lookup, "pl")
    assert len(kinds) == 8
    assert len({kind.part for kind in kinds}) >= 3
    for shade in SHADES:
        lookup.weigh(Kind("plate-1x1", shade), 9)
    assert sum(kind.part == "plate-1x1" for kind in found(lookup, "pl")) == 3


def test_a_lone_part_shows_its_weighed_shades_then_the_catalogues(lookup: Lookup) -> None:
    lookup.weigh(Kind("arch-1x6x2", "blue"), 3)
    assert [kind.shade for kind in found(lookup, "arch")] == ["blue", *(s for s in SHADES if s != "blue")]


def test_both_readings_of_a_word_are_shown_when_both_are_used(lookup: Lookup) -> None:
    lookup.weigh(Kind("grille-1x2", "white"), 2)
    lookup.weigh(Kind("brick-2x4", "grey, late"), 3)
    assert found(lookup, "gr")[:2] == [Kind("brick-2x4", "grey, late"), Kind("grille-1x2", "white")]


def test_two_like_words_are_given_to_part_and_shade(lookup: Lookup) -> None:
    assert found(lookup, "br br 12")[0] == Kind("brick-1x2", "brown, early")


def test_a_word_typed_more_than_twice_counts_twice(lookup: Lookup) -> None:
    assert lookup.search("br br br br 12") == lookup.search("br br 12") != []


def test_a_tie_is_told(lookup: Lookup) -> None:
    lookup.weigh(Kind("brick-2x4", "red"), 4)
    lookup.weigh(Kind("plate-2x4", "red"), 4)
    hits = lookup.search("2x4 red")
    assert [(hit.kind.part, hit.tie) for hit in hits[:2]] == [("brick-2x4", True), ("plate-2x4", False)]
    lookup.weigh(Kind("plate-2x4", "red"), 5)
    assert not lookup.search("2x4 red", limit=1)[0].tie


def test_a_shorter_name_is_no_better_match(lookup: Lookup) -> None:
    late, early = lookup.search("gr pl 2x4")[:2]
    assert (late.kind.shade, early.kind.shade) == ("grey, late", "grey, early")
    assert late.tie


def test_a_tie_with_the_first_one_not_shown_is_told(lookup: Lookup) -> None:
    assert lookup.search("2x4 red", limit=1)[0].tie


def test_scores_fall_with_the_tier(lookup: Lookup) -> None:
    queries = ("plate 2x4 red", "pl 2x4 red", "plt 2x4 red", "plaet 2x4 red")
    scores = [lookup.search(words)[0].score for words in queries]
    assert scores == sorted(scores, reverse=True)
    assert all(0 < score <= 1 for score in scores)


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("gr e", ["grey, early"]),
        ("early grey", ["grey, early"]),
        ("gey late", ["grey, late"]),
        ("early", ["grey, early", "brown, early"]),
        ("grey, late", ["grey, late"]),
        ("whiet", ["white"]),
        ("zz", []),
        ("", []),
    ],
)
def test_shades_are_found(lookup: Lookup, words: str, names: list[str]) -> None:
    assert lookup.shades(words) == names


def test_shades_used_more_come_first(lookup: Lookup) -> None:
    lookup.weigh(Kind("brick-2x4", "brown, early"), 1)
    assert lookup.shades("early") == ["brown, early", "grey, early"]
    assert lookup.shades("early", limit=1) == ["brown, early"]


def test_a_shade_is_added_and_renamed(lookup: Lookup) -> None:
    lookup.add_shade(Shade("plum"))
    assert found(lookup, "brick 2x4 plum") == [Kind("brick-2x4", "plum")]
    lookup.add_shade(Shade("plum", aliases=("damson",)))
    assert lookup.shades("damson") == ["plum"]


def test_a_part_is_given_other_names(lookup: Lookup) -> None:
    lookup.add_part(Part("grille-1x2", "lattice 1x2", "tile"))
    assert found(lookup, "grille red") == [Kind("grille-1x2", "red")], "the code still says so"
    assert lookup.search("lattice 1x2 red")[0].tier is Tier.EXACT
    lookup.add_part(Part("arch-1x6x2", "vault", "arch"))
    lookup.add_part(Part("arch-1x6x2", "bow", "arch"))
    assert found(lookup, "vault") == []


def test_a_part_with_other_names_is_no_longer_ranked_by_the_old_ones() -> None:
    parts = {"p1": Part("p1", "bow window"), "p2": Part("p2", "bow window tall"), "p3": Part("p3", "b")}
    shades = {"red": Shade("red")}
    lookup = Lookup(Catalogue(parts, shades))
    for renamed in (Part("p1", "porch"), Part("p3", "longest name of all")):
        lookup.add_part(renamed)
        parts[renamed.code] = renamed
    assert [kind.part for kind in found(lookup, "bow window red")] == ["p2"]
    fresh = Lookup(Catalogue(parts, shades))
    assert lookup.search("red", limit=1) == fresh.search("red", limit=1)
    assert found(lookup, "red") == found(fresh, "red")


def test_renamed_parts_do_not_keep_the_place_of_their_short_names() -> None:
    parts = {code: Part(code, code) for code in ("a", "b", "porch")}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red")}))
    for code in ("a", "b"):
        lookup.add_part(Part(code, "a long name of many words"))
    assert [hit.kind.part for hit in lookup.search("red", limit=1)] == ["porch"]


def test_old_names_no_longer_count_as_exact() -> None:
    parts = {"p1": Part("p1", "bow window"), "p2": Part("p2", "tall bow window")}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red")}))
    lookup.add_part(Part("p1", "window with a bow"))
    assert {hit.tier for hit in lookup.search("bow window red")} == {Tier.START}


@pytest.mark.parametrize("word", ["rad", "reed", "rde"])
def test_words_of_three_letters_hold_no_typo(lookup: Lookup, word: str) -> None:
    assert found(lookup, f"brick 2x4 {word}") == []


def test_of_a_long_query_the_first_words_count() -> None:
    words = [f"word{letter}" for letter in "abcdefghijklmnop"]
    parts = {"p": Part("p", " ".join(words))}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red")}))
    assert found(lookup, " ".join([*words[:MAX_WORDS], "zzzz"])) == [Kind("p", "red")]
    assert found(lookup, " ".join([*words[: MAX_WORDS - 1], "zzzz"])) == []


def test_a_name_longer_than_the_words_that_count_is_found_when_typed_in_full() -> None:
    start = " ".join(f"word{letter}" for letter in "abcdefghijklm")
    parts = {code: Part(code, f"{start} {code}") for code in ("end", "finish")}
    lookup = Lookup(Catalogue(parts, {"red": Shade("red")}))
    for code in parts:
        assert found(lookup, f"{start} {code}")[0].part == code


@pytest.mark.parametrize(
    "words",
    [
        "\x00",
        "\ud800",
        "[/",
        "\u202e",
        "plate " * 2000,
        "p" * 10_000,
        "r " * 5000,
        "𝔭𝔩𝔞𝔱𝔢",
        "🧱",
        "٣x٤",
        "x" * 399,
        "½",
    ],
)
def test_nothing_typed_crashes_it(lookup: Lookup, words: str) -> None:
    for held in ("", "blue", "no such shade"):
        assert len(lookup.search(words, shade=held)) <= 8
    assert len(lookup.shades(words)) <= 8


def test_an_empty_catalogue_finds_nothing() -> None:
    assert Lookup(Catalogue()).search("plate 2x4") == []
    assert Lookup(Catalogue()).shades("plate") == []
    assert Lookup(Catalogue({"a": PARTS[0]})).search("brick") == []


def test_rapidfuzz_waits_for_the_first_typo() -> None:
    script = (
        "import sys; from sortbench.engine.lookup import Lookup; from sortbench.model.catalogue import *;"
        "index = Lookup(Catalogue({'tile': Part('tile', 'tile')}, {str(n): Shade(str(n)) for n in range(9)}));"
        "index.search('til'); assert 'rapidfuzz' not in sys.modules;"
        "assert index.search('itle'); assert 'rapidfuzz' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)


def test_a_part_named_in_full_comes_before_one_of_a_longer_name_counted_just_now() -> None:
    parts = (Part("plate-2x4", "plate 2x4"), Part("wedge-plate-2x4-left", "wedge plate 2x4 left"))
    lookup = Lookup(Catalogue({part.code: part for part in parts}, {"white": Shade("white")}))
    lookup.weigh(Kind("wedge-plate-2x4-left", "white"), 1_000_000)
    assert lookup.search("pl 2x4", shade="white")[0].kind == Kind("plate-2x4", "white")
    assert lookup.search("we pl 2x4", shade="white")[0].kind == Kind("wedge-plate-2x4-left", "white")
