"""What lines ask for, as sharing sees them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from sortbench.model.catalogue import Kind
from sortbench.model.target import Line

Right = Callable[[Kind], bool | None]
"""Tells whether a kind is right for one year; None where years are not known."""


class Ask(NamedTuple):
    """One line of a component.

    Attributes:
        target: code of its target.
        group: place of the target's rank among all ranks.
        shared: whether other targets share that rank.
        line: what it asks for.
        accepts: kinds that may fill it and what each costs, the kind asked for (0) first.
        right: tells whether a kind is right for the target's year.
    """

    target: str
    group: int
    shared: bool
    line: Line
    accepts: Mapping[Kind, int]
    right: Right
