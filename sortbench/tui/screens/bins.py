"""The bins screen: every bin, what lies in one, and the split of one that overflows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.widget import Widget

from sortbench.engine.board import BinRow, HeapRow, Notice
from sortbench.model.bins import Bin
from sortbench.model.errors import SortbenchError
from sortbench.model.tally import Fate
from sortbench.tui.drawing import bins_rows as draw
from sortbench.tui.keys import Place
from sortbench.tui.messages import RowClicked
from sortbench.tui.screens.listing import ListScreen, Question
from sortbench.tui.widgets.ground import Tray
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import RowsOnDemand


class BinsScreen(ListScreen):
    """Bins on one side, what lies in the chosen one on the other; the cursor is in one of them."""

    place: Place = "bins"
    type_keys: ClassVar[frozenset[str]] = frozenset("n")
    staying: ClassVar[frozenset[str]] = frozenset({"bins", "content"})

    def __init__(self) -> None:
        super().__init__()
        self._bins: tuple[BinRow, ...] = ()
        self._heaps: tuple[HeapRow, ...] = ()
        self._inside = False
        self._heap = 0
        self._proposed: tuple[BinRow | None, str] = (None, "")
        self.panels |= {
            "list": Lines((("bins", "title"),), id="list"),
            "side": Lines((("content", "title"),), id="side"),
        }

    def body(self) -> Iterable[Widget]:
        """The bins, and the content of one."""
        return (Tray(self.panels["list"], self.panels["side"], id="pair"),)

    @property
    def resting(self) -> tuple[str, str]:
        """What the line can be used for."""
        return "", "{bins.content} goes into the bin, {bins.bins} comes back to the bins · {bins.new} a new bin"

    def prompts(self, key: str) -> tuple[str, str]:
        """A new bin."""
        return "new bin: ", "label, shades and shape families, pieces it holds: B7 white plate *60"

    def typed(self, key: str, text: str) -> None:
        """Ask whether the new bin is meant so; a line that is refused is given back to be mended."""
        try:
            new = self.bench.bin_from_words(text)
        except SortbenchError as error:
            self.say(self.desk.keymap.told(error), wrong=True)
            if self.line.give_back(text):
                self.line.keypad = False
            return
        self.ask(Question(f"Put up {draw.new_bin_words(new)}?", lambda: self._put_up(new)))

    def _put_up(self, new: Bin) -> Notice:
        answer = self.bench.add_bin(new)
        self.look()
        self.cursor = next((at for at, each in enumerate(self._bins) if each.label == new.label), self.cursor)
        return answer

    @property
    def count(self) -> int:
        """How many bins there are."""
        return len(self._bins)

    @property
    def moving(self) -> str:
        """The panel in which the cursor moves."""
        return "side" if self._inside else "list"

    def move(self, by: int) -> None:
        """Move to another bin, or to another heap inside one."""
        if self._inside:
            self._heap = max(0, min(len(self._heaps) - 1, self._heap + by))
        else:
            super().move(by)
            self._heap = 0

    def run_own(self, name: str) -> None:
        """Go into a bin and out again, split one."""
        if name in ("content", "bins"):
            self._inside = name == "content" and bool(self._heaps)
        elif name == "import":
            self.desk.over.bring_in("bins", lambda answer: self.say(answer.text))
        elif name == "weigh":
            heap = self._heaps[self._heap].cell if self._inside and self._heaps else None
            self.desk.over.weigh(heap)
        elif (chosen := self._chosen) is None:
            self.say(self.with_keys("There is no bin yet; {bins.new} puts one up."), wrong=True)
        elif name == "split":
            self._ask_split(chosen)
        elif name == "spot":
            self.desk.over.spot(chosen.label)
        elif name == "recount":
            self.desk.over.recount(chosen.label)

    def _ask_split(self, chosen: BinRow) -> None:
        proposal = self._proposal(chosen)
        if not chosen.overflowing:
            self.say(f"{chosen.label} does not overflow: there is nothing to split.", wrong=True)
        elif not proposal:
            self.say(draw.split_words(chosen, proposal, self.desk.keymap), wrong=True)
        else:
            self.ask(Question(f"Split {chosen.label}? {proposal}", lambda: self.bench.split(chosen.label)))

    @property
    def _chosen(self) -> BinRow | None:
        return self._bins[min(self.cursor, len(self._bins) - 1)] if self._bins else None

    def _proposal(self, chosen: BinRow) -> str:
        """Worked out once for each state of a bin: it takes longer than a key may."""
        if self._proposed[0] != chosen:
            self._proposed = chosen, self.bench.split_proposal(chosen.label) if chosen.overflowing else ""
        return self._proposed[1]

    def on_row_clicked(self, message: RowClicked) -> None:
        """A click moves the cursor to where it was."""
        self._inside = message.panel.id == "side"
        if self._inside:
            self._heap = message.index
        else:
            self.cursor, self._heap = message.index, 0
        self.draw_soon()

    def look(self) -> None:
        """The bins as they are now, and what lies in the chosen one."""
        label = chosen.label if (chosen := self._chosen) else ""
        first = not self._bins
        self._bins = self.bench.bin_rows()
        if first:
            # Whoever comes because a bin overflows finds the cursor on it.
            label = next((each.label for each in self._bins if each.overflowing), "")
        # Bins may come and go meanwhile: the cursor stays on the bin, not on the place.
        self.cursor = next((at for at, each in enumerate(self._bins) if each.label == label), self.cursor)
        chosen = self._chosen
        self._heaps = self.bench.heaps(chosen.label) if chosen else ()
        self._heap = max(0, min(self._heap, len(self._heaps) - 1))
        self._inside = self._inside and bool(self._heaps)

    def draw(self) -> None:
        """Bins, content, and the chosen bin in full or how to split it."""
        ledger, width = self.bench.picture.ledger, self.size.width
        crated, to_wash, discarded = map(ledger.of_fate, (Fate.CRATE, Fate.WASH, Fate.OUT))
        about = draw.head_rows(self._bins, crated, to_wash, discarded, width)
        chosen = self._chosen
        self.show_about(about)
        if chosen is None:
            self.show_instead(draw.EMPTY_BINS)
            self.panels["side"].show(())
            self.show_said()
            return
        bins = self._bins
        self.show_list(lambda index, room: draw.bin_row(bins[index], index == self.cursor and not self._inside, room))
        self._draw_content(chosen)
        proposal = draw.split_words(chosen, self._proposal(chosen), self.desk.keymap)
        self.show_said(proposal or draw.bin_words(chosen), "over" if proposal else "quiet")

    def _draw_content(self, chosen: BinRow) -> None:
        heaps, panel = self._heaps, self.panels["side"]
        rows = RowsOnDemand(
            len(heaps),
            lambda index: draw.heap_row(heaps[index], self._inside and index == self._heap, panel.size.width),
        )
        panel.show(rows, title=draw.content_title(chosen), selected=self._heap)
