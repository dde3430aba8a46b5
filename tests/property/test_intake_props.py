"""Whatever stands in a list, bringing it in either takes a row or refuses it, and a second time changes nothing."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.importing.cells import Sheet
from sortbench.engine.importing.columns import match_columns
from sortbench.engine.importing.fields import FIELDS
from sortbench.engine.importing.intake_plan import Plan, State
from sortbench.engine.importing.intake_rows import work_out
from sortbench.model.catalogue import Part, Shade
from sortbench.model.offer import Seller
from sortbench.model.text import clean_name

# Words that meet each other often, so that rows name the same things in several spellings, and any text at all.
WORDS = st.sampled_from(
    [
        "plate 2x4",
        "Plate 2×4",
        "plate-2x4",
        "tile",
        "TILE",
        "in white (2)",
        "white",
        "White",
        "grey, late",
        "grey (late)",
        "a|b",
        "a;b",
        "a in b (1)|c",
        "1",
        "2",
        "5",
        "4-5",
        "0",
        "-3",
        "1990",
        "2,5",
        "9ba19d",
        "any",
        "crack",
        "print",
        "EUR",
        "0.12",
    ]
)
CELL = st.one_of(WORDS, st.text(max_size=6))


@st.composite
def lists(draw: st.DrawFn) -> tuple[str, Sheet]:
    what = draw(st.sampled_from(sorted(FIELDS)))
    names = [field.name for field in FIELDS[what]]
    headers = draw(st.lists(st.sampled_from(names), unique=True)) + [f.name for f in FIELDS[what] if f.required]
    if what == "stand-ins":
        headers += draw(st.sampled_from([["part", "stand_in_part"], ["shade", "stand_in_shade"]]))
    headers = list(dict.fromkeys(headers))
    rows = draw(st.lists(st.lists(CELL, max_size=len(headers) + 1), max_size=6))
    numbered = tuple((number, tuple(row)) for number, row in enumerate(rows, 2))
    return what, Sheet(
        "list.csv", "list", draw(st.sampled_from(",;")), match_columns(headers, FIELDS[what], {}, {}), numbered
    )


def after(state: State, plan: Plan) -> State:
    return State(
        {**state.parts, **{part.code: part for part in plan.parts}},
        {**state.shades, **{shade.name: shade for shade in plan.shades}},
        {**state.targets, **{target.code: target for target in plan.targets}},
        state.bins if plan.bins is None else plan.bins,
        state.swaps if plan.swaps is None else {swap.key: swap for swap in plan.swaps},
        {**state.sellers, **{seller.name: seller for seller in plan.sellers}},
        state.offers if plan.offers is None else {offer.id: offer for offer in plan.offers},
        {**state.library, **{each.code: each for each in plan.library}},
    )


# Rules about stand-ins only name what the catalogue holds, offers name sellers that are known.
BEFORE = State(
    {code: Part(code, code) for code in ("plate-2x4", "tile", "1", "2", "5")},
    {name: Shade(name) for name in ("white", "grey, late", "1", "any", "print")},
    sellers={name: Seller(name, "EUR") for name in ("tile", "1", "plate 2x4")},
)


@given(lists())
def test_every_row_is_taken_or_refused_and_twice_is_once(content: tuple[str, Sheet]) -> None:
    what, sheet = content
    before = BEFORE if what in ("stand-ins", "offers") else State()
    first = work_out(what, [sheet], before, {})
    state = after(before, first)
    for name in (*state.parts, *state.shades, *state.targets, *(box.label for box in state.bins)):
        assert clean_name(name) == name
    bad = {line for error in first.errors for line in (error.line, *error.also)}
    good = replace(sheet, rows=tuple(row for row in sheet.rows if row[0] not in bad))
    assert work_out(what, [good], before, {}).errors == ()
    again = work_out(what, [good], state, {})
    assert again.errors == ()
    assert again.same


@given(lists())
def test_exactly_one_bin_takes_the_rest_and_stands_last(content: tuple[str, Sheet]) -> None:
    what, sheet = content
    bins = after(State(), work_out(what, [sheet], State(), {})).bins
    assert [box.rule.catch_all for box in bins] == [False] * (len(bins) - 1) + [True] * bool(bins)
