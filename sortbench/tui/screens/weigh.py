"""The weighing screen: pieces on a scale, counted by their weight."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from sortbench.desks.weigh_hand import WeighHand, read_pieces
from sortbench.engine.board import Notice
from sortbench.model.errors import DataError
from sortbench.tui.drawing import weigh_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.messages import Entered
from sortbench.tui.screens.listing import ListScreen, Question

if TYPE_CHECKING:
    from sortbench.desks.weigh_hand import WeighView
    from sortbench.engine.board import Receipt
    from sortbench.model.tally import Cell

_PROMPTS = {
    "/": ("piece: ", "part and shade, a grade or a bin if need be: plate 2x4 white !4 @B2"),
    "l": ("load: ", "grams with the cup, then of the cup alone: 268.4 12.5"),
    "h": ("handful: ", "pieces, grams with the cup, then of the cup alone: 30 44.6 12.5"),
    "c": ("cup: ", "grams of the empty cup: 12.5"),
    "s": ("scale: ", "smallest step in g, then how readings differ, how pieces do: 0.1 0.05 0.6%"),
    "*": ("by hand: ", "how many they are, counted by hand"),
    "=": ("by hand: ", "how many the load under the cursor had"),
    "p": ("pile: ", "grams uncounted, of its crate; then handfuls: 5230 410; 61 98.4 12; 55 91 12"),
}


class WeighScreen(ListScreen):
    """What lies on the scale, and earlier weighings of the part; it lies over the screen that asked for it.

    Args:
        cell: a heap whose pieces are on the scale; None where they are named here.
    """

    place: Place = "weigh"
    type_keys: ClassVar[frozenset[str]] = frozenset(_PROMPTS)

    def __init__(self, cell: Cell | None = None) -> None:
        super().__init__()
        self._cell = cell
        self._scale_in_hand: WeighHand | None = None
        self._view: WeighView | None = None

    @property
    def _hand(self) -> WeighHand:
        if self._scale_in_hand is None:
            self._scale_in_hand = WeighHand(self.bench)
            if self._cell is not None:
                self._scale_in_hand.take(self._cell)
        return self._scale_in_hand

    @property
    def count(self) -> int:
        """Earlier weighings of the part."""
        return len(self._view.rows) if self._view else 0

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        hand = "{weigh.by-hand} by hand"
        load = "{weigh.cup} cup · {weigh.handful} handful · {weigh.load} load"
        return (
            "",
            f"{{weigh.piece}} piece · {load} · {{weigh.count}} counts · {hand} · {{weigh.scale}} scale",
        )

    def prompts(self, key: str) -> tuple[str, str]:
        """What is typed."""
        return _PROMPTS[key]

    # Keys

    def run_own(self, name: str) -> None:
        """Take off, count, note, strike, undo."""
        if name == "drop":
            self.do(self._hand.drop)
        elif name == "count":
            self._ask_count()
        elif name == "learn":
            self.do(self._hand.learn)
        elif name == "strike":
            self.do(lambda: self._hand.strike(self._under_cursor))
        elif name == "undo":
            self.do(self.bench.undo)

    def _ask_count(self) -> None:
        view = self._view
        if view is None or view.answer is None:
            self.say(self.desk.keymap.told(view.missing) if view and view.missing else "", wrong=True)
        else:
            number = f"Count {view.answer.found.best:,} × {view.name} · {view.shade}?"
            self.ask(Question(f"{view.answer.headline}. {number}", lambda: _told(self._hand.count())))

    @property
    def _under_cursor(self) -> str:
        rows = self._view.rows if self._view else ()
        if not rows:
            raise DataError(
                "There is no earlier weighing of this part.", self.with_keys("{weigh.handful} notes the first.")
            )
        return rows[self.cursor].id

    def typed(self, key: str, text: str) -> None:
        """A line is done; one that is refused is given back to be mended."""
        self.look()
        hand = self._hand
        steps: dict[str, Callable[[str], Notice]] = {
            "/": hand.name,
            "l": hand.put,
            "h": hand.handful,
            "c": hand.cup,
            "s": hand.scale,
            "*": lambda words: _told(hand.count(read_pieces(words))),
            "p": hand.pile,
            "=": lambda words: hand.confirm(self._under_cursor, words),
        }
        if self.do(lambda: steps[key](text)) is None and self.line.give_back(text):
            self.line.keypad = False

    def filter(self, words: str) -> None:
        """A slash names the pieces here; nothing is filtered."""

    def on_entered(self, message: Entered) -> None:
        """The pieces are named. Textual calls the handler of every list as well, which looks after all other lines."""
        if self._typed_for == "/" and message.text.strip():
            self.typed("/", message.text)

    def back(self) -> None:
        """To the screen that lies below."""
        self.app.pop_screen()

    # What there is

    def look(self) -> None:
        """What lies on the scale, and what it comes to."""
        self._view = self._hand.view()
        self.cursor = max(0, min(self.cursor, self.count - 1))

    def draw(self) -> None:
        """What lies on the scale, how many that is, earlier weighings."""
        view = self._view
        assert view is not None, "look comes before draw"
        width = self.size.width
        rows = view.rows
        rest = self.panels["said"].size.height + 2 + (3 if rows else 1)
        about = draw.about_rows(view, width, max(3, self.size.height - rest), self.desk.keymap)
        if not view.name:
            self.show_about(about)
            self.show_instead(draw.NO_PIECE)
            self.show_said()
            return
        room = self.panels["list"].size.width or width
        self.show_about([*about, draw.weighing_headings(room)] if rows else about)
        if not rows:
            self.show_instead(draw.NO_WEIGHINGS)
            self.show_said()
            return
        self.show_list(lambda index, cells: draw.weighing_row(rows[index], index == self.cursor, cells))
        self.show_said(draw.weighing_words(rows[self.cursor]))


def _told(receipt: Receipt) -> Notice:
    """What was counted, and where it goes."""
    words = f"{receipt.quantity:,} × {receipt.name} · {receipt.shade}"
    words += f" into {receipt.bin}" if receipt.bin else ""
    words += "".join(f"; fills the last hole in {name}" for name in receipt.targets_done)
    words += f"; {receipt.bin} overflows" if receipt.overflow else ""
    return Notice(f"{words}; {receipt.note}" if receipt.note else words)
