"""The commands of the judge screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation, at, no_last, no_redo

_JUDGE = at("judge")


def _no_reading(situation: Situation) -> str:
    if not situation.results:
        return "no reading was typed yet; {judge.read} begins one"
    return no_last(situation)


JUDGE_COMMANDS: tuple[Command, ...] = (
    _JUDGE(
        "read",
        ("/", "#"),
        "reading",
        "Type a colour reading of the piece: #e8dcb0, or three numbers after lab or xyz.",
        rank=2,
    ),
    _JUDGE(
        "reference",
        "=",
        "reference",
        "Type the reading of an unaged piece, to judge against it; Enter alone takes the shade's list value again.",
    ),
    _JUDGE("shade", "s", "shade", "Judge another shade: type the start of its name.", rank=4),
    _JUDGE("next", "right", "next shade", "The next shade of the catalogue."),
    _JUDGE("previous", "left", "previous", "The shade before."),
    _JUDGE(
        "count",
        "enter",
        "count one",
        "Count one more piece like the last, with the judged grade and the reading.",
        _no_reading,
        rank=3,
    ),
    _JUDGE("regrade", "r", "regrade", "Give the last tally the judged grade and the reading.", _no_reading),
    *(
        _JUDGE(
            f"grade.{grade}",
            grade,
            f"grade {grade}",
            "Give the last tally the grade of this number, judged by eye.",
            no_last,
        )
        for grade in "54321"
    ),
    _JUDGE("better", "+", "half up", "Raise the grade of the last tally by half a step.", no_last),
    _JUDGE("worse", "-", "half down", "Lower the grade of the last tally by half a step.", no_last),
    _JUDGE("photo", "o", "photo", "Judge pieces on a photograph.", rank=5),
    _JUDGE("undo", ("u", "ctrl+z"), "undo", "Undo the last thing done, then the one before.", no_last),
    _JUDGE("redo", ("U", "ctrl+y"), "redo", "Bring back what was undone last.", no_redo),
    _JUDGE("back", "escape", "back", "Let go of the reading; then back to the bench.", rank=6),
)
