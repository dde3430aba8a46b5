"""Text cut into the words that look-up compares: one spelling for each word, one for each size."""

from __future__ import annotations

import re
import unicodedata

MAX_TEXT = 400
"""Characters of a text that are looked at: twice the longest name kept, so that no input takes long."""

_NUMBER = r"\d++(?:[./]\d++)?"
# The cross between two numbers, in any spelling.
_CROSS = re.compile(r"(?<=\d)\s*+(?:x|by)\s*+(?=\d)")
# A cross whose second number is still to be typed.
_OPEN_CROSS = re.compile(r"(?<=\d)\s++x(?!\w)")
# Two or three short numbers joined by hyphens and nothing else. Close to a letter only a single digit begins a size, as
# in pl2-4: the 45 of slope45-2x2 does not.
_HYPHENS = re.compile(r"(?:(?<![\w./])(?<!\d-)(\d{1,2})|(?<=[^\W\d_])(\d))-(\d{1,2})(?:-(\d{1,2}))?(?!\w|-\d)")
_WORD = re.compile(rf"{_NUMBER}(?:x{_NUMBER})*+(?:x(?![^\W\d_]))?|[^\W\d_]++")
_MIXED_NUMBER = re.compile("(?<=\\d)(?=[\N{VULGAR FRACTION ONE QUARTER}-\N{VULGAR FRACTION THREE QUARTERS}⅐-⅞])")
_ONE_SPELLING = str.maketrans(
    dict.fromkeys("×✕✖⨯╳", "x")
    | dict.fromkeys("‐‑‒–—−", "-")  # hyphens and dashes
    | {"\N{FRACTION SLASH}": "/", "'": None, "’": None}
)


def fold(text: str) -> str:
    """Text in one letter case and one spelling of compatible characters (NFKC, UAX #15), without accents."""
    if text.isascii():
        return text.lower().replace("'", "")
    text = _MIXED_NUMBER.sub(" ", text)
    bare = (c for c in unicodedata.normalize("NFKD", text.casefold()) if unicodedata.category(c) != "Mn")
    return unicodedata.normalize("NFKC", "".join(bare)).casefold().translate(_ONE_SPELLING)


def sizes(text: str) -> str:
    """Folded text in which each size has one spelling: ``2×4``, ``2 x 4``, ``2X4``, ``2 by 4``, ``2-4`` are ``2x4``."""
    text = _OPEN_CROSS.sub("x", _CROSS.sub("x", fold(text[:MAX_TEXT])))
    if "-" not in text:
        return text
    return _HYPHENS.sub(lambda found: "x".join(filter(None, found.groups())), text)


def tokens(text: str) -> tuple[str, ...]:
    """The words of a text, in order: runs of letters, numbers and sizes; all else parts them.

    ``slope45-2×2-inv`` gives ``slope``, ``45``, ``2x2``, ``inv``. Only the first MAX_TEXT characters count.
    """
    return tuple(_WORD.findall(sizes(text)))


def spelling(text: str) -> str:
    """A whole text in folded spelling with single blanks: equal for two texts typed alike, marks included."""
    return " ".join(fold(text[:MAX_TEXT]).split())
