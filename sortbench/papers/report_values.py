"""A report of a bench as plain values for other programs."""

from __future__ import annotations

from typing import Any

from sortbench.bench import Bench
from sortbench.desks.report_desk import BenchReport
from sortbench.desks.sheet_desk import bin_rows, shortfall_rows, spare_rows, target_rows
from sortbench.model.sheet import as_mapping
from sortbench.model.sheet_cells import grade_label
from sortbench.papers.records_page import mappings_of
from sortbench.sitting import stamp


def mapping_of(bench: Bench, report: BenchReport) -> dict[str, Any]:
    """A report as plain values; its tables have the columns of the count sheet.

    Args:
        bench: the bench, unchanged since the report was made.
        report: what it says.
    """
    figures, pile = report.figures, report.pile
    left = pile.less(report.of_pile) if pile else None
    over = {each.row.label: each for each in figures.bins}
    return {
        "bench": report.name,
        "at": stamp(report.at),
        "quantity": figures.pieces,
        "kinds": figures.kinds,
        "pile": pile._asdict() if pile else None,
        "left": left._asdict() if left else None,
        "whereabouts": {
            "to_standard": figures.whereabouts.standard,
            "below_standard": figures.whereabouts.below,
            "spare": figures.whereabouts.spare,
            "coarse": figures.whereabouts.coarse,
            "discarded": figures.whereabouts.out,
        },
        "to_wash": figures.waiting,
        "impossible": list(figures.impossible),
        "targets": [
            as_mapping(row) | {"stand_ins": each.row.stand_ins, "possible": each.row.possible, "in_crate": each.crated}
            for row, each in zip(target_rows(bench), figures.targets, strict=True)
        ],
        "bins": [
            as_mapping(row)
            | {
                "over": over[row.bin].row.over,
                "over_g": round(over[row.bin].row.over_g, 3),
                "proposal": over[row.bin].proposal or None,
                "shades": {each.shade: each.pieces for each in over[row.bin].shades},
            }
            for row in bin_rows(bench)
        ],
        "shades": [{"shade": each.shade, "rgb": each.rgb, "quantity": each.pieces} for each in figures.shades],
        "grades": [{"grade": grade_label(grade), "quantity": count} for grade, count in figures.grades],
        "flaws": [{"flaw": flaw.value, "quantity": count} for flaw, count in figures.flaws],
        "flawed": figures.flawed,
        "shortfall": [as_mapping(row) for row in shortfall_rows(bench)],
        "spares": [as_mapping(row) for row in spare_rows(bench)],
        "batches": [
            {
                "batch": each.code,
                "name": each.name or None,
                "stage": each.stage.value if each.stage else None,
                "since": each.since.isoformat() if each.since else None,
                "due": each.at.isoformat() if each.at else None,
                "words": each.words,
            }
            for each in report.batches
        ],
        "records": mappings_of(report.records),
    }
