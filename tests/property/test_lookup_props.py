"""Look-up, whatever the catalogue and whatever is typed."""

from __future__ import annotations

from random import Random

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sortbench.engine.entering.words import spelling
from sortbench.engine.lookup import Lookup, Tier
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade
from tests.benchmarks.queries import catalogue as made_up
from tests.benchmarks.queries import name_words, queries

_WORDS = st.sampled_from(
    [
        "brick",
        "plate",
        "plaque",
        "round",
        "red",
        "grey",
        "green",
        "grille",
        "early",
        "late",
        "2x4",
        "24x24",
        "1x6x2",
        "45",
        "a",
    ]
)
_NAMES = st.lists(_WORDS, min_size=1, max_size=4).map(" ".join)
_ANY_NAME = _NAMES | st.text(min_size=1, max_size=12).filter(lambda text: bool(text.strip()))
_TYPED = (
    st.lists(_WORDS | st.sampled_from(["pl", "gr", "r", "plt", "plaet", "24", "2x", "e", "4", "4x2"]), max_size=6).map(
        " ".join
    )
    | st.text()
)


def _part(code: str, name: str) -> Part:
    return Part(code, name)


def _catalogues(names: st.SearchStrategy[str]) -> st.SearchStrategy[Catalogue]:
    parts = st.lists(st.builds(_part, names, names), max_size=10).map(lambda found: {part.code: part for part in found})
    shades = st.lists(names, max_size=5).map(lambda found: {name: Shade(name) for name in found})
    return st.builds(Catalogue, parts, shades)


CATALOGUES = _catalogues(_ANY_NAME)


def _weighed(catalogue: Catalogue, weights: list[int]) -> Lookup:
    lookup = Lookup(catalogue)
    kinds = [Kind(part, shade) for part in catalogue.parts for shade in catalogue.shades]
    for kind, weight in zip(kinds, weights, strict=False):
        lookup.weigh(kind, weight)
    return lookup


WEIGHTS = st.lists(st.integers(0, 4), max_size=20)


@settings(deadline=None)
@given(CATALOGUES, WEIGHTS, _TYPED, _ANY_NAME | st.just(""), st.integers(0, 12))
def test_results_are_known_kinds_without_doubles_and_stable(
    catalogue: Catalogue, weights: list[int], typed: str, held: str, limit: int
) -> None:
    lookup = _weighed(catalogue, weights)
    hits = lookup.search(typed, shade=held, limit=limit)
    assert len(hits) <= limit
    assert len({hit.kind for hit in hits}) == len(hits)
    assert all(hit.kind.part in catalogue.parts for hit in hits)
    assert all(hit.kind.shade in catalogue.shades or hit.kind.shade == held for hit in hits)
    assert hits == lookup.search(typed, shade=held, limit=limit)
    assert hits == _weighed(catalogue, weights).search(typed, shade=held, limit=limit)
    names = lookup.shades(typed, limit)
    assert len(set(names)) == len(names) <= limit
    assert set(names) <= set(catalogue.shades)


@settings(deadline=None)
@given(CATALOGUES, WEIGHTS, st.data(), st.booleans())
def test_the_exact_code_or_name_always_comes_first(
    catalogue: Catalogue, weights: list[int], data: st.DataObject, hold: bool
) -> None:
    assume(catalogue.parts and catalogue.shades)
    lookup = _weighed(catalogue, weights)
    part = data.draw(st.sampled_from(sorted(catalogue.parts.values(), key=lambda part: part.code)))
    typed = data.draw(st.sampled_from([part.code, part.name]))
    first = lookup.search(typed, shade=min(catalogue.shades) if hold else "")[0]
    known = catalogue.parts[first.kind.part]
    texts = (known.code, known.name, first.kind.shade)
    assert spelling(typed) in map(spelling, texts)
    assert first.tier is Tier.EXACT


@settings(deadline=None)
@given(CATALOGUES, st.data())
def test_an_exact_shade_always_comes_first(catalogue: Catalogue, data: st.DataObject) -> None:
    assume(catalogue.shades)
    typed = data.draw(st.sampled_from(sorted(catalogue.shades)))
    assert spelling(Lookup(catalogue).shades(typed)[0]) == spelling(typed)


@settings(deadline=None)
@given(_catalogues(_NAMES), WEIGHTS, st.lists(_WORDS, min_size=1, max_size=5), st.randoms(use_true_random=False))
def test_word_order_makes_no_difference_to_what_is_found_first(
    catalogue: Catalogue, weights: list[int], words: list[str], random: Random
) -> None:
    """Only a name typed letter by letter in its own order goes before the same words in another order."""
    texts = {spelling(text) for part in catalogue.parts.values() for text in (part.code, part.name)}
    texts |= {spelling(name) for name in catalogue.shades}
    assume(all(sorted(text.split()) != sorted(words) for text in texts))
    lookup = _weighed(catalogue, weights)
    shuffled = random.sample(words, len(words))
    one, other = lookup.search(" ".join(words)), lookup.search(" ".join(shuffled))
    assert [hit.tier for hit in one] == [hit.tier for hit in other]
    assert {hit.kind for hit in one if hit.tier is not Tier.EXACT} == {
        hit.kind for hit in other if hit.tier is not Tier.EXACT
    }


@settings(deadline=None)
@given(CATALOGUES, st.lists(st.builds(_part, _ANY_NAME, _ANY_NAME), max_size=4), WEIGHTS, _TYPED)
def test_adding_equals_building(catalogue: Catalogue, more: list[Part], weights: list[int], typed: str) -> None:
    grown = _weighed(catalogue, weights)
    grown.search(typed)
    for part in more:
        grown.add_part(part)
    grown.add_shade(Shade("late grey"))
    whole = Catalogue(
        dict(catalogue.parts) | {part.code: part for part in more},
        dict(catalogue.shades) | {"late grey": Shade("late grey")},
    )
    built = Lookup(whole)
    kinds = [Kind(part, shade) for part in catalogue.parts for shade in catalogue.shades]
    for kind, weight in zip(kinds, weights, strict=False):
        built.weigh(kind, weight)
    assert grown.search(typed) == built.search(typed)
    assert grown.shades(typed) == built.shades(typed)


@settings(deadline=None)
@given(CATALOGUES, WEIGHTS, _TYPED)
def test_weights_that_are_forgotten_leave_no_trace(catalogue: Catalogue, weights: list[int], typed: str) -> None:
    lookup = _weighed(catalogue, weights)
    for part in catalogue.parts:
        for shade in catalogue.shades:
            lookup.weigh(Kind(part, shade), 0)
    assert lookup.search(typed) == Lookup(catalogue).search(typed)


@settings(max_examples=5, deadline=None)
@given(st.integers(0, 1000))
def test_abbreviated_misspelt_and_shuffled_queries_find_their_kind(seed: int) -> None:
    """A small share of the benchmark, so that a slip shows at once; the generator is described in its module."""
    catalogue = made_up(200, 14, seed)
    lookup = Lookup(catalogue)
    asked = list(queries(catalogue, 60, seed, careful=True))
    answers = [[hit.kind for hit in lookup.search(query.text)] for query in asked]
    right = sum(
        query.kind in kinds or any(query.means_as_well(name_words(catalogue, kind)) for kind in kinds)
        for query, kinds in zip(asked, answers, strict=True)
    )
    assert right >= 0.95 * len(asked)
