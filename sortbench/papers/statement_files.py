"""A statement as plain text, Markdown, one HTML page, and plain values for other programs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from textwrap import wrap
from typing import Any

from sortbench.engine.finishing.statement import Pieces, StatedLine, Statement
from sortbench.engine.finishing.statement_words import (
    HEADINGS,
    NUMBERS,
    about,
    list_rows,
    list_words,
    sections,
    verdict,
)
from sortbench.model.sheet_cells import PERIODS, grade_label, join_flaws
from sortbench.model.text import shown
from sortbench.papers.own_files import page_head, page_text, write_own_file

WIDTH = 80
"""Columns of the plain text."""

_TITLE = "Statement: "
_GENERATOR = '<meta name="generator" content="sortbench statement">'
_MARKDOWN = re.compile(r"[\\`*_{}\[\]<>#|~&]")

_STYLE = """
@page { size: A4; margin: 14mm 16mm; @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt; } }
* { box-sizing: border-box; }
html { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; color: #111; background: #fff;
  font: 10.5pt/1.4 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
@media print { body { padding: 0; max-width: none; } }
h1 { font-size: 16pt; margin: 0 0 1mm; }
h2 { font-size: 11.5pt; margin: 5mm 0 1mm; break-after: avoid; }
p { margin: 0 0 1.5mm; }
.verdict { font-weight: 600; border-left: 1mm solid #111; padding-left: 3mm; margin: 3mm 0; }
ul { margin: 0 0 1.5mm; padding-left: 5mm; }
table { width: 100%; border-collapse: collapse; }
thead { display: table-header-group; }
th { text-align: left; font-weight: 600; padding: 1mm 1.5mm; border-bottom: 0.5mm solid #111; vertical-align: bottom; }
td { padding: 0.8mm 1.5mm; border-bottom: 0.2mm solid #aaa; vertical-align: top; }
tr { break-inside: avoid; }
.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
"""


def text_of(statement: Statement) -> str:
    """A statement as plain text of at most `WIDTH` characters a line."""
    title = shown(_TITLE + statement.name)
    lines = [*wrap(title, WIDTH), "=" * min(WIDTH, len(title)), *_wrapped(about(statement)), ""]
    lines += _wrapped(verdict(statement))
    for section in sections(statement):
        lines += ["", section.title, "-" * len(section.title)]
        for words in section.said:
            lines += _wrapped(words)
        for item in section.items:
            lines += _wrapped(item, "- ")
    if rows := list_words(statement):
        lines += ["", "Line by line", "------------"]
        for number, words in rows:
            lines += _wrapped(words, f"{number:>4}  ")
    return "\n".join(lines) + "\n"


def _wrapped(words: str, lead: str = "") -> list[str]:
    return wrap(shown(words), WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead)) or [lead.rstrip()]


def markdown_of(statement: Statement) -> str:
    """A statement as Markdown; no name in it is taken for markup."""
    lines = [f"# {_TITLE}{_marked(statement.name)}", "", _marked(about(statement)), ""]
    lines += [f"**{_marked(verdict(statement))}**", ""]
    for section in sections(statement):
        lines += [f"## {section.title}", ""]
        for words in section.said:
            lines += [_marked(words), ""]
        if section.items:
            lines += [*(f"- {_marked(item)}" for item in section.items), ""]
    if rows := list_rows(statement):
        lines += ["## Line by line", "", _table_line(HEADINGS)]
        lines.append(_table_line(["---:" if head in NUMBERS else "---" for head in HEADINGS]))
        lines += [_table_line([_marked(cell) for cell in row]) for row in rows] + [""]
    return "\n".join(lines[:-1]) + "\n"


def _table_line(cells: tuple[str, ...] | list[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _marked(text: str) -> str:
    return _MARKDOWN.sub(r"\\\g<0>", shown(text))


def page_of(statement: Statement) -> str:
    """A statement as one HTML page that needs nothing else: no scripts, no pictures, nothing from a network."""
    title = _TITLE + statement.name
    lines = [
        *page_head(title, _GENERATOR, _STYLE),
        f"<h1>{page_text(title)}</h1>",
        f"<p>{page_text(about(statement))}</p>",
        f'<p class="verdict">{page_text(verdict(statement))}</p>',
        *_page_sections(statement),
        *_page_list(statement),
        "</body>",
        "</html>",
    ]
    return "\n".join(lines) + "\n"


def _page_sections(statement: Statement) -> Iterator[str]:
    for section in sections(statement):
        yield f"<h2>{page_text(section.title)}</h2>"
        yield from (f"<p>{page_text(words)}</p>" for words in section.said)
        if section.items:
            yield f"<ul>{''.join(f'<li>{page_text(item)}</li>' for item in section.items)}</ul>"


def _page_list(statement: Statement) -> Iterator[str]:
    if rows := list_rows(statement):
        kinds = [" class=n" if head in NUMBERS else "" for head in HEADINGS]
        heads = "".join(f'<th scope="col"{kind}>{head}</th>' for kind, head in zip(kinds, HEADINGS, strict=True))
        yield f"<h2>Line by line</h2>\n<table><thead><tr>{heads}</tr></thead><tbody>"
        for row in rows:
            cells = "".join(f"<td{kind}>{page_text(cell)}</td>" for kind, cell in zip(kinds, row, strict=True))
            yield f"<tr>{cells}</tr>"
        yield "</tbody></table>"


def mapping_of(statement: Statement) -> dict[str, Any]:
    """A statement as plain values, the same that the sentences are made of."""
    washing, counting, checking = statement.washing, statement.counting, statement.checking
    return {
        "target": statement.code,
        "name": statement.name,
        "year": statement.year,
        "date": statement.on,
        "as_shared": statement.as_shared,
        "complete": statement.complete,
        "need": statement.need,
        "present": statement.present,
        "short": statement.short,
        "stand_ins": statement.stand_ins,
        "period": {PERIODS[period]: statement.of_period(period) for period in (True, False, None)},
        "grades": [{"grade": grade_label(grade) or None, "quantity": n} for grade, n in statement.grades],
        "flaws": [{"flaw": flaw.value, "quantity": n} for flaw, n in statement.flaws],
        "flawed": statement.flawed,
        "below_lowest": statement.below_lowest,
        "lines": [_line_mapping(line) for line in statement.lines],
        "surplus": [_pieces_mapping(each) for each in statement.surplus],
        "waiting": [_pieces_mapping(each) for each in statement.waiting],
        "treated": [
            {
                "part": each.kind.part,
                "shade": each.kind.shade,
                "quantity": each.quantity,
                "at_least": each.least,
                "at_most": each.most,
            }
            for each in statement.treated
        ],
        "washing": {
            "batches": [
                {
                    "code": each.code,
                    "name": each.name or None,
                    "stages": [stage.value for stage in each.stages],
                    "dry": each.dry or None,
                }
                for each in washing.batches
            ],
            "scrubbed": washing.scrubbed,
        },
        "counting": counting._asdict()
        | {
            "ways": [{"way": way, "quantity": pieces} for way, pieces in counting.ways],
            "first": counting.first or None,
            "last": counting.last or None,
            "spot_checks": len(checking.samples),
            "checks": [note._asdict() for note in checking.samples],
            "recounts": [note._asdict() for note in checking.recounts],
            "kinds": checking.kinds,
            "kinds_checked": checking.covered,
        },
        "impossible": list(statement.impossible),
    }


def _line_mapping(line: StatedLine) -> dict[str, Any]:
    return {
        "line": line.number,
        "part": line.kind.part,
        "shade": line.kind.shade,
        "name": line.name,
        "need": line.need,
        "present": line.present,
        "short": line.short,
        "lowest": line.lowest.label,
        "pieces": [
            _pieces_mapping(each) | {"cost": each.cost, "period": PERIODS[each.period], "to_standard": each.standard}
            for each in line.pieces
        ],
    }


def _pieces_mapping(pieces: Pieces) -> dict[str, Any]:
    return {
        "part": pieces.kind.part or None,
        "shade": pieces.kind.shade or None,
        "name": pieces.name,
        "quantity": pieces.quantity,
        "grade": grade_label(pieces.grade) or None,
        "flaw": join_flaws(pieces.flaws) or None,
    }


def write_statement(path: Path, text: str, *, overwrite: bool = False) -> None:
    """Write a statement that `text_of`, `markdown_of` or `page_of` made. An earlier one in its place is replaced.

    Raises:
        UsageError, WriteError, BenchError: see :func:`sortbench.papers.own_files.write_own_file`.
    """
    start = "# " * text.startswith("# ") + _TITLE.rstrip()
    if _GENERATOR in text:
        start = text[: text.index(_GENERATOR) + len(_GENERATOR)]
    write_own_file(path, text.encode(), start.encode(), "statement", overwrite=overwrite)
