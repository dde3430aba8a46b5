"""The keypad: which kinds lie on its slots. Stable by design: a slot changes only when somebody asks for it.

A pad holds nine pages of nine slots. The first page is the one shown: its slots cost one stroke. A page key and then a
slot cost two strokes, after which the first page is shown again. There is one pad for each shade, and one for no shade
held (``shade`` empty): its slots are kinds in whatever shade, so a pile that was not sorted by shade beforehand needs
no stroke for the shade of its commoner kinds.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from sortbench.model.catalogue import Kind

SLOTS = "123456789"
"""Slot keys; slot 1 has index 0."""
PAGES = "asdfghjkl"
"""Page keys; the first is the page shown anyway, so its slots need no page key."""
ROWS = ("789", "456", "123")
"""How the slots lie on the screen and on the table: as on the number block of a keyboard."""
PER_PAGE = len(SLOTS)
SIZE = PER_PAGE * len(PAGES)
FREE_FOR_NEWCOMERS = PER_PAGE
"""Slots that guesses leave free, so that kinds nobody foresaw find a place."""

# Resting finger first, then its row, then straight up and down, then the corners.
_REACH = tuple(SLOTS.index(key) for key in "546821793")
_READING = tuple(SLOTS.index(key) for key in "".join(ROWS))


@dataclass(frozen=True, slots=True)
class Pad:
    """Kinds as they lie on the slots.

    Attributes:
        shade: the shade all its kinds have; empty for the pad of no shade held, which mixes shades.
        kinds: SIZE entries, index = page * 9 + slot; None is a free slot. No kind lies on two slots.
        pinned: indexes that a reshuffle leaves alone.
    """

    shade: str = ""
    kinds: tuple[Kind | None, ...] = (None,) * SIZE
    pinned: frozenset[int] = frozenset()

    def index_of(self, kind: Kind) -> int | None:
        """The slot a kind lies on, None if it lies on none."""
        return self.kinds.index(kind) if kind in self.kinds else None

    def page(self, number: int) -> tuple[Kind | None, ...]:
        """The nine slots of a page, by slot key 1 to 9; pages count from 0."""
        return self.kinds[number * PER_PAGE : (number + 1) * PER_PAGE]

    @property
    def free(self) -> int:
        """Slots nothing lies on."""
        return self.kinds.count(None)


def keys_for(pad: Pad, kind: Kind) -> str:
    """The keys that count a kind from this pad: a slot, or a page and a slot; empty if it lies on none."""
    index = pad.index_of(kind)
    if index is None:
        return ""
    page, slot = divmod(index, PER_PAGE)
    return SLOTS[slot] if page == 0 else PAGES[page] + SLOTS[slot]


def place(pad: Pad, ranked: Sequence[Kind], families: Mapping[str, str]) -> Pad:
    """Give kinds that lie on no slot a free one, in the order given; nothing that lies there moves.

    The first page is filled first. Past it a kind goes to a page of its group (shape family; on the pad of no shade
    held, the shade), else to an empty page, else to any free slot. Kinds left over when all slots are taken are
    reached by typing. Kinds of another shade than the pad's are passed over.

    Args:
        pad: as it lies.
        ranked: likeliest first; may name kinds that lie on the pad already.
        families: shape family by part code.
    """
    kinds = list(pad.kinds)
    lying = set(kinds)
    group = _grouping(pad.shade, families)
    for kind in ranked:
        if kind in lying or (pad.shade and kind.shade != pad.shade):
            continue
        index = _free_slot(kinds, group(kind), group)
        if index is None:
            break
        kinds[index] = kind
        lying.add(kind)
    return pad if tuple(kinds) == pad.kinds else replace(pad, kinds=tuple(kinds))


def reshuffle(pad: Pad, ranked: Sequence[Kind], families: Mapping[str, str], guesses: Sequence[Kind] = ()) -> Pad:
    """Lay a pad out anew: pins stay, the likeliest kinds come onto the first page, the others by group on further ones.

    Grouping past the first page costs nothing, for every slot there takes two strokes.

    Args:
        pad: as it lies; what lies on it stays on it as long as ``ranked`` leaves room.
        ranked: kinds seen or needed, likeliest first.
        families: shape family by part code.
        guesses: kinds neither seen nor needed, likeliest first; they never take the last FREE_FOR_NEWCOMERS slots.
    """
    kinds: list[Kind | None] = [kind if index in pad.pinned else None for index, kind in enumerate(pad.kinds)]
    pins = {kind for kind in kinds if kind is not None}
    room = kinds.count(None)
    known = _of_shade(pad.shade, ranked, pins)[:room]
    spare = max(0, room - FREE_FOR_NEWCOMERS - len(known))
    known += _of_shade(pad.shade, guesses, pins | set(known))[:spare]
    # What lay on the pad and is in neither list is still where a hand may look for it: it stays while there is room.
    known += _of_shade(pad.shade, [kind for kind in pad.kinds if kind is not None], pins | set(known))
    first = [index for index in _REACH if kinds[index] is None]
    for index, kind in zip(first, known, strict=False):
        kinds[index] = kind
    _lay_groups(kinds, known[len(first) : room], _grouping(pad.shade, families))
    return replace(pad, kinds=tuple(kinds))


def pin(pad: Pad, index: int, kind: Kind | None = None) -> Pad:
    """Pin a slot: what lies there, or ``kind``, stays through every reshuffle.

    A kind that lies elsewhere changes places with what lies on the slot; a newcomer sends what lay there to the next
    free slot of any page, or off the pad if all are taken.

    Raises:
        IndexError: no such slot.
        ValueError: nothing to pin on a free slot, or a kind of another shade than the pad's.
    """
    if not 0 <= index < SIZE:
        raise IndexError(f"slots run from 0 to {SIZE - 1}, not {index}")
    kinds = list(pad.kinds)
    wanted = kind or kinds[index]
    if wanted is None:
        raise ValueError("nothing lies on that slot")
    if pad.shade and wanted.shade != pad.shade:
        raise ValueError(f"this pad holds {pad.shade}, not {wanted.shade}")
    pinned = set(pad.pinned)
    if wanted != kinds[index]:
        elsewhere = pad.index_of(wanted)
        if elsewhere is None:
            elsewhere = next((i for i, lying in enumerate(kinds) if lying is None and i != index), None)
        if elsewhere is not None:
            kinds[elsewhere] = kinds[index]
            pinned.discard(elsewhere)
        kinds[index] = wanted
    return replace(pad, kinds=tuple(kinds), pinned=frozenset(pinned | {index}))


def unpin(pad: Pad, index: int) -> Pad:
    """Let the next reshuffle move what lies on a slot."""
    return replace(pad, pinned=pad.pinned - {index})


def page_groups(pad: Pad, families: Mapping[str, str]) -> tuple[str, ...]:
    """What each page mostly holds (family, or shade on the pad of no shade held); empty for an empty page."""
    group = _grouping(pad.shade, families)
    return tuple(_main_group(pad.page(number), group) for number in range(len(PAGES)))


def _of_shade(shade: str, kinds: Iterable[Kind], without: Iterable[Kind]) -> list[Kind]:
    passed = set(without)
    return [kind for kind in dict.fromkeys(kinds) if kind not in passed and (not shade or kind.shade == shade)]


def _grouping(shade: str, families: Mapping[str, str]) -> Callable[[Kind], str]:
    return (lambda kind: families.get(kind.part, "")) if shade else (lambda kind: kind.shade)


def _main_group(page: Iterable[Kind | None], group: Callable[[Kind], str]) -> str:
    names = [group(kind) for kind in page if kind is not None]
    return max(sorted(set(names)), key=names.count, default="")


def _free_slot(kinds: list[Kind | None], wanted: str, group: Callable[[Kind], str]) -> int | None:
    for index in _REACH:
        if kinds[index] is None:
            return index
    roomy = []
    for number in range(1, len(PAGES)):
        page = kinds[number * PER_PAGE : (number + 1) * PER_PAGE]
        if None in page:
            full = any(page)
            of_group = full and _main_group(page, group) == wanted
            roomy.append((0 if of_group else 2 if full else 1, number))
    if not roomy:
        return None
    start = min(roomy)[1] * PER_PAGE
    return next(start + slot for slot in _READING if kinds[start + slot] is None)


def _lay_groups(kinds: list[Kind | None], rest: Sequence[Kind], group: Callable[[Kind], str]) -> None:
    """Lay kinds on the pages past the first: a group together where it fits, in reading order, sizes ascending."""
    groups: dict[str, list[Kind]] = {}
    for kind in rest:
        groups.setdefault(group(kind), []).append(kind)
    seats = {
        number: [n for slot in _READING if kinds[n := number * PER_PAGE + slot] is None]
        for number in range(1, len(PAGES))
    }
    chunks = []
    for members in groups.values():
        ordered = sorted(members, key=natural)
        chunks += [ordered[start : start + PER_PAGE] for start in range(0, len(ordered), PER_PAGE)]
    unbegun = set(seats)
    for left in sorted(chunks, key=len, reverse=True):
        while left:
            number = _page_for(len(left), seats, unbegun)
            unbegun.discard(number)
            taken = min(len(left), len(seats[number]))
            for index, kind in zip(seats[number][:taken], left[:taken], strict=True):
                kinds[index] = kind
            seats[number], left = seats[number][taken:], left[taken:]


def _page_for(wanted: int, seats: Mapping[int, Sequence[int]], unbegun: Iterable[int]) -> int:
    """A page of its own while there is one, else the page it fills best, else the roomiest."""
    pages = sorted(unbegun)
    if not pages:
        fits = [number for number in seats if len(seats[number]) >= wanted]
        if fits:
            return min(fits, key=lambda number: (len(seats[number]), number))
        pages = sorted(seats)
    return max(pages, key=lambda number: len(seats[number]))


@lru_cache(maxsize=65_536)
def natural(kind: Kind) -> tuple[str, tuple[tuple[int, str], ...]]:
    """Sort key: by shade, then by part code with its numbers as numbers (``1x10`` after ``1x2``)."""
    pieces = re.findall(r"\d+|\D+", kind.part)
    return kind.shade, tuple((int(piece), "") if piece.isdecimal() else (-1, piece) for piece in pieces)
