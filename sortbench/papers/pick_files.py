"""A pick list on paper and in a spreadsheet: one HTML page to print, or a table of comma-separated values."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path

from sortbench.engine.reconciling.pick_list import PickList, PickRow
from sortbench.model.errors import DataError
from sortbench.model.sheet_cells import JOINT, Value, grade_label, join_flaws
from sortbench.model.sheet_sharing import PickSheetRow
from sortbench.model.tally import Fate
from sortbench.papers.own_files import page_head, page_text, write_own_file
from sortbench.store.tables import guard_formula

_HEADER = ",".join(PickSheetRow._fields) + "\r\n"
_GENERATOR = '<meta name="generator" content="sortbench pick list">'
_RGB = re.compile(r"[0-9a-f]{6}")

_STYLE = """
@page { size: A4; margin: 12mm 14mm; @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt; } }
* { box-sizing: border-box; }
html { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; color: #111; background: #fff;
  font: 10.5pt/1.35 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; }
@media print { body { padding: 0; max-width: none; } }
h1 { font-size: 16pt; margin: 0 0 1mm; }
p { margin: 0 0 2mm; }
table { width: 100%; border-collapse: collapse; margin-top: 3mm; }
thead { display: table-header-group; }
th { text-align: left; font-weight: 600; padding: 1mm 1.5mm; border-bottom: 0.5mm solid #111; vertical-align: bottom; }
td { padding: 0.8mm 1.5mm; border-bottom: 0.2mm solid #aaa; vertical-align: top; overflow-wrap: break-word; }
tr { break-inside: avoid; }
tbody th { padding-top: 4mm; border-bottom: 0.3mm solid #111; break-after: avoid; }
.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.box { display: inline-block; width: 4.5mm; height: 4.5mm; border: 0.4mm solid #111; text-align: center;
  font-weight: 700; line-height: 3.7mm; }
.swatch { display: inline-block; width: 3.2mm; height: 3.2mm; margin-right: 1.5mm; border: 0.2mm solid #111;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.done td { color: #666; }
.note { font-style: italic; }
"""


def sheet_rows(picks: PickList, rows: Iterable[PickRow] | None = None) -> tuple[PickSheetRow, ...]:
    """The rows of a list, or some of them, as plain values."""
    return tuple(_sheet_row(picks.code, row) for row in (picks.rows if rows is None else rows))


def _sheet_row(code: str, row: PickRow) -> PickSheetRow:
    stands_in_for = {f"{use.wanted.part}, {use.wanted.shade}": None for use in row.uses if use.cost}
    return PickSheetRow(
        done=row.ticked,
        number=row.number,
        bin="" if row.cell.fate is Fate.CRATE else row.cell.bin,
        place=row.place,
        fate=row.cell.fate.value,
        left=row.left,
        picked=row.picked,
        quantity=row.quantity,
        part=row.kind.part,
        name=row.name,
        shade=row.kind.shade,
        grade=grade_label(row.grade),
        flaw=join_flaws(row.flaws),
        lines=JOINT.join(dict.fromkeys(str(use.line) for use in row.uses)),
        stands_in_for=JOINT.join(stands_in_for),
        target=code,
    )


def table_of(picks: PickList, rows: Iterable[PickRow] | None = None) -> bytes:
    """A list as comma-separated values (RFC 4180, UTF-8); texts that a spreadsheet would run are guarded."""
    out = io.StringIO(newline="")
    out.write(_HEADER)
    writer = csv.writer(out, lineterminator="\r\n")
    for row in sheet_rows(picks, rows):
        writer.writerow([_cell(value) for value in row])
    return out.getvalue().encode()


def _cell(value: Value) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return guard_formula(value) if isinstance(value, str) else str(value)


def page_of(picks: PickList, written: datetime, rows: Iterable[PickRow] | None = None) -> bytes:
    """A list as one HTML page that needs nothing else: no scripts, no pictures, nothing from a network.

    Args:
        written: time of writing, with a time zone.
    """
    shown_rows = picks.rows if rows is None else tuple(rows)
    title = f"Pick list: {picks.name}"
    about = [picks.code, *([str(picks.year)] if picks.year else []), f"list {picks.mark}"]
    about.append(f"written {written.astimezone(UTC):%Y-%m-%d %H:%M} UTC")
    lines = [
        *page_head(title, _GENERATOR, _STYLE),
        f"<h1>{page_text(title)}</h1>",
        f"<p>{page_text(' · '.join(about))}</p>",
        f"<p>{page_text(summary(picks))}</p>",
        *(_table(shown_rows) if shown_rows else ()),
        "</body>",
        "</html>",
    ]
    return ("\n".join(lines) + "\n").encode()


def summary(picks: PickList) -> str:
    """How far a list is worked off, in a sentence."""
    if picks.parked:
        return f"{picks.name} is parked: it takes nothing." + _too_many(picks)
    rows = sum(not row.ticked for row in picks.rows)
    words = f"{picks.left:,} pieces to pick in {rows:,} rows" if picks.left else "Nothing is left to pick"
    words += f"; {picks.picked:,} in the crate."
    if picks.short:
        words += f" {picks.short:,} more are asked for and not there."
    return words + _too_many(picks)


def _too_many(picks: PickList) -> str:
    return f" {picks.surplus:,} in the crate are needed by no line." if picks.surplus else ""


def note(row: PickRow) -> str:
    """What is to be known of a row beyond its columns; empty if nothing is."""
    words = []
    if row.left and row.picked:
        words.append(f"{row.picked:,} more in the crate already")
    wanted = {f"{use.wanted_name}, {use.wanted.shade}": None for use in row.uses if use.cost}
    if wanted:
        words.append(f"stands in for {'; '.join(wanted)}")
    if row.surplus:
        words.append(f"{row.surplus:,} in the crate needed by no line")
    return "; ".join(words)


def _table(rows: Iterable[PickRow]) -> Iterator[str]:
    heads = ("", "row", "pieces", "piece", "shade", "grade", "flaws", "line", "note")
    numbers = {"row", "pieces"}
    cells = "".join(f'<th scope="col"{" class=n" if head in numbers else ""}>{head}</th>' for head in heads)
    yield f"<table><thead><tr>{cells}</tr></thead>"
    for (where, place), group in groupby(rows, key=lambda row: (row.where, row.place)):
        head = f"{where}, {place}" if place else where
        yield f'<tbody><tr><th colspan="{len(heads)}" scope="rowgroup">{page_text(head)}</th></tr>'
        for row in group:
            yield _table_row(row)
        yield "</tbody>"
    yield "</table>"


def _table_row(row: PickRow) -> str:
    tick = "✓" if row.ticked else ""
    words = "picked" if row.ticked else "to pick"
    pieces = f"{row.left or row.picked:,}"
    # The value goes into a style: anything but six hex digits is left out.
    swatch = f'<span class="swatch" style="background:#{row.rgb}"></span>' if _RGB.fullmatch(row.rgb) else ""
    lines = ", ".join(dict.fromkeys(str(use.line) for use in row.uses))
    cells = (
        f'<td><span class="box" role="img" aria-label="{words}">{tick}</span></td>',
        f'<td class="n">{row.number}</td>',
        f'<td class="n">{pieces}</td>',
        f"<td>{page_text(row.name)}</td>",
        f"<td>{swatch}{page_text(row.kind.shade)}</td>",
        f"<td>{grade_label(row.grade)}</td>",
        f"<td>{page_text(', '.join(flaw.value for flaw in row.flaws))}</td>",
        f"<td>{lines}</td>",
        f'<td class="note">{page_text(note(row))}</td>',
    )
    return f"<tr{' class=done' if row.ticked else ''}>{''.join(cells)}</tr>"


def write_pick_file(path: Path, data: bytes, *, overwrite: bool = False) -> None:
    """Write a list to a file. An earlier pick list of the same sort in its place is replaced.

    Raises:
        UsageError, WriteError, BenchError: see :func:`sortbench.papers.own_files.write_own_file`.
    """
    start = _HEADER.encode()
    if not data.startswith(start):
        start = data[: data.index(_GENERATOR.encode()) + len(_GENERATOR)]
    write_own_file(path, data, start, "pick list", overwrite=overwrite)


def check_mark(picks: PickList, mark: str) -> None:
    """Refuse a list that is not the one somebody has in hand.

    Raises:
        DataError: its rows are others by now.
    """
    if mark.casefold() != picks.mark:
        raise DataError(
            f"The list of {picks.name} changed: it is {picks.mark} now, not {mark[:20]}.",
            "Write it anew, and tick by its numbers.",
        )
