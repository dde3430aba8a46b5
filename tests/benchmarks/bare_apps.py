"""The references: a Textual app that only says hello, and one that only counts keys.

Run as ``python -m tests.benchmarks.bare_apps hello|counter``.
"""

from __future__ import annotations

import sys

from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static


class HelloApp(App[None]):
    """As little as an app can do."""

    def compose(self) -> ComposeResult:
        yield Static("Hello bench")


class CounterApp(App[None]):
    """One number, one more on each key."""

    count = 0

    def compose(self) -> ComposeResult:
        yield Static("Count 0", id="count")

    def on_mount(self) -> None:
        self.shown = self.query_one("#count", Static)

    def on_key(self, event: events.Key) -> None:
        self.count += 1
        self.shown.update(f"Count {self.count}")


if __name__ == "__main__":
    {"hello": HelloApp, "counter": CounterApp}[sys.argv[1]]().run()
