"""Where the user's settings file lies. A start looks for it and mostly finds none, so nothing else is loaded here."""

from __future__ import annotations

import os
from pathlib import Path

SETTINGS_VARIABLE = "SORTBENCH_SETTINGS"
"""Names another settings file."""
NAME = "settings.toml"


def settings_path() -> Path:
    """Where the settings file lies, whether there is one or not."""
    if named := os.environ.get(SETTINGS_VARIABLE):
        return Path(named)
    import platformdirs

    return platformdirs.user_config_path("sortbench", appauthor=False) / NAME
