"""The user's settings as the app takes them: which remapped keys hold, what is wrong with the others, and a template.

Where two commands would have one key in one place, the one whose line comes last keeps its own keys; and so on until
no two are left, for its own key may by then be another's.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping

from sortbench.model.settings import KEYS, Found, InForce, Problem, Remap, Settings, named, shown_value
from sortbench.tui.command import Where
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.keys import COMMANDS, OFTEN_TAKEN, Command, clashes, impossible, key_from, remapped

_BY_ID: Mapping[str, Command] = {command.id: command for command in COMMANDS}


def keymap_of(remaps: Mapping[str, Remap]) -> tuple[Keymap, tuple[Problem, ...]]:
    """The keymap with every remap that can be, and what is wrong with each that cannot."""
    kept, problems = _holding(remaps)
    return Keymap(kept), problems


def _holding(remaps: Mapping[str, Remap]) -> tuple[dict[str, tuple[str, ...]], tuple[Problem, ...]]:
    problems: list[Problem] = []
    kept: dict[str, tuple[str, ...]] = {}
    for name, wanted in remaps.items():
        keys = tuple(dict.fromkeys(key_from(key) for key in wanted.keys))
        wrong = _wrong_with(name, keys)
        if wrong:
            problems += [Problem(wanted.line, message, mend) for message, mend in wrong]
        elif keys != _BY_ID[name].keys:
            kept[name] = keys
    while found := clashes(remapped(COMMANDS, kept)):
        clash = found[0]
        pair = [each.id for each in (clash.one, clash.other) if each.id in kept]
        last = max(pair, key=lambda name: remaps[name].line)
        other = clash.one if clash.other.id == last else clash.other
        del kept[last]
        problems.append(
            Problem(
                remaps[last].line,
                f"{clash.key!r} would be both {last!r} and {other.id!r} ({clash.place}).",
                f"Give one of them another key; until then {last!r} has its own: {_own_keys(last)}.",
            )
        )
    return kept, tuple(sorted(problems, key=lambda problem: problem.line))


def _wrong_with(name: str, keys: tuple[str, ...]) -> list[tuple[str, str]]:
    command = _BY_ID.get(name)
    if command is None:
        near = difflib.get_close_matches(name, list(_BY_ID), n=1)
        mend = f"Did you mean {near[0]!r}?" if near else "`sortbench settings --template` lists them all."
        return [(f"No command is called {name!r}.", mend)]
    stands = f"until then {name!r} has its own: {_own_keys(name)}."
    if not keys:
        return [(f"{name!r} has no key left.", f"Give it at least one; {stands}")]
    changed = command._replace(keys=keys)
    wrong = [
        (f"{name!r} cannot have the key {key!r}: {reason}.", f"Choose another; {stands}")
        for key in keys
        if (reason := impossible(key, changed))
    ]
    if not wrong and all(key in OFTEN_TAKEN for key in keys):
        said = f"{name!r} would have no key that reaches it everywhere: {keys[0]!r} may not, {OFTEN_TAKEN[keys[0]]}."
        return [(said, f"Give it another key beside it; {stands}")]
    return wrong


def _own_keys(name: str) -> str:
    return ", ".join(repr(key) for key in _BY_ID[name].keys)


def problems(found: Found[Settings]) -> tuple[Problem, ...]:
    """All that is wrong with a settings file, by line."""
    together = (*found.problems, *_holding(found.settings.keys)[1])
    return tuple(sorted(together, key=lambda problem: problem.line))


def in_force(found: Found[Settings]) -> tuple[InForce, ...]:
    """Every setting as it is now; of the keys only those that the file names and that there are."""
    kept, _ = _holding(found.settings.keys)
    rows = [
        InForce(each.table, each.name, each.value, each.default, found.lines.get((each.table, each.name), 0))
        for each in named(found.settings)
    ]
    for name, remap in found.settings.keys.items():
        if name in _BY_ID:
            own = _BY_ID[name].keys
            rows.append(InForce(KEYS, name, _named(kept.get(name, own)), _named(own), remap.line))
    return tuple(rows)


def _named(keys: Iterable[str]) -> tuple[str, ...]:
    """Keys as the file has them."""
    return tuple("space" if key == " " else key for key in keys)


def template() -> str:
    """A settings file that sets nothing: every setting and every command's keys behind a ``#``."""
    lines = [
        "# Settings of sortbench. A line that begins with # sets nothing: take the # away and change what follows.",
        "# `sortbench settings --check` says what is wrong; wherever something is, the default stands.",
        "",
    ]
    table = ""
    for each in named(Settings()):
        if each.table != table:
            table = each.table
            lines += [f"[{table}]"]
        lines += [f"# {each.about.help}", f"# {each.name} = {shown_value(each.default)}", ""]
    lines += [
        f"[{KEYS}]",
        "# A command by its id and its key, or its keys in brackets; the first is shown. A key is what it prints",
        "# (U is Shift and u), or a name: enter, escape, up, pageup, delete, f2, ctrl+p, space.",
    ]
    where: Where | None = None
    for command in COMMANDS:
        if command.where != where:
            where = command.where
            lines += ["", f"# -- {where}"]
        lines += [f"# {shown_value(command.id)} = {shown_value(_named(command.keys))}  # {OWN_KEYS.said(command.help)}"]
    return "\n".join(lines) + "\n"
