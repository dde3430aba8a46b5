"""What the user says of targets by hand: their rank and value, what is parked, which stand-ins are refused, the policy.

Each of these changes the documents and lets the bench read them anew.
"""

from __future__ import annotations

from collections.abc import Callable

from sortbench.desk import Desk
from sortbench.engine.board import Notice
from sortbench.engine.reconciling.what_if import check_rank, check_stand_in, find_target
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.target import Policy, Target, checked_value, refusals_of


def set_rank(bench: Desk, code: str, rank: int) -> Notice:
    """Give a target a rank, 1 to MAX_RANK; targets of one rank are filled evenly.

    Raises:
        DataError: no such target, or no such rank.
        WriteError: the disk refused; nothing was changed.
    """
    check_rank(rank)
    target = _change(bench, code, lambda target: target._replace(rank=rank))
    beside = [each.name for each in bench.picture.targets if each.rank == rank and each.code != code]
    return Notice(f"{target.name} has rank {rank}" + (f", beside {', '.join(beside)}" if beside else ""))


def park(bench: Desk, code: str, yes: bool) -> Notice:
    """Let a target take nothing for now, or take pieces again.

    Raises:
        DataError: no such target.
        WriteError: the disk refused; nothing was changed.
    """
    target = _change(bench, code, lambda target: target._replace(parked=yes))
    return Notice(f"{target.name} is parked: it takes nothing for now" if yes else f"{target.name} takes pieces again")


def set_value(bench: Desk, code: str, value: int | None) -> Notice:
    """Say what a finished target is worth, in whole units of money, 0 to MAX_VALUE; None forgets it.

    Raises:
        DataError: no such target, or no such value.
        WriteError: the disk refused; nothing was changed.
    """
    value = checked_value(value)
    target = _change(bench, code, lambda target: target._replace(value=value))
    return Notice(
        f"{target.name} is worth {value:,}" if value is not None else f"nothing is said of {target.name}'s worth"
    )


def refuse_stand_in(bench: Desk, code: str, wanted: Kind, instead: Kind, yes: bool) -> Notice:
    """Refuse a stand-in on one target, or allow it again.

    Args:
        code: of the target.
        wanted: the kind that its list asks for.
        instead: the kind that may not stand in for it.
        yes: refuse it; else allow it again.

    Raises:
        DataError: no such target, its list does not ask for that kind, or that may not stand in for it anyway.
        WriteError: the disk refused; nothing was changed.
    """
    target = find_target(bench.picture, code)
    pair = wanted, instead
    if yes:
        check_stand_in(bench.picture, target, wanted, instead)
    _change(
        bench,
        code,
        lambda target: target._replace(
            refused=refusals_of([*target.refused, pair]) if yes else tuple(p for p in target.refused if p != pair)
        ),
    )
    name = bench.catalogue.part_name
    words = f"{name(instead.part)} {instead.shade} for {name(wanted.part)} {wanted.shade}"
    return Notice(f"{target.name} {'refuses' if yes else 'allows'} {words}")


def set_policy(bench: Desk, policy: Policy) -> Notice:
    """Say what counts for more when pieces are shared.

    Raises:
        WriteError: the disk refused; nothing was changed.
    """
    with bench.folder.documents.edit() as draft:
        draft.settings["policy"] = policy.value
    bench.reload()
    return Notice(f"policy: {policy.value}")


def _change(bench: Desk, code: str, change: Callable[[Target], Target]) -> Target:
    find_target(bench.picture, code)
    with bench.folder.documents.edit() as draft:
        if code not in draft.targets:
            raise DataError(f"The target {code!r} was taken off the bench meanwhile.", "Look at the targets anew.")
        draft.targets[code] = changed = change(draft.targets[code])
    bench.reload()
    return changed
