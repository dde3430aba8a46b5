"""What a user sets once for all benches: which keys commands have, and how the app looks and sounds.

A new setting is a field of a table's dataclass, written with :func:`setting`; a new table is a dataclass and a field of
:class:`Settings`. Everything else follows: the check, the template, what ``sortbench settings`` tells.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, Generic, NamedTuple, TypeVar

from sortbench.model.text import shown

KEYS = "keys"
"""The table of keys by command id; whether such a command and such a key exist, the app alone can say."""
THEMES = ("dark", "light", "high-contrast", "colour-safe")
"""The app's own themes by name."""


class Problem(NamedTuple):
    """Something in a settings file that does not hold; the default stands in its place.

    Attributes:
        line: line of the file, from 1; 0 where it is no single line.
        message: what is wrong.
        mend: what to do about it.
    """

    line: int
    message: str
    mend: str = ""

    def __str__(self) -> str:
        where = f"Line {self.line}: " if self.line else ""
        return shown(f"{where}{self.message} {self.mend}".strip())


class Remap(NamedTuple):
    """The keys that a user wants for a command.

    Attributes:
        keys: as they stand in the file.
        line: line of the file, from 1; 0 where it is not known.
    """

    keys: tuple[str, ...]
    line: int = 0


class About(NamedTuple):
    """What is told of a setting.

    Attributes:
        help: a sentence for the template.
        wrong: what is wrong with a value of the right type; empty when it will do.
    """

    help: str
    wrong: Callable[[Any], str]


_T = TypeVar("_T", bool, int, str)


def setting(default: _T, help: str, *, one_of: Sequence[_T] = (), wrong: Callable[[_T], str] | None = None) -> _T:
    """A field of a table of settings: its type is that of its default.

    Args:
        default: stands where the file says nothing, or nothing that will do.
        help: a sentence for the template.
        one_of: values it may have; any of its type if none are given.
        wrong: says what is wrong with a value, in place of ``one_of``.
    """

    def not_among(value: _T) -> str:
        if not one_of or value in one_of:
            return ""
        near = difflib.get_close_matches(str(value), [str(each) for each in one_of], n=1)
        known = ", ".join(shown_value(each) for each in one_of)
        return f"it is one of {known}" + (f"; did you mean {near[0]!r}?" if near else "")

    made: _T = field(default=default, metadata={"about": About(help, wrong or not_among)})
    return made


@dataclass(frozen=True, slots=True)
class Looks:
    """How the app looks.

    Attributes:
        theme: name of the theme; empty where the app chooses.
    """

    theme: str = setting("", f'The theme: {", ".join(THEMES)}; "" leaves it to the app.', one_of=("", *THEMES))


@dataclass(frozen=True, slots=True)
class Feedback:
    """How the app tells what happened.

    Attributes:
        bell: whether the terminal's bell rings when a target is complete or a bin overflows.
    """

    bell: bool = setting(False, "Whether the terminal's bell rings when a target is complete or a bin overflows.")


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings.

    Attributes:
        looks: how the app looks.
        feedback: how it tells what happened.
        keys: keys by command id, as the user wants them.
    """

    looks: Looks = field(default_factory=Looks)
    feedback: Feedback = field(default_factory=Feedback)
    keys: Mapping[str, Remap] = field(default_factory=dict)


_S = TypeVar("_S")


@dataclass(frozen=True, slots=True)
class Found(Generic[_S]):
    """What was found in a settings file.

    Attributes:
        settings: the settings; defaults where the file says nothing, or nothing that will do.
        problems: what will not do, by line.
        lines: line of what was set and holds, by table and name; of every key too, whether it will do or not.
    """

    settings: _S
    problems: tuple[Problem, ...] = ()
    lines: Mapping[tuple[str, str], int] = field(default_factory=dict)


class Named(NamedTuple):
    """One setting by name, without the keys.

    Attributes:
        table, name: where it stands in the file.
        value: what it is now.
        default: what it is where nobody says anything.
        about: what is told of it.
    """

    table: str
    name: str
    value: bool | int | str
    default: bool | int | str
    about: About


class InForce(NamedTuple):
    """A setting as it is now.

    Attributes:
        table, name: where it stands in the file.
        value: what it is; keys of a command are always several.
        default: what it is where nobody says anything.
        line: line of the file that says so, from 1; 0 where none does.
    """

    table: str
    name: str
    value: bool | int | str | tuple[str, ...]
    default: bool | int | str | tuple[str, ...]
    line: int


def named(settings: object) -> tuple[Named, ...]:
    """Every setting but the keys, in the order of the template."""
    found = []
    for table in fields(settings):  # type: ignore[arg-type]
        values = getattr(settings, table.name)
        if not is_dataclass(values) or isinstance(values, type):
            continue
        defaults = type(values)()
        for each in fields(values):
            value, default = getattr(values, each.name), getattr(defaults, each.name)
            found.append(Named(table.name, each.name, value, default, each.metadata["about"]))
    return tuple(found)


def settled(given: Mapping[str, object], lines: Mapping[tuple[str, str], int], settings: _S) -> Found[_S]:
    """Settings out of what a file says; what will not do is told and left at its default.

    Args:
        given: the file as tables of names and values.
        lines: line of each table (under an empty name) and name, from 1.
        settings: the defaults.
    """
    known = {(each.table, each.name): each for each in named(settings)}
    tables = [each.name for each in fields(settings)]  # type: ignore[arg-type]
    problems: list[Problem] = []
    held: dict[tuple[str, str], int] = {}

    def refuse(at: tuple[str, str], message: str, mend: str) -> None:
        problems.append(Problem(lines.get(at, 0), message, mend))

    for table, values in given.items():
        if table not in tables:
            refuse((table, ""), f"There is no table [{table}].", _nearest(table, tables))
        elif not isinstance(values, Mapping):
            refuse((table, ""), f"{table} is a table.", f"Write [{table}] on a line of its own, and settings below it.")
        elif table == KEYS:
            remaps = {}
            for name, value in _flat(values):
                at = (KEYS, name)
                if (keys := _keys(value)) is None:
                    refuse(at, f"{name} wants a key or a list of keys in quotes.", f'As in "{name}" = ["f2", "b"].')
                else:
                    remaps[name] = Remap(keys, lines.get(at, 0))
                    held[at] = lines.get(at, 0)
            settings = replace(settings, **{KEYS: remaps})  # type: ignore[type-var]
        else:
            good: dict[str, object] = {}
            for name, value in values.items():
                one = known.get((table, name))
                if one is None:
                    names = [each.name for each in known.values() if each.table == table]
                    refuse((table, name), f"[{table}] has no setting {name}.", _nearest(name, names))
                elif type(value) is not type(one.default):
                    kind = _KINDS[type(one.default)]
                    refuse(
                        (table, name), f"{table}.{name} wants {kind}.", f"As in {name} = {shown_value(one.default)}."
                    )
                elif wrong := one.about.wrong(value):
                    refuse((table, name), f"{table}.{name} cannot be {shown_value(value)}: {wrong}", "")
                else:
                    good[name] = value
                    held[table, name] = lines.get((table, name), 0)
            settings = replace(settings, **{table: replace(getattr(settings, table), **good)})  # type: ignore[type-var]
    return Found(settings, tuple(sorted(problems, key=lambda problem: problem.line)), held)


_KINDS = {bool: "true or false", int: "a whole number", str: "a text in quotes"}


def shown_value(value: object) -> str:
    """A value as the file has it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # A TOML basic string escapes these two, and characters that do not print.
        text = value.replace("\\", "\\\\").replace('"', '\\"')
        return '"' + "".join(char if char.isprintable() else f"\\U{ord(char):08x}" for char in text) + '"'
    if isinstance(value, tuple):
        each = [shown_value(one) for one in value]
        return each[0] if len(each) == 1 else f"[{', '.join(each)}]"
    return str(value)


def _nearest(name: str, names: Sequence[str]) -> str:
    near = difflib.get_close_matches(name, names, n=1)
    if near:
        return f"Did you mean {near[0]}?"
    return f"There are: {', '.join(names)}." if names else ""


def _flat(values: Mapping[str, object], before: str = "") -> list[tuple[str, object]]:
    """Names and values; a name with dots that lacks its quotes has become tables within tables."""
    found: list[tuple[str, object]] = []
    for name, value in values.items():
        if isinstance(value, Mapping):
            found += _flat(value, f"{before}{name}.")
        else:
            found.append((before + name, value))
    return found


def _keys(value: object) -> tuple[str, ...] | None:
    if isinstance(value, str):
        return (value,)
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return tuple(value)
    return None
