"""The preview of a target's statement: what can truly be told a buyer, and written into the bench's folder."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.statement_desk import FOLDER, keep_files, statement
from sortbench.engine.board import Notice
from sortbench.tui.drawing import statement_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.screens.listing import ListScreen
from sortbench.tui.screens.made_for import MadeFor, made_for
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.desks.statement_desk import Statement


class StatementScreen(ListScreen):
    """A statement to read through; it lies over the screen that asked for it and leads back there.

    Args:
        code: whose statement.
    """

    place: Place = "statement"
    type_keys: ClassVar[frozenset[str]] = frozenset()
    staying: ClassVar[frozenset[str]] = frozenset({"next", "previous"})

    def __init__(self, code: str) -> None:
        super().__init__()
        self._code = code
        self._codes: tuple[str, ...] = ()
        self._as_shared = False
        self._stated: Statement | None = None
        self._made_for: MadeFor | None = None
        self._rows: tuple[Row, ...] = ()

    @property
    def count(self) -> int:
        """Lines of the statement."""
        return len(self._rows)

    @property
    def resting(self) -> tuple[str, str]:
        """What keys do here."""
        write = "{statement.write} writes text, Markdown and HTML"
        return "", f"{write} · {{statement.as-shared}} box, or as picked now · {{statement.next}} next target"

    # Keys

    def run_own(self, name: str) -> None:
        """Switch targets, switch what is spoken of, write."""
        if name in ("next", "previous"):
            self._switch(1 if name == "next" else -1)
        elif name == "as-shared":
            self._as_shared = not self._as_shared
            self._to_top()
        elif name == "write" and (stated := self._stated) is not None:
            self.do(lambda: self._write(stated))

    def _write(self, stated: Statement) -> Notice:
        files = keep_files(self.bench, stated)
        return Notice(f"written into {self.bench.path / FOLDER}: {', '.join(path.name for path in files)}")

    def _switch(self, by: int) -> None:
        place = max(0, min(len(self._codes) - 1, self._place_among + by))
        if self._codes and self._codes[place] != self._code:
            self._code = self._codes[place]
            self._to_top()

    def _to_top(self) -> None:
        self._said = ""
        self.move(-self.panels["list"].top)

    def move(self, by: int) -> None:
        """Scroll, as far as there are lines."""
        self.panels["list"].scroll_rows(by)

    def back(self) -> None:
        """Back to the screen that lies below."""
        self.app.pop_screen()

    # What there is

    @property
    def _place_among(self) -> int:
        return self._codes.index(self._code) if self._code in self._codes else 0

    def look(self) -> None:
        """The statement as it is now; the first target's where this one is gone."""
        bench = self.bench
        self._codes = tuple(row.code for row in bench.target_rows())
        if self._code not in self._codes:
            self._code = self._codes[0] if self._codes else ""
        state = made_for(bench, self._code, self._as_shared)
        if not state.is_same(self._made_for):
            self._made_for = state
            self._stated = statement(bench, self._code, as_shared=self._as_shared) if self._code else None

    def draw(self) -> None:
        """Which target it is, and all that is stated of it."""
        stated, width = self._stated, self.size.width
        if stated is None:
            self._rows = ()
            self.show_about([(("statement", "title"),)])
            self.panels["list"].show(((("There are no targets any more.", "text"),),))
            self.show_said()
            return
        self.show_about(draw.head_rows(stated, self._place_among, len(self._codes), width, self.desk.keymap))
        self._rows = draw.preview_rows(stated, self.panels["list"].size.width or width)
        self.panels["list"].show(self._rows)
        self.show_said()
