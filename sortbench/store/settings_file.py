"""The user's settings file: where it lies, what it says, and how one value of it is changed.

It is TOML, in the folder that the system keeps for such files, and belongs to the user: it is read, and written only
where somebody asks for it. Its comments stay.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from sortbench.model.errors import DataError, WriteError
from sortbench.model.settings import Found, Problem, Settings, settled

MOST_BYTES = 1_000_000
"""A file larger than that is none that somebody wrote; it would be waited for."""

_TABLE = re.compile(r"\s*\[\s*([^\[\]]+?)\s*\]\s*(?:#.*)?$")
_NAME = re.compile(r"""\s*((?:"[^"]*"|'[^']*'|[\w.-]|\s*\.\s*)+?)\s*=""")
_AT_LINE = re.compile(r"\s*\(at line (\d+), column (\d+)\)")


def read_settings(path: Path) -> Found[Settings]:
    """What the settings file says; all defaults where there is none.

    A file that cannot be read as a whole is one problem, and all defaults stand: whoever sorts is never kept from it
    by a settings file.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return Found(Settings())
    except OSError as error:
        return _nothing_of_it(Problem(0, f"The file cannot be read: {error.strerror or error}.", "All defaults stand."))
    if len(data) > MOST_BYTES:
        return _nothing_of_it(Problem(0, "The file is larger than 1 MB and was not read.", "All defaults stand."))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        return _nothing_of_it(
            Problem(line, "The file is no UTF-8.", "Save it as UTF-8; all defaults stand until then.")
        )
    return settings_from(text)


def settings_from(text: str) -> Found[Settings]:
    """What the text of a settings file says."""
    import tomllib

    try:
        given = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        words = str(error)
        at = _AT_LINE.search(words)
        line = int(at[1]) if at else text.count("\n") + 1
        reason = _AT_LINE.sub(f" at column {at[2]}" if at else "", words).replace(" (at end of document)", "")
        return _nothing_of_it(Problem(line, f"This is no TOML: {reason}.", "Until it is mended all defaults stand."))
    except RecursionError:
        return _nothing_of_it(Problem(0, "This is no TOML: it is nested too deep.", "All defaults stand."))
    return settled(given, lines_of(text), Settings())


def _nothing_of_it(problem: Problem) -> Found[Settings]:
    return Found(Settings(), (problem,))


def lines_of(text: str) -> Mapping[tuple[str, str], int]:
    """Line of each table (under an empty name) and of each name in it, from 1, in a text that is TOML.

    The parser does not tell lines. What looks like a setting within a text of several lines is taken for one, which can
    name a wrong line and does no other harm: the first line counts.
    """
    found: dict[tuple[str, str], int] = {}
    table = before = ""
    for number, line in enumerate(text.split("\n"), 1):
        if head := _TABLE.match(line):
            table, _, inner = _bare(head[1]).partition(".")
            found.setdefault((table, ""), number)
            before = f"{inner}." if inner else ""
        elif name := _NAME.match(line):
            whole = _bare(name[1])
            if not table:
                first, _, rest = whole.partition(".")
                found.setdefault((first, ""), number)
                found.setdefault((first, rest), number)
            else:
                found.setdefault((table, before + whole), number)
    return found


def _bare(name: str) -> str:
    """A name without its quotes and the blanks around its dots."""
    parts = re.findall(r""""([^"]*)"|'([^']*)'|([\w-]+)""", name)
    return ".".join("".join(part) for part in parts)


def write_new(path: Path, text: str) -> None:
    """Write a settings file where there is none.

    Raises:
        DataError: there is one already.
        WriteError: the disk refused.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _refused(path, error) from error
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise DataError(
            f"There is a settings file already: {path}.",
            "Nothing was changed. `sortbench settings --template` prints one to take lines from.",
        ) from None
    except OSError as error:
        raise _refused(path, error) from error


def keep_value(path: Path, table: str, name: str, value: bool | int | str) -> None:
    """Set one value in the settings file, and leave everything else in it as it stands.

    The file is made if there is none. It is replaced in one step, so that a crash leaves the old or the new one.

    Args:
        path: the settings file; a link is followed.
        table: the table, as ``looks``.
        name: the setting's name in it.
        value: what it is from now on.

    Raises:
        DataError: the file is no TOML, or has something else in that place.
        WriteError: the disk refused.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    from sortbench.store.durable import replace_file

    real = path.resolve()  # many keep such files elsewhere and link to them
    try:
        text = real.read_text(encoding="utf-8-sig") if real.exists() else ""
        document = tomlkit.parse(text)
        if table not in document:
            document[table] = tomlkit.table()
        document[table][name] = value
    except (TOMLKitError, UnicodeDecodeError, TypeError, AttributeError) as error:
        raise DataError(
            f"{table}.{name} cannot be kept: {path} is not as it should be.", "`sortbench settings --check` says more."
        ) from error
    except OSError as error:
        raise _refused(path, error) from error
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
        replace_file(real, tomlkit.dumps(document).encode())
    except OSError as error:
        raise _refused(path, error) from error


def _refused(path: Path, error: OSError) -> WriteError:
    reason = error.strerror or error
    return WriteError(f"The settings file {path} cannot be written: {reason}.", "Nothing in it was changed.")
