"""The scrub list, and pieces that are present but not ready."""

from __future__ import annotations

from pathlib import Path

from small_bench import BRICK, PLATE, TILE

from sortbench.bench import Bench
from sortbench.desks.additions import add_part
from sortbench.desks.scrub_desk import scrubbed
from sortbench.engine.reconciling.reconcile import targets_of
from sortbench.engine.sharing.fill_figures import TargetFill
from sortbench.engine.washing.scrub import HOW, scrub_list
from sortbench.model.catalogue import Care, Part
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, What
from tests.unit.cli_bench import call, make_bench, rows


def aside(bench: Bench, cell: Cell, quantity: int) -> Cell:
    """Pieces counted and set aside for another wash."""
    bench.count_cell(cell, quantity, "typed")
    bench.sitting.record(What.MOVE, cell, quantity, to_fate=Fate.WASH, way="pad")
    return cell._replace(bin="", fate=Fate.WASH)


def fill(bench: Bench, code: str) -> TargetFill:
    return bench.picture.fill[code]


def test_the_list_tells_what_waits_who_waits_for_it_and_how_it_is_cleaned(bench: Bench) -> None:
    add_part(bench, Part("sign-2x2", "sign 2x2", "tile", care=(Care.STICKER,)))
    sign = aside(bench, Cell("REST", "sign-2x2", "white", "", Grade.G4, (Flaw.RESIDUE,)), 2)
    coarse = aside(bench, Cell("REST", "", "red", "plate", None, ()), 7)
    tile = aside(bench, Cell("REST", *TILE, "", Grade.G5, ()), 1)
    plates = aside(bench, Cell("B1", *PLATE, "", Grade.G5, ()), 5)
    bench.count_cell(Cell("B2", *BRICK, "", Grade.G5, ()), 1, "typed")
    found = {row.cell: row for row in scrub_list(bench.picture)}
    assert list(found) == [plates, tile, coarse, sign]
    told = [(waiting.code, waiting.quantity) for waiting in found[plates].targets]
    assert told == [("T-01", 3), ("T-02", 2)]
    assert [waiting.name for waiting in found[tile].targets] == ["Peat Tramway"]
    assert (found[sign].targets, found[coarse].targets) == ((), ())
    assert (found[plates].kind, found[plates].name, found[plates].shade, found[plates].quantity) == (
        PLATE,
        "plate 2x4",
        "red",
        5,
    )
    assert found[coarse].kind is None
    assert (found[plates].how, found[plates].out) == (HOW, False)
    assert found[sign].out
    assert "sticker" in found[sign].how


def test_what_is_scrubbed_leaves_the_list(bench: Bench) -> None:
    plates = aside(bench, Cell("B1", *PLATE, "", Grade.G5, ()), 5)
    scrubbed(bench, plates, 2)
    assert [(row.cell, row.quantity) for row in scrub_list(bench.picture)] == [(plates, 3)]
    scrubbed(bench, plates, 3)
    assert scrub_list(bench.picture) == ()


def test_two_heaps_that_nobody_graded_have_an_order(bench: Bench) -> None:
    for family in ("tile", "plate"):
        aside(bench, Cell("REST", "", "red", family, None, ()), 1)
    assert [row.cell.family for row in scrub_list(bench.picture)] == ["plate", "tile"]


def test_pieces_that_wait_are_present_but_not_to_standard(bench: Bench) -> None:
    plate = Cell("B1", *PLATE, "", Grade.G5, ())
    waiting = aside(bench, plate, 2)
    bench.count_cell(plate, 1, "typed")
    assert (fill(bench, "T-01").present, fill(bench, "T-01").standard, fill(bench, "T-01").waiting) == (3, 1, 2)
    assert [row.waiting for row in targets_of(bench.picture)] == [2, 0, 0]
    scrubbed(bench, waiting, 1)
    assert (fill(bench, "T-01").standard, fill(bench, "T-01").waiting) == (2, 1)


def test_commands_tell_what_waits_where_something_does(tmp_path: Path) -> None:
    folder = make_bench(tmp_path / "bench")
    commands = (("targets", "targets"), ("reconcile", "reconcile"))
    for command, _ in commands:
        assert "waiting" not in call("--bench", folder, command).stdout
    with Bench.open(folder) as bench:
        aside(bench, Cell("B1", "plate-2x4", "white", "", Grade.G5, ()), 2)
    for command, what in commands:
        assert "waiting" in call("--bench", folder, command).stdout
        assert [row["waiting"] for row in rows(call("--bench", folder, command, "--json"), what)] == [2, 0]
