"""What lies under panels: cells of the theme's background and nothing else."""

from __future__ import annotations

from collections.abc import Mapping

from rich.style import Style
from textual.containers import Container
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from sortbench.tui.widgets.palette import palette


class Ground(Widget):
    """Draws its whole area as background; mixed into what holds panels.

    Textual's own drawing of a container keeps every line it ever drew, those of screens long closed among them: the
    memo of ``StylesCache.get_inner_outer`` holds a thousand of these caches. Over a long sitting that comes to tens of
    megabytes of blanks.
    """

    _styles: Mapping[str, Style] | None = None

    def render_lines(self, crop: Region) -> list[Strip]:
        """Blank lines for an area."""
        if self._styles is None:
            self._styles = palette(self)
        return [Strip.blank(crop.width, self._styles["text"])] * crop.height

    def notify_style_update(self) -> None:
        """The theme may have changed: the background is looked up again at the next paint."""
        super().notify_style_update()
        self._styles = None


class Tray(Ground, Container):
    """A container of panels."""
