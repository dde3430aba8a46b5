"""What a command of the app is: its keys, what it says of itself, where it is at hand, and when it cannot be done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

Where = Literal[
    "everywhere",
    "bench",
    "typing",
    "pad",
    "targets",
    "sets",
    "bins",
    "spot",
    "recount",
    "weigh",
    "log",
    "records",
    "reconcile",
    "pick",
    "statement",
    "plan",
    "orders",
    "wash",
    "judge",
    "photo",
    "help",
]
"""Where a command is at hand; ``bench`` is both ``typing`` and ``pad``, ``everywhere`` is every place."""
Place = Literal[
    "typing",
    "pad",
    "targets",
    "sets",
    "bins",
    "spot",
    "recount",
    "weigh",
    "log",
    "records",
    "reconcile",
    "pick",
    "statement",
    "plan",
    "orders",
    "wash",
    "judge",
    "photo",
    "help",
]
PLACES: tuple[Place, ...] = (
    "typing",
    "pad",
    "targets",
    "sets",
    "bins",
    "spot",
    "recount",
    "weigh",
    "log",
    "records",
    "reconcile",
    "pick",
    "statement",
    "plan",
    "orders",
    "wash",
    "judge",
    "photo",
    "help",
)
"""States of the keyboard: in each, a key means one thing."""


class Situation(NamedTuple):
    """What commands need to know to say whether they can be done now.

    Attributes:
        last: whether there is a last tally, to undo or to change.
        redoable: whether something was undone that can be brought back.
        results: results shown for what is typed.
        trial: whether something is tried out that has not been kept.
        picture: whether a photograph is in hand.
    """

    last: bool = False
    redoable: bool = False
    results: int = 0
    trial: bool = False
    picture: bool = False


def _always(situation: Situation) -> str:
    return ""


class Command(NamedTuple):
    """Something a key does.

    Attributes:
        id: what a remap calls it.
        keys: its keys, the first is the one shown.
        label: at most two words, for the footer.
        help: a sentence for the help sheet and the README.
        where: where it is at hand.
        why_not: why it cannot be done now; empty when it can.
        rank: place in the footer, 0 for not in the footer.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    where: Where
    why_not: Callable[[Situation], str] = _always
    rank: int = 0

    @property
    def places(self) -> tuple[Place, ...]:
        """The states of the keyboard in which it is at hand."""
        if self.where == "everywhere":
            return PLACES
        return ("typing", "pad") if self.where == "bench" else (self.where,)
