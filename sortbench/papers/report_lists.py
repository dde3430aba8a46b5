"""The long lists of a report: line by line what targets lack, heap by heap what is spare."""

from __future__ import annotations

from collections.abc import Iterator

from sortbench.desks.report_desk import BenchReport, LackRow, SpareHeap
from sortbench.model.sheet_cells import grade_label, join_flaws
from sortbench.papers.own_files import page_text
from sortbench.papers.page_parts import cell_text
from sortbench.papers.report_drawings import swatch
from sortbench.papers.report_sections import pieces, rows_table


def missing(report: BenchReport) -> Iterator[str]:
    """Lines that lack pieces or have some that are not to standard, target by target."""
    found = [each for each in report.figures.targets if each.lacks]
    if not found:
        done = "Nothing: every target is complete, and to standard." if report.figures.targets else "No targets yet."
        yield f"<p>{done}</p>"
        return
    yield (
        '<p class="lead">Lines that lack pieces, and lines with pieces that are there but not to standard: too low a '
        "grade, a flaw, or a kind that is not right for the set's year.</p>"
    )
    heads = (("line", "n"), ("part", ""), ("shade", ""), ("lowest", ""), ("asked", "n"), ("present", "n"))
    for each in found:
        row = each.row
        lines = sum(bool(lack.short) for lack in each.lacks)
        yield f"<h3>{page_text(f'{row.name} ({row.code})')}</h3>"
        words = f"{pieces(row.short)} short on {lines:,} {'line' if lines == 1 else 'lines'}"
        if below := row.present - row.standard:
            words += f"; {below:,} present and not to standard"
        yield f"<p class=lead>{words}{'; parked, so it takes nothing for now' if row.parked else ''}.</p>"
        yield from rows_table((*heads, ("short", "n"), ("not to standard", "n")), (_lack(lack) for lack in each.lacks))


def _lack(row: LackRow) -> list[str]:
    return [
        str(row.number),
        cell_text(row.name),
        swatch(row.rgb) + cell_text(row.shade),
        row.lowest.label,
        f"{row.need:,}",
        f"{row.present:,}",
        f"<b>{row.short:,}</b>" if row.short else "",
        f"{row.below:,}" if row.below else "",
    ]


def spares(report: BenchReport) -> Iterator[str]:
    """Pieces that no line of a target has, and where they lie."""
    found = report.figures.spares
    if not found:
        yield "<p>Nothing: a target has every piece that was counted by its kind.</p>"
        return
    yield f"<p>{pieces(sum(heap.quantity for heap in found))} that no target needs.</p>"
    heads = (("part", ""), ("shade", ""), ("condition", ""), ("pieces", "n"), ("lie in", ""))
    yield from rows_table(heads, (_spare(heap) for heap in found))


def _spare(heap: SpareHeap) -> list[str]:
    grade = f"grade {grade_label(heap.grade)}" if heap.grade else "not graded"
    condition = ", ".join(filter(None, (grade, join_flaws(heap.flaws), "" if heap.ready else "to wash")))
    places = ", ".join(f"{place.words}: {place.quantity:,}" for place in heap.places)
    if len(heap.places) == 1:
        places = heap.places[0].words
    only = f"; only for {heap.only}" if heap.only else ""
    return [
        cell_text(heap.name),
        swatch(heap.rgb) + cell_text(heap.kind.shade),
        cell_text(condition),
        f"{heap.quantity:,}",
        cell_text(places + only),
    ]
