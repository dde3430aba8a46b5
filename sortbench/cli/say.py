"""Words to the person at the terminal: narration and complaints on standard error, never through markup."""

from __future__ import annotations

import os
import sys
import traceback

from sortbench.model.errors import SortbenchError
from sortbench.model.text import shown

STOPPED = 130
"""Exit code after Ctrl+C, as shells have it (128 + SIGINT)."""
NO_READER = 141
"""Exit code where whoever read standard output went away, as shells have it (128 + SIGPIPE)."""
FAULT = 70
"""Exit code of a fault of the program itself (EX_SOFTWARE in sysexits.h)."""


def say(text: str = "") -> None:
    """One line, or several parted by line breaks, on standard error."""
    print("\n".join(shown(line) for line in text.split("\n")), file=sys.stderr, flush=True)


def complain(error: SortbenchError) -> int:
    """Say what is wrong and how to mend it; the exit code to leave with."""
    say(f"sortbench: {error.message}")
    if error.mend:
        say(f"  {error.mend}")
    return error.exit_code


def fault(error: Exception) -> int:
    """Say that the program itself failed; the exit code to leave with. ``SORTBENCH_TRACE=1`` shows the trace."""
    if os.environ.get("SORTBENCH_TRACE"):
        traceback.print_exception(error)
    else:
        say(f"sortbench: a fault of the program itself: {type(error).__name__}: {error}")
        say("  All that was shown as counted is on disk. Set SORTBENCH_TRACE=1 and try again to see where it failed.")
    return FAULT


def on_terminal() -> bool:
    """Whether a person sits at both ends: standard input and standard error are a terminal."""
    return sys.stdin.isatty() and sys.stderr.isatty()
