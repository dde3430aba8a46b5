"""Rows of a count sheet about who gets which piece: what lines have, what they lack, and what is spare."""

from __future__ import annotations

from typing import NamedTuple


class AllocationRow(NamedTuple):
    """Like pieces of one heap that one line of a target has.

    ``part`` and ``shade`` say what they are, ``asked_part`` and ``asked_shade`` what the line asks for; ``cost`` is 0
    where the two are the same. ``bin`` is empty for pieces in the target's crate and for pieces put aside.
    """

    target: str
    line: int
    asked_part: str
    asked_shade: str
    part: str
    shade: str
    grade: str
    flaw: str
    bin: str
    fate: str
    set_aside: bool
    quantity: int
    cost: int
    to_standard: bool
    period: str


class ShortfallRow(NamedTuple):
    """A line that lacks pieces, or has some that are not to standard."""

    target: str
    line: int
    part: str
    shade: str
    lowest: str
    short: int
    below_standard: int


class SpareRow(NamedTuple):
    """Like pieces of one heap that no line has.

    ``target`` is filled where only that target may have them: they were set aside for it, or lie in its crate.
    """

    part: str
    shade: str
    family: str
    quantity: int
    grade: str = ""
    flaw: str = ""
    bin: str = ""
    fate: str = ""
    target: str = ""


class PickSheetRow(NamedTuple):
    """One row of a pick list: pieces of one heap, whatever number of lines of the target they serve.

    ``number`` counts from 1; ``done`` is true where none is left to pick. ``lines`` and ``stands_in_for`` join several
    values with ' | '; the latter names kinds as 'part, shade' and is empty where nothing stands in.
    """

    done: bool
    number: int
    bin: str
    place: str
    fate: str
    left: int
    picked: int
    quantity: int
    part: str
    name: str
    shade: str
    grade: str
    flaw: str
    lines: str
    stands_in_for: str
    target: str
