"""A photograph at the bench: opened, marked, judged, and its pieces counted."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.engine.board import Notice, Receipt
from sortbench.engine.condition.photo_areas import cells, check_marks, parse_area, parse_cells, parse_grid
from sortbench.engine.condition.photo_board import (
    CellMark,
    PhotoView,
    area_between,
    cell_marks,
    marked,
    missing_words,
    rows_of,
    unmarked,
)
from sortbench.engine.condition.photo_judging import ALWAYS, PhotoResult, check_reflectance, judge_photo
from sortbench.engine.condition.photo_judging import WHITE_CARD as WHITE_CARD
from sortbench.engine.washing.cautions import cautions_for
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.photo import Area, Marks, Preview
from sortbench.model.tally import Cell, reading_of

if TYPE_CHECKING:
    from sortbench.desk import Desk
    from sortbench.store.photo import Photo

WAY = "photo"
"""How a tally from a picture says it was entered."""


class PhotoTable:
    """One photograph, whatever bench it is for.

    Args:
        path: the picture.

    Raises:
        UsageError: Pillow is not installed.
        DataError: it cannot be read or judged by; see :meth:`sortbench.store.photo.Photo.open`.
    """

    def __init__(self, path: Path) -> None:
        from sortbench.store.photo import Photo

        self._photo: Photo = Photo.open(path)
        self._preview: tuple[tuple[int, int], Preview] = ((0, 0), ())

    @property
    def path(self) -> Path:
        """Where the picture lies."""
        return self._photo.path

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels, standing upright."""
        return self._photo.width, self._photo.height

    @property
    def notes(self) -> tuple[str, ...]:
        """What was done to the picture on reading it, in words."""
        return self._photo.notes

    def marks(self, card: str | None, reference: str | None, pieces: Sequence[str], grids: Sequence[str] = ()) -> Marks:
        """Marks as they are written: rectangles in pixels or percent; the cells of grids follow the pieces.

        Raises:
            DataError: one cannot be read.
        """

        def area(text: str | None) -> Area | None:
            return None if text is None else parse_area(text).on(*self.size)

        found = [parse_area(text).on(*self.size) for text in pieces]
        found += [cell for text in grids for cell in parse_grid(text).on(*self.size)]
        return Marks(area(card), area(reference), tuple(found))

    def judge(self, marks: Marks, reflectance: float = WHITE_CARD) -> PhotoResult:
        """Judge the pieces; see :func:`sortbench.engine.condition.photo_judging.judge_photo`.

        Raises:
            DataError: marks that cannot be, or a card or a reference that cannot be measured by.
        """
        card, reference, pieces = check_marks(marks, *self.size)
        photo = self._photo
        result = judge_photo(
            photo.patch(card), photo.patch(reference), [photo.patch(each) for each in pieces], reflectance
        )
        return result._replace(notes=(*photo.notes, *result.notes, *ALWAYS))

    def cell_marks(self, marks: Marks, preview: Preview) -> tuple[CellMark, ...]:
        """Where marks lie on a preview."""
        return cell_marks(marks, self.size, preview)

    def preview(self, columns: int, lines: int) -> Preview:
        """The picture in at most so many cells of a terminal: each shows two colours, one above the other."""
        room = (max(1, columns), max(1, lines))
        if self._preview[0] != room:
            self._preview = room, self._photo.preview(room[0], 2 * room[1])
        return self._preview[1]


def cautions() -> tuple[str, ...]:
    """What to mind before a picture is taken, each with what it rests on."""
    return tuple(f"{caution.words} ({caution.source})" for caution in cautions_for("photo"))


def count_pieces(bench: Desk, kind: Kind, result: PhotoResult, bin_label: str = "") -> tuple[Receipt, ...]:
    """Count the judged pieces of a picture one by one, each with its grade and its reading.

    Args:
        bin_label: a bin for all of them; else the held one applies, then the bins' rules.

    Raises:
        DataError: no piece was judged, a list is being written up, or the kind is unknown; nothing is counted.
        WriteError: the disk refused; what was counted up to then stays counted.
    """
    if bench.held.target:
        raise DataError(
            f"The list of {bench.target_name} is being written up, and a list takes no pieces.",
            "End that first: a dot alone on the entry line.",
        )
    readings = result.judged
    if not readings:
        raise DataError(
            "No piece of this picture could be judged, so none is counted.",
            "Beside each piece stands why; mark it anew, or take the picture again.",
        )
    counted = []
    for reading in readings:
        judged, lab = reading.judgement, reading.lab
        assert judged is not None, "only judged pieces are counted"
        # A piece that is brighter than the card makes a white of the card seems lighter than white.
        kept = reading_of(min(100.0, max(0.0, lab.lightness)), lab.a, lab.b)
        counted.append(bench.count(kind, 1, judged.grade, bin_label=bin_label, way=WAY, lab=kept))
    return tuple(counted)


class PhotoDesk:
    """The photograph in hand at one sitting. It is held here and not by a screen, so that a look at another screen
    does not lose the marks.

    Args:
        bench: counts.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self.table: PhotoTable | None = None
        self.marks = Marks()
        self.reflectance = WHITE_CARD
        self.grid = (1, 1)
        self._kind: Kind | None = None
        self._judged: tuple[tuple[Marks, float], PhotoResult | DataError] | None = None

    def open(self, text: str) -> Notice:
        """Take a picture in hand; marks on the one before are let go.

        Args:
            text: its path as it was typed or dropped on the terminal: quotes around it, ``~`` and blanks behind a
                backslash are understood.

        Raises:
            UsageError: Pillow is not installed.
            DataError: it cannot be read.
        """
        self.table = PhotoTable(_typed_path(text))
        self.marks, self._judged = Marks(), None
        width, height = self.table.size
        return Notice("; ".join([f"{self.table.path.name}: {width:,} × {height:,} pixels", *self.table.notes]))

    def view(self, columns: int, lines: int) -> PhotoView:
        """All there is to show in that many cells across and down. Never raises: trouble is part of it."""
        table = self.table
        view = PhotoView(kind=self.kind_words, reflectance=self.reflectance, grid=self.grid)
        if table is None:
            return view._replace(cautions=cautions())
        preview, trouble, result = table.preview(columns, lines), "", None
        try:
            result = self.result()
        except DataError as error:
            trouble = str(error)
        width, height = table.size
        return view._replace(
            name=table.path.name,
            width=width,
            height=height,
            preview=preview,
            marks=table.cell_marks(self.marks, preview),
            rows=rows_of(result) if result else (),
            trouble=trouble,
            missing=missing_words(self.marks),
            notes=result.notes if result else table.notes,
        )

    def mark(self, what: str, one: tuple[int, int], other: tuple[int, int], room: tuple[int, int]) -> Notice:
        """Mark what lies between two cells of a preview.

        Args:
            what: ``card``, ``reference`` or ``piece``.
            one, other: cells as (column, line).
            room: columns and lines that the preview was made for.

        Raises:
            DataError: no picture is in hand.
        """
        table = self._table()
        area = area_between(one, other, table.size, table.preview(*room))
        if what == "piece" and self.grid != (1, 1):
            found = cells(area, *self.grid)
            self.marks = marked(self.marks, what, *found)
            return Notice(f"{len(found)} pieces in {self.grid[0]} columns and {self.grid[1]} lines: {area}")
        self.marks = marked(self.marks, what, area)
        name = f"piece {len(self.marks.pieces)}" if what == "piece" else what
        return Notice(f"{name}: {area}")

    def lay(self, text: str) -> Notice:
        """Let one mark stand for many pieces laid out in columns and lines, ``6x4``; ``1x1`` ends that.

        Raises:
            DataError: no columns and lines, or too many.
        """
        self.grid = parse_cells(text)
        columns, lines = self.grid
        if self.grid == (1, 1):
            return Notice("a mark is one piece again")
        return Notice(f"a mark is now {columns * lines} pieces in {columns} columns and {lines} lines; 1x1 ends that")

    def unmark(self, cell: tuple[int, int], room: tuple[int, int]) -> Notice:
        """Take the mark under a cell away, the last one where several lie there.

        Raises:
            DataError: none does, or no picture is in hand.
        """
        table = self._table()
        under = area_between(cell, cell, table.size, table.preview(*room))
        self.marks = unmarked(self.marks, under)
        return Notice("mark taken away")

    def reflect(self, text: str) -> Notice:
        """Say what the card reflects: ``0.9`` or ``90%``.

        Raises:
            DataError: no reflectance.
        """
        words = text.strip()
        try:
            value = float(words.removesuffix("%")) / (100.0 if words.endswith("%") else 1.0)
        except ValueError:
            raise DataError(f"{words[:20]!r} is no number.", "Write 0.9 or 90%.") from None
        self.reflectance = check_reflectance(value)
        return Notice(f"the card reflects {value:.0%} of the light")

    def result(self) -> PhotoResult | None:
        """What the picture says as it is marked; None as long as nothing can be said yet.

        Raises:
            DataError: it is marked, but cannot be judged.
        """
        marks = self.marks
        if self.table is None or marks.card is None or marks.reference is None or not marks.pieces:
            return None
        key = (marks, self.reflectance)
        if self._judged is None or self._judged[0] != key:
            found: PhotoResult | DataError
            try:
                found = self.table.judge(marks, self.reflectance)
            except DataError as error:
                found = error
            self._judged = key, found
        if isinstance(self._judged[1], DataError):
            raise self._judged[1]
        return self._judged[1]

    # Counting

    @property
    def kind(self) -> Kind | None:
        """What the pieces are: as it was said, else the kind counted last."""
        if self._kind is not None:
            return self._kind
        sitting = self._bench.sitting
        last = sitting.in_hand().cell if sitting.hand_words else None
        return last.kind if last else None

    @property
    def kind_words(self) -> str:
        """The kind in words; empty where it is not known."""
        kind = self.kind
        if kind is None:
            return ""
        return f"{self._bench.picture.name(Cell('', kind.part, kind.shade, '', None, ()))}, {kind.shade}"

    def choose(self, kind: Kind) -> Notice:
        """Say what the pieces are."""
        self._kind = kind
        return Notice(f"the pieces are {self.kind_words}")

    def count(self) -> Notice:
        """Count the judged pieces; see :func:`count_pieces`.

        Raises:
            DataError: nothing is judged, or nobody said what the pieces are.
            WriteError: the disk refused; what was counted up to then stays counted.
        """
        result, kind = self.result(), self.kind
        if result is None:
            raise DataError("Nothing is judged yet.", "Mark the card, the reference and the pieces.")
        if kind is None:
            raise DataError("Nobody said what the pieces are.", in_app="{photo.kind} names part and shade.")
        receipts = count_pieces(self._bench, kind, result)
        left = len(result.readings) - len(receipts)
        grades = [receipt.grade for receipt in receipts if receipt.grade]
        words = [f"counted: {len(receipts)} × {self.kind_words}", _grade_words(grades)]
        return Notice("; ".join([*words, f"{left} not judged and not counted"] if left else words))

    def _table(self) -> PhotoTable:
        if self.table is None:
            raise DataError("No picture is in hand.", in_app="{photo.open} takes its path.")
        return self.table


def _typed_path(text: str) -> Path:
    """A path as a terminal writes it when a file is dropped on it, or as a person types it."""
    path = text.strip()
    if len(path) > 1 and path[0] == path[-1] and path[0] in "'\"":
        path = path[1:-1]
    elif "\\ " in path:
        path = path.replace("\\ ", " ")
    if not path:
        raise DataError("No picture was named.", "Type its path.")
    return Path(path).expanduser()


def _grade_words(grades: Sequence[Grade]) -> str:
    """``grade 4 (2), 3 (1)``."""
    each = sorted(set(grades), reverse=True)
    return "grade " + ", ".join(f"{grade.label} ({grades.count(grade)})" for grade in each)
