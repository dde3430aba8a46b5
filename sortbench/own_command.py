"""How this very program is started again."""

from __future__ import annotations

import shlex
import subprocess
import sys

from sortbench.store.system import WINDOWS


def app_command() -> str:
    """The line for a shell that starts the app of a page."""
    words = [sys.executable, "-P", "-m", "sortbench"]
    return subprocess.list2cmdline(words) if WINDOWS else shlex.join(words)
