"""Pick lists of random cases: nothing twice, nothing from nowhere, and what is ticked is in the crate."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest
from picture_of import BINS, bench_of, picture_of
from random_sharing import random_case

from sortbench.bench import Bench
from sortbench.desks.pick_desk import PickDesk, Tick
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.pick_list import PickList, pick_list
from sortbench.engine.reconciling.places import deal
from sortbench.engine.sharing.pieces import Piece
from sortbench.model.tally import Cell, Fate


def lists(picture: Picture) -> list[PickList]:
    return [pick_list(picture, target.code) for target in picture.targets]


def loose(picture: Picture) -> dict[Cell, int]:
    """What lies in the bins, to be washed, or in no bin."""
    usable = picture.ledger.counts.items()
    return {cell: n for cell, n in usable if cell.kind and cell.fate in (Fate.KEPT, Fate.WASH)}


def listed(picture: Picture) -> dict[Cell, int]:
    """What the pick lists take from where, and what is spare."""
    found: dict[Cell, int] = {}
    for each in lists(picture):
        for row in each.rows:
            if row.left:
                found[row.cell] = found.get(row.cell, 0) + row.left
    for _, cell, quantity in deal(picture).spares:
        if cell.fate is not Fate.CRATE:
            found[cell] = found.get(cell, 0) + quantity
    return found


@pytest.mark.parametrize("seed", range(0, 300, 10))
def test_lists_and_spares_are_just_what_lies_there_and_agree_with_the_sharing(seed: int) -> None:
    for each in range(seed, seed + 10):
        picture = picture_of(random_case(each, small=each % 5 > 0), BINS)
        assert listed(picture) == loose(picture)
        for found in lists(picture):
            fill = picture.fill[found.code]
            assert found.picked == sum(picture.ledger.in_crate(found.code).values())
            assert (found.quantity, found.short) == (fill.present, fill.short)
            assert [row.number for row in found.rows] == [*range(1, len(found.rows) + 1)]
            assert len({row.cell for row in found.rows}) == len(found.rows)
            by_line: dict[int, list[int]] = {}
            for row in found.rows:
                assert row.quantity == sum(use.quantity for use in row.uses) > 0 or row.surplus == row.picked > 0
                assert row.surplus >= 0
                for use in row.uses:
                    figures = by_line.setdefault(use.line, [0, 0, 0])
                    figures[0] += use.quantity
                    figures[1] += use.quantity if use.standard else 0
                    figures[2] += use.quantity if use.cost else 0
            for number, line in enumerate(fill.lines, 1):
                assert by_line.get(number, [0, 0, 0]) == [line.present, line.standard, line.stand_ins]


def reserved(bench: Bench) -> dict[object, object]:
    return {kind: bench.picture.ledger.reserved(kind) for kind in bench.picture.ledger.reserved_kinds}


def goods(picture: Picture) -> list[Counter[int]]:
    """Of each target the pieces it has by their quality: of equally good ones it may have the one or the other."""
    found = []
    for each in lists(picture):
        qualities = Counter[int]()
        for row in each.rows:
            piece = Piece(row.kind, row.grade, row.flaws, row.cell.fate is not Fate.WASH)
            qualities[piece.quality] += row.quantity
        found.append(+qualities)
    return found


@pytest.mark.parametrize("seed", range(60))
def test_ticking_everything_empties_the_lists_and_fills_the_crates(seed: int, tmp_path: Path) -> None:
    chance = random.Random(seed)
    with bench_of(random_case(seed), tmp_path / "b") as bench:
        before, pieces, good = lists(bench.picture), bench.picture.ledger.pieces, goods(bench.picture)
        present = [row.present for row in bench.target_rows()]
        standard = [row.standard for row in bench.target_rows()]
        while left := [(each.code, row) for each in lists(bench.picture) for row in each.rows if row.left]:
            code, row = chance.choice(left)
            some = chance.randint(1, row.left)
            PickDesk(bench, code).tick([Tick(row.number, some)])
            assert bench.picture.ledger.pieces == pieces
            assert [row.present for row in bench.target_rows()] == present
            # Picked pieces of a wash are washed: they may come to standard, and be better than they were.
            if not any(row.cell.fate is Fate.WASH for each in before for row in each.rows):
                assert goods(bench.picture) == good
                assert [row.standard for row in bench.target_rows()] == standard
        for each, was in zip(lists(bench.picture), before, strict=True):
            assert each.picked == was.picked + was.left == sum(bench.picture.ledger.in_crate(each.code).values())
        assert not bench.picture.ledger.impossible()


@pytest.mark.parametrize("seed", range(60, 100))
def test_what_is_ticked_and_put_back_lies_where_it_lay(seed: int, tmp_path: Path) -> None:
    with bench_of(random_case(seed), tmp_path / "b") as bench:
        before = dict(bench.picture.ledger.counts), reserved(bench), goods(bench.picture)
        ticked = [
            (each, [Tick(row.number, row.left) for row in each.rows if row.left]) for each in lists(bench.picture)
        ]
        for each, _ in ticked:
            PickDesk(bench, each.code).tick_all()
            assert PickDesk(bench, each.code).listed().left == 0
        for each, ticks in ticked:
            PickDesk(bench, each.code).put_back(ticks)
        assert (dict(bench.picture.ledger.counts), reserved(bench), goods(bench.picture)) == before
