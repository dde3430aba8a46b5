"""What a command of the app is: its keys, what it says of itself, where it is at hand, and when it cannot be done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple, Protocol, get_args

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
    "bring",
    "welcome",
    "help",
    "commands",
]
"""States of the keyboard: in each, a key means one thing."""
PLACES: tuple[Place, ...] = get_args(Place)
TYPED: frozenset[Place] = frozenset({"typing", "commands"})
"""Places where a line is being typed: a key that prints is text there."""
Where = Place | Literal["everywhere", "bench"]
"""Where a command is at hand; ``bench`` is both ``typing`` and ``pad``, ``everywhere`` is every place."""


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


WhyNot = Callable[[Situation], str]
"""Says why something cannot be done; empty when it can. Ids in braces stand for keys."""


def always(situation: Situation) -> str:
    """Nothing stands in the way, ever."""
    return ""


def no_last(situation: Situation) -> str:
    """Why the last tally cannot be undone or changed."""
    return "" if situation.last else "nothing has been counted yet"


def no_redo(situation: Situation) -> str:
    """Why nothing can be brought back."""
    return "" if situation.redoable else "nothing was undone that could be brought back"


class Command(NamedTuple):
    """Something a key does.

    Attributes:
        id: what a remap calls it.
        keys: its keys, the first is the one shown.
        label: at most two words, for the footer.
        help: a sentence for the help sheet and the README; ids in braces stand for keys.
        where: where it is at hand.
        why_not: why it cannot be done now; empty when it can.
        rank: place in the footer, 0 for not in the footer.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    help: str
    where: Where
    why_not: WhyNot = always
    rank: int = 0

    @property
    def places(self) -> tuple[Place, ...]:
        """The states of the keyboard in which it is at hand."""
        if self.where == "everywhere":
            return PLACES
        return ("typing", "pad") if self.where == "bench" else (self.where,)


class Own(Protocol):
    """Makes a command of one place."""

    def __call__(
        self, name: str, keys: str | tuple[str, ...], label: str, help: str, why_not: WhyNot = always, *, rank: int = 0
    ) -> Command:
        """A command whose id is the place and ``name``; the rest as in :class:`Command`, a single key as it is."""


def at(place: Place) -> Own:
    """A maker of the commands that are at hand in one place alone."""

    def own(
        name: str, keys: str | tuple[str, ...], label: str, help: str, why_not: WhyNot = always, *, rank: int = 0
    ) -> Command:
        return Command(f"{place}.{name}", (keys,) if isinstance(keys, str) else keys, label, help, place, why_not, rank)

    return own


def moving(*places: Place) -> tuple[Command, ...]:
    """The commands that move through a list, for each place that has one."""
    return tuple(
        at(place)(name, key, label, help)
        for place in places
        for name, key, label, help in (
            ("up", "up", "up", "One line up."),
            ("down", "down", "down", "One line down."),
            ("page-up", "pageup", "page up", "One page up."),
            ("page-down", "pagedown", "page down", "One page down."),
            ("first", "home", "first", "To the first line."),
            ("last", "end", "last", "To the last line."),
        )
    )
