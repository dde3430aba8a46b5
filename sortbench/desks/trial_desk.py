"""What is being tried out on the targets of a bench before it is kept: ranks, parked targets, stand-ins, the policy.

It is held here and not by a screen, so that a look at another screen does not lose it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple, TypeVar, cast

from sortbench.desks.reconcile_desk import Outlook, keep, what_if_words
from sortbench.engine.board import Notice
from sortbench.engine.picture import Picture
from sortbench.engine.reconciling.rank_moves import joined, moved
from sortbench.engine.reconciling.reconcile_board import ReconcileLine, ReconcileTarget, SpareHeap
from sortbench.engine.reconciling.what_if import WhatIf, check_rank, check_stand_in, find_target, trimmed
from sortbench.model.catalogue import Kind
from sortbench.model.target import Policy

if TYPE_CHECKING:
    from sortbench.desk import Desk

_Answer = TypeVar("_Answer")


class _State(NamedTuple):
    """What an outlook was worked out for: it is out of date as soon as any of it is another."""

    picture: Picture
    records: int
    tried: WhatIf


class _Seen(NamedTuple):
    """An outlook, and what it was worked out for."""

    state: _State
    outlook: Outlook
    targets: tuple[ReconcileTarget, ...]


class TrialDesk:
    """Trying things out on one bench. Nothing is written before :meth:`keep`.

    Changing what is tried out costs next to nothing. What comes of it is worked out by :meth:`work_out`, once for each
    state of the bench; until then targets stand in their new order with the figures that they have as kept.

    Args:
        bench: the bench, open for one sitting.
    """

    QUICK_LINES = 2_000
    """Lines of all targets up to which working out takes no longer than a key may."""
    SHARED_FACTOR = 4
    """How much longer it takes where targets share a rank, for then all their lines hang together."""

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self._tried = WhatIf()
        self._kept: _Seen | None = None
        self._worked_out: _Seen | None = None
        self._known: dict[tuple[Outlook, object], object] = {}

    # What is tried out

    @property
    def _what_if(self) -> WhatIf:
        """What is being tried out, without what holds already by now."""
        self._tried = trimmed(self._bench.picture, self._tried)
        return self._tried

    @property
    def is_on(self) -> bool:
        """Whether anything is being tried out."""
        return not self._what_if.is_empty

    @property
    def words(self) -> str:
        """What is tried out, in words; empty if nothing is."""
        return what_if_words(self._bench.picture, self._what_if)

    @property
    def policy(self) -> Policy:
        """The policy; the other one while that is tried."""
        return self._what_if.policy or self._bench.policy

    def move(self, code: str, down: bool) -> bool:
        """Try a target one place up or down among the ranks; False where it is at the end already.

        Raises:
            DataError: no such target, or no rank is left for it.
        """
        return self._give(moved(self._ranks(code), code, down))

    def join(self, code: str) -> bool:
        """Try a target on the rank of those above it; False where none is above.

        Raises:
            DataError: no such target.
        """
        return self._give(joined(self._ranks(code), code))

    def _ranks(self, code: str) -> dict[str, int]:
        find_target(self._bench.picture, code)
        return {target.code: target.rank for target in self._bench.picture.targets} | dict(self._what_if.ranks)

    def _give(self, changed: dict[str, int]) -> bool:
        for rank in changed.values():
            check_rank(rank)
        self._tried = self._tried.with_ranks(changed)
        return bool(changed)

    def park(self, code: str) -> None:
        """Try a target parked, or no longer.

        Raises:
            DataError: no such target.
        """
        parked = self._what_if.parked.get(code, find_target(self._bench.picture, code).parked)
        self._tried = self._tried.with_parked(code, not parked)

    def stand_in(self, code: str, wanted: Kind, instead: Kind) -> None:
        """Try a stand-in refused for a target, or allowed again.

        Raises:
            DataError: no such target, or it does not stand in there.
        """
        target = find_target(self._bench.picture, code)
        check_stand_in(self._bench.picture, target, wanted, instead)
        tried = {each[:3]: each[3] for each in self._what_if.refused}
        refused = tried.get((code, wanted, instead), (wanted, instead) in target.refused)
        self._tried = self._tried.with_stand_in(code, wanted, instead, allowed=refused)

    def other_policy(self) -> None:
        """Try the other policy."""
        other = Policy.SHOWPIECE if self.policy is Policy.COMPLETE else Policy.COMPLETE
        self._tried = self._tried.with_policy(other)

    def let_go(self) -> None:
        """Try nothing any more."""
        self._tried = WhatIf()

    def keep(self) -> Notice:
        """Write what is tried out, all of it or nothing.

        Raises:
            DataError: a target, rank or stand-in that is none by now.
            BenchError: another program writes the documents.
            WriteError: the disk refused; nothing was changed.
        """
        notice = keep(self._bench, self._what_if)
        self._tried = WhatIf()
        return notice

    # What comes of it

    @property
    def _now(self) -> _State:
        picture = self._bench.picture
        return _State(picture, len(picture.ledger.records), self._what_if)

    def _before(self) -> _Seen:
        """The bench as it is kept."""
        now = self._now._replace(tried=WhatIf())
        if self._kept is None or not _alike(self._kept.state, now):
            outlook = Outlook(self._bench, WhatIf())
            self._kept = _Seen(now, outlook, outlook.targets())
        return self._kept

    def _after(self) -> _Seen | None:
        """The bench as it would be; None before that is worked out."""
        seen, now = self._worked_out, self._now
        if now.tried.is_empty:
            return self._before()
        return seen if seen is not None and _alike(seen.state, now) else None

    @property
    def is_worked_out(self) -> bool:
        """Whether what comes of what is tried out is known."""
        return self._after() is not None

    @property
    def is_quick(self) -> bool:
        """Whether :meth:`work_out` takes no longer than a key may."""
        picture, tried = self._bench.picture, self._what_if
        ranks = [target.rank for target in map(tried.applied, picture.targets) if not target.parked]
        lines = sum(len(target.lines) for target in picture.targets)
        return lines * (self.SHARED_FACTOR if len(set(ranks)) < len(ranks) else 1) <= self.QUICK_LINES

    def work_out(self) -> None:
        """Work out what comes of what is tried out.

        It only reads the bench, so that another thread may do it while keys are taken. What was worked out for a state
        that the bench has left meanwhile is not used; it may also fail then, with whatever error.
        """
        now = self._now
        if not now.tried.is_empty:
            outlook = Outlook(self._bench, now.tried)
            self._worked_out = _Seen(now, outlook, outlook.targets())

    def _once(self, what: object, outlook: Outlook, make: Callable[[], _Answer]) -> _Answer:
        """What was told of an outlook before, or is now."""
        key = outlook, what
        if key not in self._known:
            current = {seen.outlook for seen in (self._kept, self._worked_out) if seen is not None}
            self._known = {each: answer for each, answer in self._known.items() if each[0] in current}
            self._known[key] = make()
        return cast("_Answer", self._known[key])

    def targets(self) -> tuple[tuple[ReconcileTarget, ReconcileTarget], ...]:
        """All targets, each as it is kept and as it would be; in the order of the ranks they would have."""
        before, after = self._before().targets, self._after()
        kept = {target.code: target for target in before}
        if after is not None:
            return tuple((kept[target.code], target) for target in after.targets)
        ranks, parked = self._what_if.ranks, self._what_if.parked
        moved = [
            each._replace(rank=ranks.get(each.code, each.rank), parked=parked.get(each.code, each.parked))
            for each in before
        ]
        return tuple((kept[each.code], each) for each in sorted(moved, key=lambda each: (each.rank, each.code)))

    def lines(self, code: str) -> tuple[tuple[ReconcileLine, ReconcileLine], ...]:
        """The lines of a target, each as it is kept and as it would be.

        Raises:
            DataError: no such target.
        """
        before = self._before()
        outlooks = before.outlook, (self._after() or before).outlook
        first, second = (
            self._once(("lines", code), each, lambda each=each: each.lines(code))  # type: ignore[misc]
            for each in outlooks
        )
        return tuple(zip(first, second, strict=True))

    def spares(self) -> tuple[SpareHeap, ...]:
        """Every piece that no line would have."""
        outlook = (self._after() or self._before()).outlook
        return self._once("spares", outlook, outlook.spares)

    def spare_pieces(self) -> tuple[int, int]:
        """Pieces that no line has, and that none would have; without those whose kind nobody looked at."""
        before = self._before()
        first, second = (
            self._once("spare pieces", each.outlook, each.outlook.spare_pieces)
            for each in (before, self._after() or before)
        )
        return first, second

    def why(self, kind: Kind) -> tuple[str, ...]:
        """Why the pieces of a kind would go where they go, in plain words."""
        return (self._after() or self._before()).outlook.explain(kind)


def _alike(one: _State, other: _State) -> bool:
    return one.picture is other.picture and one[1:] == other[1:]
