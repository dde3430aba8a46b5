"""`sortbench photo`."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, bench_labels, complete_from, examples, json_option, opened_bench
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say
from sortbench.model.text import shown

if TYPE_CHECKING:
    from sortbench.desks.photo_desk import PhotoTable
    from sortbench.engine.board import Receipt
    from sortbench.engine.condition.photo_board import PhotoRow
    from sortbench.model.photo import Marks, Preview

_HEADINGS = (
    Heading("piece", number=True),
    Heading("rank"),
    Heading("grade"),
    Heading("may be"),
    Heading("difference", number=True),
    Heading("seen"),
    Heading("yellower", number=True),
    Heading("colour"),
    Heading("note", wide=True),
)
_SHADES = " ░▒▓█"


class _PhotoCommand(BenchCommand):
    """Its help ends with what to mind before a picture is taken."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        from sortbench.desks.photo_desk import cautions

        with formatter.section("Before the picture is taken"):
            for caution in cautions():
                formatter.write_text(f"- {caution}")
        super().format_epilog(ctx, formatter)


@click.command(
    cls=_PhotoCommand,
    epilog=examples(
        "sortbench photo plates.jpg --preview",
        "sortbench photo plates.jpg --card 5%,10%,12%,30% --reference 25%,10%,6%,8% --piece 40%,10%,6%,8%",
        "sortbench photo plates.jpg --card 210,300,480,900 --reference 1000,300,240,240 --grid 1300,300,2400,1600,6x4",
        "sortbench photo plates.jpg --card ... --reference ... --grid ... --kind 'plate 2x4 white' --count",
        "sortbench photo plates.jpg --card ... --reference ... --grid ... --json | jq '.rows[] | [.number, .grade]'",
    ),
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--card", metavar="X,Y,W,H", help="The white or grey card in the picture.")
@click.option("--reference", metavar="X,Y,W,H", help="The unaged piece in the picture.")
@click.option("--piece", "pieces", multiple=True, metavar="X,Y,W,H", help="A piece to judge; may be repeated.")
@click.option(
    "--grid",
    "grids",
    multiple=True,
    metavar="X,Y,W,H,CxL",
    help="Pieces in C columns and L lines; the middle of each cell is judged. May be repeated.",
)
@click.option(
    "--card-reflectance",
    "reflectance",
    type=float,
    metavar="SHARE",
    help="What the card reflects, as its maker says: about 0.9 for a white card (the default), 0.18 for a grey one.",
)
@click.option("--kind", metavar="WORDS", help="What the pieces are, for --count: 'plate 2x4 white'.")
@click.option("--count", "count", is_flag=True, help="Count every judged piece with its grade and its reading.")
@click.option(
    "--bin", "label", metavar="LABEL", help="Count them into this bin.", shell_complete=complete_from(bench_labels)
)
@click.option(
    "--preview", is_flag=True, help="Show the picture in the terminal, with percents to mark it by, and the marks."
)
@json_option
@click.pass_context
def photo(
    ctx: click.Context,
    file: Path,
    card: str | None,
    reference: str | None,
    pieces: tuple[str, ...],
    grids: tuple[str, ...],
    reflectance: float | None,
    kind: str | None,
    count: bool,
    label: str | None,
    preview: bool,
    as_json: bool,
) -> int:
    """Judge how far pieces on a photograph have yellowed, against an unaged piece on the same photograph.

    Lay a white or grey card, one unaged piece and the pieces side by side in even daylight, and take one picture. Name
    the rectangles, each well inside its edges: left, top, width and height in pixels of the upright picture, or in
    percent of its width and height. Every piece gets a grade with the grades that the uncertainty allows, its
    difference from the unaged piece (CIEDE2000), a rank (1 is nearest to it) and, where it means something, how much
    yellower it is (index of ASTM E313).

    A photo is an estimate: it compares pieces of one picture. Pictures that cannot be judged by are refused with the
    reason. No bench is needed unless the pieces are counted. Needs the extra `photo`.

    Exit code 1 where a piece could not be judged.
    """
    if count != (kind is not None) or (label and not count):
        raise click.UsageError("--count needs --kind, and --kind and --bin are for --count.", ctx)
    marking = bool(card or reference or pieces or grids)
    if preview and as_json:
        raise click.UsageError("--preview and --json do not go together.", ctx)
    if not marking and not preview:
        raise click.UsageError("Mark --card, --reference and --piece or --grid; --preview helps to find them.", ctx)
    from sortbench.desks.photo_desk import PhotoTable

    table = PhotoTable(file)
    marks = table.marks(card, reference, pieces, grids)
    if preview:
        _show(table, marks)
        if not marking:
            return 0
    return _judge(ctx, table, marks, reflectance, kind, label or "", as_json)


def _judge(
    ctx: click.Context,
    table: PhotoTable,
    marks: Marks,
    reflectance: float | None,
    kind: str | None,
    label: str,
    as_json: bool,
) -> int:
    from sortbench.desks.photo_desk import WHITE_CARD, count_pieces
    from sortbench.engine.condition.photo_board import rows_of

    result = table.judge(marks, WHITE_CARD if reflectance is None else reflectance)
    rows = rows_of(result)
    receipts: tuple[Receipt, ...] = ()
    if kind is not None:
        from sortbench.cli.kinds import find_kind

        with opened_bench(ctx) as bench:
            receipts = count_pieces(bench, find_kind(bench, kind), result, bench.bin_label(label))
    if as_json:
        answer_mappings("photo", _mappings(rows, receipts))
    else:
        answer_table(_HEADINGS, [_cells(row) for row in rows], "No piece is marked.")
        _tell(rows, receipts)
    for note in result.notes:
        say(f"note: {note}")
    if reflectance is None:
        say("note: the card is taken to reflect 90 % of the light; --card-reflectance says what its maker tells")
    missing = sum(bool(row.why_not) for row in rows)
    if missing:
        say(f"{missing} of {len(rows)} pieces could not be judged")
    return 1 if missing else 0


def _cells(row: PhotoRow) -> tuple[str, ...]:
    if row.difference is None:
        return (str(row.number), "", "", "", "", "", "", f"#{row.rgb}", row.why_not)
    yellower = "" if row.yellowness_change is None else f"{row.yellowness_change:+.1f}"
    return (
        str(row.number),
        row.ranks,
        row.grade,
        row.band if row.band != row.grade else "",
        _with_u(row.difference, row.difference_u),
        row.limit,
        _with_u(yellower, row.yellowness_change_u) if yellower else "-",
        f"#{row.rgb}",
        "; ".join(row.notes),
    )


def _with_u(value: float | str, u: float | None) -> str:
    text = value if isinstance(value, str) else f"{value:.1f}"
    return text if u is None else f"{text} ± {2.0 * u:.1f}"


def _tell(rows: tuple[PhotoRow, ...], receipts: tuple[Receipt, ...]) -> None:
    """What does not stand in the table."""
    from sortbench.cli.tally import receipt_text

    for receipt in receipts:
        write(shown(receipt_text(receipt)) + "\n")
    if any(row.difference is not None for row in rows):
        say("± is twice the standard uncertainty, about 95 %; rank 1 is nearest to the reference")
    for why, numbers in _whys(rows).items():
        say(f"no yellowness for piece {', '.join(numbers)}: {why}")
    if any(row.saturated for row in rows):
        say("grade 1 has no end: pieces of grade 1 are told apart by their difference alone")


def _whys(rows: tuple[PhotoRow, ...]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for row in rows:
        if row.why_no_yellowness:
            found.setdefault(row.why_no_yellowness, []).append(str(row.number))
    return found


def _mappings(rows: tuple[PhotoRow, ...], receipts: tuple[Receipt, ...]) -> list[dict[str, Any]]:
    records = iter(receipts)
    answers = []
    for row in rows:
        answer: dict[str, Any] = {name: None if value == "" else value for name, value in row._asdict().items()}
        for name, value in answer.items():
            if isinstance(value, float):
                answer[name] = round(value, 3)
        answer["rgb"], answer["saturated"] = f"#{row.rgb}", row.saturated if row.grade else None
        answer["record"] = str(next(records).record) if receipts and row.grade else None
        answers.append(answer)
    return answers


# The picture in a terminal


def _show(table: PhotoTable, marks: Marks) -> None:
    import shutil

    from sortbench.engine.condition.photo_board import rim

    width, height = shutil.get_terminal_size((80, 24))
    coloured = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
    preview = table.preview(max(10, width - 6), max(6, height - 4))
    columns, lines = len(preview[0]), (len(preview) + 1) // 2
    letters = {cell: letter for mark in table.cell_marks(marks, preview) for cell, letter in rim(mark).items()}
    # Each tenth of the width over the column where it begins, as far as there is room for it.
    ruler = [" "] * (columns + 4)
    for tenth in range(0, 10, 1 if columns >= 50 else 2):
        for at, letter in enumerate(f"{10 * tenth}"):
            ruler[columns * tenth // 10 + at] = letter
    write("    %" + "".join(ruler)[:columns].rstrip() + "\n")
    for line in range(lines):
        percent = 100 * line // lines
        write(f"{percent:>3}% " + _line(preview, line, letters, coloured).rstrip(" ") + "\n")
    say(f"{shown(table.path.name)}: {table.size[0]:,} × {table.size[1]:,} pixels; percents are of its width and height")


def _line(preview: Preview, line: int, letters: dict[tuple[int, int], str], coloured: bool) -> str:
    upper = preview[2 * line]
    lower = preview[2 * line + 1] if 2 * line + 1 < len(preview) else ("000000",) * len(upper)
    pairs = list(zip(upper, lower, strict=True))
    if not coloured:
        return "".join(letters.get((column, line)) or _shade(*pair) for column, pair in enumerate(pairs))
    from rich.color import ColorSystem
    from rich.console import Console
    from rich.style import Style

    system = {"256": ColorSystem.EIGHT_BIT, "standard": ColorSystem.STANDARD}.get(
        Console(file=sys.stdout).color_system or "", ColorSystem.TRUECOLOR
    )
    cells = []
    for column, (one, other) in enumerate(pairs):
        letter = letters.get((column, line))
        style = Style(reverse=True) if letter else Style(color=f"#{one}", bgcolor=f"#{other}")
        cells.append(style.render(letter or "▀", color_system=system))
    return "".join(cells)


def _shade(upper: str, lower: str) -> str:
    bright = sum(bytes.fromhex(upper + lower)) / (6 * 256)
    return _SHADES[int(bright * len(_SHADES))]
