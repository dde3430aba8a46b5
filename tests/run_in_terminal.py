"""Run the README's demo command in a pseudo-terminal: wait for the bench, count a piece, leave, expect success.

Run as ``python -m tests.run_in_terminal FOLDER COMMAND``.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from tests.terminal import Terminal

COUNTED = re.compile(r"([\d,]+) of about ([\d,]+)")
PATIENCE_S = 600.0
"""Installing may take minutes on a slow line."""


def counted(terminal: Terminal) -> int:
    """Pieces counted, as the head of the bench screen says; -1 if it does not say."""
    found = COUNTED.search(terminal.screen_text())
    return int(found[1].replace(",", "")) if found else -1


def main() -> None:
    """Run it."""
    folder, command = sys.argv[1:]
    with Terminal(["bash", "-euo", "pipefail", "-c", command], cwd=Path(folder)) as terminal:
        terminal.wait_for(lambda shown: counted(shown) > 0, PATIENCE_S)
        before = counted(terminal)
        terminal.send("pl 2x4 white\r")
        terminal.wait_for(lambda shown: counted(shown) == before + 1, 20)
        print(terminal.screen_text())
        terminal.press("f10")
        code = terminal.wait(20)
    print(f"counted {before} to {before + 1}, left with exit code {code}")
    sys.exit(code)


if __name__ == "__main__":
    main()
