"""The panels inside a crate on the reconcile screen: its lines or the spares, and what is known of one. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from sortbench.tui.drawing import reconcile_rows as draw
from sortbench.tui.drawing.marks import mark_of
from sortbench.tui.widgets.rows import Row, RowsOnDemand

if TYPE_CHECKING:
    from sortbench.engine.reconciling.reconcile_board import SpareHeap
    from sortbench.model.catalogue import Kind
    from sortbench.tui.drawing.reconcile_rows import Filling, LinePair
    from sortbench.tui.keymap import Keymap


class PanelRows(NamedTuple):
    """What a panel shows.

    Attributes:
        rows: all of them.
        title: what stands on its rim.
        selected: index of a row to keep in sight, if any.
    """

    rows: Sequence[Row]
    title: Row
    selected: int | None = None


def lines_panel(name: str, lines: Sequence[LinePair], cursor: int, moving: bool, width: int) -> PanelRows:
    """The lines of the crate of that name; ``moving`` says whether keys move the cursor here."""
    layout = draw.line_layout(lines)
    rows = RowsOnDemand(len(lines), lambda at: draw.line_row(layout, lines[at], mark_of(at, cursor, moving), width))
    return PanelRows(rows, draw.line_title(name, len(lines), width), cursor)


def spares_panel(
    heaps: Sequence[SpareHeap], words: str, cursor: int, moving: bool, width: int, keys: Keymap
) -> PanelRows:
    """The spare heaps that hold the words of a filter; without a filter it says so where nothing is spare."""
    rows: Sequence[Row] = RowsOnDemand(
        len(heaps), lambda at: draw.spare_row(heaps[at], mark_of(at, cursor, moving), width)
    )
    if not heaps and not words:
        rows = keys.said_rows(draw.NO_SPARES)
    return PanelRows(rows, draw.spares_title(heaps), cursor)


def fillings_panel(pair: LinePair, fillings: Sequence[Filling], cursor: int, moving: bool, width: int) -> PanelRows:
    """What fills a line, and what would improve it."""
    line = pair.after
    layout = draw.filling_layout(line, fillings)
    rows = [
        draw.filling_row(layout, line, each, mark_of(at, cursor if moving else -1, True), width)
        for at, each in enumerate(fillings)
    ]
    return PanelRows((*rows, *draw.better_rows(line, width)), draw.fillings_title(line), cursor)


def why_panel(kind: Kind, name: str, sentences: Sequence[str], width: int) -> PanelRows:
    """Why the pieces of a kind go where they go."""
    return PanelRows(draw.why_rows(sentences, width), draw.why_title(kind, name))


def places_panel(heap: SpareHeap | None) -> PanelRows:
    """Where the pieces of a spare heap lie; nothing where there is none."""
    return PanelRows(draw.heap_rows(heap) if heap else (), (("where they lie", "title"),))
