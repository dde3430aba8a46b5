"""The keypad block: nine slots as the keys lie, the pages behind them, and what the other keys do."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from rich.cells import cell_len

from sortbench.engine.board import PadView, SlotRow
from sortbench.tui.drawing.words import joined, plural, swatch
from sortbench.tui.keymap import OWN_KEYS, Keymap
from sortbench.tui.widgets.rows import Column, Row, clip, columns, fit, row_width

PAGE_KEYS = "asdfghjkl"
PINNED = "‡"
"""Stands under the key of a slot that a reshuffle leaves where it is."""


def pad_rows(
    pad: PadView, keys: tuple[tuple[str, str], ...], width: int, lines: int, keymap: Keymap = OWN_KEYS
) -> tuple[Row, ...]:
    """The nine slots as the keys lie, in three rows of three; then the pages, what is pending, and the other keys.

    Args:
        keys: the keypad's other keys and what they do.
        lines: lines there are; with fewer than 14 each slot has two lines instead of three.
        keymap: the keys in force.
    """
    tall = 3 if lines >= 14 else 2
    slot_width = max(8, (width - 2) // 3)
    by_key = {slot.key: slot._replace(key=keymap.label(f"slot.{slot.key}")) for slot in pad.slots}
    room_for_key = max((cell_len(slot.key) for slot in by_key.values()), default=1)
    rows: list[Row] = []
    for line_of_keys in ("789", "456", "123"):
        cells = [_slot(by_key.get(key), slot_width, pad.tray, room_for_key) for key in line_of_keys]
        rows += [joined([cell[line] for cell in cells], " ") for line in range(min(tall, 2))]
        if tall == 3:
            rows.append(())
    other = key_rows(keys, width)
    room = 2 if lines >= len(rows) + 2 + len(other) else 1
    note = f"{pad.note} {keymap.said(pad.ways)}".strip()
    below: tuple[Row, ...] = (((note, "warning"),),) if note else _pages(pad, keymap, width, room)
    # Always the same number of lines: the keys below must not jump when a note comes and goes.
    rows += [clip(row, width) for row in (*below, ())[:room]]
    return (*rows, *other)


@lru_cache(maxsize=512)
def key_rows(keys: tuple[tuple[str, str], ...], width: int) -> tuple[Row, ...]:
    """Keys and what they do, as many on a line as fit."""
    rows: list[Row] = []
    line: list[Row] = []
    taken = 0
    for key, label in keys:
        size = len(key) + 1 + len(label) + 2
        if line and taken + size - 2 > width:
            rows.append(joined(line))
            line, taken = [], 0
        line.append(((key, "key"), (f" {label}", "quiet")))
        taken += size
    return (*rows, joined(line)) if line else tuple(rows)


@lru_cache(maxsize=128)
def _slot(slot: SlotRow | None, width: int, tray: str, keys: int) -> tuple[Row, Row]:
    layout = (Column(keys), Column(1), Column(width - keys - 3))
    if slot is None or not slot.name:
        return columns(layout, [(slot.key if slot else "", "key-off"), "", ("–", "quiet")], width), columns(
            layout, ["", "", ""], width
        )
    room = width - keys - 3
    mark = swatch(slot.rgb, slot.shade) if tray != "bins" else (" ", "text")
    name, rest = _on_two_lines(slot.name, room)
    words = [each for each in (rest, slot.detail) if each]
    if tray == "kinds":
        figure = f"short {slot.wants:,}" if slot.wants else f"{slot.counted:,} here"
        if cell_len(", ".join([figure, *words])) <= room or not words:
            words.insert(1 if rest else 0, figure)
        elif width >= 20:
            # The figure's word goes before that which tells two greys or two plates apart.
            words.insert(1 if rest else 0, f"{slot.wants or slot.counted:,}")
    elif tray == "bins":
        words.append(plural(slot.counted, "piece"))
    style = "wanted" if slot.wants else "quiet"
    top = columns(layout, [(slot.key, "key"), (mark,), (name, "strong")], width)
    pin = (PINNED if slot.pinned else " ", "key")
    below = ", ".join(words)
    if cell_len(below) > room:
        return top, columns((Column(keys), Column(width - keys - 1)), [pin, (below, style)], width)
    return top, columns(layout, [pin, "", (below, style)], width)


def _on_two_lines(name: str, room: int) -> tuple[str, str]:
    """A name that is too long, parted between two words: its end is what tells it from its neighbours."""
    if cell_len(name) <= room or " " not in name:
        return name, ""
    words = name.split(" ")
    first = next((n for n in range(len(words) - 1, 1, -1) if cell_len(" ".join(words[:n])) <= room), 1)
    return " ".join(words[:first]), " ".join(words[first:])


def _pages(pad: PadView, keymap: Keymap, width: int, room: int) -> tuple[Row, ...]:
    """What the page keys turn to, on at most ``room`` lines."""
    if pad.tray == "shades":
        return (((f"tray of shades, page {pad.page + 1}; {keymap.label('shade')} turns it", "quiet"),),)
    pages = [keymap.label(f"page.{number}") for number in range(1, len(PAGE_KEYS) + 1)]
    here = pages[pad.page]
    filled = [(key, what) for key, what in zip(pages, pad.pages, strict=False) if what]
    if pad.tray == "bins":
        words: Row = ((keymap.said("a bin alone: shape and size not looked at; {coarse} swaps back"), "quiet"),)
        return (_chips(filled, here), words)[-room:] if filled else (words,)
    if not filled:
        return ((("nothing lies here yet: a kind counted once gets a slot", "quiet"),),)
    if row_width(_chips(filled, here)) <= width:
        return (_chips(filled, here),)
    first = next((n for n in range(len(filled), 0, -1) if row_width(_chips(filled[:n], here)) <= width), 1)
    if room > 1 and row_width(_chips(filled[first:], here)) <= width:
        return _chips(filled[:first], here), _chips(filled[first:], here)
    each = -(-len(filled) // room)
    cut = max(3, (width + 2) // each - 4)
    short = [(key, fit(what, cut)) for key, what in filled]
    return tuple(_chips(short[start : start + each], here) for start in range(0, len(short), each))


def _chips(pages: Sequence[tuple[str, str]], here: str) -> Row:
    return joined([((key, "key"), (f" {what}", "held" if key == here else "quiet")) for key, what in pages])
