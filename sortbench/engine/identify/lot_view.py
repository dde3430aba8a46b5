"""What is said about the sets in a lot: plain values, for screens and commands."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from sortbench.model.catalogue import Kind


class Telling(NamedTuple):
    """A kind that speaks for a list.

    Attributes:
        kind: which.
        counted: pieces counted.
        asked: pieces that the list asks for.
        holders: lists of the library that name it.
        bits: how much it speaks for the list, beside all that is in the pile anyway; below 0 it speaks against it.
    """

    kind: Kind
    counted: int
    asked: int
    holders: int
    bits: float


class Share(NamedTuple):
    """How complete a list probably is, if it is in the pile: shares of its pieces, 0 to 1.

    Attributes:
        low, high: the interval that holds it with a chance of 95 %.
        likely: what is expected.
    """

    low: float
    likely: float
    high: float


class Standing(NamedTuple):
    """One list of the library, held against what has been counted.

    Attributes:
        key: tells it from the others.
        name: for people.
        chance: that the pile holds it, 0 to 1; remains of it do not count.
        remains: chance that the pile holds remains of it only.
        lines: lines it has.
        lines_seen: lines of whose kind something was counted.
        pieces: pieces it asks for.
        found: pieces counted that probably came from it; 0 where it is surely not there.
        complete: None where nobody knows how much of the pile is counted, or where it is surely not there.
        alone: kinds counted that occur in no other list.
        telling: what speaks most for it; nothing where it is surely not there.
    """

    key: str
    name: str
    chance: float
    remains: float
    lines: int
    lines_seen: int
    pieces: int
    found: float
    complete: Share | None
    alone: int
    telling: tuple[Telling, ...]


class Sought(NamedTuple):
    """A kind that is worth looking for, for whether it turns up decides most.

    Attributes:
        kind: which; nothing of it was counted yet.
        bits: information expected about which lists are in the pile; never too high.
        chance: that it turns up in the rest of the pile.
        key: the list about which it says most.
        name: of that list.
        now: the chance of that list at present.
        if_found, if_not: what that chance becomes.
    """

    kind: Kind
    bits: float
    chance: float
    key: str
    name: str
    now: float
    if_found: float
    if_not: float


class LotView(NamedTuple):
    """Which sets a pile probably holds.

    Attributes:
        counted: pieces counted.
        pile: pieces of the whole pile, None where nobody knows.
        lists: how many lists the library has.
        unlisted: pieces counted whose kind is in no list, or not known.
        foreign: pieces counted that probably belong to no list of the library.
        matching: how many lists were asked about; all where nobody said which.
        standings: the likeliest first.
        sought: what to look for next, the most deciding first.
    """

    counted: int
    pile: int | None
    lists: int
    unlisted: int
    foreign: float
    matching: int
    standings: tuple[Standing, ...]
    sought: tuple[Sought, ...]


NOTHING_SEEN = "Nothing was counted yet that any list asks for."


def percent(chance: float) -> str:
    """A chance as a person reads it; never quite none or all."""
    if chance < 0.01:
        return "<1 %"
    return ">99 %" if chance > 0.99 else f"{chance:.0%}".replace("%", " %")


def complete_words(share: Share | None) -> str:
    """How complete a list probably is, with its interval; empty where nobody knows."""
    if share is None:
        return ""
    return f"{share.likely * 100:.0f} % ({share.low * 100:.0f} to {share.high * 100:.0f})"


def evidence_words(standing: Standing, name_of: Callable[[str], str]) -> str:
    """What speaks for a list, in words.

    Args:
        name_of: the name of a part by its code.
    """
    words = []
    if standing.alone:
        kinds = "1 kind that occurs" if standing.alone == 1 else f"{standing.alone} kinds that occur"
        words.append(f"{kinds} in no other list")
    for each in standing.telling:
        where = "in no other list" if each.holders == 1 else f"in {each.holders:,} lists"
        much = "all" if each.counted >= each.asked else f"{each.counted:,} of"
        words.append(f"{much} {each.asked:,} × {kind_words(each.kind, name_of)} ({where})")
    return "; ".join(words)


def sought_words(sought: Sought, name_of: Callable[[str], str]) -> str:
    """What to look for, and what its turning up would say."""
    return (
        f"{kind_words(sought.kind, name_of)}: turns up with {percent(sought.chance)}; "
        f"{sought.name} is then {percent(sought.if_found)} likely, without it {percent(sought.if_not)} "
        f"(now {percent(sought.now)}); {sought.bits:.2f} bits"
    )


def kind_words(kind: Kind, name_of: Callable[[str], str]) -> str:
    """A kind by the name of its part and its shade."""
    return f"{name_of(kind.part)} {kind.shade}"
