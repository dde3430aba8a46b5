"""The board of the bench screen: what its panels show, asked of the bench and drawn as rows."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from sortbench.engine.board import Notice, PastedRow, Receipt, Results
from sortbench.model.catalogue import Kind
from sortbench.model.tally import RecordId
from sortbench.tui.drawing import bench_rows as draw
from sortbench.tui.drawing.bench_layout import Panel, board_rows
from sortbench.tui.drawing.pad_rows import pad_rows
from sortbench.tui.drawing.words import plural
from sortbench.tui.keymap import Keymap
from sortbench.tui.keys import key_label
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.board import ResultRow
    from sortbench.engine.washing.wash_clock import DueLine

_TITLES: dict[str, Row] = {
    "results": (("at hand", "title"),),
    "pad": (("tray", "title"),),
    "tallies": (("just counted", "title"),),
    "bins": (("bins", "title"),),
}


@lru_cache(maxsize=8)
def _keypad_keys(keys: Keymap) -> tuple[tuple[str, str], ...]:
    """The keypad's keys beside slots and pages, and what they do."""
    return tuple(
        (key_label(command.keys[0]), command.label)
        for command in keys.commands
        if command.where == "pad"
        and not command.id.startswith(("slot.", "page."))
        and command.id not in ("yes", "cancel", "pick.earlier", "pick.later", "pick.void")
    )


class Shown(NamedTuple):
    """What stands on the screen beside what the bench holds.

    Attributes:
        results: what was found for the words typed so far.
        chosen: place of the highlighted one.
        picked: the tally that was picked to be put right, if one was.
        pasted: pasted lines that wait.
        preview: the first of them, with what they would do.
        answer: the last receipt or notice.
        error: why the last key did nothing; empty: it did.
        keypad: whether keys strike the keypad.
        typing: whether something stands on the entry line.
        news: what happened and is worth more than one receipt.
    """

    results: Results
    chosen: int
    picked: RecordId | None
    pasted: int
    preview: tuple[PastedRow, ...]
    answer: Receipt | Notice | None
    error: str
    keypad: bool
    typing: bool
    news: Row = ()

    @property
    def kind(self) -> Kind | None:
        """The kind that the panels speak of: of the highlighted result, else of the last receipt."""
        found = self._highlighted
        return found.kind if found else self.answer.kind if isinstance(self.answer, Receipt) else None

    @property
    def bin(self) -> str:
        """The bin that the panels speak of; empty: none."""
        found = self._highlighted
        return found.bin if found else self.answer.bin if isinstance(self.answer, Receipt) else ""

    @property
    def _highlighted(self) -> ResultRow | None:
        rows = self.results.rows
        return rows[min(self.chosen, len(rows) - 1)] if rows else None

    @property
    def note(self) -> str:
        """What waits for a key; ids in braces stand for keys."""
        if self.pasted:
            return f"{plural(self.pasted, 'pasted line')} waiting: {{count}} on an empty line counts, {{pad}} lets go"
        if self.picked is not None:
            return "picked: type what is right and {count}, {pick.void} on the keypad voids it, {pad} lets go"
        return ""


class BenchBoard:
    """One picture of the board.

    Args:
        bench: None before it is open.
        shown: what stands on the screen.
        wash: what the wash waits for, if anything.
        begun: whether the keypad may be drawn: a start leaves it for later.
        keys: the keys in force.
    """

    def __init__(self, bench: Bench | None, shown: Shown, wash: DueLine | None, begun: bool, keys: Keymap) -> None:
        self._bench = bench
        self._shown = shown
        self._wash = wash
        self._begun = begun
        self._keys = keys

    def rows(self, panels: Sequence[Panel], foot: Row, width: int, height: int) -> list[Row]:
        """All rows of the board, the foot among them."""
        content = {panel.name: (self._title_of(panel), self._rows_of(panel)) for panel in panels}
        if self._bench is not None and "pad" in content and self._begun:
            content["pad"] = self._pad(self._bench, next(panel for panel in panels if panel.name == "pad"))
        shown = self._shown
        answer = draw.answer_rows(shown.answer, shown.error, self._keys.said(shown.note), width, self._keys)
        return board_rows(self._head(width), answer, foot, panels, content, height)

    def _head(self, width: int) -> Row:
        bench = self._bench
        if bench is None:
            return draw.opening_row(width)
        # Held against the pile are only its own pieces: what was ordered and came is none of it.
        ledger, pile = bench.picture.ledger, bench.pile
        pieces = ledger.pieces if pile is None else ledger.of_pile
        held, pace = bench.held, bench.pace()
        return draw.head_row(bench.path.name, held, bench.target_name, pieces, pace, pile, width, self._shown.news)

    def _title_of(self, panel: Panel) -> Row:
        if panel.name == "bins" and self._wash is not None:
            from sortbench.tui.drawing.wash_rows import due_title

            return due_title(self._wash, panel.width)
        return draw.crates_title(panel.width) if panel.name == "targets" else _TITLES[panel.name]

    def _rows_of(self, panel: Panel) -> tuple[Row, ...]:
        """The rows of a panel; none before the bench is open."""
        width, room = panel.width, panel.room
        bench, shown = self._bench, self._shown
        if bench is None:
            return ()
        if panel.name == "results":
            if shown.preview and not shown.typing:
                return draw.pasted_rows(shown.preview, shown.pasted, width, room)
            hints = self._said(draw.idle_hints(shown.keypad, bool(bench.catalogue.shades)))
            return draw.result_rows(shown.results, shown.chosen, hints, width, min(8, room), self._keys)
        if panel.name == "tallies":
            return draw.tally_rows(bench.recent(room), shown.picked, width)
        if panel.name == "targets":
            targets = draw.targets_in_view(bench.target_rows(shown.kind, at_once=True), room)
            return draw.target_rows(targets, width) or draw.hint_rows(self._said(draw.NO_TARGETS), width, room)
        if panel.name == "bins":
            here = shown.bin
            bins = draw.bins_in_view(bench.bin_rows(), here, room)
            return draw.bin_rows(bins, here, width) or draw.hint_rows(self._said(draw.NO_BINS), width, room)
        return ()

    def _said(self, hints: Sequence[str]) -> tuple[str, ...]:
        """Hints with the keys in force."""
        return tuple(self._keys.said(hint) for hint in hints)

    def _pad(self, bench: Bench, panel: Panel) -> tuple[Row, tuple[Row, ...]]:
        """Title and rows of the keypad."""
        pad = bench.pad.view()
        title: Row = (("tray ", "title"), (pad.title, "held" if self._shown.keypad else "quiet"))
        return title, pad_rows(pad, _keypad_keys(self._keys), panel.width, panel.room, self._keys)
