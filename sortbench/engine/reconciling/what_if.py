"""What if: other ranks, parked targets, refused stand-ins or another policy, worked out beside what holds."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple, Self

from sortbench.engine.fill import TargetFill
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.reconcile_board import Effect, Standing
from sortbench.engine.sharing.stand_ins import Swaps, stand_ins_of
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import MAX_RANK, Policy, Target, refusals_of


class WhatIf(NamedTuple):
    """Changes that are only tried out; every method gives a changed copy and nothing is written.

    Attributes:
        ranks: new ranks by target.
        parked: whether a target takes nothing, by target.
        refused: target, kind asked for, kind that stands in, and whether the target refuses that; each but once.
        policy: which criteria come first; None leaves that as it is.
    """

    ranks: Mapping[str, int] = MappingProxyType({})
    parked: Mapping[str, bool] = MappingProxyType({})
    refused: tuple[tuple[str, Kind, Kind, bool], ...] = ()
    policy: Policy | None = None

    def with_ranks(self, ranks: Mapping[str, int]) -> Self:
        """With other ranks for some targets."""
        return self._replace(ranks={**self.ranks, **ranks})

    def with_parked(self, code: str, yes: bool) -> Self:
        """With a target parked, or no longer."""
        return self._replace(parked={**self.parked, code: yes})

    def with_stand_in(self, code: str, wanted: Kind, instead: Kind, allowed: bool) -> Self:
        """With a stand-in allowed again on a target, or refused."""
        others = tuple(each for each in self.refused if each[:3] != (code, wanted, instead))
        return self._replace(refused=(*others, (code, wanted, instead, not allowed)))

    def with_policy(self, policy: Policy) -> Self:
        """With another policy."""
        return self._replace(policy=policy)

    @property
    def is_empty(self) -> bool:
        """Whether nothing is changed; see also :func:`trimmed`."""
        return not (self.ranks or self.parked or self.refused or self.policy)

    @property
    def codes(self) -> tuple[str, ...]:
        """The targets that something is said of, sorted."""
        return tuple(sorted({*self.ranks, *self.parked, *(each[0] for each in self.refused)}))

    def applied(self, target: Target) -> Target:
        """A target with what is said of it."""
        code = target.code
        refused = set(target.refused)
        for of, wanted, instead, yes in self.refused:
            if of == code:
                (refused.add if yes else refused.discard)((wanted, instead))
        return target._replace(
            rank=self.ranks.get(code, target.rank),
            parked=self.parked.get(code, target.parked),
            refused=refusals_of(refused),
        )


def picture_if(picture: Picture, what_if: WhatIf) -> Picture:
    """The picture as it would be. It shares the counts with the one that holds, which stays as it is."""
    if what_if.is_empty:
        return picture
    return picture.shared_otherwise(what_if.applied, what_if.policy or picture.policy)


def effects(picture: Picture, what_if: WhatIf) -> tuple[Effect, ...]:
    """What a change comes to for every target, in the order of the ranks it gives."""
    return compared(picture, picture_if(picture, what_if))


def compared(before: Picture, after: Picture) -> tuple[Effect, ...]:
    """How every target stands in one picture and in another of the same targets, in the order of the latter's ranks."""
    return tuple(
        Effect(
            fill.target.code,
            fill.target.name,
            fill.need,
            _standing(before.fill[fill.target.code]),
            _standing(fill),
        )
        for fill in after.fill.all()
    )


def _standing(fill: TargetFill) -> Standing:
    target = fill.target
    return Standing(target.rank, target.parked, fill.present, fill.standard, fill.stand_ins, fill.complete)


def trimmed(picture: Picture, what_if: WhatIf) -> WhatIf:
    """A change without what holds already, or speaks of targets that are gone."""
    targets = {target.code: target for target in picture.targets}
    return WhatIf(
        ranks={c: rank for c, rank in what_if.ranks.items() if c in targets and targets[c].rank != rank},
        parked={c: yes for c, yes in what_if.parked.items() if c in targets and targets[c].parked != yes},
        refused=tuple(
            each
            for each in what_if.refused
            if each[0] in targets and (each[1:3] in targets[each[0]].refused) != each[3]
        ),
        policy=None if what_if.policy == picture.policy else what_if.policy,
    )


def checked(picture: Picture, what_if: WhatIf) -> WhatIf:
    """A change that can be kept, without what holds already.

    Raises:
        DataError: a target or a rank that is none, or a stand-in that would not stand in anyway.
    """
    for code in what_if.codes:
        find_target(picture, code)
    for rank in what_if.ranks.values():
        check_rank(rank)
    for code, wanted, instead, yes in what_if.refused:
        target = find_target(picture, code)
        # What was refused and is accepted no longer may still be taken off.
        if yes or (wanted, instead) not in target.refused:
            check_stand_in(picture, target, wanted, instead)
    return trimmed(picture, what_if)


def check_rank(rank: int) -> None:
    """Whether there is such a rank.

    Raises:
        DataError: below 1, or above MAX_RANK.
    """
    if not 1 <= rank <= MAX_RANK:
        raise DataError(f"There is no rank {rank}.", f"Ranks run from 1, the first, to {MAX_RANK}.")


def check_stand_in(picture: Picture, target: Target, wanted: Kind, instead: Kind) -> None:
    """Whether something may stand in on a target, if the target does not refuse it.

    Raises:
        DataError: its list does not ask for the one kind, or the other does not stand in for it.
    """
    lines = [line for line in target.lines if line.kind == wanted]
    if not lines:
        raise DataError(f"{target.name} does not ask for {wanted}.", "`sortbench targets` shows its list.")
    swaps, free = Swaps(picture.swaps), target._replace(refused=())
    allowed = {stand_in.kind for line in lines for stand_in in stand_ins_of(free, line, swaps)}
    if instead not in allowed:
        named = ", ".join(str(kind) for kind in sorted(allowed)[:6])
        raise DataError(
            f"{instead} does not stand in for {wanted} on {target.name}.",
            f"What may is: {named}." if named else "Nothing does.",
        )


def find_target(picture: Picture, code: str) -> Target:
    """A target with what was written up on its list.

    Raises:
        DataError: no such target.
    """
    found = next((target for target in picture.targets if target.code == code), None)
    if found is None:
        known = ", ".join(target.code for target in picture.targets[:12])
        raise DataError(f"No target has the code {code!r}.", f"Known are: {known}." if known else "Import targets.")
    return found
