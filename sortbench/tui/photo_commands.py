"""The commands of the photo screen: part of the one registry in :mod:`sortbench.tui.keys`."""

from __future__ import annotations

from sortbench.tui.command import Command, Situation, at, no_last

_PHOTO = at("photo")


def _no_picture(situation: Situation) -> str:
    return "" if situation.picture else "no picture is in hand; {photo.open} takes one"


def _no_result(situation: Situation) -> str:
    return _no_picture(situation) or ("" if situation.results else "no piece has been judged yet")


PHOTO_COMMANDS: tuple[Command, ...] = (
    *(
        _PHOTO(name, name, name, f"One cell of the picture {where}.", _no_picture)
        for name, where in (
            ("up", "up"),
            ("down", "down"),
            ("left", "to the left"),
            ("right", "to the right"),
        )
    ),
    _PHOTO("first", "home", "first", "To the first line of the picture.", _no_picture),
    _PHOTO("last", "end", "last", "To the last line of the picture.", _no_picture),
    _PHOTO("back-on", "pageup", "list up", "Scroll the list of pieces and notes back."),
    _PHOTO("on", "pagedown", "list down", "Scroll the list of pieces and notes on."),
    _PHOTO("open", "o", "open", "Take a picture in hand: type its path, or drop it here.", rank=2),
    _PHOTO("card", "c", "card", "Mark the white or grey card: at one corner, then at the other.", _no_picture, rank=3),
    _PHOTO(
        "reference", "r", "reference", "Mark the unaged piece: at one corner, then at the other.", _no_picture, rank=4
    ),
    _PHOTO("piece", "p", "piece", "Mark a piece to be judged: at one corner, then at the other.", _no_picture, rank=4),
    _PHOTO("grid", "g", "grid", "Let one mark stand for pieces in columns and lines: type 6x4."),
    _PHOTO("unmark", ("delete", "backspace"), "unmark", "Take the mark under the cursor away.", _no_picture),
    _PHOTO("reflectance", "f", "reflects", "Say what share of the light the card reflects, as its maker tells."),
    _PHOTO("kind", "n", "kind", "Name what the pieces are, as on the entry line."),
    _PHOTO(
        "count",
        "k",
        "count",
        "Count the judged pieces, each with its grade and its reading; asks for {photo.yes} first.",
        _no_result,
        rank=5,
    ),
    _PHOTO("yes", "y", "yes", "Yes, count them."),
    _PHOTO("undo", ("u", "ctrl+z"), "undo", "Undo the last tally, then the one before.", no_last),
    _PHOTO("back", "escape", "back", "Let go of a corner or a question; then back to the judge screen."),
)
