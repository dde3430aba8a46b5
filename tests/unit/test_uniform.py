"""How alike the pieces of a target are, and what may change places for it."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest
from reconciling import BRICK, PLATE, TILE, heap, picture

from sortbench.bench import Bench
from sortbench.engine.condition.uniform import spreads
from sortbench.engine.condition.uniform_swaps import proposals
from sortbench.engine.picture import Picture
from sortbench.model.catalogue import Kind
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Record, RecordId, What
from sortbench.model.target import Line, Target
from tests.unit.cli_bench import call, make_bench, rows

HUT = Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 2), Line(BRICK, 2)))
TRAMWAY = Target("T-02", "Peat Tramway", 1988, 2, (Line(BRICK, 2),))
WANTED = {heap(PLATE, Grade.G4): 2, heap(BRICK, Grade.G5): 2}
AT = "2026-03-01T09:30:00Z"


def read(state: Picture, kind: Kind, grade: Grade, lab: tuple[float, float, float], quantity: int = 1) -> None:
    """Note a reading on pieces that are counted already."""
    seq = len(state.ledger.records) + 1
    became = (grade, ())
    state.apply(Record(RecordId("s", seq), AT, What.REGRADE, heap(kind, grade), quantity, became=became, lab=lab))


def test_pieces_that_nobody_measured_differ_as_their_grades_do() -> None:
    """ISO 105-A02:1994, clause 2.4: grade 5 is a difference of 0, 4-5 of 0.8, 3 of 3.4 CIELAB units."""
    heaps = {heap(PLATE, Grade.G3): 2, heap(BRICK, Grade.G5): 1, heap(BRICK, Grade.G4_5): 1}
    (row,) = spreads(picture([HUT], heaps))
    assert (row.target, row.shade, row.pieces, row.measured, row.unknown) == ("T-01", "red", 4, 0, 0)
    assert row.worst is not None
    assert (row.worst.better.grade, row.worst.worse.grade, row.worst.measured) == (Grade.G5, Grade.G3, False)
    assert row.spread == pytest.approx(3.4)


def test_pieces_that_were_measured_differ_by_ciede2000() -> None:
    """Pair 1 of Sharma, Wu and Dalal (2005), Table 1: 2.0425. A reading keeps two decimals, so within 0.01 of that."""
    state = picture([HUT], {heap(PLATE): 2, heap(BRICK): 2})
    assert spreads(state)[0].spread == 0.0
    read(state, PLATE, Grade.G5, (50.0, 2.68, -79.78))
    read(state, BRICK, Grade.G5, (50.0, 0.0, -82.75))
    (row,) = spreads(state)
    assert row.measured == 4
    assert row.worst is not None and row.worst.measured
    assert row.spread == pytest.approx(2.0425, abs=0.01)


def test_readings_of_like_pieces_are_averaged_by_pieces() -> None:
    state = picture([HUT], {heap(PLATE): 2, heap(BRICK): 2})
    read(state, PLATE, Grade.G5, (50.0, 0.0, 0.0), 1)
    read(state, PLATE, Grade.G5, (80.0, 3.0, 9.0), 2)
    read(state, BRICK, Grade.G5, (70.0, 2.0, 6.0), 2)
    assert spreads(state)[0].spread == pytest.approx(0.0, abs=1e-9)


def test_where_only_one_was_measured_the_grades_are_compared() -> None:
    state = picture([HUT], WANTED)
    read(state, PLATE, Grade.G4, (50.0, 0.0, 0.0))
    (row,) = spreads(state)
    assert row.worst is not None and not row.worst.measured
    assert (row.spread, row.measured) == (pytest.approx(1.7), 2)


def test_pieces_neither_graded_nor_measured_are_told_of_and_compared_with_nothing() -> None:
    (row,) = spreads(picture([HUT], {heap(PLATE, None): 2, heap(BRICK): 2}))
    assert (row.unknown, row.worst and row.worst.difference) == (2, 0.0)
    (alone,) = spreads(picture([HUT], {heap(PLATE, None): 2}))
    assert (alone.worst, alone.spread) == (None, 0.0)


def test_a_spare_of_a_close_grade_is_proposed_with_what_to_set_aside() -> None:
    (found,) = proposals(picture([HUT], WANTED | {heap(BRICK, Grade.G4_5): 2}))
    assert (found.target, found.shade, found.before) == ("T-01", "red", pytest.approx(1.7))
    assert found.after == pytest.approx(0.9)
    (exchange,) = found.exchanges
    assert (exchange.kind, exchange.quantity, exchange.partners) == (BRICK, 2, ())
    assert (exchange.gives, exchange.gets) == (Grade.G5, Grade.G4_5)
    assert [tuple(aside) for aside in found.asides] == [(BRICK, Grade.G4_5, (), 2)]


@pytest.mark.parametrize(
    "spares",
    [
        {heap(BRICK, Grade.G4_5): 1},  # one is not enough for two
        {heap(BRICK, Grade.G4): 2},  # two half steps apart
        {heap(BRICK, Grade.G4_5, (Flaw.BENT,)): 2},
        {heap(TILE, Grade.G4_5): 2},
        {},
    ],
    ids=["too few", "too far", "flawed", "another kind", "none"],
)
def test_what_does_not_do_is_not_proposed(spares: dict[Cell, int]) -> None:
    assert proposals(picture([HUT], WANTED | spares)) == ()


def test_how_close_grades_must_be_can_be_said() -> None:
    (found,) = proposals(picture([HUT], WANTED | {heap(BRICK, Grade.G4): 2}), half_steps=2)
    assert found.after == 0.0


def test_a_target_stays_to_standard() -> None:
    strict = HUT._replace(lines=(Line(PLATE, 2), Line(BRICK, 2, Grade.G5)))
    assert proposals(picture([strict], WANTED | {heap(BRICK, Grade.G4_5): 2})) == ()


def test_pieces_set_aside_by_hand_stay() -> None:
    aside = [(heap(BRICK, Grade.G5), 2, "T-01")]
    assert proposals(picture([HUT], WANTED | {heap(BRICK, Grade.G4_5): 2}, reserved=aside)) == ()


def test_a_better_rank_gives_nothing_away_for_a_lesser_one() -> None:
    heaps = WANTED | {heap(BRICK, Grade.G4_5): 2}
    assert proposals(picture([HUT, TRAMWAY], heaps)) == ()
    (found,) = proposals(picture([HUT, TRAMWAY._replace(rank=1)], heaps))
    assert (found.target, found.exchanges[0].partners) == ("T-01", ("Peat Tramway",))
    assert found.after == pytest.approx(0.9)


def test_no_other_target_becomes_more_motley_for_it() -> None:
    tramway = TRAMWAY._replace(rank=1, lines=(Line(BRICK, 2), Line(TILE, 1)))
    heaps = WANTED | {heap(BRICK, Grade.G4_5): 2, heap(TILE, Grade.G4): 1}
    assert spreads(picture([HUT, tramway], heaps), ["T-02"])[0].spread == pytest.approx(0.9)
    assert proposals(picture([HUT, tramway], heaps), ["T-01"]) == ()


def test_nothing_of_the_picture_is_changed_by_asking() -> None:
    state = picture([HUT], WANTED | {heap(BRICK, Grade.G4_5): 2})
    before = [[line.shares for line in fill.lines] for fill in state.fill.all()]
    assert proposals(state) == proposals(state)
    assert [[line.shares for line in fill.lines] for fill in state.fill.all()] == before


def test_the_command_tells_the_spread_and_what_it_says_to_type_does_it(tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    with Bench.open(folder) as bench, bench.folder.documents.edit() as draft:
        lines = (Line(Kind("plate-2x4", "white"), 2), Line(Kind("brick-2x4", "white"), 2))
        draft.targets["T-03"] = draft.targets["T-03"]._replace(lines=lines)
    entries = ("plate 2x4 white !4 *2", "brick 2x4 white !5 *2", "brick 2x4 white !4-5 *2")
    assert call("--bench", folder, "tally", *entries).exit_code == 0
    text = call("--bench", folder, "uniform")
    assert "brick 2x4 (5) and plate 2x4 (4)" in text.stdout
    assert "2 × brick 2x4 of grade 5 for 4-5; those go to the spares" in text.stderr
    before = rows(call("--bench", folder, "targets", "--json"), "targets")
    (row,) = rows(call("--bench", folder, "uniform", "T-03", "--json"), "uniform")
    assert (row["spread"], row["measured"], row["proposal"]["after"]) == (1.7, False, 0.9)
    (command,) = row["proposal"]["commands"]
    assert command in text.stderr
    program, *words = shlex.split(command)
    assert program == "sortbench"
    assert call("--bench", folder, *words).exit_code == 0
    (row,) = rows(call("--bench", folder, "uniform", "--half-steps", "0", "--json"), "uniform")
    assert (row["spread"], row["proposal"]) == (0.9, None)
    assert rows(call("--bench", folder, "targets", "--json"), "targets") == before


def test_a_target_that_is_none_is_refused_and_an_empty_bench_says_so(tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    assert call("--bench", folder, "uniform", "T-99").exit_code == 1
    assert "No target has any pieces yet" in call("--bench", folder, "uniform").stderr
