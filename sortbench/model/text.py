"""Text from outside: made harmless once, where it enters."""

from __future__ import annotations

import unicodedata

from sortbench.model.errors import DataError

MAX_NAME = 200
"""Longest name kept, in characters: long enough for any description, short enough for any row."""

# Unicode categories with no business in a name: controls, surrogates, private use, unassigned, line/paragraph breaks.
_REFUSED = frozenset({"Cc", "Cs", "Co", "Cn", "Zl", "Zp"})
# Bidirectional controls (UAX #9) reorder what follows them on the screen, so a name could pose as another.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean_name(text: str, what: str = "name") -> str:
    """A name in NFC (UAX #15), outer blanks dropped and inner runs of blanks made one.

    Args:
        text: as it came from a file or a keyboard.
        what: what the text stands for, used in the error.

    Raises:
        DataError: empty, over MAX_NAME characters, or holding a control or bidirectional character.
    """
    folded = " ".join(word for word in unicodedata.normalize("NFC", text).replace("\t", " ").split(" ") if word)
    if not folded:
        raise DataError(f"The {what} is empty.")
    if len(folded) > MAX_NAME:
        raise DataError(f"The {what} has {len(folded)} characters; at most {MAX_NAME} are kept.", "Shorten it.")
    for position, char in enumerate(folded, 1):
        if char in _BIDI or unicodedata.category(char) in _REFUSED:
            raise DataError(
                f"The {what} holds the character U+{ord(char):04X} at place {position}, which does not print.",
                "Remove it.",
            )
    return folded


def shown(text: str) -> str:
    """Any text made safe for a terminal line: what does not print becomes U+FFFD, nothing is interpreted."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        "\N{REPLACEMENT CHARACTER}" if c in _BIDI or unicodedata.category(c) in _REFUSED else c for c in text
    )
