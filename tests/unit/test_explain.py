"""Why a piece goes where it goes: the reasons of cases small enough to see through (own reasoning)."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from reconciling import BRICK, LATE, PLATE, TILE, crated, heap, picture

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.explain import Reason, explain, reasons
from sortbench.engine.sharing.scores import Criterion
from sortbench.model.grade import Flaw, Grade
from sortbench.model.target import Line, Policy, StandIn, Swap, SwapOf, Target

HUT = Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 1),))
TRAM = Target("T-02", "Peat Tramway", 1988, 2, (Line(PLATE, 1),))


def reason(found: Picture, code: str = "T-01", number: int = 1) -> Reason:
    """Why the pieces of PLATE lie on a line that has just one sort of them."""
    (one,) = [
        each
        for each in reasons(found, PLATE)
        if each.home is not None and (each.home.target.code, each.home.number) == (code, number)
    ]
    return one


def told(one: Reason) -> tuple[Criterion | None, Mapping[str, int]]:
    return one.criterion, one.worse


def test_a_piece_that_nothing_can_replace() -> None:
    one = reason(picture((HUT, TRAM), {heap(PLATE): 1}))
    assert told(one) == (Criterion.PRESENT, {"T-01": 1})
    assert one.instead == ()
    assert [(home.target.code, home.number) for home in one.elsewhere] == [("T-02", 1)]
    assert one.words == (
        "1 (grade 5) goes to Signal Hut, line 1, to standard. If it did not go there, Signal Hut would have 1 piece "
        "fewer: nothing would take its place, and it would go to Peat Tramway, line 1."
    )


def test_a_piece_whose_place_is_taken_from_a_lower_rank() -> None:
    one = reason(picture((HUT, TRAM), {heap(PLATE): 1, heap(PLATE, Grade.G1, (Flaw.BENT,)): 1}))
    # The two would change places: nobody has fewer, the hut's is no longer to standard.
    assert told(one) == (Criterion.STANDARD, {"T-01": 1})
    assert [(piece.flaws, n) for piece, n in one.instead] == [((Flaw.BENT,), 1)]


def test_a_loss_further_down_the_chain() -> None:
    # The tile can only be had from the tramway, which has nothing else.
    hut = HUT._replace(lines=(Line(PLATE, 1, stand_ins=(StandIn(TILE),)),))
    tram = TRAM._replace(lines=(Line(TILE, 1),))
    one = reason(picture((hut, tram), {heap(PLATE): 1, heap(TILE): 1}))
    assert told(one) == (Criterion.PRESENT, {"T-02": 1})
    assert [piece.kind for piece, _ in one.instead] == [TILE]
    assert "Peat Tramway would have 1 piece fewer: 1 tile 2x2 in red (grade 5) would take its place" in one.words


def test_a_piece_set_aside_by_hand() -> None:
    found = picture((HUT,), {heap(PLATE, Grade.G2): 1, heap(PLATE): 1}, reserved=[(heap(PLATE, Grade.G2), 1, "T-01")])
    one = reason(found)
    assert told(one) == (Criterion.HELD, {"T-01": 1})
    assert "1 piece set aside for Signal Hut would lie unused" in one.words
    assert "set aside for it or in its crate, not to standard" in one.words


def test_a_stand_in_more() -> None:
    hut = HUT._replace(lines=(Line(PLATE, 2, stand_ins=(StandIn(BRICK),)),))
    one = reason(picture((hut,), {heap(PLATE): 2, heap(BRICK): 3}))
    assert told(one) == (Criterion.STAND_INS, {"T-01": 1})
    assert "If one of them did not go there, Signal Hut would have 1 stand-in more" in one.words


def test_a_dearer_stand_in() -> None:
    hut = HUT._replace(lines=(Line(TILE, 1, stand_ins=(StandIn(PLATE, 2), StandIn(BRICK, 7))),))
    one = reason(picture((hut,), {heap(PLATE): 1, heap(BRICK): 1}))
    assert told(one) == (Criterion.COST, {"T-01": 5})
    assert "standing in for tile 2x2 in red at a cost of 2" in one.words
    assert "the stand-ins of Signal Hut would cost 5 more in correctness" in one.words


def test_a_worse_piece() -> None:
    one = reason(picture((HUT,), {heap(PLATE): 1, heap(PLATE, Grade.G4): 1}))
    assert told(one) == (Criterion.QUALITY, {"T-01": 175 - 159})  # 8 * (11 + 10) + 7 and 8 * (11 + 8) + 7
    assert "Signal Hut would have worse pieces: 1 (grade 4) would take its place, and it would be spare" in one.words


def test_an_equal_piece() -> None:
    cracked, chipped = heap(PLATE, Grade.G4, (Flaw.CRACKED,)), heap(PLATE, Grade.G4, (Flaw.CHIPPED,))
    one = next(each for each in reasons(picture((HUT,), {cracked: 1, chipped: 1}), PLATE) if each.home)
    assert told(one) == (None, {})
    assert "nothing would be worse" in one.words
    assert len(one.instead) == 1


def test_targets_that_share_a_rank_are_filled_evenly() -> None:
    one = reason(picture((HUT, TRAM._replace(rank=1)), {heap(PLATE): 1}))
    # Only one can have it: of equal shares the smaller code has more.
    assert told(one) == (Criterion.PRESENT, {"T-01": 1, "T-02": -1})
    assert "Signal Hut would have 1 piece fewer and Peat Tramway 1 more, though they share a rank" in one.words


def test_the_policy_decides_what_weighs_most() -> None:
    # The hut takes a 3; its 5 is the only one that could stand for anything with the tramway.
    hut = HUT._replace(lines=(Line(PLATE, 1, Grade.G3, (StandIn(BRICK),)),))
    tram = TRAM._replace(lines=(Line(PLATE, 1, Grade.G5, (StandIn(BRICK),)),))
    heaps = {heap(PLATE): 1, heap(PLATE, Grade.G3): 1}
    assert told(reason(picture((hut, tram), heaps))) == (Criterion.STANDARD, {"T-02": 1})
    showpiece = picture((hut, tram), heaps, policy=Policy.SHOWPIECE)
    assert told(reason(showpiece)) == (Criterion.QUALITY, {"T-01": 175 - 143})


def test_looking_for_reasons_changes_nothing() -> None:
    found = picture((HUT, TRAM), {heap(PLATE): 1, heap(PLATE, Grade.G3): 3})
    before = found.target_rows(), [list(fill.lines) for fill in found.fill.all()], dict(found.ledger.counts)
    first = reasons(found, PLATE)
    assert (found.target_rows(), [list(fill.lines) for fill in found.fill.all()], dict(found.ledger.counts)) == before
    assert reasons(found, PLATE) == first


def test_it_says_how_far_it_has_come() -> None:
    steps: list[tuple[int, int]] = []
    explain(picture((HUT, TRAM), {heap(PLATE): 2}), PLATE, lambda done, whole: steps.append((done, whole)))
    assert steps == [(0, 2), (1, 2), (2, 2)]


# What is spare


def spare(found: Picture) -> str:
    return next(each.words for each in reasons(found, PLATE) if each.home is None)


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (
            picture((HUT,), {heap(PLATE): 1, heap(PLATE, Grade.G1): 2}),
            "2 (grade 1) are spare. Signal Hut, line 1 has 1 of 1, to standard there, which this would not be.",
        ),
        (
            picture((HUT,), {heap(PLATE): 1, heap(PLATE, Grade.G4): 1}),
            "1 (grade 4) is spare. Signal Hut, line 1 has 1 of 1, none worse than grade 5.",
        ),
        (
            picture((HUT,), {heap(PLATE): 2}),
            "1 (grade 5) is spare. Signal Hut, line 1 has 1 of 1, as good as this.",
        ),
        (
            picture((HUT,), {heap(PLATE): 1, crated(PLATE, "T-01", Grade.G2): 1}),
            "1 (grade 5) is spare. Signal Hut, line 1 has 1 of 1, set aside for it.",
        ),
        (
            picture((HUT,), {heap(PLATE): 1, crated(PLATE, "T-09"): 1}),
            "1 (grade 5) is spare. Set aside for T-09 or in its crate, so no other target may have it. "
            "No line asks for such a piece or lets it stand in.",
        ),
        (
            picture(
                (HUT._replace(lines=(Line(TILE, 1, stand_ins=(StandIn(PLATE),)),)),), {heap(PLATE): 1, heap(TILE): 1}
            ),
            "1 (grade 5) is spare. Signal Hut, line 1 has 1 of 1, of the tile 2x2 in red it asks for, which this would "
            "only stand in for.",
        ),
        (
            picture(
                (HUT._replace(lines=(Line(TILE, 1, stand_ins=(StandIn(PLATE, 8), StandIn(BRICK, 2))),)),),
                {heap(PLATE): 1, heap(BRICK): 1},
            ),
            "1 (grade 5) is spare. Signal Hut, line 1 has 1 of 1, with no stand-in that costs more than 2, where this "
            "costs 8.",
        ),
        (
            picture((HUT._replace(parked=True),), {heap(PLATE): 1}),
            "1 (grade 5) is spare. Signal Hut, line 1 might take it, but is parked.",
        ),
        (
            picture(
                (HUT._replace(lines=(Line(TILE, 1, stand_ins=(StandIn(PLATE),)),), refused=((TILE, PLATE),)),),
                {heap(PLATE): 1},
            ),
            "1 (grade 5) is spare. Signal Hut, line 1 refuses it as a stand-in for tile 2x2 in red.",
        ),
        (
            picture((HUT._replace(lines=(Line(TILE, 1),)),), {heap(PLATE): 1}),
            "1 (grade 5) is spare. No line asks for such a piece or lets it stand in.",
        ),
    ],
    ids=["standard", "quality", "equal", "held", "held elsewhere", "kind", "cost", "parked", "refused", "nobody"],
)
def test_why_a_piece_is_spare(found: Picture, words: str) -> None:
    assert spare(found) == words


def test_many_lines_are_not_all_told() -> None:
    hut = HUT._replace(lines=(Line(PLATE, 1),) * 9)
    assert spare(picture((hut,), {heap(PLATE): 10})).endswith(
        "line 6 has 1 of 1, as good as this. So it is with 3 more."
    )


def test_the_first_words_sum_up() -> None:
    first, *more = explain(picture((HUT,), {heap(PLATE): 2, heap(PLATE)._replace(bin="B2"): 1}), PLATE)
    assert first == "3 plate 2x4 in red: 1 on lines, 2 spare."
    assert len(more) == 2


def test_a_kind_of_which_nothing_is_counted() -> None:
    assert explain(picture((HUT, TRAM), {}), PLATE) == (
        "No plate 2x4 in red is counted. Signal Hut, line 1 lacks 1; Peat Tramway, line 1 lacks 1.",
    )
    assert explain(picture((HUT,), {}), TILE) == ("No tile 2x2 in red is counted.",)


def test_rules_of_the_catalogue_are_seen_as_well() -> None:
    found = picture((HUT,), {heap(PLATE): 1, heap(LATE): 1}, swaps=[Swap(SwapOf.SHADE, "red", "red, late")])
    assert told(reason(found)) == (Criterion.STANDARD, {"T-01": 1})  # the late shade was not made in 1988
