"""The commands of the photo screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation


def _no_picture(situation: Situation) -> str:
    return "" if situation.picture else "no picture is in hand; o takes one"


def _no_result(situation: Situation) -> str:
    return _no_picture(situation) or ("" if situation.results else "no piece has been judged yet")


def _no_last(situation: Situation) -> str:
    return "" if situation.last else "nothing has been counted yet"


PHOTO_COMMANDS: tuple[Command, ...] = (
    *(
        Command(f"photo.{name}", (name,), name, f"One cell of the picture {where}.", "photo", _no_picture)
        for name, where in (
            ("up", "up"),
            ("down", "down"),
            ("left", "to the left"),
            ("right", "to the right"),
        )
    ),
    Command("photo.first", ("home",), "first", "To the first line of the picture.", "photo", _no_picture),
    Command("photo.last", ("end",), "last", "To the last line of the picture.", "photo", _no_picture),
    Command("photo.back-on", ("pageup",), "list up", "Scroll the list of pieces and notes back.", "photo"),
    Command("photo.on", ("pagedown",), "list down", "Scroll the list of pieces and notes on.", "photo"),
    Command("photo.open", ("o",), "open", "Take a picture in hand: type its path, or drop it here.", "photo", rank=2),
    Command(
        "photo.card",
        ("c",),
        "card",
        "Mark the white or grey card: at one corner, then at the other.",
        "photo",
        _no_picture,
        rank=3,
    ),
    Command(
        "photo.reference",
        ("r",),
        "reference",
        "Mark the unaged piece: at one corner, then at the other.",
        "photo",
        _no_picture,
        rank=4,
    ),
    Command(
        "photo.piece",
        ("p",),
        "piece",
        "Mark a piece to be judged: at one corner, then at the other.",
        "photo",
        _no_picture,
        rank=4,
    ),
    Command("photo.grid", ("g",), "grid", "Let one mark stand for pieces in columns and lines: type 6x4.", "photo"),
    Command(
        "photo.unmark",
        ("delete", "backspace"),
        "unmark",
        "Take the mark under the cursor away.",
        "photo",
        _no_picture,
    ),
    Command(
        "photo.reflectance",
        ("f",),
        "reflects",
        "Say what share of the light the card reflects, as its maker tells.",
        "photo",
    ),
    Command("photo.kind", ("n",), "kind", "Name what the pieces are, as on the entry line.", "photo"),
    Command(
        "photo.count",
        ("k",),
        "count",
        "Count the judged pieces, each with its grade and its reading; asks for y first.",
        "photo",
        _no_result,
        rank=5,
    ),
    Command("photo.yes", ("y",), "yes", "Yes, count them.", "photo"),
    Command("photo.undo", ("u", "ctrl+z"), "undo", "Undo the last tally, then the one before.", "photo", _no_last),
    Command(
        "photo.back", ("escape",), "back", "Let go of a corner or a question; then back to the judge screen.", "photo"
    ),
)
