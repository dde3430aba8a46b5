"""The records screen: how fast each sitting went, and the course of one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.widget import Widget

from sortbench.desks.records_desk import checks_together, work_records
from sortbench.engine.board import Notice
from sortbench.papers.record_words import summary
from sortbench.papers.records_page import FOLDER, keep_page
from sortbench.tui.drawing import record_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.screens.aside import Aside
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.screens.made_for import MadeFor, made_for
from sortbench.tui.widgets.ground import Tray
from sortbench.tui.widgets.lines import Lines

if TYPE_CHECKING:
    from sortbench.desks.records_desk import SittingFigures, WorkRecords

AT_ONCE = 20_000
"""Records in the log from which on they are read aside: so many take about a tenth of a second."""
ASIDE = "records"
"""Name of the thread that does so."""


class RecordsScreen(ListScreen):
    """All sittings, the newest first under all of them together; beside them what is known of the one under the cursor.

    It lies over the screen that asked for it and leads back there.
    """

    place: Place = "records"
    type_keys: ClassVar[frozenset[str]] = frozenset()

    def __init__(self) -> None:
        super().__init__()
        self._made_for: MadeFor | None = None
        self._made: tuple[MadeFor, WorkRecords] | None = None  # until it is looked at
        self._aside = Aside(self, ASIDE)
        self._records: WorkRecords | None = None
        self._rows: tuple[SittingFigures, ...] = ()
        self._open = ""
        self._course: SittingFigures | None = None
        self.panels["side"] = Lines(id="side")

    def body(self) -> Iterable[Widget]:
        """The list, and what is known of one line of it."""
        return (Tray(self.panels["list"], self.panels["side"], id="pair"),)

    @property
    def count(self) -> int:
        """Sittings, or stretches of the one whose course is shown."""
        return len(self._rows if self._course is None else self._course.course)

    @property
    def resting(self) -> tuple[str, str]:
        """What keys do here."""
        return "", "{records.course} shows a sitting's course · {records.write} writes a page with plots"

    # Keys

    def run_own(self, name: str) -> None:
        """Open a sitting, close it, write the page."""
        if name == "course":
            self._open_course()
        elif name == "sittings":
            self._close_course()
        elif name == "write" and self._records is not None:
            self.do(self._write)
        elif name == "write":
            self.say("The log is still being read; press it again once the sittings stand here.", wrong=True)

    def _open_course(self) -> None:
        if self._course is not None or not self._rows:
            return
        figures = self._rows[self.cursor]
        if not figures.sitting:
            words = "Each sitting has a course of its own: {records.down} leads to them."
            self.say(self.with_keys(words), wrong=True)
            return
        self._open, self._course, self.cursor, self._said = figures.sitting, figures, 0, ""

    def _close_course(self) -> None:
        if self._course is not None:
            self.cursor = next((at for at, each in enumerate(self._rows) if each.sitting == self._open), 0)
            self._open, self._course, self._said = "", None, ""

    def _write(self) -> Notice:
        assert self._records is not None, "there is something to write"
        path = keep_page(self.bench.path, self._records)
        return Notice(f"{path.name} written into {self.bench.path / FOLDER}")

    def back(self) -> None:
        """Back to the sittings, then to the screen that lies below."""
        if self._course is not None:
            self._close_course()
        else:
            self.app.pop_screen()

    # What there is

    def look(self) -> None:
        """The records as they are now; those of a long log are read aside, and keys are answered meanwhile."""
        self._take_in_made()
        state = made_for(self.bench)
        if not self._aside.is_working and self._made is None and not state.is_same(self._made_for):
            self._aside.do(lambda: self._read(state), at_once=state.records < AT_ONCE)
            self._take_in_made()
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def _read(self, state: MadeFor) -> None:
        self._made = state, work_records(self.bench)

    def _take_in_made(self) -> None:
        made, self._made = self._made, None
        if made is not None:
            self._take_in(*made)

    def _take_in(self, state: MadeFor, found: WorkRecords) -> None:
        """Show other records; the cursor stays on its sitting."""
        self._made_for = state
        here = self._rows[self.cursor].sitting if self._course is None and self._rows else None
        self._records = found
        self._rows = (found.together, *reversed(found.sittings)) if found.sittings else ()
        if self._open:
            self._course = next((each for each in found.sittings if each.sitting == self._open), None)
            self._open = self._open if self._course is not None else ""
        elif here is not None:
            self.cursor = next((at for at, each in enumerate(self._rows) if each.sitting == here), 0)

    def draw(self) -> None:
        """The sittings with what is known of one, or the course of one with its plot."""
        width = self.size.width
        if self._records is None:
            self.show_about([(("records", "title"),)])
            self.show_instead(draw.READING)
            self.panels["side"].show(())
            self.show_said()
            return
        room = self.panels["list"].size.width or width
        if not self._rows:
            self.show_about([draw.head_row(self._records, None, width)])
            self.show_instead(draw.NO_RECORDS)
            self.panels["side"].show(())
            self.show_said()
        elif self._course is None:
            self._draw_sittings(self._records, width, room)
        else:
            self._draw_course(self._records, self._course, width, room)

    def _draw_sittings(self, records: WorkRecords, width: int, room: int) -> None:
        rows, side = self._rows, self.panels["side"].size
        self.show_about([draw.head_row(records, None, width), draw.sitting_headings(room)])
        self.show_list(lambda index, cells: draw.sitting_row(rows[index], index == self.cursor, cells))
        figures = rows[self.cursor]
        self.panels["side"].show(
            draw.detail_rows(figures, records.checks, checks_together(records.checks), side.width or width, side.height)
        )
        self.show_said(summary(figures))

    def _draw_course(self, records: WorkRecords, figures: SittingFigures, width: int, room: int) -> None:
        course, side = figures.course, self.panels["side"].size
        self.show_about(
            [draw.head_row(records, figures, width, self.with_keys("{records.sittings}")), draw.course_headings(room)]
        )
        self.panels["side"].show(draw.plot_rows(figures, side.width or width, side.height))
        if not course:
            self.show_instead(draw.NO_COURSE)
            self.show_said()
            return
        top = draw.course_top(course)
        self.show_list(lambda index, cells: draw.course_row(course[index], top, index == self.cursor, cells))
        self.show_said(draw.interval_words(course[self.cursor]))
