"""What screens and commands show of a judged photograph: plain rows, and how marks lie on a preview of cells."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sortbench.model.errors import DataError
from sortbench.model.photo import Area, Marks, Preview

if TYPE_CHECKING:
    from sortbench.engine.condition.photo_judging import PhotoResult, PieceReading


class PhotoRow(NamedTuple):
    """One piece of a picture, as it is told. All but the first four are None or empty where it was not judged.

    Attributes:
        number: from 1, in the order of the marks.
        area: where it is, ``left,top,width,height`` in pixels.
        rgb: six hex digits for a swatch.
        why_not: why it was not judged.
        rank: 1 is nearest to the reference.
        rank_best, rank_worst: ranks that the uncertainty allows.
        grade, grade_best, grade_worst: labels on the grey scale; the last two are what the uncertainty allows.
        rating: grey-scale rating before it is rounded to a grade, 5 to 1.
        saturated: the rating has come to its end; only the difference tells such pieces apart.
        difference, difference_u: CIEDE2000 from the reference, and its standard uncertainty.
        limit: the difference against the published limits, in words.
        change: dE_F of ISO 105-A05.
        yellowness_change, yellowness_change_u: in the index of ASTM E313, against the reference.
        why_no_yellowness: why there is none.
        lightness, a, b: CIELAB relative to this picture.
        lightness_u, a_u, b_u: standard uncertainties of these.
        notes: what is doubtful about it.
    """

    number: int
    area: str
    rgb: str
    why_not: str = ""
    rank: int | None = None
    rank_best: int | None = None
    rank_worst: int | None = None
    grade: str = ""
    grade_best: str = ""
    grade_worst: str = ""
    rating: float | None = None
    saturated: bool = False
    difference: float | None = None
    difference_u: float | None = None
    limit: str = ""
    change: float | None = None
    yellowness_change: float | None = None
    yellowness_change_u: float | None = None
    why_no_yellowness: str = ""
    lightness: float | None = None
    a: float | None = None
    b: float | None = None
    lightness_u: float | None = None
    a_u: float | None = None
    b_u: float | None = None
    notes: tuple[str, ...] = ()

    @property
    def ranks(self) -> str:
        """``2``, or ``2 (1-3)`` where others cannot be told apart from it; empty where it was not judged."""
        if self.rank is None:
            return ""
        sure = self.rank_best == self.rank_worst
        return f"{self.rank}" if sure else f"{self.rank} ({self.rank_best}-{self.rank_worst})"

    @property
    def band(self) -> str:
        """``4`` or ``4-5 to 3``: the grades that the uncertainty allows."""
        return self.grade if self.grade_best == self.grade_worst else f"{self.grade_best} to {self.grade_worst}"


def rows_of(result: PhotoResult) -> tuple[PhotoRow, ...]:
    """A row for each piece, in the order of the marks."""
    return tuple(map(_row, result.readings))


def _row(reading: PieceReading) -> PhotoRow:
    judged = reading.judgement
    start = PhotoRow(reading.number, str(reading.area), reading.rgb, reading.why_not)
    if judged is None:
        return start
    return start._replace(
        rank=reading.rank,
        rank_best=reading.ranks[0],
        rank_worst=reading.ranks[1],
        grade=judged.grade.label,
        grade_best=judged.best.label,
        grade_worst=judged.worst.label,
        rating=judged.rating,
        saturated=judged.saturated,
        difference=judged.difference,
        difference_u=judged.difference_u,
        limit=judged.limit.value,
        change=judged.change,
        yellowness_change=judged.yellowness_change,
        yellowness_change_u=judged.yellowness_change_u,
        why_no_yellowness=judged.why_no_yellowness,
        lightness=reading.lab.lightness,
        a=reading.lab.a,
        b=reading.lab.b,
        lightness_u=reading.lab_u.lightness,
        a_u=reading.lab_u.a,
        b_u=reading.lab_u.b,
        notes=reading.notes,
    )


# A preview in cells: each shows two colours of it, one above the other.


class CellMark(NamedTuple):
    """A rectangle on a preview of cells.

    Attributes:
        label: what it is: ``C`` the card, ``R`` the reference, a number a piece; ``+`` one that is being drawn.
        left, top, right, bottom: its outermost cells.
    """

    label: str
    left: int
    top: int
    right: int
    bottom: int


class PhotoView(NamedTuple):
    """The photograph in hand, as it is shown.

    Attributes:
        name: of the file; empty where no picture is in hand.
        width, height: pixels, standing upright.
        kind: what the pieces are, in words; empty where nobody said.
        reflectance: of the card.
        grid: columns and lines of pieces that one mark stands for.
        preview: the picture small.
        marks: where the marks lie on it.
        rows: the pieces, once they can be judged.
        trouble: why they cannot be, in words.
        missing: what is to be marked next, in words; empty once all is.
        notes: what is doubtful about the picture.
        cautions: what to mind before a picture is taken; told while none is in hand.
    """

    name: str = ""
    width: int = 0
    height: int = 0
    kind: str = ""
    reflectance: float = 0.0
    grid: tuple[int, int] = (1, 1)
    preview: Preview = ()
    marks: tuple[CellMark, ...] = ()
    rows: tuple[PhotoRow, ...] = ()
    trouble: str = ""
    missing: str = ""
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def missing_words(marks: Marks) -> str:
    """What is to be marked next, in words; empty once something can be judged."""
    if marks.card is None:
        return "mark the white or grey card: c at one corner, c at the other"
    if marks.reference is None:
        return "mark an unaged piece: r at one corner, r at the other"
    return "" if marks.pieces else "mark the pieces: p at one corner, p at the other"


def rim(mark: CellMark) -> dict[tuple[int, int], str]:
    """What stands in the outermost cells of a mark, by column and line: its label at the upper left, then dots."""
    found: dict[tuple[int, int], str] = {}
    for line in range(mark.top, mark.bottom + 1):
        for column in range(mark.left, mark.right + 1):
            if line in (mark.top, mark.bottom) or column in (mark.left, mark.right):
                at = column - mark.left
                found[column, line] = mark.label[at] if at < len(mark.label) and line == mark.top else "·"
    return found


def cell_size(preview: Preview) -> tuple[int, int]:
    """Cells of a preview across and down."""
    return len(preview[0]), (len(preview) + 1) // 2


def area_between(one: tuple[int, int], other: tuple[int, int], size: tuple[int, int], preview: Preview) -> Area:
    """The pixels under two cells and all between them.

    Args:
        one, other: two corners as (column, line); cells outside the preview count as its outermost.
        size: the picture's width and height in pixels.
        preview: what the cells show.
    """
    columns, _ = cell_size(preview)
    width, height = size
    colours = len(preview)

    def edge(column: int, line: int) -> tuple[int, int]:
        return width * min(column, columns) // columns, height * min(2 * line, colours) // colours

    left, right = sorted(max(0, min(columns - 1, each[0])) for each in (one, other))
    top, bottom = sorted(max(0, min((colours - 1) // 2, each[1])) for each in (one, other))
    (x, y), (to_x, to_y) = edge(left, top), edge(right + 1, bottom + 1)
    return Area(x, y, max(1, to_x - x), max(1, to_y - y))


def cell_marks(marks: Marks, size: tuple[int, int], preview: Preview) -> tuple[CellMark, ...]:
    """Where marks lie on a preview; pieces come last, for they may be smaller than a cell."""
    named = [("C", marks.card), ("R", marks.reference)]
    named += [(str(number), area) for number, area in enumerate(marks.pieces, 1)]
    return tuple(_cell_mark(label, area, size, preview) for label, area in named if area is not None)


def _cell_mark(label: str, area: Area, size: tuple[int, int], preview: Preview) -> CellMark:
    columns, lines = cell_size(preview)
    width, height = size
    colours = len(preview)

    def cell(x: int, y: int) -> tuple[int, int]:
        return (
            max(0, min(columns - 1, ((x + 1) * columns - 1) // width)),
            max(0, min(lines - 1, ((y + 1) * colours - 1) // height // 2)),
        )

    (left, top), (right, bottom) = cell(area.left, area.top), cell(area.right - 1, area.bottom - 1)
    return CellMark(label, left, top, right, bottom)


def marked(marks: Marks, what: str, *areas: Area) -> Marks:
    """The marks with one more: the ``card`` or the ``reference`` in place of the one before, or one more ``piece``, or
    several."""
    if what == "card":
        return marks._replace(card=areas[0])
    if what == "reference":
        return marks._replace(reference=areas[0])
    return marks._replace(pieces=(*marks.pieces, *areas))


def unmarked(marks: Marks, under: Area) -> Marks:
    """The marks without one that shares pixels with an area: the last piece that does, else the reference or the card.

    Raises:
        DataError: none does.
    """
    for at in reversed(range(len(marks.pieces))):
        if marks.pieces[at].overlaps(under):
            return marks._replace(pieces=marks.pieces[:at] + marks.pieces[at + 1 :])
    if marks.reference is not None and marks.reference.overlaps(under):
        return marks._replace(reference=None)
    if marks.card is not None and marks.card.overlaps(under):
        return marks._replace(card=None)
    raise DataError("Nothing is marked under the cursor.", "Move it onto a mark.")
