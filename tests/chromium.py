"""Opens a page in a real browser without a window: Chromium, where it is installed.

Debian and its kin have it as ``chromium``; tests that ask for it are skipped where no such program is found.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

PROGRAM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
MISSING = "no Chromium here to open pages in; Debian: apt-get install chromium"

_CONSOLE = re.compile(r"^.*\bCONSOLE\b.*$", re.MULTILINE)
_BOX = re.compile(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]")
_POINT_MM = 25.4 / 72
"""A point of the Portable Document Format: 1/72 inch (ISO 32000-1, 8.3.2.3)."""


class Opened(NamedTuple):
    """What the browser made of a page: its elements as text, and what it wrote on its console."""

    dom: str
    console: tuple[str, ...]


class Browser:
    """Chromium, a fresh one for each page.

    Args:
        folder: for its profile.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def open(self, page: Path, width: int = 1000, dark: bool = False) -> Opened:
        """Load a page and let it settle."""
        scheme = f"--blink-settings=preferredColorScheme={0 if dark else 1}"
        done = self._run("--dump-dom", "--enable-logging=stderr", f"--window-size={width},900", scheme, page.as_uri())
        return Opened(done.stdout, tuple(_CONSOLE.findall(done.stderr)))

    def measure(self, page: Path, script: str, width: int = 1000, dark: bool = False, printed: bool = False) -> str:
        """What a script of the test finds on a copy of a page that lets scripts run: what it gives, as text.

        Args:
            width: of the window, in pixels of CSS.
            printed: look as on paper, as far as its style says how.
        """
        text = re.sub(r"<meta http-equiv[^>]*>", "", page.read_text("utf-8"))
        text = text.replace("@media print", "@media all") if printed else text
        told = f"<script>document.body.innerHTML = '<pre id=told>' + (() => {{{script}}})() + '</pre>';</script>"
        copy = page.with_name(f"measured-{page.name}")
        copy.write_text(text.replace("</body>", f"{told}</body>"), "utf-8")
        found = re.search(r"<pre id=\"told\">(.*?)</pre>", self.open(copy, width, dark).dom, re.DOTALL)
        assert found, "the script did not end"
        return found[1]

    def printed(self, page: Path, file: Path) -> list[tuple[float, float]]:
        """Print a page as a file; the sizes of its sheets in millimetres."""
        self._run("--no-pdf-header-footer", f"--print-to-pdf={file}", page.as_uri())
        return [(float(x) * _POINT_MM, float(y) * _POINT_MM) for x, y in _BOX.findall(file.read_bytes())]

    def _run(self, *args: str) -> subprocess.CompletedProcess[str]:
        assert PROGRAM is not None
        own = ["--headless", "--disable-gpu", "--hide-scrollbars", "--disable-background-networking", "--no-first-run"]
        own.append(f"--user-data-dir={self._folder}")
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            own.append("--no-sandbox")  # it refuses to start for root otherwise
        return subprocess.run(
            [PROGRAM, *own, *args], capture_output=True, text=True, encoding="utf-8", timeout=240, check=True
        )
