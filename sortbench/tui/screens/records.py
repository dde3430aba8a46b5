"""The records screen: how fast each sitting went, and the course of one."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from threading import Thread
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from textual.containers import Container
from textual.widget import Widget

from sortbench.desks.records_desk import checks_together, work_records
from sortbench.engine.board import Notice
from sortbench.papers.record_words import summary
from sortbench.papers.records_page import FOLDER, keep_page
from sortbench.tui.drawing import record_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.messages import Repaint
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.widgets.lines import Lines

if TYPE_CHECKING:
    from sortbench.desks.records_desk import SittingFigures, WorkRecords

AT_ONCE = 20_000
"""Records in the log from which on they are read aside: so many take about a tenth of a second."""
ASIDE = "records"
"""Name of the thread that does so."""


class _State(NamedTuple):
    """The bench as far as the records hang on it."""

    picture: object
    documents: object
    records: int

    def is_same(self, other: _State | None) -> bool:
        """Whether nothing changed from one to the other."""
        if other is None:
            return False
        same = self.picture is other.picture and self.documents is other.documents
        return same and self.records == other.records


class RecordsScreen(ListScreen):
    """All sittings, the newest first under all of them together; beside them what is known of the one under the cursor.

    It lies over the screen that asked for it and leads back there.
    """

    place: Place = "records"
    type_keys: ClassVar[frozenset[str]] = frozenset()

    def __init__(self) -> None:
        super().__init__()
        self._made_for: _State | None = None
        self._made: tuple[_State, WorkRecords] | None = None  # by the thread, until it is looked at
        self._working = self._failed = False
        self._records: WorkRecords | None = None
        self._rows: tuple[SittingFigures, ...] = ()
        self._open = ""
        self._course: SittingFigures | None = None
        self.panels["side"] = Lines(id="side")

    def body(self) -> Iterable[Widget]:
        """The list, and what is known of one line of it."""
        return (Container(self.panels["list"], self.panels["side"], id="pair"),)

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
        made, self._made = self._made, None
        if made is not None:
            self._take_in(*made)
        bench = self.bench
        # Made once for a state of the bench: it goes through the whole log.
        state = _State(bench.picture, bench.documents, len(bench.picture.ledger.records))
        if not self._working and self._made is None and not state.is_same(self._made_for):
            if state.records < AT_ONCE or self._failed:
                self._failed = False
                self._take_in(state, work_records(bench))
            else:
                self._working = True
                # Not a worker of Textual's: leaving the app would wait for one to end.
                Thread(target=self._read_aside, args=(state,), name=ASIDE, daemon=True).start()
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def _read_aside(self, state: _State) -> None:
        try:
            self._made = state, work_records(self.bench)
        except Exception:
            # The bench may have changed beneath it. If not, it fails again when it is done here, and is heard.
            self._failed = True
        self._working = False
        with suppress(RuntimeError):  # the app may have been left meanwhile
            self.post_message(Repaint())

    def _take_in(self, state: _State, found: WorkRecords) -> None:
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
