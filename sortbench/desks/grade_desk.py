"""Grading by eye and by reading: which shade is judged against what, and what that does to the last tally.

What was typed stays for the sitting: the reading of an unaged piece is taken once and serves for all pieces of a shade.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.board import Notice, Receipt
from sortbench.engine.condition.change_rating import colour_change
from sortbench.engine.condition.colour import Lab, hex_to_lab, in_gamut, lab_to_hex, parse_reading
from sortbench.engine.condition.colours_256 import nearest
from sortbench.engine.condition.grade_steps import GradeScale, grade_scale
from sortbench.engine.condition.judging import Judgement, drift_words, judge
from sortbench.model.errors import DataError
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell, Record, What, reading_of

if TYPE_CHECKING:
    from sortbench.desk import Desk

WAY = "judged"
"""How a tally came, for the record."""


class LastTally(NamedTuple):
    """What was counted last.

    Attributes:
        name: the part in words.
        shade: its shade.
        quantity: pieces, 1 or more.
        grade: what it was counted as; None for pieces that nobody judged, and for a line of a list.
        where: the bin; empty if none.
        on_list: whether it is a line of a list, which has no grade.
    """

    name: str
    shade: str
    quantity: int
    grade: Grade | None
    where: str
    on_list: bool

    @property
    def words(self) -> str:
        """As one says it: ``3 × plate 2x4 · white``."""
        return f"{self.quantity:,} × {self.name} · {self.shade}"


class Nearest(NamedTuple):
    """Swatches on a terminal of 256 colours.

    Attributes:
        steps: number of the colour that stands for each step, the reference first.
        changes: the change dE_F between each of these and the first: what is seen there, whatever it should be.
        reading: number of the colour that stands for the piece; None where none was read.
    """

    steps: tuple[int, ...]
    changes: tuple[float, ...]
    reading: int | None


class JudgeView(NamedTuple):
    """What the judge screen shows.

    Attributes:
        shade: the shade that is judged; empty where the catalogue has none.
        place: its place among all shades, from 0.
        of: how many there are.
        scale: swatches from the reference to grade 1; None where no reference is known.
        measured: whether the reference was typed for an unaged piece, and is no list value.
        reference: the reference as it was written.
        reading: the piece's reading as it was typed; empty if none was.
        reading_rgb: its colour as shown, six hex digits of sRGB.
        reading_cut: it is a colour that sRGB does not hold, and the nearest is shown.
        judgement: what the reading comes to; None without reading or reference.
        drift: which way the piece has gone, in words; may be empty.
        last: what was counted last; None if nothing was.
        nearest: the swatches in 256 colours, where these were asked for.
    """

    shade: str = ""
    place: int = 0
    of: int = 0
    scale: GradeScale | None = None
    measured: bool = False
    reference: str = ""
    reading: str = ""
    reading_rgb: str = ""
    reading_cut: bool = False
    judgement: Judgement | None = None
    drift: str = ""
    last: LastTally | None = None
    nearest: Nearest | None = None


class _Typed(NamedTuple):
    """A reading, and how it was written."""

    text: str
    lab: Lab


class GradeDesk:
    """Judging pieces at one sitting.

    Args:
        bench: knows the shades, counts, and puts the last tally right.
    """

    def __init__(self, bench: Desk) -> None:
        self._bench = bench
        self._chosen = ""
        self._unaged: dict[str, _Typed] = {}
        self._reading: _Typed | None = None

    # What is judged

    @property
    def shade(self) -> str:
        """The shade chosen here; else the held one, that of the last tally, or the first of the catalogue."""
        known = self._bench.catalogue.shades
        record = self._last_record
        last = record.cell.shade if record is not None and record.cell is not None else ""
        wanted = (self._chosen, self._bench.held.shade, last)
        return next((name for name in wanted if name in known), next(iter(known), ""))

    def start(self) -> None:
        """Begin anew with the shade in hand; the readings of unaged pieces stay."""
        self._chosen, self._reading = "", None

    def choose(self, words: str) -> Notice:
        """Judge the shade whose name starts so.

        Raises:
            DataError: none is called so.
        """
        found = self._bench.lookup.shades(words, limit=1)
        if not found:
            raise DataError(f"No shade is called {words[:60]!r}.", "Type the start of its name.")
        self._chosen = found[0]
        return Notice(f"judging {self._chosen}")

    def turn(self, by: int) -> None:
        """Judge the shade so many places further in the catalogue, from the last on to the first."""
        names = list(self._bench.catalogue.shades)
        if names:
            self._chosen = names[(names.index(self.shade) + by) % len(names)]

    def read(self, text: str) -> Notice:
        """Take the reading of a piece; see :func:`parse_reading`.

        Raises:
            DataError: it is no reading.
        """
        self._reading = _typed(text)
        return Notice(f"read: {self._reading.text}")

    def refer(self, text: str) -> Notice:
        """Take the reading of an unaged piece of the shade for its reference; no text goes back to the list value.

        Raises:
            DataError: it is no reading, or there is no shade.
        """
        shade = self.shade
        if not shade:
            raise DataError("There is no shade to judge yet.", "Import some with `sortbench import shades`.")
        if not text.strip():
            self._unaged.pop(shade, None)
            return Notice(f"{shade} is judged against its list value")
        self._unaged[shade] = _typed(text)
        return Notice(f"{shade} is judged against an unaged piece of {self._unaged[shade].text}")

    @property
    def has_reading(self) -> bool:
        """Whether a piece was read."""
        return self._reading is not None

    def let_go(self) -> bool:
        """Forget the piece's reading; whether there was one."""
        had, self._reading = self._reading is not None, None
        return had

    def _reference(self, shade: str) -> _Typed | None:
        if shade in self._unaged:
            return self._unaged[shade]
        rgb = self._bench.picture.rgb(shade)
        return _Typed(f"#{rgb}", hex_to_lab(rgb)) if rgb else None

    def _judged(self) -> Judgement | None:
        reference = self._reference(self.shade)
        return judge(self._reading.lab, reference.lab) if self._reading and reference else None

    def view(self, in_256: bool = False) -> JudgeView:
        """Everything there is to show.

        Args:
            in_256: whether the terminal has 256 colours only.
        """
        shade, names = self.shade, list(self._bench.catalogue.shades)
        if not shade:
            return JudgeView(last=self._last)
        reference, read, judged = self._reference(shade), self._reading, self._judged()
        scale = grade_scale(reference.lab) if reference else None
        reading_rgb = lab_to_hex(read.lab) if read else ""
        return JudgeView(
            shade,
            names.index(shade),
            len(names),
            scale,
            shade in self._unaged,
            reference.text if reference else "",
            read.text if read else "",
            reading_rgb,
            read is not None and not in_gamut(read.lab),
            judged,
            drift_words(judged) if judged else "",
            self._last,
            _nearest(scale, reading_rgb) if scale and in_256 else None,
        )

    # What it does to counts

    @property
    def _last_record(self) -> Record | None:
        return self._bench.sitting.in_hand() if self._bench.sitting.hand_words else None

    @property
    def _last(self) -> LastTally | None:
        record = self._last_record
        if record is None or record.cell is None:
            return None
        cell, on_list = record.cell, record.what is What.LINE
        name = self._bench.picture.name(cell)
        grade = None if on_list else cell.grade
        return LastTally(name, cell.shade, record.quantity, grade, cell.bin, on_list)

    def count(self) -> Receipt:
        """Count one more piece like the last, with the grade and the colour of the reading.

        Raises:
            DataError: nothing was read or counted, or the last tally is of another shade or part of a list.
            WriteError: the disk refused; nothing is counted.
        """
        cell, found = self._cell_in_hand(), self._judgement()
        self._check_shade(cell)
        bench = self._bench
        routed = bench.picture.router.route(cell.part, cell.shade, found.grade, cell.flaws, cell.family)
        new = cell._replace(grade=found.grade, bin=bench.held.bin or routed)
        return bench.count_cell(new, 1, WAY, reading_of(*found.piece))

    def regrade(self) -> Receipt:
        """Give the last tally the grade and the colour of the reading.

        Raises:
            DataError: as for :meth:`count`, or the pieces were carried on since.
            WriteError: the disk refused; nothing changes.
        """
        found = self._judgement()
        self._check_shade(self._cell_in_hand())
        return self._give(found.grade, found.piece)

    def give(self, grade: Grade) -> Receipt:
        """Give the last tally a grade that eyes found.

        Raises:
            DataError: nothing counted, a line of a list, it has that grade already, or its pieces were carried on.
            WriteError: the disk refused; nothing changes.
        """
        self._check_shade(self._cell_in_hand())
        return self._give(grade)

    def half_step(self, down: bool) -> Receipt:
        """The last tally half a grade down or up.

        Raises:
            DataError: as for :meth:`give`, or the scale ends here.
        """
        grade = self._cell_in_hand().grade or Grade.G5
        if grade is (Grade.G1 if down else Grade.G5):
            raise DataError(
                f"Grade {grade.label} is the {'lowest' if down else 'highest'} there is.",
                "The last tally stays as it is; count on.",
            )
        return self.give(Grade(grade + (-1 if down else 1)))

    def _give(self, grade: Grade, read: Lab | None = None) -> Receipt:
        sitting = self._bench.sitting
        record, cell = sitting.in_hand(), self._cell_in_hand()
        if grade is cell.grade and read is None:
            raise DataError(f"The last tally has grade {grade.label} already.")
        new = sitting.rerouted(cell, cell._replace(grade=grade))
        return sitting.replace(record, new, record.quantity, reading_of(*read) if read else None)

    def _cell_in_hand(self) -> Cell:
        record = self._bench.sitting.in_hand()
        if record.what is not What.TALLY or record.cell is None:
            raise DataError("A line of a list has no grade and no bin.", "Count pieces to give them one.")
        return record.cell

    def _judgement(self) -> Judgement:
        if self._reading is None:
            raise DataError("No reading was typed yet.", in_app="{judge.read} begins one.")
        found = self._judged()
        if found is None:
            raise DataError(
                f"There is nothing to judge {self.shade or 'a piece'} against.",
                in_app="{judge.reference} types the reading of an unaged piece.",
            )
        return found

    def _check_shade(self, cell: Cell) -> None:
        """Pieces of one shade are not graded by the steps of another."""
        if cell.shade and cell.shade != self.shade:
            raise DataError(
                f"The last tally is {cell.shade}, and {self.shade} is judged here.",
                f"s and its name shows the steps of {cell.shade}.",
            )


def _nearest(scale: GradeScale, reading: str) -> Nearest:
    found = [nearest(step.rgb) for step in scale.steps]
    reference = hex_to_lab(found[0].rgb)
    return Nearest(
        tuple(each.number for each in found),
        tuple(colour_change(hex_to_lab(each.rgb), reference) for each in found),
        nearest(reading).number if reading else None,
    )


def _typed(text: str) -> _Typed:
    words = " ".join(text.split())
    lab = parse_reading(words)
    bare = words.removeprefix("#")
    is_hex = len(bare) == 6 and all(char in "0123456789abcdefABCDEF" for char in bare)
    return _Typed(f"#{bare.lower()}" if is_hex else words, lab)
