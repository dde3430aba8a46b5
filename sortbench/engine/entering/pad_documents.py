"""Pads and the shade tray as plain values that a document can keep, and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sortbench.engine.entering.keypad import SIZE, Pad
from sortbench.engine.entering.shade_tray import ShadeTray
from sortbench.model.catalogue import Kind
from sortbench.model.errors import DataError


def pad_to_plain(pad: Pad) -> dict[str, Any]:
    """A pad as JSON values: the shade, a list of part and shade for each slot, the pinned indexes."""
    return {
        "shade": pad.shade,
        "kinds": [list(kind) if kind else None for kind in pad.kinds],
        "pinned": sorted(pad.pinned),
    }


def pad_from_plain(plain: Mapping[str, Any]) -> Pad:
    """The pad that :func:`pad_to_plain` wrote.

    Raises:
        DataError: it is not shaped like one.
    """
    try:
        slots = [None if slot is None else Kind(_text(slot[0]), _text(slot[1])) for slot in plain["kinds"]]
        shade, pinned = _text(plain["shade"]), frozenset(int(index) for index in plain["pinned"])
        lying = [kind for kind in slots if kind is not None]
        sound = len(slots) == SIZE and len(set(lying)) == len(lying)
        sound = sound and all(not shade or kind.shade == shade for kind in lying)
        sound = sound and all(0 <= index < SIZE and slots[index] is not None for index in pinned)
    except (KeyError, TypeError, ValueError, IndexError) as error:
        raise _unsound("keypad") from error
    if not sound:
        raise _unsound("keypad")
    return Pad(shade, tuple(slots), pinned)


def tray_to_plain(tray: ShadeTray) -> dict[str, Any]:
    """The tray as JSON values: the shade on each slot, the pinned indexes."""
    return {"shades": list(tray.shades), "pinned": sorted(tray.pinned)}


def tray_from_plain(plain: Mapping[str, Any]) -> ShadeTray:
    """The tray that :func:`tray_to_plain` wrote.

    Raises:
        DataError: it is not shaped like one.
    """
    try:
        shades = tuple(_text(shade) for shade in plain["shades"])
        pinned = frozenset(int(index) for index in plain["pinned"])
        lying = [shade for shade in shades if shade]
        sound = len(set(lying)) == len(lying) and all(0 <= i < len(shades) and shades[i] for i in pinned)
    except (KeyError, TypeError, ValueError) as error:
        raise _unsound("shade tray") from error
    if not sound:
        raise _unsound("shade tray")
    return ShadeTray(shades, pinned)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _unsound(what: str) -> DataError:
    return DataError(f"The {what} kept on this bench cannot be read.", "It is laid out anew from the counts.")
