"""What would improve a line: why it is not complete and to standard, turned into what to look for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sortbench.engine.fill import LineFill, Share
from sortbench.model.catalogue import Catalogue, Kind
from sortbench.model.target import Target


def improvements(catalogue: Catalogue, target: Target, line: LineFill, stand_ins: Iterable[Kind]) -> tuple[str, ...]:
    """What would improve a line of a target, what weighs most first.

    Args:
        stand_ins: kinds that may stand in on it.
    """
    return tuple(_improvements(catalogue, target, line, stand_ins))


def _improvements(catalogue: Catalogue, target: Target, line: LineFill, stand_ins: Iterable[Kind]) -> Iterator[str]:
    asked = line.line
    if target.parked:
        yield f"{target.name} no longer parked: it takes nothing for now"
    if line.short:
        others = ", or ".join(kind_words(catalogue, kind) for kind in stand_ins)
        yield f"{line.short:,} more {kind_words(catalogue, asked.kind)}" + (f"; or {others}" if others else "")
    for share in line.shares:
        if share.cost:
            yield (
                f"{share.quantity:,} {kind_words(catalogue, asked.kind)}, "
                f"for the {kind_words(catalogue, share.piece.kind)} that {_stands(share.quantity)} in"
            )
    if wrong := _count(share for share in line.shares if share.period is False):
        yield f"{wrong:,} of a kind made in {target.year}, for {_these(wrong)} not right for that year"
    if unknown := sorted({share.piece.kind for share in line.shares if share.period is None}):
        yield "to know the years: of " + " and ".join(_without_years(catalogue, target, unknown))
    if flawed := _count(share for share in line.shares if share.piece.flaws):
        flaws = sorted({flaw.value for share in line.shares for flaw in share.piece.flaws})
        yield f"{flawed:,} without a flaw, for {_these(flawed)} ({', '.join(flaws)})"
    if ungraded := _count(share for share in line.shares if share.piece.grade is None):
        yield f"to have {ungraded:,} graded"
    low: dict[str, int] = {}
    for share in line.shares:
        grade = share.piece.grade
        if grade is not None and grade < asked.lowest:
            low[grade.label] = low.get(grade.label, 0) + share.quantity
    for label, quantity in low.items():
        yield f"{quantity:,} of grade {asked.lowest.label} or better, for {_these(quantity)} of grade {label}"
    if unwashed := _count(share for share in line.shares if not share.piece.ready):
        yield f"to have {unwashed:,} washed"


def kind_words(catalogue: Catalogue, kind: Kind) -> str:
    """A kind in words: ``plate 2x4 in red``."""
    return f"{catalogue.part_name(kind.part)} in {kind.shade}"


def _without_years(catalogue: Catalogue, target: Target, kinds: Iterable[Kind]) -> list[str]:
    """Names of what the years are not known of: the target, or parts and shades."""
    if target.year is None:
        return [target.name]
    names: dict[str, None] = {}
    for kind in kinds:
        part, shade = catalogue.parts.get(kind.part), catalogue.shades.get(kind.shade)
        if part is None or part.years.holds(target.year) is None:
            names[catalogue.part_name(kind.part)] = None
        if shade is None or shade.years.holds(target.year) is None:
            names[kind.shade] = None
    return list(names)


def _count(shares: Iterable[Share]) -> int:
    return sum(share.quantity for share in shares)


def _stands(quantity: int) -> str:
    return "stands" if quantity == 1 else "stand"


def _these(quantity: int) -> str:
    return "1 piece" if quantity == 1 else f"{quantity:,} pieces"
