"""Keys on the keypad that lead to a slot: what is pending, what is held, and what a further key then means.

=============  =====================================================================================
``5``          the slot on the first page of the pad shown
``d 5``        the slot on another page; the first page is shown again afterwards
``0 5``        a shade from the tray, for one piece (``0 0 5``: from its second page)
``0 5 0``      that shade is held until another is
``0 .``        no shade held: the pad that mixes shades
Escape         lets go of whatever is pending
=============  =====================================================================================

A shade named for one piece works alike whether or not one is held, as a shade named on the entry line does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sortbench.engine.entering.keypad import PAGES, PER_PAGE, SLOTS
from sortbench.engine.entering.shade_tray import TRAY_KEY, ShadeTray

LET_GO = "."
CANCEL = "escape"


@dataclass(frozen=True, slots=True)
class Hand:
    """Where the hand is between two keys.

    Attributes:
        held: the shade held, empty for none.
        once: the shade named for one piece, empty for none.
        page: the page of the next slot key, 0 for the first.
        tray: pages of the shade tray turned up, 0 while it is closed.
    """

    held: str = ""
    once: str = ""
    page: int = 0
    tray: int = 0

    @property
    def shade(self) -> str:
        """The shade of the pad shown; empty for the pad of no shade held."""
        return self.once or self.held

    @property
    def pending(self) -> bool:
        """Whether a key has been pressed that waits for another."""
        return bool(self.once or self.page or self.tray)

    @property
    def settled(self) -> Hand:
        """Nothing pending: as after a count."""
        return Hand(self.held)


@dataclass(frozen=True, slots=True)
class Step:
    """What a key led to.

    Attributes:
        hand: where the hand is now.
        ours: False for a key that means nothing here (same again, grade, undo …); pending keys are then let go.
        index: the slot reached, ``page * 9 + slot``; None unless one was.
        shade: the shade of the pad that slot is on; empty for the pad of no shade held.
        empty: a slot of the tray was pressed on which no shade lies; the tray stays open.
    """

    hand: Hand
    ours: bool = True
    index: int | None = None
    shade: str = ""
    empty: bool = False


def press(hand: Hand, key: str, tray: ShadeTray) -> Step:
    """Take one key.

    Args:
        hand: where the hand is.
        key: one character, or ``escape``.
        tray: the shade tray as it lies.
    """
    if key == CANCEL:
        return Step(hand.settled, ours=hand.pending)
    if hand.tray:
        return _in_tray(hand, key, tray)
    if key == TRAY_KEY:
        return Step(Hand(hand.once)) if hand.once and not hand.page else Step(replace(hand, tray=1, page=0))
    if key in PAGES and len(key) == 1:
        return Step(replace(hand, page=PAGES.index(key)))
    if key in SLOTS and len(key) == 1:
        return Step(hand.settled, index=hand.page * PER_PAGE + SLOTS.index(key), shade=hand.shade)
    return Step(hand.settled, ours=False)


def _in_tray(hand: Hand, key: str, tray: ShadeTray) -> Step:
    if key == TRAY_KEY:
        return Step(replace(hand, tray=hand.tray % tray.pages + 1))
    if key == LET_GO:
        return Step(Hand())
    if key in SLOTS and len(key) == 1:
        shade = tray.page(hand.tray - 1)[SLOTS.index(key)]
        return Step(Hand(hand.held, once=shade)) if shade else Step(hand, empty=True)
    return Step(hand.settled, ours=False)
