"""Names that mean the same: however a list spells a part or a shade, it is found again."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import lru_cache
from operator import itemgetter

from sortbench.model.catalogue import FAMILIES, Part, Shade
from sortbench.model.errors import DataError

LEAST_NEAR = 65
"""Names less alike than this, in percent, are not proposed for one another."""

_SIZE = re.compile(r"(?<=\d) ?[x×] ?(?=\d)")
_BETWEEN = re.compile(r"[\s,_()-]+")
_LETTERS = re.compile(r"[^\W\d_]+")


@lru_cache(maxsize=1 << 16)
def name_key(text: str) -> str:
    """What two spellings of one name have in common.

    Letter case, the blanks, hyphens, underscores, commas and round brackets between words, compatibility forms (NFKC)
    and the way a size is written (``2×4``, ``2 x 4``) make no difference.
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())
    return _SIZE.sub("x", _BETWEEN.sub(" ", folded).strip())


def spell_code(text: str) -> str:
    """A code for a part known by this text: the text itself if it is one word, else its words joined by hyphens."""
    return text if " " not in text else name_key(text).replace(" ", "-")


def family_word(word: str) -> str:
    """The shape family a word names, in the singular; the word itself, in lower case, where none is known by it."""
    plain = word.casefold()
    for form in (plain, plain.removesuffix("s"), plain.removesuffix("es")):
        if form in FAMILIES:
            return form
    return plain


def guess_family(*texts: str) -> str:
    """The first shape family named in the texts, ``other`` where none is."""
    for text in texts:
        for word in _LETTERS.findall(name_key(text)):
            if (family := family_word(word)) in FAMILIES:
                return family
    return "other"


class NameIndex:
    """Finds the key of a thing by any name it has: the key itself first, then its spellings, then names and aliases."""

    def __init__(self, what: str, entries: Iterable[tuple[str, Iterable[str]]] = ()) -> None:
        """
        Args:
            what: what the things are, used in errors (``part``).
            entries: each thing's key and its other names.
        """
        self._what = what
        self._exact: set[str] = set()
        self._spelled: dict[str, set[str]] = defaultdict(set)
        self._named: dict[str, set[str]] = defaultdict(set)
        for key, names in entries:
            self.add(key, names)

    def add(self, key: str, names: Iterable[str] = ()) -> None:
        """Make a thing known."""
        self._exact.add(key)
        self._spelled[name_key(key)].add(key)
        for name in names:
            self._named[name_key(name)].add(key)

    def by_key(self, text: str) -> str | None:
        """The key that is this text or another spelling of it; names and aliases are not asked.

        Raises:
            DataError: several keys are spelled so.
        """
        return text if text in self._exact else self._only(text, self._spelled)

    def find(self, text: str) -> str | None:
        """The key of the thing that goes by this text, None if none does.

        Raises:
            DataError: several do, and none by its key.
        """
        return self.by_key(text) or self._only(text, self._named)

    def _only(self, text: str, index: Mapping[str, set[str]]) -> str | None:
        found = index.get(name_key(text), set())
        if len(found) > 1:
            raise DataError(
                f"This could be any of the {self._what}s {', '.join(sorted(found)[:4])}.",
                "Write the one that is meant.",
            )
        return next(iter(found), None)


def nearest_name(text: str, known: Mapping[str, Iterable[str]]) -> str:
    """The key of what is called most nearly so, by its key or another name of it; empty where nothing is near.

    Args:
        text: a name that nothing goes by.
        known: each key with its other names.
    """
    from rapidfuzz import fuzz

    wanted = name_key(text)

    def alike(name: str) -> float:
        # Spelled alike in all and alike in part: a word of a long name counts, a few letters of it do not.
        return (fuzz.ratio(wanted, name) + fuzz.WRatio(wanted, name)) / 2

    names = ((name_key(name), key) for key, others in known.items() for name in (key, *others))
    best, nearest = max(((alike(name), key) for name, key in names), key=itemgetter(0), default=(0.0, ""))
    return nearest if best >= LEAST_NEAR else ""


def part_index(parts: Mapping[str, Part]) -> NameIndex:
    """Parts by code, name and alias."""
    return NameIndex("part", ((code, (part.name, *part.aliases)) for code, part in parts.items()))


def shade_index(shades: Mapping[str, Shade]) -> NameIndex:
    """Shades by name and alias."""
    return NameIndex("shade", ((name, shade.aliases) for name, shade in shades.items()))
