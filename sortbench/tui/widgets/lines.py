"""A panel drawn line by line, which repaints only the lines that changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from rich.style import Style
from textual import events
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from sortbench.tui.messages import Repaint, RowClicked
from sortbench.tui.widgets.paint import draw, repaint, tell
from sortbench.tui.widgets.palette import palette
from sortbench.tui.widgets.rows import Row, RowsOnDemand, rim

_NOTHING: Row = ()


class Lines(Widget):
    """A titled panel of rows.

    ``show`` compares what is given with what stands there and repaints the difference. Rows beyond the height are
    scrolled; with a ``selected`` row the panel follows it. The widget draws its whole area itself: borders, padding
    and opacity set by a style sheet are not drawn.
    """

    ALLOW_SELECT: ClassVar[bool] = False

    def __init__(
        self, title: Row = _NOTHING, *, name: str | None = None, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(name=name, id=id, classes=classes)
        self._title = title
        self._rows: Sequence[Row] = ()
        self._selected: int | None = None
        self._top = 0
        self._drawn_size = Size(0, 0)
        self._standing: list[Row] = []
        self._strips: list[Strip | None] = []
        self._styles: Mapping[str, Style] | None = None

    # -- what it shows

    def show(self, rows: Sequence[Row], *, title: Row | None = None, selected: int | None = None) -> None:
        """Show these rows from now on.

        Args:
            rows: all rows, in order; what does not fit is reached by scrolling. Rows made on demand stay so: only those
                in sight are drawn.
            title: a new title; None keeps the one that stands.
            selected: index of a row to keep in sight. How a selected row looks is said by the row's own styles.
        """
        self._rows = rows if isinstance(rows, RowsOnDemand) else tuple(rows)
        if title is not None:
            self._title = title
        if selected is not None:
            self._follow(selected)
        self._selected = selected
        self._update()

    def scroll_rows(self, by: int) -> None:
        """Scroll down by so many rows, up if negative."""
        self._top += by
        self._update()

    @property
    def room(self) -> int:
        """Rows that can be seen at once, the title not among them."""
        return max(self.size.height - (1 if self._title else 0), 0)

    @property
    def painted(self) -> bool:
        """Whether any of its lines has been painted."""
        return any(strip is not None for strip in self._strips)

    @property
    def top(self) -> int:
        """Index of the first row in sight."""
        return self._top

    def row_at(self, y: int) -> int | None:
        """Index of the row on line ``y`` of the widget, None where there is none."""
        index = y - (1 if self._title else 0) + self._top
        return index if y >= (1 if self._title else 0) and index < len(self._rows) else None

    # -- drawing

    def _follow(self, selected: int) -> None:
        if selected < self._top:
            self._top = selected
        elif selected >= self._top + self.room > self._top:
            self._top = selected - self.room + 1

    def _update(self) -> None:
        """Find the lines that differ from what stands there and ask for those to be painted."""
        size = self.size
        if size != self._drawn_size or not size:
            if size:
                self._lay_out()
                repaint(self)
            return
        lines = self._lines()
        standing, strips = self._standing, self._strips
        regions = []
        first = -1
        for y, line in enumerate(lines):
            if line is standing[y] or line == standing[y]:
                if first >= 0:
                    regions.append(Region(0, first, size.width, y - first))
                    first = -1
            else:
                strips[y] = None
                if first < 0:
                    first = y
        if first >= 0:
            regions.append(Region(0, first, size.width, size.height - first))
        if regions:
            self._standing = lines
            repaint(self, *regions)

    def _lines(self) -> list[Row]:
        """One row for each line of the widget, title first."""
        width, height = self.size
        room, count = self.room, len(self._rows)
        self._top = max(min(self._top, count - room), 0)
        lines: list[Row] = []
        if self._title and height:
            last = min(self._top + room, count)
            note = f"{self._top + 1}-{last} of {count}" if 0 < room < count else ""
            lines.append(rim(self._title, note, width))
        lines.extend(self._rows[self._top : self._top + room])
        lines.extend([_NOTHING] * (height - len(lines)))
        return lines

    def _lay_out(self) -> None:
        self._drawn_size = self.size
        if self._selected is not None:
            self._follow(self._selected)
        self._standing = self._lines()
        self._strips = [None] * self.size.height

    def render_line(self, y: int) -> Strip:
        """One line, cut or padded to the width."""
        styles = self._styles
        if styles is None:
            styles = self._styles = palette(self)
        # The size is not asked for line by line: a widget finds it anew each time.
        return draw(self._standing[y] if y < len(self._standing) else _NOTHING, self._drawn_size.width, styles)

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines of an area, those that have not changed as they were drawn before."""
        size = self.size
        if size != self._drawn_size:
            self._lay_out()
        strips = self._strips
        drawn = []
        for y in crop.line_range:
            # While a screen is laid out anew, an area may be asked for that the panel no longer has.
            strip = strips[y] if y < len(strips) else self.render_line(y)
            if strip is None:
                strip = strips[y] = self.render_line(y)
            drawn.append(strip)
        if crop.column_span != (0, size.width):
            drawn = [strip.crop(*crop.column_span) for strip in drawn]
        return drawn

    def notify_style_update(self) -> None:
        """The theme may have changed: styles are looked up again at the next paint."""
        super().notify_style_update()
        self._styles = None
        self._strips = [None] * len(self._strips)

    def on_resize(self) -> None:
        """Ask for rows: those of a panel that appears, or whose width changes, can only be laid out now."""
        tell(self, Repaint())

    # -- mouse

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Scroll by three rows."""
        event.stop()
        self.scroll_rows(3)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Scroll back by three rows."""
        event.stop()
        self.scroll_rows(-3)

    def on_click(self, event: events.Click) -> None:
        """Tell which row was clicked, and where."""
        index = self.row_at(event.y)
        if index is not None:
            self.post_message(RowClicked(self, index, event.x))
