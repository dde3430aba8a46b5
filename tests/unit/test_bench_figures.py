"""All figures of a bench, on cases small enough to work out by hand (own reasoning), and what must add up on any."""

from __future__ import annotations

import pytest
from picture_of import picture_of
from random_sharing import random_case
from reconciling import BINS, BRICK, PLATE, TILE, crated, heap, picture

from sortbench.engine.ledger import Ledger
from sortbench.engine.picture import Picture
from sortbench.engine.reporting.bench_figures import Whereabouts, figures_of
from sortbench.model.bins import Bin
from sortbench.model.grade import Flaw, Grade
from sortbench.model.tally import Cell, Fate, Record, RecordId, What
from sortbench.model.target import Line, Target

HUT = Target("T-01", "Signal Hut", 1988, 1, (Line(PLATE, 3, Grade.G4), Line(BRICK, 2)))
TRAM = Target("T-02", "Peat Tramway", 1991, 2, (Line(TILE, 1),))
COARSE = Cell("B1", "", "red", "plate", None, ())
HEAPS = {
    heap(PLATE, Grade.G5): 2,
    heap(PLATE, Grade.G2, label="B2"): 4,
    heap(BRICK, Grade.G5, (Flaw.CHIPPED, Flaw.BENT), label="B2"): 1,
    crated(TILE, "T-02"): 1,
    heap(TILE, None)._replace(bin="", fate=Fate.WASH): 5,
    heap(TILE)._replace(bin="", fate=Fate.OUT): 7,
    COARSE: 6,
}


def test_every_piece_is_told_once_by_where_it_goes() -> None:
    found = figures_of(picture((HUT, TRAM), HEAPS))
    # Line 1 of the hut takes two sound plates and one of grade 2; three more of those and five tiles are spare.
    assert found.whereabouts == Whereabouts(standard=2 + 1, below=1 + 1, spare=3 + 5, coarse=6, out=7)
    assert (found.pieces, found.kinds, found.waiting) == (2 + 4 + 1 + 1 + 5 + 6, 3, 5)
    assert sum(heaped.quantity for heaped in found.spares) == 8


def test_targets_tell_the_lines_that_lack_something() -> None:
    hut, tram = figures_of(picture((HUT, TRAM), HEAPS)).targets
    assert (hut.row.code, hut.row.present, hut.row.standard, hut.crated) == ("T-01", 4, 2, 0)
    assert [(row.number, row.name, row.need, row.present, row.short, row.below) for row in hut.lacks] == [
        (1, "plate 2x4", 3, 3, 0, 1),
        (2, "brick 2x4", 2, 1, 1, 1),
    ]
    assert (tram.row.present, tram.crated, tram.lacks) == (1, 1, ())


def test_shades_grades_and_flaws_are_those_of_kept_pieces() -> None:
    found = figures_of(picture((HUT, TRAM), HEAPS))
    assert [(each.shade, each.pieces) for each in found.shades] == [("red", 19)]
    assert found.grades == ((Grade.G5, 4), (Grade.G2, 4), (None, 11))
    assert (found.flaws, found.flawed) == (((Flaw.BENT, 1), (Flaw.CHIPPED, 1)), 1)


def test_bins_tell_their_shades_and_how_to_split_what_overflows() -> None:
    blue = heap(PLATE)._replace(shade="blue", bin="B2")
    bins = (Bin("B2", capacity=8), Bin("B1"))
    second, first = figures_of(picture((), {**HEAPS, blue: 4}, bins=bins)).bins
    assert [(each.shade, each.pieces) for each in second.shades] == [("red", 5), ("blue", 4)]
    assert (second.row.label, second.row.over, bool(second.proposal)) == ("B2", 1, True)
    assert (first.row.pieces, first.row.overflowing, first.proposal) == (8, False, "")


def test_a_heap_of_fewer_than_no_pieces_is_told_and_in_no_share() -> None:
    cell = heap(PLATE)
    at = "2026-03-01T09:30:00Z"
    tally, carry = RecordId("s", 1), RecordId("s", 2)
    ledger = Ledger(
        [
            Record(tally, at, What.TALLY, cell, 2),
            Record(carry, at, What.MOVE, cell, 2, to_bin="B2"),
            Record(RecordId("s", 3), at, What.VOID, voids=tally),
        ]
    )
    found = figures_of(Picture(picture((), {}).catalogue, (), BINS, ledger))
    assert found.impossible == ("plate 2x4 red: -2",)
    assert (sum(found.whereabouts), found.pieces) == (2, 0)


@pytest.mark.parametrize("seed", range(60))
def test_the_shares_add_up_to_all_that_was_counted(seed: int) -> None:
    shown = picture_of(random_case(seed), BINS)
    found = figures_of(shown)
    assert sum(found.whereabouts) == sum(n for n in shown.ledger.counts.values() if n > 0)
    assert found.whereabouts.standard + found.whereabouts.below == sum(each.row.present for each in found.targets)
    for each in found.targets:
        assert sum(row.short for row in each.lacks) == each.row.short
        assert sum(row.below for row in each.lacks) == each.row.present - each.row.standard
    kept = found.pieces
    assert sum(n for _, n in found.grades) == sum(each.pieces for each in found.shades) == kept
