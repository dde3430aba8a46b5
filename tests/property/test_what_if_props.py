"""What if: what is tried out comes to what a bench would have whose documents said so, and leaves the bench alone."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from picture_of import picture_of
from random_sharing import random_case
from reference_sharing import Case, Problem
from sharing_checks import allocation_of

from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.what_if import WhatIf, effects, picture_if, trimmed
from sortbench.model.target import Policy


def random_change(chance: random.Random, case: Case) -> WhatIf:
    what_if = WhatIf()
    for target in case.targets:
        if chance.random() < 0.5:
            what_if = what_if.with_ranks({target.code: chance.randint(1, len(case.targets))})
        if chance.random() < 0.2:
            what_if = what_if.with_parked(target.code, chance.random() < 0.7)
        pairs = [(line.kind, stand_in.kind) for line in target.lines for stand_in in line.stand_ins]
        for wanted, instead in [*pairs, *target.refused]:
            if chance.random() < 0.3:
                what_if = what_if.with_stand_in(target.code, wanted, instead, chance.random() < 0.5)
    return what_if.with_policy(chance.choice(list(Policy))) if chance.random() < 0.3 else what_if


def state(picture: Picture) -> list[object]:
    return [picture.target_rows(), [list(fill.lines) for fill in picture.fill.all()], picture.targets, picture.policy]


@pytest.mark.parametrize("seed", range(150))
def test_what_is_tried_out_is_what_would_be(seed: int) -> None:
    case, chance = random_case(seed + 3_000), random.Random(seed)
    picture, what_if = picture_of(case), random_change(chance, case)
    before = state(picture)
    after = picture_if(picture, what_if)
    told = effects(picture, what_if)
    assert state(picture) == before
    changed = replace(case, targets=tuple(map(what_if.applied, case.targets)), policy=what_if.policy or case.policy)
    fresh, problem = picture_of(changed), Problem(changed)
    assert problem.measure(allocation_of(after.fill)) == problem.measure(allocation_of(fresh.fill))
    assert [(each.code, each.after.present) for each in told] == [
        (fill.target.code, fill.present) for fill in fresh.fill.all()
    ]
    assert {each.code: each.before.present for each in told} == {
        fill.target.code: fill.present for fill in picture.fill.all()
    }


@pytest.mark.parametrize("seed", range(150))
def test_a_change_without_what_holds_already_is_the_same_change(seed: int) -> None:
    case, chance = random_case(seed + 4_000), random.Random(seed)
    picture, what_if = picture_of(case), random_change(chance, case)
    less = trimmed(picture, what_if)
    assert effects(picture, less) == effects(picture, what_if)
    # Once it holds, there is nothing left of it.
    assert trimmed(picture_if(picture, what_if), what_if).is_empty
    assert trimmed(picture, less) == less
