"""Text from outside: made harmless once, where it enters."""

from __future__ import annotations

import unicodedata

from sortbench.model.errors import DataError

MAX_NAME = 200
"""Longest name kept, in characters: long enough for any description, short enough for any row."""

_BREAKS = str.maketrans({"\t": " ", "\r": " ", "\n": " "})
"""A quoted cell may hold line breaks (RFC 4180); in a name they are blanks."""

# Unicode categories with no business in a name: controls, surrogates, private use, unassigned, line/paragraph breaks.
_REFUSED = frozenset({"Cc", "Cs", "Co", "Cn", "Zl", "Zp"})
# Bidirectional controls (UAX #9) reorder what follows them on the screen, so a name could pose as another.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Other format characters do not show either, so two names could look alike and be two. Joiners belong to some scripts.
_JOINERS = frozenset("\u200c\u200d")


def _hidden(char: str) -> bool:
    category = unicodedata.category(char)
    return category in _REFUSED or char in _BIDI or (category == "Cf" and char not in _JOINERS)


def clean_name(text: str, what: str = "name") -> str:
    """A name in NFC (UAX #15), outer blanks dropped and inner runs of blanks, tabs and line breaks made one blank.

    Args:
        text: as it came from a file or a keyboard.
        what: what the text stands for, used in the error.

    Raises:
        DataError: empty, over MAX_NAME characters, or holding a control, bidirectional or other hidden character.
    """
    spaced = unicodedata.normalize("NFC", text).translate(_BREAKS)
    folded = " ".join(word for word in spaced.split(" ") if word)
    if not folded:
        raise DataError(f"The {what} is empty.")
    if len(folded) > MAX_NAME:
        raise DataError(f"The {what} has {len(folded)} characters; at most {MAX_NAME} are kept.", "Shorten it.")
    for position, char in enumerate(folded, 1):
        if _hidden(char):
            raise DataError(
                f"The {what} holds the character U+{ord(char):04X} at place {position}, which does not print.",
                "Remove it.",
            )
    return folded


def shown(text: str) -> str:
    """Any text made safe for a terminal line: what does not print becomes U+FFFD, nothing is interpreted."""
    if text.isascii() and text.isprintable():
        return text
    return "".join("\N{REPLACEMENT CHARACTER}" if _hidden(char) else char for char in text)
