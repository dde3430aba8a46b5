"""The rows of the reconcile screen: pure functions from figures to spans, in any width, with any text."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.reconciling.reconcile_board import (
    AcceptRow,
    PlaceRow,
    ReconcileLine,
    ReconcileTarget,
    ShareRow,
    SpareHeap,
)
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Fate
from sortbench.model.text import shown
from sortbench.tui.drawing import crate_rows, reconcile_rows
from sortbench.tui.drawing.crate_rows import CrateRow
from sortbench.tui.drawing.marks import Mark, mark_of
from sortbench.tui.drawing.reconcile_layout import stacked_heights
from sortbench.tui.drawing.reconcile_rows import LinePair
from sortbench.tui.widgets.palette import LOOKS
from sortbench.tui.widgets.rows import Row, row_width

WORDS = st.text(max_size=60).map(shown)
COUNTS = st.integers(0, 99_999)
WIDTHS = st.integers(1, 220)
PLATE, LATE = Kind("plate-2x4", "grey, early"), Kind("plate-2x4", "grey, late")
BINS = (PlaceRow("B3", "row 1, left", 3), PlaceRow("", "", 1, Fate.WASH))


def plain(row: Row) -> str:
    return "".join(text for text, _ in row)


def all_of(rows: Iterable[Row]) -> str:
    return "\n".join(plain(row) for row in rows)


def target(name: str = "Glasshouse", rank: int = 2, present: int = 4, **more: object) -> ReconcileTarget:
    figures: dict[str, object] = {
        "code": "T-07",
        "name": name,
        "rank": rank,
        "year": 1987,
        "value": None,
        "parked": False,
        "need": 10,
        "present": present,
        "standard": 2,
        "stand_ins": 1,
        "short": 10 - present,
        "lines": 3,
        "lines_complete": 1,
    }
    return ReconcileTarget(**(figures | more))  # type: ignore[arg-type]


def as_kept(row: ReconcileTarget) -> CrateRow:
    return CrateRow(row, row)


def share(kind: Kind = PLATE, quantity: int = 4, cost: int = 0, standard: bool = True, **more: object) -> ShareRow:
    figures: dict[str, object] = {"grade": Grade.G5, "flaws": (), "ready": True, "held": "", "period": True}
    figures |= more
    return ShareRow(
        kind, "plate 2x4", "9ba19d", quantity=quantity, cost=cost, standard=standard, places=BINS, **figures
    )  # type: ignore[arg-type]


def line(number: int = 12, present: int = 4, shares: tuple[ShareRow, ...] = (), **more: object) -> ReconcileLine:
    figures: dict[str, object] = {"standard": present, "stand_ins": 0, "better": (), "accepts": ()} | more
    return ReconcileLine(
        number=number,
        kind=PLATE,
        name="plate 2x4",
        rgb="9ba19d",
        lowest=Grade.G4,
        need=6,
        present=present,
        short=6 - present,
        period=True,
        shares=shares,
        **figures,  # type: ignore[arg-type]
    )


def drawn(row: CrateRow, width: int = 70, mark: Mark = Mark.NONE) -> str:
    return plain(crate_rows.crate_row(crate_rows.crate_layout([row]), row, mark, width))


def fillings(of: ReconcileLine, width: int = 90) -> str:
    rows = reconcile_rows.fillings_of(of)
    layout = reconcile_rows.filling_layout(of, rows)
    return all_of(reconcile_rows.filling_row(layout, of, each, Mark.NONE, width) for each in rows)


@settings(max_examples=60, deadline=None)
@given(name=WORDS, shade=WORDS, place=WORDS, one=COUNTS, other=COUNTS, width=WIDTHS, mark=st.sampled_from(Mark))
def test_no_row_is_wider_than_its_panel_whatever_it_holds(
    name: str, shade: str, place: str, one: int, other: int, width: int, mark: Mark
) -> None:
    kind = Kind(name, shade)
    before, after = target(name, one, one), target(name, other, other, possible=other + 3)
    crates = [CrateRow(before, after), as_kept(target(name, need=0, parked=True)), CrateRow(before, before)]
    layout = crate_rows.crate_layout(crates)
    places = (PlaceRow(place, name, other), PlaceRow(name, "", one, Fate.CRATE))
    rows_of = [
        ShareRow(kind, name, "", None, (Flaw.WORN, Flaw.BENT), False, place, one, cost, False, None, places)
        for cost in (0, 3)
    ]
    full = line(one, other, tuple(rows_of), better=(name, place), accepts=(AcceptRow(kind, name, "", 3, True),))
    pair = LinePair(line(one, one), full)
    heap = SpareHeap(kind, name, "", None, (Flaw.BENT,), True, place, one, places)
    lines, fills = reconcile_rows.line_layout([pair]), reconcile_rows.fillings_of(full)
    rows = [
        crate_rows.head_row(crates, other, name, width),
        crate_rows.trial_row(name, True, width),
        crate_rows.trial_row("", False, width),
        *(crate_rows.crate_row(layout, row, mark, width) for row in crates),
        crate_rows.spares_row(layout, one, other, mark, width),
        reconcile_rows.line_row(lines, pair, mark, width),
        *(
            reconcile_rows.filling_row(reconcile_rows.filling_layout(full, fills), full, each, mark, width)
            for each in fills
        ),
        *(row for row in reconcile_rows.better_rows(full, max(width, 16)) if width >= 16),
        reconcile_rows.spare_row(heap, mark, width),
    ]
    for row in rows:
        assert row_width(row) <= width
        assert all(style in LOOKS or style.startswith("#") for _, style in row)


# -- crates


def test_a_crate_says_rank_have_of_standard_and_short() -> None:
    assert drawn(as_kept(target()), 32).split() == ["2", "Glasshouse", "4/10", "2", "6"]
    mark, rank, name, bar, *figures = drawn(as_kept(target(present=10))).split()
    assert (mark, rank, name, figures) == ("✓", "2", "Glasshouse", ["10/10", "2", "–"])
    assert set(bar) == {"█", "▒"}
    assert set(drawn(as_kept(target(possible=8))).split()[2]) == {"█", "▒", "░", "·"}


def test_what_is_tried_is_shown_before_and_after() -> None:
    row = CrateRow(target(), target(rank=1, present=9, standard=1))
    words = drawn(row, 90)
    assert "2→1 Glasshouse" in words
    assert "4→9/10" in words
    assert "2→1" in words.split("4→9/10")[1]
    assert "6→1" in words.split("4→9/10")[1]


def test_a_gain_and_a_loss_look_different() -> None:
    def styles(before: int, after: int) -> set[str]:
        row = CrateRow(target(present=before), target(present=after))
        found = crate_rows.crate_row(crate_rows.crate_layout([row]), row, Mark.NONE, 90)
        return {style for text, style in found if text == f"→{after}"}

    assert styles(4, 9) == {"good"}
    assert styles(9, 4) == {"warning"}


@pytest.mark.parametrize(
    ("before", "after", "words"), [(True, True, "parked"), (False, True, "4→parked"), (True, False, "0→4/10")]
)
def test_a_parked_target_says_so(before: bool, after: bool, words: str) -> None:
    row = CrateRow(target(present=0 if before else 4, parked=before), target(present=0 if after else 4, parked=after))
    assert words in drawn(row)
    assert ("∥" in drawn(row)) == after


def test_figures_are_never_cut_and_names_make_room() -> None:
    row = CrateRow(target("A very long name of a set", 999, 1), target("A very long name of a set", 1000, 9))
    words = drawn(row, 40)
    assert "999→1000" in words
    assert "1→9/10" in words
    assert "…" in words


def test_a_target_without_a_list_says_so() -> None:
    row = as_kept(target(need=0, present=0, short=0))
    assert "no list" in drawn(row)
    assert "writes it up" in crate_rows.crate_words(row)


def test_a_target_in_words_has_all_that_its_columns_may_lack() -> None:
    row = CrateRow(target(), target(rank=1, present=5, value=120, possible=7))
    words = crate_rows.crate_words(row)
    for part in ("T-07 Glasshouse, 1987, rank 2 → 1", "4 → 5 of 10 present", "1 of 3 lines complete", "worth 120"):
        assert part in words
    assert "7 if pieces not looked at turn out right" in words
    assert "parked: it takes nothing" in crate_rows.crate_words(as_kept(target(parked=True)))


def test_the_head_sums_up_and_names_the_policy() -> None:
    rows = [as_kept(target()), as_kept(target(present=10))]
    assert plain(crate_rows.head_row(rows, 7, "complete", 120)) == (
        "reconcile  14/20 present  4 to standard  1/2 complete  7 spare  policy complete"
    )
    assert plain(crate_rows.head_row(rows, 7, "complete", 72)).endswith("policy complete")


def test_what_can_be_done_about_a_trial_is_said_before_what_is_tried() -> None:
    assert plain(crate_rows.trial_row("Glasshouse has rank 1", False, 60)) == (
        " k keeps it, Esc lets it go  Glasshouse has rank 1"
    )
    assert "working it out: Glasshouse" in plain(crate_rows.trial_row("Glasshouse has rank 1", True, 80))
    assert "+ - rank" in plain(crate_rows.trial_row("", False, 80))


def test_spares_stand_at_the_end_of_the_crates() -> None:
    layout = crate_rows.crate_layout([as_kept(target())])
    assert plain(crate_rows.spares_row(layout, 5, 5, Mark.NONE, 60)).split() == ["spares", "5", "spare"]
    assert "5→7 spare" in plain(crate_rows.spares_row(layout, 5, 7, Mark.NONE, 60))


# -- lines


def test_a_line_says_have_of_short_and_standard() -> None:
    pair = LinePair(line(), line(standard=1, stand_ins=2))
    words = plain(reconcile_rows.line_row(reconcile_rows.line_layout([pair]), pair, Mark.NONE, 80))
    assert words.split()[0] == "12"
    assert words.split()[-4:] == ["4/6", "2", "1", "≈2"]
    moved = LinePair(line(), line(present=6))
    words = plain(reconcile_rows.line_row(reconcile_rows.line_layout([moved]), moved, Mark.NONE, 80))
    assert "4→6/6" in words
    assert "✓" in words


def test_a_line_in_words() -> None:
    words = reconcile_rows.line_words(LinePair(line(present=3), line(standard=1, stand_ins=2)), 1987)
    assert words == (
        "line 12: plate 2x4 · grey, early: have 4 of 6 (3 as kept), 2 of them standing in, short 2; "
        "1 to standard (grade 4 and better); period right for 1987"
    )


def test_a_filter_finds_lines_by_part_shade_and_where_pieces_lie() -> None:
    pairs = [LinePair(each, each) for each in (line(shares=(share(),)), line(number=13, present=6))]
    found = [pair.after.number for pair in reconcile_rows.lines_in_view(pairs, "b3", False)]
    assert found == [12]
    assert len(reconcile_rows.lines_in_view(pairs, "gr pl", False)) == 2
    assert [pair.after.number for pair in reconcile_rows.lines_in_view(pairs, "", True)] == [12]
    became_short = [LinePair(line(present=6), line(present=5))]
    assert reconcile_rows.lines_in_view(became_short, "", True)


# -- what fills a line


def test_pieces_say_how_many_how_good_and_where_they_lie() -> None:
    words = fillings(line(shares=(share(),)))
    assert words.split()[:4] == ["4", "g", "as", "asked"]
    assert "to standard" in words
    assert "B3 3, to wash 1" in words


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"period": False}, "period wrong"),
        ({"period": None}, "period not known"),
        ({"ready": False}, "to be washed"),
        ({"flaws": (Flaw.CRACKED,)}, "flawed"),
        ({"grade": None}, "not graded"),
        ({"grade": Grade.G2}, "below grade 4"),
    ],
)
def test_pieces_not_to_standard_say_why(more: dict[str, object], why: str) -> None:
    assert why in fillings(line(shares=(share(standard=False, **more),)))


def test_stand_ins_are_marked_and_those_not_used_follow() -> None:
    accepts = (AcceptRow(LATE, "plate 2x4", "", 2, False), AcceptRow(Kind("brick", "red"), "brick 2x4", "", 5, True))
    words = fillings(line(shares=(share(), share(LATE, 1, 2)), accepts=accepts)).split("\n")
    assert len(words) == 3
    assert "≈ plate 2x4 · grey, late" in words[1]
    assert "✗ refused" in words[2]
    unused = fillings(line(accepts=accepts)).split("\n")
    assert "allowed, cost 2" in unused[0]


def test_what_is_held_for_the_target_says_so() -> None:
    assert "(reserved)" in fillings(line(shares=(share(held="reserved"),)), 110)
    places = (PlaceRow("T-07", "", 4, Fate.CRATE),)
    crated = fillings(line(shares=(share(held="in the crate")._replace(places=places),)), 110)
    assert "crate T-07 4" in crated
    assert "(" not in crated


def test_a_filling_in_words_has_the_place_on_the_table() -> None:
    full = line(shares=(share(), share(LATE, 1, 2)), accepts=(AcceptRow(LATE, "plate 2x4", "", 2, False),))
    asked, stand_in = reconcile_rows.fillings_of(full)
    assert reconcile_rows.filling_words(full, asked) == (
        "4 pieces as asked for; grade 5; to standard; B3 (row 1, left) 3, to wash 1"
    )
    assert "1 piece of plate 2x4 · grey, late, which stands in at a cost of 2 of 9" in reconcile_rows.filling_words(
        full, stand_in
    )
    unused = line(accepts=(AcceptRow(LATE, "plate 2x4", "", 2, True),))
    assert "refused; a allows it again" in reconcile_rows.filling_words(unused, reconcile_rows.fillings_of(unused)[0])


def test_what_would_better_a_line_is_wrapped_under_its_first_word() -> None:
    rows = reconcile_rows.better_rows(line(better=("2 more plate 2x4 in grey, early", "to have 1 washed")), 24)
    assert all_of(rows).split("\n") == [
        "better: 2 more plate 2x4",
        "        in grey, early",
        "        to have 1 washed",
    ]


# -- spares


def test_spare_heaps_say_what_they_are_and_where_they_lie() -> None:
    heap = SpareHeap(PLATE, "plate 2x4", "9ba19d", Grade.G3, (), True, "", 4, BINS)
    words = plain(reconcile_rows.spare_row(heap, Mark.NONE, 90))
    assert words.split()[:2] == ["4", "g"]
    assert "B3 3, to wash 1" in words
    assert reconcile_rows.spare_words(heap._replace(only="T-07")) == (
        "4 pieces spare: plate 2x4 · grey, early, grade 3; set aside for T-07; B3 (row 1, left) 3, to wash 1"
    )
    assert reconcile_rows.spares_in_view([heap], "gr b3") == (heap,)
    assert reconcile_rows.spares_in_view([heap], "brick") == ()
    assert "row 1, left" in all_of(reconcile_rows.heap_rows(heap))


# -- marks and places


def test_only_the_panel_whose_cursor_moves_has_a_row_in_reverse() -> None:
    assert [mark_of(at, 1, True) for at in range(3)] == [Mark.NONE, Mark.CHOSEN, Mark.NONE]
    assert mark_of(1, 1, False) is Mark.HERE
    assert Mark.HERE.pointer[0] == Mark.CHOSEN.pointer[0] == "▸"
    assert Mark.HERE.look() == "text"
    assert Mark.CHOSEN.look() == "chosen"


@given(room=st.integers(-5, 80), crates=st.integers(1, 200))
def test_stacked_panels_use_every_line_and_keep_some_each(room: int, crates: int) -> None:
    heights = stacked_heights(room, crates)
    assert all(height >= 2 for height in heights)
    if room >= 10:
        assert sum(heights) == room
        assert heights[0] <= max(room * 2 // 5, 2)
