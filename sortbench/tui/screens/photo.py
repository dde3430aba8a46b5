"""The photo screen: card, reference and pieces are marked on a picture, judged at once, and counted."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.widget import Widget

from sortbench.engine.board import Notice
from sortbench.engine.condition.photo_board import CellMark, PhotoRow, PhotoView, cell_size
from sortbench.model.errors import DataError
from sortbench.tui.drawing import photo_rows as draw
from sortbench.tui.drawing.judge_rows import colours_of
from sortbench.tui.keys import Place, Situation
from sortbench.tui.messages import Resumed, RowClicked
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.widgets.ground import Tray
from sortbench.tui.widgets.lines import Lines

if TYPE_CHECKING:
    from sortbench.desks.photo_desk import PhotoDesk

_PROMPTS = {
    "o": ("picture: ", "its path; Enter takes it in hand, Esc leaves it"),
    "g": ("grid: ", "columns x lines of pieces that one mark stands for, 6x4; 1x1 for one piece"),
    "f": ("card reflects: ", "0.9 or 90 % for a white card, 18 % for a grey one; its maker tells"),
    "n": ("pieces are: ", "part and shade, as on the entry line"),
}


class PhotoScreen(ListScreen):
    """A picture on one side, what is read from it on the other; the cursor moves over cells of the picture."""

    place: Place = "photo"
    type_keys: ClassVar[frozenset[str]] = frozenset(_PROMPTS)
    staying: ClassVar[frozenset[str]] = frozenset(
        {"back-on", "card", "left", "on", "piece", "reference", "right", "unmark"}
    )

    def __init__(self) -> None:
        super().__init__()
        self._view = PhotoView()
        self._column = 0
        self._corner: tuple[str, tuple[int, int]] | None = None
        self.panels |= {
            "picture": Lines((("picture", "title"),), id="picture"),
            "list": Lines((("pieces", "title"),), id="list"),
        }

    def body(self) -> Iterable[Widget]:
        """The picture, and the pieces."""
        return (Tray(self.panels["picture"], self.panels["list"], id="photo"),)

    @property
    def _desk(self) -> PhotoDesk:
        return self.bench.photo

    @property
    def count(self) -> int:
        """Lines of cells of the picture: the cursor moves over them."""
        return cell_size(self._view.preview)[1] if self._view.preview else 0

    @property
    def moving(self) -> str:
        """The cursor is on the picture."""
        return "picture"

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        card = "{photo.reflectance} what the card reflects"
        return "", f"{{photo.open}} picture · {{photo.grid}} grid · {card} · {{photo.kind}} what the pieces are"

    def prompts(self, key: str) -> tuple[str, str]:
        """What is typed for."""
        return _PROMPTS[key]

    def situation(self) -> Situation:
        """What can be done now."""
        judged = sum(bool(row.grade) for row in self._view.rows)
        return Situation(self.bench.has_last, self.bench.can_redo, judged, picture=bool(self._view.name))

    # Keys

    def dispatch(self, command: str) -> None:
        """Keys may come faster than repaints: what can be done hangs on what there is now."""
        self.look()
        super().dispatch(command)

    def run_own(self, name: str) -> None:
        """Move, mark, count, scroll."""
        desk = self._desk
        if name in ("left", "right"):
            self._said = ""
            self._column = max(0, min(self._across - 1, self._column + (1 if name == "right" else -1)))
        elif name in ("card", "reference", "piece"):
            self._mark(name)
        elif name == "unmark":
            self._corner = None
            self.do(lambda: desk.unmark(self._cell, self._room))
        elif name in ("on", "back-on"):
            room = max(self.panels["list"].room - 1, 1)
            self.panels["list"].scroll_rows(room if name == "on" else -room)
        elif name == "count":
            self._ask_count()
        elif name == "undo":
            self.do(self.bench.undo)

    def _mark(self, what: str) -> None:
        """The first corner, or the second one of the same thing."""
        if self._corner is None or self._corner[0] != what:
            self._corner = what, self._cell
            back = self.with_keys("{photo.back} lets it go.")
            self.say(f"{what}: move to the opposite corner and press the same key again; {back}")
            return
        (_, first), self._corner = self._corner, None
        self.do(lambda: self._desk.mark(what, first, self._cell, self._room))

    def _ask_count(self) -> None:
        if not self._view.kind:
            self.say(self.with_keys("Nobody said what the pieces are: {photo.kind} names part and shade."), wrong=True)
            return
        self.ask(Question(draw.count_words(self._view), self._desk.count))

    def back(self) -> None:
        """Let go of a corner; where there is none, go back to the judge screen."""
        if self._corner is not None:
            self._corner = None
            self.say("corner let go")
        else:
            self.desk.show_place("judge")

    # The line

    def on_resumed(self, message: Resumed) -> None:
        """Typing begins; a click on the line takes a picture in hand."""
        super().on_resumed(Resumed(message.key or "o"))

    def typed(self, key: str, text: str) -> None:
        """Do what was typed for; what cannot be meant is given back to be mended."""
        desk = self._desk
        steps: dict[str, Callable[[str], Notice]] = {
            "o": desk.open,
            "g": desk.lay,
            "f": desk.reflect,
            "n": self._name_kind,
        }
        if self.do(lambda: steps[key](text)) is None:
            if self.line.give_back(text):
                self.line.keypad = False
        elif key == "o":
            self._corner, self.cursor, self._column = None, 0, 0

    def _name_kind(self, text: str) -> Notice:
        rows = self.bench.search(text).rows
        if not rows:
            raise DataError(f"Nothing is called {text.strip()[:60]!r}.", "Name part and shade: plate 2x4 white")
        if len(rows) > 1 and rows[0].tie:
            one, other = (f"{row.name}, {row.kind.shade}" for row in rows[:2])
            raise DataError(f"Could be {one} or {other}.", "Type more of what tells them apart.")
        return self._desk.choose(rows[0].kind)

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click on the picture moves the cursor there."""
        if message.panel.id == "picture":
            self.look()
            self.cursor = max(0, min(message.index, self.count - 1))
            self._column = max(0, min(message.x, self._across - 1))
            self.draw_soon()

    def on_resize(self, event: events.Resize) -> None:
        """Cells are others now, so a first corner means nothing any more; marks are kept in pixels."""
        self._corner = None
        super().on_resize(event)

    # What there is

    @property
    def _room(self) -> tuple[int, int]:
        """Cells that the picture has."""
        panel = self.panels["picture"]
        return max(1, panel.size.width), max(1, panel.room)

    @property
    def _across(self) -> int:
        return cell_size(self._view.preview)[0] if self._view.preview else 1

    @property
    def _cell(self) -> tuple[int, int]:
        return self._column, self.cursor

    @property
    def _under(self) -> PhotoRow | None:
        """The piece under the cursor, the last one where several lie there."""
        numbers = [
            mark.label
            for mark in self._view.marks
            if mark.left <= self._column <= mark.right and mark.top <= self.cursor <= mark.bottom
        ]
        return next((row for row in reversed(self._view.rows) if str(row.number) in numbers), None)

    def look(self) -> None:
        """The picture with its marks, and what is read from it."""
        self._view = self._desk.view(*self._room)
        self._column = max(0, min(self._across - 1, self._column))
        self.cursor = max(0, min(self.count - 1, self.cursor))

    def draw(self) -> None:
        """The picture, the pieces, the one under the cursor in full."""
        view, under = self._view, self._under
        colours = colours_of(self.app.console.color_system, self.app.no_color)
        picture, pieces = self.panels["picture"], self.panels["list"]
        self.show_about([draw.head_row(view, self.size.width, self.desk.keymap)])
        picture.show(draw.picture_rows(view, self._cell, self._pending, colours, *self._room, self.desk.keymap))
        number = under.number if under else None
        pieces.show(draw.result_rows(view, number, colours.enough, pieces.size.width))
        self.show_said(draw.row_words(under) if under else "")

    @property
    def _pending(self) -> CellMark | None:
        if self._corner is None:
            return None
        (left, right), (top, bottom) = (sorted(pair) for pair in zip(self._corner[1], self._cell, strict=True))
        return CellMark("+", left, top, right, bottom)
