"""The rows of the photo screen: pure functions from figures to spans, in any width, with any text."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from sortbench.engine.condition.photo_board import CellMark, PhotoRow, PhotoView
from sortbench.model.text import shown
from sortbench.tui.drawing import photo_rows as draw
from sortbench.tui.drawing.judge_rows import Colours
from sortbench.tui.widgets.palette import LOOKS
from sortbench.tui.widgets.rows import Row, row_width

WORDS = st.text(max_size=60).map(shown)
GOOD = PhotoRow(
    3,
    "10,20,30,40",
    "d4ccb0",
    rank=2,
    rank_best=1,
    rank_worst=3,
    grade="2-3",
    grade_best="3",
    grade_worst="2",
    rating=2.4,
    difference=4.26,
    difference_u=0.4,
    limit="beyond acceptable",
    yellowness_change=8.25,
    yellowness_change_u=0.9,
)
BAD = PhotoRow(12, "1,2,3,4", "ffffff", why_not="it is too dark to tell. Take the picture in more light.")
VIEW = PhotoView(
    "plates.jpg",
    4000,
    3000,
    kind="plate 2x4, white",
    reflectance=0.9,
    preview=(("ffffff", "000000", "808080"),) * 3,
    marks=(CellMark("C", 0, 0, 1, 1),),
    rows=(GOOD, BAD),
    notes=("an estimate",),
)


def plain(row: Row) -> str:
    return "".join(text for text, _ in row)


def test_a_piece_in_a_row_and_in_full() -> None:
    rows = [plain(row) for row in draw.result_rows(VIEW, 3, coloured=True, width=70)]
    assert rows[1].split() == ["▸", "3", "2-3", "3", "to", "2", "4.3", "±", "0.8", "2", "(1-3)", "+8.2"]
    assert rows[2].split() == ["12", "not", "judged"]
    assert rows[-1] == "· an estimate"
    words = draw.row_words(GOOD)
    assert words == (
        "piece 3: grade 2-3, by its uncertainty 3 to 2; difference 4.3 ± 0.8 (beyond acceptable); rank 2 (1-3); "
        "yellowness +8.2"
    )
    assert "too dark" in draw.row_words(BAD)


def test_what_is_asked_before_counting_names_grades_and_who_is_left_out() -> None:
    five = GOOD._replace(number=4, grade="5", rating=4.9)
    view = VIEW._replace(rows=(GOOD, five, GOOD, BAD))
    assert draw.count_words(view) == (
        "Count 3 pieces as plate 2x4, white: grade 5 (1), 2-3 (2)? 1 not judged, not counted."
    )


def test_without_enough_colours_brightness_is_drawn() -> None:
    for colours in Colours:
        rows = draw.picture_rows(VIEW._replace(marks=()), (0, 1), None, colours, 10, 5)
        assert [len(row) for row in rows] == [3, 3]
        assert plain(rows[1])[0] == draw.CURSOR
        assert plain(rows[0]) == ("▀▀▀" if colours.enough else "█ ▒")
    assert draw.picture_rows(VIEW, (2, 1), None, Colours.ALL, 10, 5)[0][2] == ("▀", "#808080 on #808080")
    assert draw.picture_rows(VIEW, (2, 1), None, Colours.ALL, 10, 5)[1][2][0] == draw.CURSOR


@settings(max_examples=60, deadline=None)
@given(
    words=WORDS,
    width=st.integers(0, 140),
    number=st.integers(1, 400),
    figure=st.floats(0, 150),
    coloured=st.booleans(),
)
def test_rows_fit_any_width_and_use_known_styles(
    words: str, width: int, number: int, figure: float, coloured: bool
) -> None:
    odd = GOOD._replace(number=number, difference=figure, notes=(words,), yellowness_change=-figure)
    view = VIEW._replace(
        name=words, kind=words, rows=(odd, BAD), notes=(words,), trouble=words, missing=words, grid=(20, 20)
    )
    rows = [draw.head_row(view, width), *draw.result_rows(view, number, coloured, width)]
    for row in rows:
        assert row_width(row) <= width
        assert all(style in LOOKS or style.startswith("#") for _, style in row)
    assert words in draw.row_words(odd)
