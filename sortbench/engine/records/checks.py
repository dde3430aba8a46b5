"""What spot checks found wrong with the counts: the part of the records that no clock can tell."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from sortbench.engine.figures.success import Rate, rate
from sortbench.engine.spot_check.verdict import Standing, verdict_of
from sortbench.model.spot_check import SpotCheck


class CheckFigures(NamedTuple):
    """What one spot check found, or all of them together.

    Attributes:
        check: its number; empty for all together.
        at: when it was drawn, RFC 3339 in UTC; empty for all together.
        bin: label of the bin; empty for all together.
        looked: pieces that were looked at.
        sample: pieces that its plan wants looked at.
        wrong: of those looked at, pieces that are not as the count says.
        error: share of wrong ones, with its 95 % interval.
        standing: how it stands; None for all together.
    """

    check: str
    at: str
    bin: str
    looked: int
    sample: int
    wrong: int
    error: Rate
    standing: Standing | None

    @property
    def is_done(self) -> bool:
        """Whether its verdict stands."""
        return self.standing is not Standing.OPEN

    @property
    def broke_off(self) -> bool:
        """Whether it was refused before the whole sample was looked at: its share is rather too high."""
        return self.standing is Standing.REFUSED and self.looked < self.sample


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
            looked, sample = verdict.looked, verdict.plan.sample
            found.append(
                CheckFigures(
                    check.id, check.at, check.bin, looked, sample, verdict.faults, verdict.error, verdict.standing
                )
            )
    return tuple(found)


def checks_together(checks: Iterable[CheckFigures]) -> CheckFigures | None:
    """What all checks that are done found; None without any.

    Those that are not done are left out, for somebody who may stop where it suits finds what suits. Those that were
    refused before the whole sample was looked at are in: left out they would take the worst bins with them.

    The interval takes the pieces as drawn alike from all bins that were checked. It says nothing of other bins.
    """
    done = tuple(check for check in checks if check.is_done)
    looked, sample = sum(check.looked for check in done), sum(check.sample for check in done)
    wrong = sum(check.wrong for check in done)
    return CheckFigures("", "", "", looked, sample, wrong, rate(wrong, looked), None) if looked else None
