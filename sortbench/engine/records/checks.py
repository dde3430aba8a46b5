"""What spot checks found wrong with the counts: the part of the records that no clock can tell."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from sortbench.engine.figures.success import Rate, rate
from sortbench.engine.spot_check.verdict import verdict_of
from sortbench.model.spot_check import SpotCheck


class CheckFigures(NamedTuple):
    """What one spot check found, or all of them together.

    Attributes:
        check: its number; empty for all together.
        at: when it was drawn, RFC 3339 in UTC; empty for all together.
        bin: label of the bin; empty for all together.
        looked: pieces that were looked at.
        wrong: of these, pieces that are not as the count says.
        error: share of wrong ones, with its 95 % interval.
    """

    check: str
    at: str
    bin: str
    looked: int
    wrong: int
    error: Rate


def checks_of(
    checks: Iterable[SpotCheck], family_of: Callable[[str], str] = lambda part: ""
) -> tuple[CheckFigures, ...]:
    """What was found by each check that holds and has looked at pieces, whether or not it is done.

    Args:
        family_of: the shape family of a part, by its code.
    """
    found = []
    for check in checks:
        verdict = verdict_of(check, family_of) if not check.struck else None
        if verdict is not None and verdict.error is not None:
            figures = CheckFigures(check.id, check.at, check.bin, verdict.looked, verdict.faults, verdict.error)
            found.append(figures)
    return tuple(found)


def checks_together(checks: Iterable[CheckFigures]) -> CheckFigures | None:
    """What all checks found; None without any.

    The interval takes the pieces as drawn alike from all bins that were checked. It says nothing of other bins.
    """
    checks = tuple(checks)
    looked, wrong = sum(check.looked for check in checks), sum(check.wrong for check in checks)
    return CheckFigures("", "", "", looked, wrong, rate(wrong, looked)) if looked else None
