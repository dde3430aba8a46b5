"""What can be done about a line of a target, and what the user settled for one by hand."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError


class Choice(StrEnum):
    """What can be done about a piece that a line lacks, or has below its standard."""

    KEEP = "keep"
    TREAT = "treat"
    MOVE = "move"
    BUY = "buy"
    STAND_IN = "stand-in"
    OPEN = "leave open"
    AWAIT = "on order"


LOCKABLE = tuple(choice for choice in Choice if choice is not Choice.AWAIT)
"""Choices that a line can be locked to: what is on order comes in any case."""
TAKING = (Choice.BUY, Choice.STAND_IN, Choice.MOVE)
"""Choices that bring a line pieces it does not have; locked to one, it is left open only where that cannot be done."""
BOUGHT = (Choice.BUY, Choice.STAND_IN)
"""Choices that take pieces from an offer."""


class Lock(NamedTuple):
    """What the user settled for a line by hand.

    Attributes:
        target: code of the target.
        number: of the line, from 1.
        choice: what is to be done.
        offer: id of the one offer to buy from; empty: any.
        kind: what the line asked for when it was locked, so that a list brought in anew does not lock another; None
            where nobody kept it.
    """

    target: str
    number: int
    choice: Choice
    offer: str = ""
    kind: Kind | None = None

    @property
    def line(self) -> tuple[str, int]:
        """Which line of which target."""
        return self.target, self.number

    @property
    def words(self) -> str:
        """What is to be done, in words."""
        return f"{self.choice}, offer {self.offer}" if self.offer else str(self.choice)


def lock_key(lock: Lock) -> str:
    """The key under which a lock is kept: there is one for a line."""
    return f"{lock.target}/{lock.number}"


def checked_lock(lock: Lock) -> Lock:
    """The same lock, once it can be kept.

    Raises:
        DataError: it names no line, does not tell what the line asked for, or names an offer where nothing is bought.
    """
    if lock.choice not in LOCKABLE:
        raise DataError(f"A line cannot be locked to {lock.choice}.")
    if not lock.target or lock.number < 1 or lock.kind is None:
        raise DataError("A lock needs a target, the number of a line from 1, and what the line asks for.")
    if lock.offer and lock.choice not in BOUGHT:
        raise DataError(f"A lock to {lock.choice} cannot name an offer.")
    return lock
