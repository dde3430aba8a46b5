"""Drawing one row, and asking for a repaint so that everything one key changes is painted in one frame."""

from __future__ import annotations

from collections.abc import Mapping

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.message import Message
from textual.messages import Update
from textual.strip import Strip
from textual.widget import Widget

from sortbench.model.text import shown
from sortbench.tui.widgets.palette import PLAIN
from sortbench.tui.widgets.rows import Row


def draw(row: Row, width: int, styles: Mapping[str, Style]) -> Strip:
    """A row as a strip of exactly ``width`` cells. What does not print is replaced; nothing is read as markup.

    Spans that look alike become one segment: fewer control sequences, and the terminal is the slowest part.
    """
    base = styles["text"]
    segments: list[Segment] = []
    run, running, plain, length = "", base, True, 0
    for text, name in row:
        if not text.isprintable():
            text = shown(text)
        style = styles[name]
        if style is not running and not (plain and name in PLAIN and text.isspace()):
            if run:
                segments.append(Segment(run, running))
                run = ""
            running, plain = style, name in PLAIN
        run += text
        length += len(text) if text.isascii() else cell_len(text)
    if length < width:
        if not plain:
            segments.append(Segment(run, running))
            run, running = "", base
        run += " " * (width - length)
    if run:
        segments.append(Segment(run, running))
    strip = Strip(segments, length if length > width else width)
    return strip if length <= width else strip.adjust_cell_length(width, base)


def repaint(widget: Widget, *regions: Region) -> None:
    """Have regions of a widget painted, or all of it.

    ``refresh`` alone tells the screen only when the widget's own queue has run dry: by then the screen may have begun
    a frame without it, and the next one waits for a sixtieth of a second. So the screen is told at once.
    """
    widget.refresh(*regions)
    if widget.is_mounted:
        widget.screen.post_message(Update(widget))


def tell(widget: Widget, message: Message) -> None:
    """Give a message to the screen at once, without climbing there container by container.

    Whatever the screen changes when it handles the message is then painted together with the widget's own change,
    provided that the widget asks for its repaint after telling, and that the handler is the screen's: one further up,
    in the app, would come a frame or two later.
    """
    widget.screen.post_message(message)
