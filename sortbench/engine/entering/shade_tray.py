"""The shade tray: which shades lie on its slots. As stable as the keypad, in pages of nine.

Its key opens the first page and turns to the next; a slot key then picks the shade.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sortbench.engine.entering.keypad import PER_PAGE, SLOTS

TRAY_KEY = "0"


@dataclass(frozen=True, slots=True)
class ShadeTray:
    """Shades as they lie, likeliest first when they were laid out.

    Attributes:
        shades: index = page * 9 + slot; empty is a free slot. No shade lies on two slots.
        pinned: indexes that a reshuffle leaves alone.
    """

    shades: tuple[str, ...] = ()
    pinned: frozenset[int] = frozenset()

    @property
    def pages(self) -> int:
        """How many pages there are, at least one."""
        return max(1, -(-len(self.shades) // PER_PAGE))

    def page(self, number: int) -> tuple[str, ...]:
        """The nine slots of a page, by slot key 1 to 9; pages count from 0, and the first follows the last."""
        start = number % self.pages * PER_PAGE
        found = self.shades[start : start + PER_PAGE]
        return found + ("",) * (PER_PAGE - len(found))

    def keys_for(self, shade: str) -> str:
        """The keys that pick a shade, the tray key included; empty if it does not lie here."""
        if not shade or shade not in self.shades:
            return ""
        page, slot = divmod(self.shades.index(shade), PER_PAGE)
        return TRAY_KEY * (page + 1) + SLOTS[slot]


def place_shades(tray: ShadeTray, ranked: Sequence[str]) -> ShadeTray:
    """Give shades that do not lie on the tray the next free slots, in the order given; nothing moves."""
    shades = list(tray.shades)
    free = [index for index, shade in enumerate(shades) if not shade]
    for shade in dict.fromkeys(ranked):
        if shade and shade not in shades:
            if free:
                shades[free.pop(0)] = shade
            else:
                shades.append(shade)
    return tray if tuple(shades) == tray.shades else replace(tray, shades=tuple(shades))


def reshuffle_shades(tray: ShadeTray, ranked: Sequence[str]) -> ShadeTray:
    """Lay the tray out anew, likeliest first; pins stay, and so does every shade that lay on it."""
    pins = {index: tray.shades[index] for index in tray.pinned}
    kept = set(pins.values())
    rest = _without(kept, [*ranked, *tray.shades])
    shades: list[str] = []
    while rest or any(index >= len(shades) for index in pins):
        here = pins.get(len(shades))
        shades.append(here if here is not None else rest.pop(0) if rest else "")
    return replace(tray, shades=tuple(shades))


def pin_shade(tray: ShadeTray, index: int, shade: str = "") -> ShadeTray:
    """Pin a slot: what lies there, or ``shade``, stays through every reshuffle; shades change places as needed.

    Raises:
        IndexError: no such slot.
        ValueError: nothing to pin on a free slot.
    """
    shades = list(tray.shades)
    if not 0 <= index < tray.pages * PER_PAGE:
        raise IndexError(f"the tray has slots 0 to {tray.pages * PER_PAGE - 1}, not {index}")
    shades += [""] * (index + 1 - len(shades))
    wanted = shade or shades[index]
    if not wanted:
        raise ValueError("nothing lies on that slot")
    pinned = set(tray.pinned)
    if wanted != shades[index]:
        if wanted not in shades:
            shades.append(wanted)
        elsewhere = shades.index(wanted)
        shades[elsewhere], shades[index] = shades[index], wanted
        pinned.discard(elsewhere)
    while not shades[-1]:
        shades.pop()
    return ShadeTray(tuple(shades), frozenset(pinned | {index}))


def unpin_shade(tray: ShadeTray, index: int) -> ShadeTray:
    """Let the next reshuffle move what lies on a slot."""
    return replace(tray, pinned=tray.pinned - {index})


def _without(passed: set[str], shades: Iterable[str]) -> list[str]:
    return [shade for shade in dict.fromkeys(shades) if shade and shade not in passed]
