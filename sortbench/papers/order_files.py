"""An order as a text to send, a table of comma-separated values, one HTML page, and plain values for other programs.

What goes to a seller names offers, pieces and prices: neither targets nor notes, which are the user's own.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from sortbench.engine.finishing.orders import OrderState, totals
from sortbench.model.catalogue import Kind
from sortbench.model.order import Order, OrderLine, Outcome
from sortbench.model.sheet_cells import grade_label, join_flaws
from sortbench.model.text import shown
from sortbench.papers.own_files import kept_folder, page_head, page_text, write_own_file
from sortbench.store.tables import guard_formula

FOLDER = "orders"
"""Folder within a bench for orders that were written there."""

_COLUMNS = ("order", "seller", "line", "offer", "quantity", "part", "name", "shade", "grade", "flaw", "price")
_HEADER = ",".join([*_COLUMNS, "currency", "amount"]) + "\r\n"
_GENERATOR = '<meta name="generator" content="sortbench order">'
_GRADES = "Grades are those of the grey scale for change in colour: 5 is no change, 1 the most."

_STYLE = """
@page { size: A4; margin: 14mm 16mm; @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt; } }
* { box-sizing: border-box; }
html { color-scheme: light; }
body { margin: 0 auto; max-width: 190mm; padding: 4mm; color: #111; background: #fff;
  font: 10.5pt/1.4 system-ui, "Segoe UI", Roboto, "Liberation Sans", sans-serif; overflow-wrap: break-word; }
@media print { body { padding: 0; max-width: none; } }
h1 { font-size: 16pt; margin: 0 0 1mm; }
p { margin: 0 0 1.5mm; }
table { width: 100%; border-collapse: collapse; margin: 3mm 0; }
thead { display: table-header-group; }
th { text-align: left; font-weight: 600; padding: 1mm 1.5mm; border-bottom: 0.5mm solid #111; vertical-align: bottom; }
td { padding: 0.8mm 1.5mm; border-bottom: 0.2mm solid #aaa; vertical-align: top; }
tr { break-inside: avoid; }
.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.box { display: inline-block; width: 4.5mm; height: 4.5mm; border: 0.4mm solid #111; }
"""

NameOf = Callable[[Kind], str]
"""Gives a kind's part in words."""


def text_of(order: Order, name_of: NameOf) -> str:
    """The order as a plain text to send."""
    rows = [
        (
            f"{line.quantity:,} x",
            _piece_words(line, name_of),
            f"{line.price:,} {_currency(order, line)}",
            f"{_amount(line):,} {_currency(order, line)}",
            f"offer {line.offer}",
        )
        for line in order.lines
    ]
    counts, prices, amounts = (max(len(row[place]) for row in rows) for place in (0, 2, 3))
    lines = [f"To {order.seller}", f"Order {order.id} of {order.made[:10]}", "", "Please send:", ""]
    for count, piece, price, amount, offer in rows:
        lines += [f"{count:>{counts}} {piece}", f"{'':>{counts}} {price:>{prices}} each, {amount:>{amounts}}, {offer}"]
    lines += ["", _sum_words(order)]
    lines += [f"To pay: {total_words(order)}"]
    if any(line.grade for line in order.lines):
        lines += ["", _GRADES]
    return "\n".join(shown(line.rstrip()) for line in lines) + "\n"


def _sum_words(order: Order) -> str:
    pieces = sum(line.quantity for line in order.lines)
    return f"{pieces:,} {'piece' if pieces == 1 else 'pieces'}, shipping {_told(order)}"


def _told(order: Order) -> str:
    return f"{order.shipping:,} {order.currency}"


def _currency(order: Order, line: OrderLine) -> str:
    return line.currency or order.currency


def _amount(line: OrderLine) -> Decimal:
    return line.price * line.quantity


def _piece_words(line: OrderLine, name_of: NameOf) -> str:
    grade = f"grade {line.grade.label}" if line.grade else ""
    told = (name_of(line.kind), line.kind.shade, grade, *(flaw.value for flaw in line.flaws))
    return ", ".join(filter(None, told))


def total_words(order: Order) -> str:
    """What is to be paid, shipping included; a sum for each currency."""
    return " and ".join(f"{amount:,} {currency}" for currency, amount in totals(order) if amount) or _told(order)


def table_of(order: Order, name_of: NameOf) -> bytes:
    """The order as comma-separated values (RFC 4180, UTF-8); texts that a spreadsheet would run are guarded."""
    out = io.StringIO(newline="")
    out.write(_HEADER)
    writer = csv.writer(out, lineterminator="\r\n")
    for number, line in enumerate(order.lines, 1):
        texts = (line.kind.part, name_of(line.kind), line.kind.shade, grade_label(line.grade), join_flaws(line.flaws))
        writer.writerow(
            [
                order.id,
                guard_formula(order.seller),
                number,
                guard_formula(line.offer),
                line.quantity,
                *map(guard_formula, texts),
                line.price,
                _currency(order, line),
                _amount(line),
            ]
        )
    return out.getvalue().encode()


def page_of(order: Order, name_of: NameOf) -> bytes:
    """The order as one HTML page that needs nothing else: no scripts, no pictures, nothing from a network."""
    title = f"Order {order.id}: {order.seller}"
    lines = [
        *page_head(title, _GENERATOR, _STYLE),
        f"<h1>{page_text(title)}</h1>",
        f"<p>{page_text(order.made[:10])}</p>",
        *_page_table(order, name_of),
        f"<p>{page_text(_sum_words(order))}</p>",
        f"<p><strong>To pay: {page_text(total_words(order))}</strong></p>",
        *([f"<p>{_GRADES}</p>"] if any(line.grade for line in order.lines) else ()),
        "</body>",
        "</html>",
    ]
    return ("\n".join(lines) + "\n").encode()


def _page_table(order: Order, name_of: NameOf) -> Iterator[str]:
    heads = ("", "line", "pieces", "piece", "shade", "grade", "flaws", "offer", "each", "amount")
    numbers = {"line", "pieces", "each", "amount"}
    cells = "".join(f'<th scope="col"{" class=n" if head in numbers else ""}>{head}</th>' for head in heads)
    yield f"<table><thead><tr>{cells}</tr></thead><tbody>"
    for number, line in enumerate(order.lines, 1):
        code = _currency(order, line)
        values = (
            f"{number}",
            f"{line.quantity:,}",
            name_of(line.kind),
            line.kind.shade,
            grade_label(line.grade),
            ", ".join(flaw.value for flaw in line.flaws),
            line.offer,
            f"{line.price:,} {code}",
            f"{_amount(line):,} {code}",
        )
        row = "".join(
            f"<td{' class=n' if head in numbers else ''}>{page_text(value)}</td>"
            for head, value in zip(heads[1:], values, strict=True)
        )
        yield f'<tr><td><span class="box"></span></td>{row}</tr>'
    yield "</tbody></table>"


def write_order(path: Path, data: bytes, *, overwrite: bool = False) -> None:
    """Write a table or a page to a file. An earlier order of the same sort in its place is replaced.

    Raises:
        UsageError, WriteError, BenchError: see :func:`sortbench.papers.own_files.write_own_file`.
    """
    start = _HEADER.encode()
    if not data.startswith(start):
        start = data[: data.index(_GENERATOR.encode()) + len(_GENERATOR)]
    write_own_file(path, data, start, "order", overwrite=overwrite)


def keep_files(folder: Path, order: Order, name_of: NameOf) -> tuple[Path, ...]:
    """Write an order as text, table and page into a folder of the bench; earlier ones of the order are replaced.

    Returns:
        The files written.

    Raises:
        UsageError: something else lies in the place of one of them.
        WriteError: the disk refused.
        BenchError: the folder in the bench is a symbolic link.
    """
    kept = kept_folder(folder, FOLDER)
    text = text_of(order, name_of).encode()
    start = text[: text.index(b"\nOrder ") + len(f"\nOrder {order.id} ")]
    files = kept / f"{order.id}.txt", kept / f"{order.id}.csv", kept / f"{order.id}.html"
    write_own_file(files[0], text, start, "order")
    write_order(files[1], table_of(order, name_of))
    write_order(files[2], page_of(order, name_of))
    return files


def mapping_of(state: OrderState) -> dict[str, Any]:
    """An order as it stands, as plain values; amounts are texts, so that no digit is lost."""
    order = state.order
    return {
        "order": order.id,
        "seller": order.seller,
        "stands": state.words,
        "made": order.made,
        "placed": order.placed or None,
        "quantity": state.pieces,
        "awaited": state.awaited,
        "shipping": str(order.shipping),
        "currency": order.currency,
        "total": [{"amount": str(amount), "currency": currency} for currency, amount in totals(order)],
        "note": order.note or None,
        "lines": [
            {
                "line": each.number,
                "offer": each.line.offer,
                "part": each.line.kind.part,
                "name": each.name,
                "shade": each.line.kind.shade,
                "grade": grade_label(each.line.grade) or None,
                "flaw": join_flaws(each.line.flaws) or None,
                "price": str(each.line.price),
                "currency": _currency(order, each.line),
                "quantity": each.line.quantity,
                "target": each.line.target or None,
                **{outcome.value: each.of(outcome) for outcome in Outcome},
                "awaited": each.awaited,
                "records": [str(record) for record in each.records],
            }
            for each in state.lines
        ],
        "remarks": [
            {
                "remark": number,
                "at": remark.at,
                "line": remark.line,
                "quantity": remark.quantity,
                "outcome": remark.outcome.value,
                "note": remark.note or None,
                "struck": remark.struck,
            }
            for number, remark in enumerate(order.remarks, 1)
        ],
    }
