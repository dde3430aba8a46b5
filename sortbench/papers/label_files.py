"""Sheets of labels as files: SVG, one file a sheet, or one PDF."""

from __future__ import annotations

import io
import struct
from collections.abc import Container, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.desks.label_desk import Label
from sortbench.engine.labelling.code_square import Modules, square_of
from sortbench.model.errors import DataError, UsageError
from sortbench.papers.label_page import PAPERS, USUAL, Placed, Sheet, sheets_of
from sortbench.papers.own_files import page_text, write_own_file

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_START = '<?xml version="1.0" encoding="UTF-8"?>\n<!-- sortbench labels -->\n'
_CREATOR = "sortbench labels"
_TYPEFACE = "Helvetica, Arial, 'Liberation Sans', sans-serif"
_PLAIN, _BOLD = "Helvetica", "Helvetica-Bold"
"""Two of the fourteen typefaces that every reader of PDF has (ISO 32000-1, 9.6.2.2)."""
_OWN = "own"
_POINT = 72 / 25.4
"""Points in a millimetre."""
_FRAME, _THIN = 0.1, 0.15
"""Thickness of the line to cut along, and of the lines around swatches, in millimetres."""


def write_labels(
    path: Path,
    labels: Sequence[Label],
    paper: str = "A4",
    size: tuple[float, float] = USUAL,
    font: Path | None = None,
    *,
    overwrite: bool = False,
) -> tuple[Path, ...]:
    """Write labels to sheets, as the name of the file says.

    Args:
        path: ends in ``.svg`` or ``.pdf``. Further sheets of SVG get a number: ``labels-2.svg``.
        paper: one of ``PAPERS``.
        size: width and height of a label in millimetres.
        font: a TrueType file for the letters of a PDF.
        overwrite: replace whatever lies there.

    Returns:
        The files written.

    Raises:
        DataError: a PDF has letters that its typeface lacks.
        UsageError: another ending, sizes that cannot be, something else lies there, or a library is missing.
        WriteError: the disk refused.
    """
    ending = path.suffix.casefold()
    if ending not in (".svg", ".pdf"):
        raise UsageError(f"{path.name} is neither .svg nor .pdf.", "Name a file that ends in one of them.")
    if font is not None and ending == ".svg":
        raise UsageError("A typeface is embedded in PDF only.", "Leave --font out; the SVG takes that of its viewer.")
    squares = [square_of(label.scanned) for label in labels]
    if ending == ".pdf":
        data = pdf_of(labels, squares, PAPERS[paper], size, font)
        # Every PDF begins alike, so one of ours is known by who is named in it.
        ours = path.is_file() and f"({_CREATOR})".encode() in path.read_bytes()
        write_own_file(path, data, _CREATOR.encode(), "labels", overwrite=overwrite or ours)
        return (path,)
    written = []
    for number, sheet in enumerate(sheets_of(labels, squares, PAPERS[paper], size), 1):
        file = path if number == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
        write_own_file(file, svg_of(sheet).encode(), _START.encode(), "labels", overwrite=overwrite)
        written.append(file)
    return tuple(written)


def svg_of(sheet: Sheet) -> str:
    """A sheet as SVG whose units are millimetres."""
    size = f'width="{sheet.width:g}mm" height="{sheet.height:g}mm" viewBox="0 0 {sheet.width:g} {sheet.height:g}"'
    return "\n".join(
        (
            f'{_START}<svg xmlns="http://www.w3.org/2000/svg" {size}>',
            f'<rect width="{sheet.width:g}" height="{sheet.height:g}" fill="#fff"/>',
            *(line for number, placed in enumerate(sheet.labels) for line in _svg_label(number, placed)),
            "</svg>\n",
        )
    )


def _svg_label(number: int, placed: Placed) -> Iterator[str]:
    frame = f'x="{placed.x:.3f}" y="{placed.y:.3f}" width="{placed.width:g}" height="{placed.height:g}"'
    # Another typeface than the one reckoned with may be wider: what it has too much ends at the label's edge.
    yield f'<clipPath id="edge{number}"><rect {frame}/></clipPath>'
    yield f'<g clip-path="url(#edge{number})"><title>{page_text(placed.label.mark)}</title>'
    yield f'<rect {frame} fill="none" stroke="#888" stroke-width="{2 * _FRAME}"/>'
    yield f'<path d="{_svg_modules(placed)}" fill="#000" shape-rendering="crispEdges"/>'
    for patch in placed.patches:
        area = f'x="{patch.x:.3f}" y="{patch.y:.3f}" width="{patch.width:g}" height="{patch.height:g}"'
        look = f'fill="#{page_text(patch.rgb)}"' if patch.rgb else 'fill="none"'
        yield f'<rect {area} {look} stroke="#000" stroke-width="{_THIN}"/>'
        if not patch.rgb:
            cross = f"M{patch.x:.3f} {patch.y:.3f}l{patch.width:g} {patch.height:g}m0 -{patch.height:g}"
            yield f'<path d="{cross}l-{patch.width:g} {patch.height:g}" stroke="#000" stroke-width="{_THIN}"/>'
    for words in placed.words:
        weight = ' font-weight="bold"' if words.bold else ""
        yield (
            f'<text x="{words.x:.3f}" y="{words.y:.3f}" font-size="{words.size:.3f}" '
            f'font-family="{_TYPEFACE}"{weight}>{page_text(words.text)}</text>'
        )
    yield "</g>"


def _runs(modules: Modules) -> Iterator[tuple[int, int, int]]:
    """Dark modules that lie side by side: row, first column, how many."""
    for row, line in enumerate(modules):
        start = None
        for column, dark in enumerate((*line, False)):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                yield row, start, column - start
                start = None


def _svg_modules(placed: Placed) -> str:
    square = placed.square
    side = square.module
    return "".join(
        f"M{square.x + first * side:.4f} {square.y + row * side:.4f}h{many * side:.4f}v{side:.4f}h-{many * side:.4f}z"
        for row, first, many in _runs(square.modules)
    )


def pdf_of(
    labels: Sequence[Label],
    squares: Sequence[Modules],
    paper: tuple[float, float],
    size: tuple[float, float] = USUAL,
    font: Path | None = None,
) -> bytes:
    """All sheets as one PDF. The same labels make the same bytes.

    Raises:
        DataError: letters that the typeface lacks.
        UsageError: no such typeface, sizes that cannot be, or the library is missing.
    """
    try:
        from reportlab.pdfbase.pdfmetrics import stringWidth
        from reportlab.pdfgen.canvas import Canvas
    except ImportError as error:
        raise UsageError(
            "PDF is written by the package reportlab, which is not installed.",
            "Install it: pip install 'sortbench[labels]' (or pip install reportlab); or name an .svg file.",
        ) from error
    has = _letters_of(font)
    for label in labels:
        _check_letters(label, has, font)
    plain, bold = (_OWN, _OWN) if font else (_PLAIN, _BOLD)

    def measure(text: str, height: float, is_bold: bool) -> float:
        return float(stringWidth(text, bold if is_bold else plain, height))

    file = io.BytesIO()
    canvas = Canvas(file, pageCompression=1, invariant=1)
    canvas.setCreator(_CREATOR)
    canvas.setTitle("Labels")
    for sheet in sheets_of(labels, squares, paper, size, measure):
        canvas.setPageSize((sheet.width * _POINT, sheet.height * _POINT))
        # From here on as on the sheets: millimetres, from the upper left corner down.
        canvas.scale(_POINT, -_POINT)
        canvas.translate(0, -sheet.height)
        for placed in sheet.labels:
            _draw(canvas, placed, plain, bold)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Canvas, placed: Placed, plain: str, bold: str) -> None:
    canvas.setLineWidth(_FRAME)
    canvas.setStrokeGray(0.53)
    canvas.rect(placed.x, placed.y, placed.width, placed.height)
    canvas.setFillGray(0)
    square = placed.square
    for row, first, many in _runs(square.modules):
        at = square.x + first * square.module, square.y + row * square.module
        canvas.rect(*at, many * square.module, square.module, stroke=0, fill=1)
    canvas.setLineWidth(_THIN)
    canvas.setStrokeGray(0)
    for patch in placed.patches:
        if patch.rgb:
            canvas.setFillColorRGB(*(int(patch.rgb[at : at + 2], 16) / 255 for at in (0, 2, 4)))
        else:
            canvas.line(patch.x, patch.y, patch.x + patch.width, patch.y + patch.height)
            canvas.line(patch.x, patch.y + patch.height, patch.x + patch.width, patch.y)
        canvas.rect(patch.x, patch.y, patch.width, patch.height, stroke=1, fill=1 if patch.rgb else 0)
    canvas.setFillGray(0)
    for words in placed.words:
        canvas.saveState()
        canvas.translate(words.x, words.y)
        canvas.scale(1, -1)  # letters stand upright
        canvas.setFont(bold if words.bold else plain, words.size)
        canvas.drawString(0, 0, words.text)
        canvas.restoreState()


def _letters_of(font: Path | None) -> Container[int] | None:
    """The code points that a TrueType file has letters for; None for the typefaces that PDF brings along.

    Raises:
        UsageError: the file is no such typeface.
    """
    if font is None:
        return None
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    try:
        own = TTFont(_OWN, str(font))
    except (TTFError, OSError, struct.error) as error:
        raise UsageError(f"{font} is no TrueType typeface that can be read: {error}.", "Name a .ttf file.") from error
    registerFont(own)
    letters: Container[int] = own.face.charToGlyph
    return letters


def _check_letters(label: Label, has: Container[int] | None, font: Path | None) -> None:
    for text in (label.mark, label.name, *(tint.shade for tint in label.tints), *label.words):
        for char in text:
            if not (_in_windows_1252(char) if has is None else ord(char) in has):
                whose = f"The typeface {font.name}" if font else "The typeface that PDF brings along"
                raise DataError(
                    f"{whose} has no letter {char!r}, as in {text[:40]!r} of {label.mark[:20]!r}.",
                    "Name another one with --font FILE.ttf, or write SVG.",
                )


def _in_windows_1252(char: str) -> bool:
    """Whether the typefaces of PDF can show it, in the encoding that they are used with (ISO 32000-1, annex D.2)."""
    try:
        char.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True
