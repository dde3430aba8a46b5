"""A bin from one line: its label, what belongs in it, how much it holds."""

from __future__ import annotations

import difflib
import re

from sortbench.engine.entering.words import tokens
from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import FAMILIES, Catalogue
from sortbench.model.errors import DataError
from sortbench.model.grade import Flaw, Grade
from sortbench.model.text import clean_name, shown

_HOLDS = re.compile(r"\*(\d{1,8})(g?)")
_LONGEST_NAME = 4
"""Words of the longest shade's name that is looked for."""
_EXAMPLE = "As in B7 white plate *60: label, shades and shape families, pieces it holds."


def bin_from_words(text: str, catalogue: Catalogue) -> Bin:
    """The bin that a line describes, as in ``B7 white plate *60``.

    The first word is the label. Then, in any order: names of shades and of shape families; ``*60`` for pieces it holds,
    ``*500g`` for grams; ``!4`` for grade 4 and better, ``#crack`` for a flaw, ``#any`` for whatever flaw. A label alone
    makes the bin that takes everything else.

    Raises:
        DataError: no label, or a word that is none of these; says which.
    """
    label, *words = text.split() or [""]
    if not label or label[0] in "*!#@":
        raise DataError("A bin needs a label first.", _EXAMPLE)
    families = {*FAMILIES, *(part.family for part in catalogue.parts.values())}
    shades = {tuple(tokens(name)): name for name in catalogue.shades}
    found: list[str] = []
    kept_families: list[str] = []
    flaws: list[str] = []
    lowest: Grade | None = None
    holds: int | None = None
    grams: float | None = None
    while words:
        word = words[0]
        if word[0] == "*":
            match = _HOLDS.fullmatch(word)
            if match is None:
                raise DataError(f"{shown(word[:24])} is no capacity.", "Write *60 for pieces, *500g for grams.")
            holds, grams = (holds, float(match[1])) if match[2] else (int(match[1]), grams)
        elif word[0] == "!":
            lowest = Grade.from_label(word[1:])
        elif word[0] == "#":
            flaws.append("any" if word[1:].casefold() == "any" else Flaw.from_text(word[1:]).value)
        elif name := _shade_at(words, shades):
            found.append(name)
            del words[: _length(words, shades)]
            continue
        elif word.casefold().rstrip(",") in families:
            kept_families.append(word.casefold().rstrip(","))
        else:
            raise DataError(
                f"No shade or shape family is called {shown(word[:24])!r}.", _near(word, catalogue, families)
            )
        del words[0]
    rule = Rule(
        tuple(dict.fromkeys(found)), tuple(dict.fromkeys(kept_families)), (), lowest, None, tuple(dict.fromkeys(flaws))
    )
    return Bin(clean_name(label, "bin label"), rule, holds, grams)


def _length(words: list[str], shades: dict[tuple[str, ...], str]) -> int:
    """Words at the beginning that name a shade in full, as many as can be; 0 if none do."""
    most = min(_LONGEST_NAME, len(words))
    return next((n for n in range(most, 0, -1) if tuple(tokens(" ".join(words[:n]))) in shades), 0)


def _shade_at(words: list[str], shades: dict[tuple[str, ...], str]) -> str:
    count = _length(words, shades)
    return shades[tuple(tokens(" ".join(words[:count])))] if count else ""


def _near(word: str, catalogue: Catalogue, families: set[str]) -> str:
    near = difflib.get_close_matches(word.casefold(), [*catalogue.shades, *families], n=1)
    return f"Did you mean {near[0]!r}?" if near else _EXAMPLE
