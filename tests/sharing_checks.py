"""A :class:`Fill` held against a case: what it gave to whom, whether its figures agree, and what moved."""

from __future__ import annotations

from collections.abc import Mapping

from reference_sharing import Allocation, Case, LineId, Problem, Supply, Value, accepted, period

from sortbench.engine.fill import Fill
from sortbench.model.catalogue import Kind
from sortbench.model.tally import Cell


def fill_of(case: Case, before: Fill | None = None) -> Fill:
    """The sharing under test."""
    return Fill(
        case.targets,
        case.catalogue,
        lambda kind: case.cells.get(kind, {}),
        swaps=case.swaps,
        policy=case.policy,
        reserved=lambda kind: case.reserved.get(kind, {}),
        before=before,
    )


def allocation_of(fill: Fill) -> dict[tuple[Supply, LineId], int]:
    """Which pieces lie in which line."""
    found = {}
    for one in fill.all():
        for number, line in enumerate(one.lines):
            for share in line.shares:
                place = Supply(*share.piece), (one.target.code, number)
                assert place not in found, f"{place} told twice"
                found[place] = share.quantity
    return found


def moved(old: Allocation, new: Allocation) -> int:
    """Pieces that left the line where they were."""
    return sum(max(0, n - new.get(place, 0)) for place, n in old.items())


def differences(problem: Problem, values: list[Value], fill: Fill) -> list[str]:
    """Where a fill's pieces cannot lie so, its figures disagree with them, or a criterion is not at its optimum."""
    allocation = allocation_of(fill)
    found = problem.faults(allocation) + figure_faults(problem.case, fill)
    got = problem.measure(allocation)
    if got != values:
        best, ours = next((a, b) for a, b in zip(values, got, strict=True) if a != b)
        found.append(f"{best.what} of rank {best.rank}: {ours.value}, best {best.value}")
    return found


def figure_faults(case: Case, fill: Fill) -> list[str]:
    """Figures of lines and targets that do not follow from the pieces told beside them."""
    found = []
    for one in fill.all():
        target, where = one.target, one.target.code
        for number, line in enumerate(one.lines):
            costs = accepted(line.line, target, case.swaps)
            unknown = 0
            for share in line.shares:
                right = period(case.catalogue, share.piece.kind, target.year)
                unknown += share.quantity if right is None else 0
                good = right is True and share.piece.level >= line.line.lowest
                told = share.cost, share.standard, share.period
                if told != (costs.get(share.piece.kind), good, right):
                    found.append(f"{where} line {number + 1}: {share} has cost, standard, period {told}")
            got = line.line, line.present, line.standard, line.stand_ins, line.unknown, line.period, line.short
            counted = (
                target.lines[number],
                sum(share.quantity for share in line.shares),
                sum(share.quantity for share in line.shares if share.standard),
                sum(share.quantity for share in line.shares if share.cost),
                unknown,
                period(case.catalogue, line.line.kind, target.year),
                line.line.quantity - sum(share.quantity for share in line.shares),
            )
            if got != counted:
                found.append(f"{where} line {number + 1} tells {got}, its pieces say {counted}")
        lines = one.lines
        figures = one.need, one.present, one.standard, one.stand_ins, one.lines_complete, one.period_unknown, one.short
        summed = (
            sum(line.quantity for line in target.lines),
            sum(line.present for line in lines),
            sum(line.standard for line in lines),
            sum(line.stand_ins for line in lines),
            sum(line.present == line.line.quantity for line in lines),
            sum(line.unknown for line in lines),
            sum(line.short for line in lines),
        )
        if figures != summed:
            found.append(f"{where} tells {figures}, its lines say {summed}")
        if target.parked and one.present:
            found.append(f"{where} is parked and has {one.present} pieces")
    return found


def with_cells(case: Case, kind: Kind, cells: Mapping[Cell, int]) -> Case:
    """The case with other heaps of one kind."""
    return Case(case.targets, case.catalogue, {**case.cells, kind: dict(cells)}, case.swaps, case.policy, case.reserved)


def told(case: Case) -> str:
    """A case in a few lines, for a failing test to print."""
    lines = [f"policy {case.policy}"]
    for target in sorted(case.targets, key=lambda t: (t.rank, t.code)):
        extra = " parked" * target.parked + (f" refused {target.refused}" if target.refused else "")
        lines.append(f"{target.code} rank {target.rank} year {target.year}{extra}")
        for line in target.lines:
            stand_ins = ", ".join(f"{kind} ({cost})" for kind, cost in line.stand_ins)
            lines.append(f"  {line.quantity} {line.kind} from {line.lowest.label}" + (stand_ins and f" or {stand_ins}"))
    lines += [f"{swap.of} {swap.wanted} -> {swap.instead} ({swap.cost})" for swap in case.swaps]
    for kind, cells in case.cells.items():
        for cell, count in cells.items():
            grade = cell.grade.label if cell.grade else "no grade"
            lines.append(f"{count} x {kind} {grade} {[*map(str, cell.flaws)]} {cell.fate} {cell.bin}")
    lines += [f"reserved {kind}: {held}" for kind, held in case.reserved.items()]
    for shade in case.catalogue.shades.values():
        lines.append(f"{shade.name}: {shade.years}")
    for part in case.catalogue.parts.values():
        lines.append(f"{part.code}: {part.years}")
    return "\n".join(lines)
