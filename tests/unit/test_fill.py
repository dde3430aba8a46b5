"""Who gets which piece, on cases small enough to work out by hand (own reasoning unless a source is named)."""

from __future__ import annotations

from small_bench import BRICK, PLATE, TARGETS, TILE, catalogue

from sortbench.engine.fill import Fill, Gain, LineFill, Piece, Want
from sortbench.engine.sharing.plain import share_kind
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Target

FIVE, FOUR, THREE, ONE = (Piece(PLATE, grade, (), True) for grade in (Grade.G5, Grade.G4, Grade.G3, Grade.G1))


def asks(quantity: int, lowest: Grade, period: bool | None = True) -> LineFill:
    return LineFill(Line(PLATE, quantity, lowest), period=period)


def given(fill: LineFill) -> list[tuple[Piece, int]]:
    return [(share.piece, share.quantity) for share in fill.shares]


def cell(grade: Grade | None = Grade.G5, fate: Fate = Fate.KEPT, kind: Kind = PLATE) -> Cell:
    return Cell("B1", *kind, "", grade, (), fate)


def test_three_who_accept_only_the_same_two_cannot_all_have_one() -> None:
    # The condition of P. Hall (1935): three sets whose union has two elements have no distinct representatives.
    shared = share_kind({FIVE: 2, ONE: 1}, [asks(1, Grade.G5)] * 3)
    assert [fill.present for fill in shared] == [1, 1, 1]
    assert [fill.standard for fill in shared] == [1, 1, 0]


def test_who_takes_anything_leaves_the_good_piece_to_who_needs_it() -> None:
    shared = share_kind({FIVE: 1, THREE: 1}, [asks(1, Grade.G1), asks(1, Grade.G5)])
    assert [given(fill) for fill in shared] == [[(THREE, 1)], [(FIVE, 1)]]
    assert [fill.standard for fill in shared] == [1, 1]


def test_the_best_grades_go_to_the_first_where_nobody_loses_by_it() -> None:
    shared = share_kind({FIVE: 1, FOUR: 1}, [asks(1, Grade.G3), asks(1, Grade.G3)])
    assert [given(fill) for fill in shared] == [[(FIVE, 1)], [(FOUR, 1)]]


def test_a_piece_in_the_wrong_grade_is_present_but_not_to_standard() -> None:
    (shared,) = share_kind({THREE: 2, FIVE: 1}, [asks(3, Grade.G4)])
    assert (shared.present, shared.standard, shared.short) == (3, 1, 0)


def test_flawed_unwashed_and_ungraded_pieces_are_present_only() -> None:
    for piece in (
        Piece(PLATE, Grade.G5, (Flaw.CRACKED,), True),
        Piece(PLATE, Grade.G5, (), False),
        Piece(PLATE, None, (), True),
    ):
        (shared,) = share_kind({piece: 1}, [asks(1, Grade.G1)])
        assert (shared.present, shared.standard) == (1, 0)


def test_a_period_that_is_wrong_or_unknown_is_never_to_standard() -> None:
    for period in (False, None):
        shared = share_kind({FIVE: 2}, [asks(1, Grade.G1, period), asks(1, Grade.G1)])
        assert [fill.standard for fill in shared] == [0, 1]


def test_a_line_that_cannot_be_to_standard_leaves_the_good_pieces_to_the_next() -> None:
    shared = share_kind({FIVE: 1, ONE: 1}, [asks(1, Grade.G1, None), asks(1, Grade.G4)])
    assert [given(fill) for fill in shared] == [[(ONE, 1)], [(FIVE, 1)]]


def test_nothing_is_shared_out_of_nothing() -> None:
    (shared,) = share_kind({}, [asks(3, Grade.G3)])
    assert (shared.present, shared.standard, shared.short, shared.shares) == (0, 0, 3, ())


def test_targets_fill_in_the_order_of_their_rank() -> None:
    fill = Fill(reversed(TARGETS), catalogue())
    assert [target.target.code for target in fill.all()] == ["T-01", "T-02", "T-03"]
    gains = fill.update(PLATE, {cell(): 5})
    assert gains == [Gain(TARGETS[0], 1, 3, 3), Gain(TARGETS[1], 2, 2, 2)]
    assert [(target.present, target.standard, target.short) for target in fill.all()] == [
        (3, 3, 2),
        (2, 2, 3),
        (0, 0, 0),
    ]
    assert fill["T-01"].lines_complete == 1
    assert fill.wants(PLATE) == [Want(TARGETS[1], 2, 2)]
    assert fill.needs() == {PLATE: 2, BRICK: 2, TILE: 1}
    assert (fill.asked(PLATE), fill.asked(Kind("plate-2x4", "white"))) == (7, 0)


def test_taking_pieces_away_takes_them_from_the_last() -> None:
    fill = Fill(TARGETS, catalogue())
    fill.update(PLATE, {cell(): 5})
    assert fill.update(PLATE, {cell(): 2}) == [Gain(TARGETS[0], 1, -1, -1), Gain(TARGETS[1], 2, -2, -2)]


def test_a_better_grade_alone_is_no_gain_in_presence() -> None:
    fill = Fill(TARGETS, catalogue())
    fill.update(PLATE, {cell(Grade.G2): 1})
    assert fill["T-01"].standard == 0
    assert fill.update(PLATE, {cell(Grade.G5): 1}) == []
    assert fill["T-01"].standard == 1


def test_pieces_thrown_out_fill_nothing_and_pieces_at_the_wash_do() -> None:
    fill = Fill(TARGETS, catalogue())
    content = {cell(fate=Fate.OUT): 4, cell(fate=Fate.WASH): 2}
    fill.update(PLATE, content)
    assert (fill["T-01"].present, fill["T-01"].standard) == (2, 0)
    assert fill.spare(PLATE, content) == 0


def test_what_no_line_asks_for_is_spare() -> None:
    fill = Fill(TARGETS, catalogue())
    content = {cell(): 9}
    fill.update(PLATE, content)
    assert fill.spare(PLATE, content) == 2
    white = Kind("plate-2x4", "white")
    assert fill.update(white, {cell(kind=white): 3}) == []
    assert fill.spare(white, {cell(kind=white): 3}) == 3


def test_an_impossible_heap_fills_nothing() -> None:
    fill = Fill(TARGETS, catalogue())
    assert fill.update(PLATE, {cell(Grade.G4): -2}) == []


def test_a_complete_target_says_so_and_an_empty_list_never_does() -> None:
    fill = Fill((Target("T-9", "Bell Foundry", 1990, 1, (Line(PLATE, 1),)), TARGETS[2]), catalogue())
    fill.update(PLATE, {cell(): 1})
    assert fill["T-9"].complete
    assert not fill["T-03"].complete


def test_pieces_whose_years_nobody_told_are_counted_apart() -> None:
    arch = Kind("arch-1x6x2", "grey, early")
    fill = Fill((Target("T-9", "Bell Foundry", 1990, 1, (Line(arch, 2), Line(PLATE, 1))),), catalogue())
    fill.update(arch, {cell(kind=arch): 2})
    fill.update(PLATE, {cell(): 1})
    assert (fill["T-9"].present, fill["T-9"].standard, fill["T-9"].period_unknown) == (3, 1, 2)


def test_two_lines_of_one_target_may_ask_for_the_same_kind() -> None:
    target = Target("T-9", "Bell Foundry", 1990, 1, (Line(PLATE, 1), Line(BRICK, 1), Line(PLATE, 2)))
    fill = Fill((target,), catalogue())
    assert fill.update(PLATE, {cell(): 2}) == [Gain(target, 1, 1, 1), Gain(target, 3, 1, 1)]
    assert fill.wants(PLATE) == [Want(target, 3, 1)]
