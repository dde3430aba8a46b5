"""A bench screen of made-up figures, to measure the widgets alone: every key changes every bar, result and slot.

Run as ``python -m tests.benchmarks.widget_app panels|board [rows that change]``: panels are one widget each, the board
is a single widget over the whole screen.
"""

from __future__ import annotations

import sys

from textual.app import App, ComposeResult
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from sortbench.tui.messages import Changed
from sortbench.tui.widgets.entry_line import EntryLine
from sortbench.tui.widgets.lines import Lines
from sortbench.tui.widgets.rows import Column, Row, beside, columns, fill_bar, load_bar

TARGETS, BINS, RESULTS, SLOTS, TALLIES = 20, 20, 8, 9, 6
NAME_BAR_NUMBER = (Column(8, None), Column(14), Column(9, align="right"))


def target_rows(count: int, moving: int, width: int) -> tuple[Row, ...]:
    """Twenty fill bars, of which the first ``moving`` follow the count."""
    rows = []
    for n in range(TARGETS):
        there = (count if n < moving else 0) + n * 3
        cells = (f"Target {n}", fill_bar(there * 2 // 3, there, 900, 14), f"{there}/900")
        rows.append(columns(NAME_BAR_NUMBER, cells, width))
    return tuple(rows)


def bin_rows(count: int, moving: int, width: int) -> tuple[Row, ...]:
    """Twenty bins."""
    rows = []
    for n in range(BINS):
        there = (count if n < moving else 0) + n * 20
        rows.append(columns(NAME_BAR_NUMBER, (f"B{n}", load_bar(there, 300, 14), f"{there}/300"), width))
    return tuple(rows)


def result_rows(count: int, moving: int, width: int) -> tuple[Row, ...]:
    """Eight results."""
    layout = (Column(12, None), Column(6), Column(12))
    return tuple(
        columns(layout, (f"plate 2x{n} {count if n < moving else 0}", (f"B{n}", "key"), (f"T-{n}", "wanted")), width)
        for n in range(RESULTS)
    )


def slot_rows(count: int, moving: int, width: int) -> tuple[Row, ...]:
    """Nine slots, three in a row, as the block on a keyboard lies."""
    layout = (Column(3), Column(9, None)) * 3
    rows: list[Row] = []
    for line in range(3):
        names = [7 - 3 * line + n for n in range(3)]
        cells = [cell for n in names for cell in ((str(n), "key"), f"slot {n} {count if n <= moving else 0}")]
        rows += [columns(layout, cells, width), ()]
    return tuple(rows)


def tally_rows(count: int, moving: int, width: int) -> tuple[Row, ...]:
    """The last tallies."""
    return tuple(((f"{count - n if moving else n:>5} brick 2x4 grey, late into B7", "text"),) for n in range(TALLIES))


class PanelsScreen(Screen[None]):
    """Six panels and an entry line."""

    def __init__(self, moving: int) -> None:
        super().__init__()
        self.moving = moving
        self.count = 0

    def compose(self) -> ComposeResult:
        yield EntryLine("count > ", "what is it?", id="entry")
        with Horizontal(id="columns"):
            with Vertical(classes="column"):
                yield Lines((("Results", "title"),), id="results")
                yield Lines((("Keypad", "title"),), id="slots")
                yield Lines((("Last tallies", "title"),), id="tallies")
            yield Lines((("Targets", "title"),), id="targets", classes="column")
            yield Lines((("Bins", "title"),), id="bins", classes="column")
        yield Lines(id="foot")

    def on_mount(self) -> None:
        self.panels = [
            (self.query_one(f"#{name}", Lines), rows)
            for name, rows in (
                ("results", result_rows),
                ("slots", slot_rows),
                ("tallies", tally_rows),
                ("targets", target_rows),
                ("bins", bin_rows),
            )
        ]
        self.foot = self.query_one("#foot", Lines)
        self.call_after_refresh(self.draw)

    def on_changed(self, message: Changed) -> None:
        self.count = len(message.text)
        self.draw()

    def draw(self) -> None:
        for panel, rows in self.panels:
            panel.show(rows(self.count, self.moving, panel.size.width))
        self.foot.show(((("Ready ", "title"), (f"Count {self.count}", "text")),))


class BoardScreen(Screen[None]):
    """The same rows on a single widget."""

    def __init__(self, moving: int) -> None:
        super().__init__()
        self.moving = moving
        self.count = 0

    def compose(self) -> ComposeResult:
        yield EntryLine("count > ", "what is it?", id="entry")
        yield Lines(id="board")

    def on_mount(self) -> None:
        self.board = self.query_one("#board", Lines)
        self.call_after_refresh(self.draw)

    def on_changed(self, message: Changed) -> None:
        self.count = len(message.text)
        self.draw()

    def draw(self) -> None:
        width = self.board.size.width // 3
        title = ((("Title " * 3, "title"),),)
        parts = (self.count, self.moving, width)
        left = title + result_rows(*parts) + title + slot_rows(*parts) + title + tally_rows(*parts)
        middle, right = title + target_rows(*parts), title + bin_rows(*parts)
        rows = [
            beside([column[y] if y < len(column) else () for column in (left, middle, right)], [width] * 3, 0)
            for y in range(self.board.size.height - 1)
        ]
        rows.append((("Ready ", "title"), (f"Count {self.count}", "text")))
        self.board.show(rows)


class WidgetApp(App[None]):
    """Either screen."""

    CSS = """
    #columns { height: 1fr; }
    .column { width: 1fr; }
    EntryLine, #foot { height: 1; }
    #results { height: 10; } #slots { height: 8; } #tallies, #board { height: 1fr; }
    """
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, screen: type[PanelsScreen] | type[BoardScreen], moving: int) -> None:
        super().__init__()
        self.first = screen, moving

    def get_default_screen(self) -> Screen[None]:
        screen, moving = self.first
        return screen(moving)


if __name__ == "__main__":
    chosen: type[PanelsScreen] | type[BoardScreen] = PanelsScreen if sys.argv[1] == "panels" else BoardScreen
    WidgetApp(chosen, int(sys.argv[2]) if len(sys.argv) > 2 else 99).run()
