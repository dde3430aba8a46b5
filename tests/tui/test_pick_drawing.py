"""The rows of the pick list: pure functions from figures to spans, in any width, with any text."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.reconciling.pick_list import PickList, PickRow, Use
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.text import shown
from sortbench.tui.drawing import pick_rows as draw
from sortbench.tui.widgets.palette import LOOKS
from sortbench.tui.widgets.rows import Row, row_width

WORDS = st.text(max_size=60).map(shown)
COUNTS = st.integers(0, 99_999)
EARLY, LATE = Kind("plate-2x4", "grey, early"), Kind("plate-2x4", "grey, late")


def plain(row: Row) -> str:
    return "".join(text for text, _ in row)


def use(line: int = 12, quantity: int = 4, cost: int = 0, standard: bool = True) -> Use:
    return Use(line, quantity, EARLY, "plate 2x4", cost, standard)


def row(
    left: int = 4, picked: int = 0, *uses: Use, label: str = "B3", fate: Fate = Fate.KEPT, number: int = 1
) -> PickRow:
    return PickRow(
        number=number,
        cell=Cell(label, *EARLY, "", Grade.G4, (), fate),
        place="row 1, left",
        kind=EARLY,
        name="plate 2x4",
        rgb="9ba19d",
        grade=Grade.G4,
        flaws=(),
        quantity=sum(each.quantity for each in uses or (use(),)),
        left=left,
        picked=picked,
        uses=uses or (use(),),
    )


def picks(*rows: PickRow, short: int = 0, parked: bool = False) -> PickList:
    return PickList("T-07", "Glasshouse", 1987, parked, short, rows, "abcd")


def drawn(each: PickRow, width: int = 90) -> str:
    return plain(draw.pick_row(draw.layout_of([each]), each, False, width))


@settings(max_examples=60, deadline=None)
@given(
    name=WORDS,
    shade=WORDS,
    place=WORDS,
    left=COUNTS,
    picked=COUNTS,
    width=st.integers(1, 220),
    fate=st.sampled_from(Fate),
    chosen=st.booleans(),
)
def test_no_row_is_wider_than_its_panel_whatever_it_holds(
    name: str, shade: str, place: str, left: int, picked: int, width: int, fate: Fate, chosen: bool
) -> None:
    kind = Kind(name, shade)
    uses = tuple(Use(line, left, kind, name, line % 2, False) for line in range(1, 9))
    cell = Cell(place, name, shade, "", None, (Flaw.WORN, Flaw.CRACKED), fate)
    each = PickRow(7, cell, place, kind, name, "", None, (Flaw.WORN, Flaw.CRACKED), left, left, picked, uses)
    layout = draw.layout_of([each, row()])
    rows = [
        draw.pick_row(layout, each, chosen, width),
        draw.pick_row(layout, row(), chosen, width),
        draw.pick_headings(layout, width),
        *draw.head_rows(picks(each, short=left), 1, 3, width),
        *draw.head_rows(picks(parked=True), 0, 1, width),
    ]
    for found in rows:
        assert row_width(found) <= width
        assert all(style in LOOKS or style.startswith("#") for _, style in found)


def test_a_row_says_where_what_how_many_and_for_which_lines() -> None:
    words = drawn(row(4, 0, use(12, 3), use(40, 1)))
    assert words.split() == [
        *["□", "B3", "row", "1,", "left", "4", "g", "plate", "2x4", "grey,", "early", "4", "12,", "40"]
    ]


def test_boxes_tell_open_from_begun_and_done() -> None:
    assert drawn(row(4)).split()[0] == "□"
    begun = drawn(row(3, 1))
    assert begun.split()[0] == "◧"
    assert "3 of 4" in begun
    assert drawn(row(0, 4)).split()[0] == "✓"


def test_stand_ins_are_marked() -> None:
    assert "≈ plate 2x4" in drawn(row(4, 0, use(cost=2)))
    assert "≈" not in drawn(row())


def test_pieces_in_no_bin_say_where_they_are() -> None:
    assert "to wash" in drawn(row(label="", fate=Fate.WASH))
    assert "no bin" in drawn(row(label=""))
    assert "the crate" in drawn(row(0, 4, label="T-07", fate=Fate.CRATE))


def test_the_head_tells_how_far_the_crate_is_filled() -> None:
    top, figures = draw.head_rows(picks(row(3, 1), row(4, label="B4"), short=5), 0, 2, 120)
    assert plain(top) == "  T-07 Glasshouse · pick list · 1 of 2 ›"
    assert plain(figures).split("  ", 1)[1] == "1/8 picked  7 pieces to take from 2 bins  5 short"
    assert "✓ all picked" in plain(draw.head_rows(picks(row(0, 4)), 0, 2, 120)[1])
    assert "2 too many in the crate" in plain(draw.head_rows(picks(row(0, 6)), 0, 2, 120)[1])
    assert "parked" in plain(draw.head_rows(picks(parked=True), 0, 2, 120)[1])


def test_an_empty_list_says_why() -> None:
    assert "so far is for Glasshouse" in plain(draw.empty_rows(picks())[0])
    assert "F6" in plain(draw.empty_rows(picks(parked=True))[0])


def test_a_filter_finds_rows_by_bin_place_part_grade_and_line() -> None:
    rows = [row(), row(label="B4", number=2), row(0, 4, number=3)]
    assert [each.number for each in draw.rows_in_view(rows, "b4", False)] == [2]
    assert len(draw.rows_in_view(rows, "row left plate line 12", False)) == 3
    assert [each.number for each in draw.rows_in_view(rows, "", True)] == [1, 2]


def test_a_row_in_words() -> None:
    assert draw.row_words(row(3, 1, use(12, 3), use(40, 1, cost=2, standard=False))) == (
        "take 3 plate 2x4 · grey, early, grade 4 from B3 (row 1, left); 1 picked from B3; 3 for line 12; "
        "1 for line 40, standing in for plate 2x4 · grey, early, not to standard"
    )
    assert draw.row_words(row(0, 4)) == ("4 plate 2x4 · grey, early, grade 4 picked from B3; 4 for line 12")
    surplus = row(0, 6)
    assert "2 of them no line needs" in draw.row_words(surplus)
    counted = row(0, 4, label="T-07", fate=Fate.CRATE)
    assert draw.row_words(counted).startswith("4 plate 2x4 · grey, early, grade 4 counted into the crate")
