"""The reasons given for where pieces go, against the same question put to other people's solver.

That at most so many of a heap go to a line is put into :mod:`reference_sharing` by splitting the heap in two: as many
as may go there, and the rest, without that road. It is then solved criterion by criterion with scipy's HiGHS.
"""

from __future__ import annotations

import pytest
from picture_of import picture_of
from random_sharing import random_case
from reference_sharing import Levels, Problem, Supply
from sharing_checks import allocation_of

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.explain import Reason, reasons
from sortbench.engine.sharing.scores import Criterion
from sortbench.model.catalogue import Kind

NAMES = {
    Criterion.PRESENT: "present",
    Criterion.HELD: "set aside",
    Criterion.STANDARD: "standard",
    Criterion.STAND_INS: "stand-ins",
    Criterion.COST: "cost",
    Criterion.QUALITY: "quality",
}


def first_loss(picture: Picture, problem: Problem, reason: Reason) -> tuple[str, int] | None:
    """The first criterion, and its rank, that is worse where one such piece fewer may go to the line."""
    assert reason.home is not None
    best = problem.measure(allocation_of(picture.fill))
    piece, line = Supply(*reason.piece), (reason.home.target.code, reason.home.number - 1)
    rest = piece._replace(kind=Kind("the rest", "of it"))
    split = Problem(problem.case)
    split.supplies[rest] = split.supplies[piece] - (reason.quantity - 1)
    split.supplies[piece] = reason.quantity - 1
    split.arcs += [arc._replace(supply=rest) for arc in split.arcs if arc.supply == piece and arc.line != line]
    split.steps = list(split._steps())
    values = Levels(split).values
    return next(((a.what, a.rank) for a, b in zip(best, values, strict=True) if a != b), None)


@pytest.mark.parametrize("seed", range(36))
def test_the_reason_is_the_first_criterion_that_would_be_worse(seed: int) -> None:
    case = random_case(seed + 7_000)
    picture, problem = picture_of(case), Problem(case)
    ranks = {target.code: target.rank for target in case.targets}
    for kind in sorted(picture.ledger.kinds):
        found = reasons(picture, kind)
        on_lines = sum(each.quantity for each in found if each.home)
        assert on_lines == picture.fill.used(kind)
        assert sum(each.quantity for each in found) == picture.counted(kind)
        for each in found:
            if each.home:
                loss = first_loss(picture, problem, each)
                if each.criterion is None:
                    assert loss is None
                else:
                    (rank,) = {ranks[code] for code in each.worse}
                    assert loss == (NAMES[each.criterion], rank)
                    assert sum(each.worse.values()) > 0 or each.criterion is Criterion.PRESENT
