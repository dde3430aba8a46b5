"""The app on a page of a browser: it leaves when whoever serves it is gone."""

from __future__ import annotations

from textual.drivers.web_driver import WebDriver
from textual.messages import ExitApp


class PageDriver(WebDriver):
    """As Textual's own, which would go on without input for ever where the server was killed."""

    def run_input_thread(self) -> None:
        """Hand on what is typed until there is nobody to type."""
        super().run_input_thread()
        self._app.post_message(ExitApp())

    def write_meta(self, data: dict[str, object]) -> None:
        """Tell the server something, if there is still one."""
        try:
            super().write_meta(data)
        except BrokenPipeError:
            return
