"""The user's settings, for screens and commands: where they lie, what they say, and keeping one of them.

They belong to the user and not to a bench. Nothing of it is loaded before the file is looked for, and the parser only
where there is one.
"""

from __future__ import annotations

from pathlib import Path

from sortbench.model.settings import Found, Settings
from sortbench.store import settings_file as _file

SETTINGS_VARIABLE = _file.SETTINGS_VARIABLE
settings_path = _file.settings_path


def read_settings(path: Path | None = None) -> Found[Settings]:
    """What the settings file says; all defaults where there is none, or where it cannot be read, which is told.

    Args:
        path: the file; the user's own if None.
    """
    return _file.read_settings(path or settings_path())


def write_template(path: Path, text: str) -> None:
    """Write a settings file where there is none.

    Raises:
        DataError: there is one already.
        WriteError: the disk refused.
    """
    _file.write_new(path, text)


def keep(table: str, name: str, value: bool | int | str, path: Path | None = None) -> None:
    """Set one value in the settings file and leave everything else in it as it stands, comments too.

    Raises:
        DataError: the file is no TOML, or has something else in that place.
        WriteError: the disk refused.
    """
    _file.keep_value(path or settings_path(), table, name, value)
