"""Screens as text, kept in files: what a person sees must not change unnoticed.

``SORTBENCH_GOLDEN=write python -m pytest tests/tui`` writes the files anew; look at the difference before keeping it.
"""

from __future__ import annotations

import os
from pathlib import Path

from textual.app import App

from tests.tui.looking import text

HERE = Path(__file__).parent / "golden"


def assert_golden(app: App[None], name: str) -> None:
    """The screen is as its file has it."""
    path = HERE / f"{name}.txt"
    seen = text(app) + "\n"
    if os.environ.get("SORTBENCH_GOLDEN") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(seen, encoding="utf-8")
    assert seen == path.read_text(encoding="utf-8"), f"{path.name} is not what the screen shows; see {__name__}"
