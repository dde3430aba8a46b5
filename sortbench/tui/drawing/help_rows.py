"""The help sheet: keys from the registry, the entry line by example, and where the counts lie."""

from __future__ import annotations

from collections.abc import Sequence

from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.keys import COMMANDS, Command, Place, help_rows
from sortbench.tui.widgets.rows import Row, clip, pad

_TITLES: dict[Place, str] = {
    "typing": "keys while typing",
    "pad": "keys on the keypad",
    "targets": "keys of the targets screen",
    "sets": "keys of the sets in the lot",
    "bins": "keys of the bins screen",
    "spot": "keys of the spot check screen",
    "recount": "keys of the recount screen",
    "weigh": "keys of the weighing screen",
    "log": "keys of the log screen",
    "records": "keys of the records screen",
    "reconcile": "keys of the reconcile screen",
    "pick": "keys of the pick list",
    "statement": "keys of the statement",
    "plan": "keys of the plan screen",
    "orders": "keys of the orders screen",
    "wash": "keys of the wash screen",
    "judge": "keys of the judge screen",
    "photo": "keys of the photo screen",
    "bring": "keys of bringing in a list",
    "welcome": "keys of the welcome",
    "help": "keys of this sheet",
    "commands": "keys of the list of commands",
}
_MOST_LINES = 12
"""Lines one explanation may take where the terminal is narrow."""


def sheet_rows(
    place: Place, grammar: Sequence[tuple[str, str]], folder: str, width: int, commands: Sequence[Command] = COMMANDS
) -> tuple[Row, ...]:
    """All of the help sheet.

    Args:
        place: whose keys come first; on the bench, typing and keypad both follow, and while typing the entry line
            comes before all keys.
        grammar: the entry line by example.
        folder: the bench folder.
        commands: the registry, with the keys in force.
    """
    places: tuple[Place, ...] = (place,)
    if place in ("typing", "pad"):
        places = (place, "pad" if place == "typing" else "typing")
    line = _section("the entry line", [(example or "(nothing)", text) for example, text in grammar], width)
    # Who asks while typing wants to know what can be typed.
    rows: list[Row] = line if place == "typing" else []
    for each in places:
        rows += _section(_TITLES[each], [(keys, text) for keys, _, text in help_rows(commands, each)], width)
    if place != "typing":
        rows += line
    rows.append(clip((("where the counts lie", "title"),), width))
    rows += wrapped(f"Bench folder: {folder}", "text", width, _MOST_LINES)
    rows += wrapped(
        "tallies/ holds one log a sitting: a record is on disk before the screen shows its count, and is never "
        "rewritten. bench.json holds parts, shades, targets and bins. `sortbench check` says whether all is sound.",
        "text",
        width,
        _MOST_LINES,
    )
    return tuple(rows)


def _section(title: str, pairs: Sequence[tuple[str, str]], width: int) -> list[Row]:
    left = min(max((len(example) for example, _ in pairs), default=0), 20, max(width // 3, 6))
    rows: list[Row] = [clip(((title, "title"),), width)]
    for example, text in pairs:
        lines = wrapped(text, "text", max(width - left - 2, 8), _MOST_LINES)
        if len(example) > left:
            # A long example has a line of its own: cut short it would explain nothing.
            rows.append(clip(((example, "key"),), width))
            example = ""
        for line in lines:
            rows.append(((pad(example, left), "key"), ("  ", "text"), *line))
            example = ""
    rows.append(())
    return rows
