"""The log screen: every record, newest first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sortbench.engine.board import Notice, RecordRow
from sortbench.model.tally import RecordId, What
from sortbench.tui.drawing import log_rows as draw
from sortbench.tui.drawing.list_rows import kept_note
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen, Question


class LogScreen(ListScreen):
    """Records to read, to filter and to void. Of many thousands only those in sight are drawn."""

    place: Place = "log"

    def __init__(self) -> None:
        super().__init__()
        self._stale = True
        self._records: Sequence[RecordRow] = ()
        self._by_id: Mapping[RecordId, RecordRow] = {}
        self._haystacks: tuple[str, ...] = ()
        self._shown: Sequence[RecordRow] = ()

    @property
    def count(self) -> int:
        """Records in view."""
        return len(self._shown)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for, and the quick way back in time."""
        return "", "{log.filter} filters · {log.hour-back} goes an hour back"

    def bench_changed(self) -> None:
        """Another sitting wrote records."""
        self._stale = True
        super().bench_changed()

    def run_own(self, name: str) -> None:
        """Void the record under the cursor, once that is agreed to; go back by an hour; or show how fast it went."""
        if name == "hour-back" and self._shown:
            self.cursor = self.bench.hour_back(self._shown, self.cursor)
        if name == "records":
            self.desk.over.records()
        if name == "void" and self._shown:
            record = self._shown[self.cursor]
            if not record.holds:
                self.say("This record is void already.", wrong=True)
                return
            if record.what in (What.VOID, What.OPEN):
                self.say("It counts nothing, so it cannot be voided; redo on the bench brings counts back.", wrong=True)
                return
            self.ask(Question(f"Void {draw.record_words(record, self._by_id)}?", lambda: self._void(record.id)))

    def _void(self, rid: RecordId) -> Notice:
        notice = self.bench.void(rid)
        self._stale = True
        return notice

    def filter(self, words: str) -> None:
        """Show only records that hold these words; texts to look in are made when first needed."""
        if words != self.words:
            if words and not self._haystacks:
                self._haystacks = tuple(draw.searchable_record(record, self._by_id) for record in self._records)
            super().filter(words)
            self._choose()

    def _choose(self) -> None:
        self._shown = draw.matching(self._records, self._haystacks, self.words) if self.words else self._records

    def _reload(self) -> None:
        """Read the records anew; the cursor stays on its record."""
        here = self._shown[self.cursor].id if self._shown else None
        log = self.bench.log()
        self._records, self._by_id = log, log.by_id
        self._haystacks = ()
        if self.words:
            self._haystacks = tuple(draw.searchable_record(record, self._by_id) for record in self._records)
        self._choose()
        if here is not None:
            self.cursor = next((at for at, record in enumerate(self._shown) if record.id == here), self.cursor)
        self._stale = False

    def look(self) -> None:
        """The records; read anew only when there are others."""
        if self._stale:
            self._reload()

    def draw(self) -> None:
        """What there is, the records in sight, the one under the cursor in full."""
        width, shown = self.size.width, self._shown
        note = [kept_note(len(shown), len(self._records), self.words, "record", self.back_key)] if self.words else []
        self.show_about([*draw.head_rows(self._records, width), *note, draw.record_headings(width)])
        if not self._records:
            self.show_instead(draw.EMPTY_LOG)
            self.show_said()
            return
        self.show_list(lambda index, room: draw.record_row(shown[index], self._by_id, index == self.cursor, room))
        self.show_said(draw.record_words(shown[self.cursor], self._by_id) if shown else "")
