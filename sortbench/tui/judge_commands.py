"""The commands of the judge screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation


def _no_last(situation: Situation) -> str:
    return "" if situation.last else "nothing has been counted yet"


def _no_redo(situation: Situation) -> str:
    return "" if situation.redoable else "nothing was undone that could be brought back"


def _no_reading(situation: Situation) -> str:
    if not situation.results:
        return "no reading was typed yet; / begins one"
    return _no_last(situation)


JUDGE_COMMANDS: tuple[Command, ...] = (
    Command(
        "judge.read",
        ("/", "#"),
        "reading",
        "Type a colour reading of the piece: #e8dcb0, or three numbers after lab or xyz.",
        "judge",
        rank=2,
    ),
    Command(
        "judge.reference",
        ("=",),
        "reference",
        "Type the reading of an unaged piece, to judge against it; Enter alone takes the shade's list value again.",
        "judge",
    ),
    Command("judge.shade", ("s",), "shade", "Judge another shade: type the start of its name.", "judge", rank=4),
    Command("judge.next", ("right",), "next shade", "The next shade of the catalogue.", "judge"),
    Command("judge.previous", ("left",), "previous", "The shade before.", "judge"),
    Command(
        "judge.count",
        ("enter",),
        "count one",
        "Count one more piece like the last, with the judged grade and the reading.",
        "judge",
        _no_reading,
        rank=3,
    ),
    Command(
        "judge.regrade",
        ("r",),
        "regrade",
        "Give the last tally the judged grade and the reading.",
        "judge",
        _no_reading,
    ),
    *(
        Command(
            f"judge.grade.{grade}",
            (grade,),
            f"grade {grade}",
            "Give the last tally the grade of this number, judged by eye.",
            "judge",
            _no_last,
        )
        for grade in "54321"
    ),
    Command("judge.better", ("+",), "half up", "Raise the grade of the last tally by half a step.", "judge", _no_last),
    Command("judge.worse", ("-",), "half down", "Lower the grade of the last tally by half a step.", "judge", _no_last),
    Command("judge.photo", ("o",), "photo", "Judge pieces on a photograph.", "judge", rank=5),
    Command("judge.undo", ("u", "ctrl+z"), "undo", "Undo the last thing done, then the one before.", "judge", _no_last),
    Command("judge.redo", ("U", "ctrl+y"), "redo", "Bring back what was undone last.", "judge", _no_redo),
    Command("judge.back", ("escape",), "back", "Let go of the reading; then back to the bench.", "judge", rank=6),
)
