"""The user's settings, for screens and commands: where they lie, what they say, and keeping one of them.

They belong to the user and not to a bench. Nothing of them is loaded before the file is looked for, and found.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from sortbench.store.settings_place import SETTINGS_VARIABLE as SETTINGS_VARIABLE
from sortbench.store.settings_place import settings_path as settings_path

if TYPE_CHECKING:
    from sortbench.model.settings import Found, Settings


def read_settings(path: Path | None = None) -> Found[Settings]:
    """What the settings file says; all defaults where there is none, or where it cannot be read, which is told.

    Args:
        path: the file; the user's own if None.
    """
    from sortbench.store.settings_file import read_settings

    return read_settings(path or settings_path())


def settings_if_any() -> Found[Settings] | None:
    """What the user's settings file says; None where there is no such file, and all defaults stand."""
    path = settings_path()
    return read_settings(path) if os.path.lexists(path) else None


def write_template(path: Path, text: str) -> None:
    """Write a settings file where there is none.

    Raises:
        DataError: there is one already.
        WriteError: the disk refused.
    """
    from sortbench.store.settings_file import write_new

    write_new(path, text)


def keep(table: str, name: str, value: bool | int | str, path: Path | None = None) -> None:
    """Set one value in the settings file and leave everything else in it as it stands, comments too.

    Raises:
        DataError: the file is no TOML, or has something else in that place.
        WriteError: the disk refused.
    """
    from sortbench.store.settings_file import keep_value

    keep_value(path or settings_path(), table, name, value)
