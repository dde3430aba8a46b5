"""Samples against counts: what is wrong with which pieces, and what follows."""

from __future__ import annotations

from collections import Counter

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench.engine.spot_check.draw import drawn_numbers
from sortbench.engine.spot_check.telling_off import near, told_off
from sortbench.engine.spot_check.verdict import Fault, Standing, Wrong, verdict_of
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.spot_check import Drawing, Find, Heap, Level, SpotCheck, checked_spot
from sortbench.model.tally import Cell

AT = "2026-03-01T09:30:00Z"
RED = Cell("B1", "plate-2x4", "red", "", Grade.G4, ())
WHITE = Cell("B1", "tile-1x1", "white", "", Grade.G5, ())
UNJUDGED = Cell("B1", "arch-1x6x2", "green", "", None, ())
COARSE = Cell("B1", "", "red", "plate", None, ())
COUNTED = (Heap(RED, 60), Heap(WHITE, 28), Heap(UNJUDGED, 2))


def check(*finds: tuple[int, Cell | None], counted: tuple[Heap, ...] = COUNTED, aql: str = "2.5") -> SpotCheck:
    noted = tuple(Find(AT, quantity, cell) for quantity, cell in finds)
    return SpotCheck("S1", AT, "B1", Level.II, aql, Drawing.SCOOP, 1, counted, noted)


def test_a_sample_that_agrees_is_accepted_and_its_error_rate_has_an_interval() -> None:
    verdict = verdict_of(check((13, RED), (6, WHITE), (1, UNJUDGED._replace(grade=Grade.G2))))
    assert (verdict.looked, verdict.faults, verdict.left, verdict.standing) == (20, 0, 0, Standing.ACCEPTED)
    assert verdict.error is not None and verdict.error.estimate == verdict.error.low == 0.0
    # Clopper and Pearson, none of 20: 1 - 0.025 ** (1 / 20), the closed form.
    assert verdict.error.high == pytest.approx(1 - 0.025 ** (1 / 20))


def test_nothing_looked_at_yet() -> None:
    verdict = verdict_of(check())
    assert (verdict.looked, verdict.left, verdict.standing, verdict.error) == (0, 20, Standing.OPEN, None)


def test_one_wrong_piece_is_borne_where_the_plan_accepts_one_and_two_ask_for_a_recount_at_once() -> None:
    alien = WHITE._replace(shade="red")
    assert verdict_of(check((19, RED), (1, alien))).standing is Standing.ACCEPTED
    early = verdict_of(check((3, RED), (2, alien)))
    assert (early.standing, early.left, early.wrong) == (Standing.REFUSED, 0, (Wrong(Fault.KIND, alien, 2),))


@pytest.mark.parametrize(
    ("cell", "fault"),
    [
        (RED._replace(part="plate-2x3"), Fault.KIND),
        (RED._replace(shade="green"), Fault.KIND),
        (RED._replace(grade=Grade.G3), Fault.GRADE),
        (RED._replace(grade=Grade.G5), Fault.GRADE),
        (RED._replace(grade=Grade.G3_4), None),
        (RED._replace(grade=Grade.G4_5), None),
        (RED._replace(grade=None), None),
        (RED._replace(flaws=(Flaw.CRACKED,)), Fault.FLAW),
        (RED._replace(grade=None, flaws=(Flaw.CRACKED,)), Fault.FLAW),
        (RED._replace(grade=Grade.G1, flaws=(Flaw.CRACKED,)), Fault.GRADE),
        (UNJUDGED._replace(grade=Grade.G1, flaws=(Flaw.BENT,)), None),
        (None, Fault.MISSING),
    ],
)
def test_faults(cell: Cell | None, fault: Fault | None) -> None:
    wrong = verdict_of(check((1, cell))).wrong
    assert wrong == (() if fault is None else (Wrong(fault, cell, 1),))


def test_more_of_a_kind_than_was_counted_is_wrong_even_if_the_kind_is_right() -> None:
    verdict = verdict_of(check((5, UNJUDGED)))
    assert verdict.wrong == (Wrong(Fault.EXTRA, UNJUDGED, 3),)


def test_pieces_are_told_off_in_the_best_way() -> None:
    # Grade 4-5 fits both heaps, grade 4 only the first and grade 5 only the second: all eight have a place.
    counted = Heap(RED, 4), Heap(RED._replace(grade=Grade.G5), 4)
    between = RED._replace(grade=Grade.G4_5)
    for finds in (
        [(4, between), (4, RED)],
        [(4, RED), (4, between)],
        [(4, between), (4, RED._replace(grade=Grade.G5))],
    ):
        assert verdict_of(check(*finds, counted=counted)).faults == 0


def test_a_coarse_heap_takes_what_its_shade_and_family_allow() -> None:
    counted = (Heap(COARSE, 30), Heap(RED, 1))
    families = {"plate-2x4": "plate", "plate-2x3": "plate", "tile-1x1": "tile"}
    finds = [(2, RED), (1, RED._replace(part="plate-2x3")), (1, RED._replace(part="tile-1x1"))]
    found = verdict_of(check(*finds, counted=counted), lambda part: families.get(part, ""))
    assert [(each.fault, each.quantity) for each in found.wrong] == [(Fault.KIND, 1)]


def test_pieces_left_over_refuse_a_count_and_are_none_of_the_sample() -> None:
    noted = check((20, RED))
    for pieces, standing in ((1, Standing.ACCEPTED), (2, Standing.REFUSED)):
        verdict = verdict_of(noted._replace(finds=(*noted.finds, Find(AT, pieces, None, left_over=True))))
        assert (verdict.standing, verdict.looked, verdict.faults, verdict.left_over) == (standing, 20, 0, pieces)
        assert verdict.error is not None and verdict.error.estimate == 0.0


def test_struck_finds_count_for_nothing() -> None:
    noted = check((2, None), (1, RED))
    struck = noted._replace(finds=(noted.finds[0]._replace(struck=True), noted.finds[1]))
    assert (verdict_of(struck).looked, verdict_of(struck).faults, struck.looked) == (1, 0, 1)


def test_where_every_piece_was_looked_at_the_rate_is_no_estimate() -> None:
    counted = (Heap(RED, 4),)
    verdict = verdict_of(check((3, RED), (1, None), counted=counted))
    assert verdict.plan.whole and verdict.error is not None
    assert (verdict.error.low, verdict.error.estimate, verdict.error.high) == (0.25, 0.25, 0.25)


@pytest.mark.parametrize(
    "broken",
    [
        {"id": "X1"},
        {"id": "S0"},
        {"at": ""},
        {"bin": ""},
        {"aql": "1"},
        {"seed": -1},
        {"seed": 1 << 32},
        {"counted": ()},
        {"counted": (Heap(RED, 0),)},
        {"counted": (Heap(RED, 1), Heap(RED, 2))},
        {"counted": (Heap(RED._replace(bin="B2"), 1),)},
        {"finds": (Find(AT, 0, RED),)},
        {"finds": (Find("", 1, RED),)},
        {"finds": (Find(AT, 1, RED._replace(bin="B2")),)},
        {"by": " Ann"},
        {"finds": (Find(AT, 1, RED, left_over=True),)},
    ],
)
def test_checks_that_cannot_be(broken: dict[str, object]) -> None:
    with pytest.raises(DataError):
        checked_spot(check()._replace(**broken))  # type: ignore[arg-type]  # one field at a time is wrong


cells = st.builds(
    Cell,
    st.just("B1"),
    st.sampled_from(["plate-2x4", "tile-1x1", ""]),
    st.sampled_from(["red", "white"]),
    st.just(""),
    st.sampled_from([None, Grade.G3, Grade.G3_4, Grade.G4, Grade.G4_5, Grade.G5]),
    st.sampled_from([(), (), (Flaw.BENT,)]),
)
heaps = st.lists(st.builds(Heap, cells, st.integers(1, 9)), max_size=7, unique_by=lambda heap: heap.cell)
kinds_only = heaps.map(lambda found: [heap for heap in found if heap.cell.part])


@given(kinds_only, heaps)
def test_as_many_are_told_off_as_a_maximum_flow_allows(found: list[Heap], counted: list[Heap]) -> None:
    told = told_off(found, counted, lambda part: "")
    graph = networkx.DiGraph()
    graph.add_nodes_from(["from", "to"])
    for n, heap in enumerate(found):
        graph.add_edge("from", ("found", n), capacity=heap.quantity)
        for m, other in enumerate(counted):
            judged = all(each.cell.grade is not None or each.cell.flaws for each in (heap, other))
            same = heap.cell.kind == other.cell.kind and near(heap.cell, other.cell)
            same = same and (not judged or heap.cell.flaws == other.cell.flaws)
            coarse = not other.cell.part and other.cell.shade == heap.cell.shade
            if same or coarse:
                graph.add_edge(("found", n), ("counted", m))
    for m, other in enumerate(counted):
        graph.add_edge(("counted", m), "to", capacity=other.quantity)
    most = networkx.maximum_flow_value(graph, "from", "to")
    assert sum(heap.quantity for heap in found) - sum(told.over) == most
    assert sum(heap.quantity for heap in counted) - sum(told.short) == most
    assert all(0 <= over <= heap.quantity for over, heap in zip(told.over, found, strict=True))


def test_draws_and_verdicts_accept_as_often_as_the_operating_characteristic_says() -> None:
    # 500 pieces of which 10 are of a kind that the count lacks; 0.736503 is the hypergeometric chance (scipy 1.17).
    counted, alien = (Heap(RED, 300), Heap(WHITE, 200)), WHITE._replace(shade="green")
    lying = [RED] * 295 + [WHITE] * 195 + [alien] * 10
    accepted, draws = 0, 1000
    for seed in range(draws):
        drawn = check(counted=counted, aql="1.0")._replace(seed=seed)
        looked = Counter(lying[number - 1] for number in drawn_numbers(seed, 500, 50))
        finds = tuple(Find(AT, quantity, cell) for cell, quantity in looked.items())
        accepted += verdict_of(drawn._replace(finds=finds)).standing is Standing.ACCEPTED
    chance = 0.736503
    assert abs(accepted / draws - chance) < 4 * (chance * (1 - chance) / draws) ** 0.5
