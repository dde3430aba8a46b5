"""What reconciling deals out is what was counted: no piece twice, none from nowhere, none left out."""

from __future__ import annotations

from collections import Counter

import pytest
from picture_of import picture_of
from random_sharing import random_case
from reconciling import BINS

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.places import Deal, deal
from sortbench.engine.reconciling.reconcile import lines_of, spares_of, targets_of
from sortbench.model.tally import Cell, Fate

SEEDS = range(300)


def all_dealt(found: Deal) -> Counter[Cell]:
    lying: Counter[Cell] = Counter()
    for dealt in (*found.lines.values(), found.spares):
        for each in dealt:
            assert each.quantity > 0
            piece, cell = each.piece, each.cell
            assert (piece.kind, piece.grade, piece.flaws) == (cell.kind, cell.grade, cell.flaws)
            assert piece.ready == (cell.fate is not Fate.WASH)
            assert not each.in_crate or piece.only == cell.bin
            lying[cell] += each.quantity
    return lying


def counted(picture: Picture) -> dict[Cell, int]:
    return {cell: n for cell, n in picture.ledger.counts.items() if n > 0 and cell.fate is not Fate.OUT and cell.kind}


@pytest.mark.parametrize("seed", SEEDS)
def test_every_piece_is_dealt_once(seed: int) -> None:
    picture = picture_of(random_case(seed, small=seed % 3 > 0), BINS)
    dealt = deal(picture)
    assert all_dealt(dealt) == counted(picture)
    for fill in picture.fill.all():
        for number, line in enumerate(fill.lines, 1):
            lying: Counter[object] = Counter()
            for each in dealt.lines.get((fill.target.code, number), ()):
                lying[each.piece] += each.quantity
            assert lying == {share.piece: share.quantity for share in line.shares}


@pytest.mark.parametrize("seed", SEEDS[:60])
def test_some_kinds_are_dealt_as_among_all(seed: int) -> None:
    picture = picture_of(random_case(seed), BINS)
    whole = deal(picture)
    kinds = set(sorted(picture.ledger.kinds)[::2])
    some = deal(picture, kinds)
    assert some.spares == tuple(each for each in whole.spares if each.piece.kind in kinds)
    for line, dealt in whole.lines.items():
        assert some.lines.get(line, ()) == tuple(each for each in dealt if each.piece.kind in kinds)


@pytest.mark.parametrize("seed", SEEDS[:150])
def test_rows_add_up_to_what_was_counted(seed: int) -> None:
    picture = picture_of(random_case(seed), BINS)
    lying: Counter[tuple[object, ...]] = Counter()
    for target in targets_of(picture):
        lines = lines_of(picture, target.code)
        assert (len(lines), sum(line.short == 0 for line in lines)) == (target.lines, target.lines_complete)
        for figure in ("need", "present", "standard", "stand_ins", "short"):
            assert sum(getattr(line, figure) for line in lines) == getattr(target, figure)
        for line in lines:
            assert line.present == sum(share.quantity for share in line.shares)
            assert line.standard == sum(share.quantity for share in line.shares if share.standard)
            assert line.stand_ins == sum(share.quantity for share in line.shares if share.cost)
            allowed = {row.kind: row.cost for row in line.accepts if not row.refused} | {line.kind: 0}
            assert all(allowed[share.kind] == share.cost for share in line.shares)
            # There is something to improve just where a line is not all there, to standard, of the kind asked for.
            perfect = (line.need, line.need, 0) == (line.present, line.standard, line.stand_ins)
            assert (line.better == ()) == (perfect and not target.parked)
            for share in line.shares:
                assert share.quantity == sum(place.quantity for place in share.places)
                for place in share.places:
                    lying[share.kind, share.grade, share.flaws, place.bin, place.fate] += place.quantity
    for heap in spares_of(picture):
        assert heap.quantity == sum(place.quantity for place in heap.places)
        for place in heap.places:
            lying[heap.kind, heap.grade, heap.flaws, place.bin, place.fate] += place.quantity
    assert lying == {(c.kind, c.grade, c.flaws, c.bin, c.fate): n for c, n in counted(picture).items()}
