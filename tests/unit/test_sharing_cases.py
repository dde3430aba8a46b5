"""Small cases of sharing solved by hand, each criterion deciding once. (Own reasoning, no source.)"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sortbench.engine.fill import Fill
from sortbench.model.catalogue import Catalogue, Kind, Part, Shade, Years
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate
from sortbench.model.target import Line, Policy, StandIn, Swap, SwapOf, Target

EARLY, LATE, RED = (Kind("plate-2x4", shade) for shade in ("grey, early", "grey, late", "red"))
TILE = Kind("tile-2x4", "grey, early")
CATALOGUE = Catalogue(
    {part: Part(part, part, years=Years(1980, 1999)) for part in ("plate-2x4", "tile-2x4")},
    {
        "grey, early": Shade("grey, early", years=Years(1980, 1990)),
        "grey, late": Shade("grey, late", years=Years(1991, 1999)),
        "red": Shade("red", years=Years(1980, 1999)),
    },
)

Pile = Mapping[tuple[Kind, Grade | None], int]


def target(rank: int, *lines: Line, code: str = "", year: int = 1988) -> Target:
    return Target(code or f"T-{rank:02}", "A target", year, rank, lines)


def cells_of(pile: Pile, kind: Kind) -> dict[Cell, int]:
    return {Cell("B1", kind.part, kind.shade, "", grade, ()): n for (each, grade), n in pile.items() if each == kind}


def shared(targets: list[Target], pile: Pile, **how: object) -> Fill:
    return Fill(targets, CATALOGUE, lambda kind: cells_of(pile, kind), **how)  # type: ignore[arg-type]


def pieces(fill: Fill, code: str) -> list[list[tuple[Kind, Grade | None]]]:
    """What each line of a target has, piece by piece."""
    return [
        sorted(((s.piece.kind, s.piece.grade) for s in line.shares for _ in range(s.quantity)), key=repr)
        for line in fill[code].lines
    ]


def present(fill: Fill) -> dict[str, int]:
    return {one.target.code: one.present for one in fill.all()}


# Where a walk by rank goes wrong


EARLY_OR_LATE = Line(EARLY, 1, Grade.G3, (StandIn(LATE, 1),))
"""What the first target asks for in the two smallest counterexamples."""


def test_a_walk_by_rank_is_wrong_once_there_are_stand_ins() -> None:
    """The smallest counterexample: two targets of one line each, two pieces.

    A walk by rank gives the first target the kind it asks for, which costs nothing, and leaves the second with nothing.
    Both can have a piece if the first takes its stand-in.
    """
    fill = shared([target(1, EARLY_OR_LATE), target(2, Line(EARLY, 1))], {(EARLY, Grade.G4): 1, (LATE, Grade.G4): 1})
    assert pieces(fill, "T-01") == [[(LATE, Grade.G4)]]
    assert pieces(fill, "T-02") == [[(EARLY, Grade.G4)]]


def test_a_walk_that_takes_stand_ins_first_is_wrong_as_well() -> None:
    """The same first line; now the second target asks for what would stand in."""
    fill = shared([target(1, EARLY_OR_LATE), target(2, Line(LATE, 1))], {(EARLY, Grade.G4): 1, (LATE, Grade.G4): 1})
    assert pieces(fill, "T-01") == [[(EARLY, Grade.G4)]]
    assert pieces(fill, "T-02") == [[(LATE, Grade.G4)]]


def test_a_showpiece_gives_up_nothing_for_the_next() -> None:
    """The smallest counterexample's pile, but here the first target's own kind goes before the second's presence."""
    pile: Pile = {(EARLY, Grade.G4): 1, (LATE, Grade.G4): 1}
    fill = shared([target(1, EARLY_OR_LATE), target(2, Line(EARLY, 1))], pile, policy=Policy.SHOWPIECE)
    assert pieces(fill, "T-01") == [[(EARLY, Grade.G4)]]
    assert pieces(fill, "T-02") == [[]]


# Each criterion decides once


def test_presence_goes_by_rank() -> None:
    fill = shared([target(1, Line(RED, 3)), target(2, Line(RED, 3))], {(RED, Grade.G4): 4})
    assert present(fill) == {"T-01": 3, "T-02": 1}


def test_a_piece_set_aside_goes_before_a_better_one() -> None:
    fill = shared(
        [target(1, Line(RED, 1))],
        {(RED, Grade.G5): 1, (RED, Grade.G1): 1},
        reserved=lambda kind: {(Grade.G1, ()): {"T-01": 1}} if kind == RED else {},
    )
    assert pieces(fill, "T-01") == [[(RED, Grade.G1)]]
    assert fill["T-01"].lines[0].shares[0].piece.only == "T-01"


def test_two_to_standard_go_before_the_best_grade_to_the_first() -> None:
    fill = shared(
        [target(1, Line(RED, 1, Grade.G3)), target(2, Line(RED, 1, Grade.G5))], {(RED, Grade.G5): 1, (RED, Grade.G3): 1}
    )
    assert pieces(fill, "T-01") == [[(RED, Grade.G3)]]
    assert pieces(fill, "T-02") == [[(RED, Grade.G5)]]


def test_a_showpiece_has_the_best_grade_before_the_next_has_any_to_standard() -> None:
    """Nothing that the first has can be to standard: the shade is too late for its year, but right for the second's."""
    targets = [target(1, Line(LATE, 1)), target(2, Line(LATE, 1), year=1992)]
    pile: Pile = {(LATE, Grade.G5): 1, (LATE, None): 1}
    assert shared(targets, pile)["T-02"].standard == 1
    showpiece = shared(targets, pile, policy=Policy.SHOWPIECE)
    assert pieces(showpiece, "T-01") == [[(LATE, Grade.G5)]]
    assert showpiece["T-02"].standard == 0


def test_what_is_right_for_the_year_goes_before_the_kind_asked_for() -> None:
    fill = shared(
        [target(1, Line(LATE, 1, Grade.G3, (StandIn(EARLY, 9),)))], {(LATE, Grade.G5): 1, (EARLY, Grade.G3): 1}
    )
    (share,) = fill["T-01"].lines[0].shares
    assert (share.piece.kind, share.cost, share.standard, share.period) == (EARLY, 9, True, True)


def test_one_dear_stand_in_goes_before_two_cheap_ones() -> None:
    """Either the early plate where it is asked for and a red one that costs 9, or both lines with one that costs 1."""
    lines = (
        Line(EARLY, 1, Grade.G5, (StandIn(LATE, 1),)),
        Line(TILE, 1, Grade.G5, (StandIn(EARLY, 1), StandIn(RED, 9))),
    )
    fill = shared([target(1, *lines)], {(EARLY, Grade.G4): 1, (LATE, Grade.G4): 1, (RED, Grade.G4): 1})
    assert pieces(fill, "T-01") == [[(EARLY, Grade.G4)], [(RED, Grade.G4)]]
    assert fill["T-01"].stand_ins == 1


def test_of_two_stand_ins_the_cheaper_goes_before_the_better() -> None:
    line = Line(EARLY, 1, Grade.G5, (StandIn(RED, 2), StandIn(TILE, 1)))
    fill = shared([target(1, line)], {(RED, Grade.G4): 1, (TILE, Grade.G3): 1})
    assert pieces(fill, "T-01") == [[(TILE, Grade.G3)]]


def test_the_best_grade_goes_to_the_first_where_all_is_to_standard_anyway() -> None:
    fill = shared([target(2, Line(RED, 1)), target(1, Line(RED, 1))], {(RED, Grade.G4): 1, (RED, Grade.G5): 1})
    assert pieces(fill, "T-01") == [[(RED, Grade.G5)]]
    assert pieces(fill, "T-02") == [[(RED, Grade.G4)]]


def test_a_sound_piece_of_low_grade_goes_before_a_cracked_one_of_the_best() -> None:
    cells = {
        Cell("B1", "plate-2x4", "red", "", Grade.G5, (Flaw.CRACKED,)): 1,
        Cell("", "plate-2x4", "red", "", Grade.G5, (), Fate.WASH): 1,
        Cell("B1", "plate-2x4", "red", "", Grade.G1, ()): 1,
    }
    fill = Fill([target(1, Line(RED, 1, Grade.G5))], CATALOGUE, lambda kind: cells if kind == RED else {})
    assert pieces(fill, "T-01") == [[(RED, Grade.G1)]]


@pytest.mark.parametrize("gone", [Grade.G5, Grade.G4])
def test_a_piece_stays_where_it_is_if_nothing_is_gained_by_moving_it(gone: Grade) -> None:
    """Two like lines, two pieces. Whichever piece goes, the other stays; what comes takes the empty line."""
    targets = [target(1, Line(RED, 1), Line(RED, 1))]
    pile: Pile = {(RED, Grade.G5): 1, (RED, Grade.G4): 1}
    fill = shared(targets, pile)
    held = pieces(fill, "T-01")
    without: Pile = {what: n for what, n in pile.items() if what[1] is not gone}
    left = [[piece for piece in line if piece[1] is not gone] for line in held]
    fill.update(RED, cells_of(without, RED))
    assert pieces(fill, "T-01") == left
    again = shared(targets, without, before=fill)
    assert pieces(again, "T-01") == left
    (gain,) = again.update(RED, cells_of({**without, (RED, Grade.G3): 1}, RED))
    assert (gain.number, gain.present) == (left.index([]) + 1, 1)


# Targets of one rank


def test_targets_of_one_rank_are_filled_evenly() -> None:
    fill = shared([target(1, Line(RED, 4), code="T-01"), target(1, Line(RED, 2), code="T-02")], {(RED, Grade.G5): 3})
    assert present(fill) == {"T-01": 2, "T-02": 1}


def test_the_share_counts_not_the_code() -> None:
    """One piece: a third of three is a better second share than a quarter of four; either way somebody has none."""
    fill = shared([target(1, Line(RED, 4), code="T-01"), target(1, Line(RED, 3), code="T-02")], {(RED, Grade.G5): 1})
    assert present(fill) == {"T-01": 0, "T-02": 1}


def test_of_like_targets_the_smaller_code_has_the_odd_piece() -> None:
    fill = shared([target(1, Line(RED, 2), code="T-02"), target(1, Line(RED, 2), code="T-01")], {(RED, Grade.G5): 3})
    assert present(fill) == {"T-01": 2, "T-02": 1}


def test_evenness_reaches_across_kinds_that_nothing_else_joins() -> None:
    """One piece of each of two kinds, both wanted by both: one each, not both to the smaller code."""
    lists = Line(RED, 1), Line(TILE, 1)
    fill = shared(
        [target(1, *lists, code="T-01"), target(1, *lists, code="T-02")], {(RED, Grade.G5): 1, (TILE, Grade.G5): 1}
    )
    assert present(fill) == {"T-01": 1, "T-02": 1}


# What a person may forbid or decide


def test_a_parked_target_takes_nothing_and_its_crate_stays_its_own() -> None:
    cells = {
        Cell("B1", "plate-2x4", "red", "", Grade.G4, ()): 1,
        Cell("T-01", "plate-2x4", "red", "", Grade.G5, (), Fate.CRATE): 1,
    }
    parked = target(1, Line(RED, 2))._replace(parked=True)
    fill = Fill([parked, target(2, Line(RED, 2))], CATALOGUE, lambda kind: cells if kind == RED else {})
    assert present(fill) == {"T-01": 0, "T-02": 1}
    assert pieces(fill, "T-02") == [[(RED, Grade.G4)]]
    assert fill.spare(RED, cells) == 1


def test_a_refused_stand_in_stands_in_nowhere_on_that_target() -> None:
    lines = EARLY_OR_LATE, Line(RED, 1, Grade.G3, (StandIn(LATE, 1),))
    strict = target(1, *lines)._replace(refused=((EARLY, LATE),))
    fill = shared([strict, target(2, EARLY_OR_LATE)], {(LATE, Grade.G4): 3})
    assert [line.present for line in fill["T-01"].lines] == [0, 1]
    assert present(fill) == {"T-01": 1, "T-02": 1}


def test_a_piece_set_aside_for_one_is_no_other_targets_whatever_the_rank() -> None:
    fill = shared(
        [target(1, Line(RED, 2)), target(2, Line(RED, 2))],
        {(RED, Grade.G5): 3},
        reserved=lambda kind: {(Grade.G5, ()): {"T-02": 2}} if kind == RED else {},
    )
    assert present(fill) == {"T-01": 1, "T-02": 2}


def test_rules_of_the_catalogue_are_taken_one_at_a_time() -> None:
    """A late plate may stand in for an early one, an early tile for an early plate, but no late tile for an early
    plate: that would take both rules."""
    swaps = [
        Swap(SwapOf.SHADE, "grey, early", "grey, late", 2),
        Swap(SwapOf.PART, "plate-2x4", "tile-2x4", 3),
    ]
    late_tile = Kind("tile-2x4", "grey, late")
    fill = shared([target(1, Line(EARLY, 3))], {(LATE, None): 1, (TILE, None): 1, (late_tile, None): 1}, swaps=swaps)
    costs = {share.piece.kind: share.cost for share in fill["T-01"].lines[0].shares}
    assert costs == {LATE: 2, TILE: 3}


def test_the_lists_own_word_goes_before_the_catalogues() -> None:
    swaps = [Swap(SwapOf.SHADE, "grey, early", "grey, late", 2)]
    fill = shared([target(1, Line(EARLY, 1, Grade.G3, (StandIn(LATE, 7),)))], {(LATE, None): 1}, swaps=swaps)
    (share,) = fill["T-01"].lines[0].shares
    assert share.cost == 7
