"""The user's settings, for screens and commands: where they lie, what they say, and keeping one of them.

They belong to the user and not to a bench. Nothing of it is loaded before the file is looked for, and the parser only
where there is one.
"""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from sortbench.model.errors import UsageError
from sortbench.model.settings import Found, InForce, Problem, Settings
from sortbench.store import settings_file as _file

SETTINGS_VARIABLE = _file.SETTINGS_VARIABLE
settings_path = _file.settings_path


class AppSettings(Protocol):
    """What the app alone knows of settings: its commands and their keys."""

    def problems(self, found: Found[Settings]) -> tuple[Problem, ...]:
        """All that is wrong with a settings file, by line."""

    def in_force(self, found: Found[Settings]) -> tuple[InForce, ...]:
        """Every setting, and every command that the file gives keys."""

    def template(self) -> str:
        """A settings file that sets nothing and names everything."""


def no_app_settings() -> AppSettings:
    """Where the app is out of reach, as in a command that is called by itself.

    Raises:
        UsageError: always.
    """
    raise UsageError("The app's settings cannot be told from here.", "Call `sortbench` itself.")


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
