"""An index from words to the things whose names hold them: by word start, by abbreviation, by small typo.

How well a thing answers is its *fit*, one integer so that fits add up and compare in one step; smaller is better.
From the highest digit down it counts the words found by typo, those found by abbreviation, sizes typed only in part,
sides (part, shade) not named in full, and last the *misfit*, small differences of spelling.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from sortbench.engine.entering.words import tokens

FUZZY = 1 << 28
ABBREVIATED = 1 << 22
LOOSE = 1 << 16
INEXACT = 1 << 12
"""What one word, or one side, adds to a fit. Below INEXACT lies the misfit."""

MISFIT = INEXACT - 1
"""Mask of the misfit."""

_STARTED = 1
_MAX_WORD_MISFIT = 250
_SHORT = 5  # longer words are typed as word starts, not with letters left out
_TWO_TYPOS_FROM = 8
_CACHED_WORDS = 1024
_VOWELS = frozenset("aeiouy")

TYPO_FROM = 4
"""Letters of the shortest word that may hold a typo, a dropped letter included; a shorter one would mean anything."""

Fits = Mapping[int, int]
"""Fit by thing."""


class TokenIndex:
    """Things, numbered by the caller, and the words of their names."""

    def __init__(self) -> None:
        self.lengths: dict[int, tuple[int, int]] = {}
        """Words and characters of the first name of each thing."""
        self._words: dict[int, tuple[str, ...]] = {}
        self._names: dict[int, tuple[tuple[str, ...], ...]] = {}
        self._postings: dict[str, set[int]] = {}
        self._vocabulary: list[str] = []
        self._by_order: dict[tuple[str, ...], set[int]] = defaultdict(set)
        self._by_words: dict[tuple[str, ...], set[int]] = defaultdict(set)
        self._squeezed: list[tuple[str, str]] = []
        self._turned: dict[tuple[str, ...], set[str]] = defaultdict(set)
        self._cache: dict[tuple[str, bool], Fits] = {}
        self._starts: dict[int, dict[str, list[str]]] = {}

    def build(self, things: Iterable[tuple[int, Sequence[str]]]) -> None:
        """Add many things at once: number and names of each, the first name being the one shown."""
        new: list[str] = []
        for thing, names in things:
            new += self._enter(thing, names)
        if new:
            self._vocabulary = sorted(self._postings)
            self._squeezed.sort()
        self._forget()

    def add(self, thing: int, names: Sequence[str]) -> None:
        """Add one thing, or give one other names."""
        self.remove(thing)
        for word in self._enter(thing, names):
            insort(self._vocabulary, word)
        self._squeezed.sort()
        self._forget()

    def remove(self, thing: int) -> None:
        """Take a thing out; nothing happens if it is not in."""
        for word in self._words.pop(thing, ()):
            self._postings[word].discard(thing)
        for name in self._names.pop(thing, ()):
            self._by_order[name].discard(thing)
            self._by_words[tuple(sorted(name))].discard(thing)
        self.lengths.pop(thing, None)
        self._forget()

    def match(self, token: str, typos: bool) -> Fits:
        """Every thing with a word that the token can stand for, and how well that fits."""
        key = token, typos
        found = self._cache.get(key)
        if found is None:
            if len(self._cache) >= _CACHED_WORDS:
                self._cache.clear()
            found = self._cache[key] = self._match(token, typos)
        return found

    def named(self, words: tuple[str, ...]) -> Fits:
        """Things of which these are all the words of a name: 0 in the name's order, INEXACT in another."""
        found = dict.fromkeys(self._by_words.get(tuple(sorted(words)), ()), INEXACT)
        return found | dict.fromkeys(self._by_order.get(words, ()), 0)

    def crowded(self, thing: int, starts: Counter[str]) -> bool:
        """Whether the thing has fewer words with some first letter than the tokens that claim one."""
        return any(sum(word[0] == letter for word in self._words[thing]) < n for letter, n in starts.items())

    def _enter(self, thing: int, names: Sequence[str]) -> list[str]:
        cut = [tokens(name) for name in names]
        different = tuple({name: None for name in cut if name})
        words = tuple({word: None for name in different for word in name})
        self._words[thing] = words
        self._names[thing] = different
        self.lengths[thing] = len(cut[0]), len(names[0])
        new = []
        for word in words:
            posting = self._postings.get(word)
            if posting is None:
                posting = self._postings[word] = set()
                new.append(word)
                self._enter_size(word)
            posting.add(thing)
        for name in different:
            self._by_order[name].add(thing)
            self._by_words[tuple(sorted(name))].add(thing)
        return new

    def _enter_size(self, word: str) -> None:
        if "x" in word and word[0].isdigit():
            self._squeezed.append((word.replace("x", ""), word))
            self._turned[tuple(sorted(word.split("x")))].add(word)

    def _forget(self) -> None:
        self._cache.clear()
        self._starts.clear()

    def _match(self, token: str, typos: bool) -> Fits:
        fits: dict[str, int] = {}
        self._started(token, fits)
        if token[0].isdigit():
            self._sizes(token, fits)
        else:
            self._abbreviated(token, fits)
            if typos and len(token) >= TYPO_FROM - 1:
                self._misspelt(token, fits)
        things: dict[int, int] = {}
        for word in sorted(fits, key=fits.__getitem__):
            fit = fits[word]
            for thing in self._postings[word]:
                things.setdefault(thing, fit)
        return things

    def _range(self, start: str) -> list[str]:
        first = bisect_left(self._vocabulary, start)
        return self._vocabulary[first : bisect_left(self._vocabulary, start + "\U0010ffff", first)]

    def _started(self, token: str, fits: dict[str, int]) -> None:
        fit = _STARTED + (LOOSE if token[0].isdigit() else 0)
        for word in self._range(token):
            fits[word] = 0 if word == token else fit

    def _sizes(self, token: str, fits: dict[str, int]) -> None:
        """Sizes without their crosses (24), turned (4x2), or by one of their numbers (4)."""
        if token.isdecimal():
            first = bisect_left(self._squeezed, (token, ""))
            for digits, word in self._squeezed[first:]:
                if not digits.startswith(token):
                    break
                _better(fits, word, _STARTED if digits == token else ABBREVIATED + LOOSE)
            for numbers, words in self._turned.items():
                if token in numbers:
                    for word in words:
                        _better(fits, word, ABBREVIATED + LOOSE + 1)
        else:
            for word in self._turned.get(tuple(sorted(token.split("x"))), ()):
                _better(fits, word, ABBREVIATED)

    def _abbreviated(self, token: str, fits: dict[str, int]) -> None:
        if not 2 <= len(token) <= _SHORT:
            return
        for word in self._range(token[0]):
            if word not in fits and (gaps := _gaps(token, word)):
                fits[word] = ABBREVIATED + gaps

    def _misspelt(self, token: str, fits: dict[str, int]) -> None:
        # Imported late: most words are typed right, and the first screen does not wait for it.
        from rapidfuzz.distance import OSA
        from rapidfuzz.process import extract

        most = 2 if len(token) >= _TWO_TYPOS_FROM else 1
        for word, edits, _ in extract(
            token, self._vocabulary, scorer=OSA.distance, processor=None, score_cutoff=most, limit=None
        ):
            if len(word) >= TYPO_FROM:
                _better(fits, word, FUZZY + 4 * int(edits))
        if len(token) < TYPO_FROM:
            return
        for length in range(max(TYPO_FROM - 1, len(token) - 1), len(token) + 2):
            starts = self._word_starts(length)
            for start, edits, _ in extract(
                token, starts, scorer=OSA.distance, processor=None, score_cutoff=most, limit=None
            ):
                for word in self._starts[length][start]:
                    _better(fits, word, FUZZY + 4 * int(edits) + 2)

    def _word_starts(self, length: int) -> list[str]:
        """The starts of this length of all longer words."""
        starts = self._starts.get(length)
        if starts is None:
            starts = defaultdict(list)
            for word in self._vocabulary:
                if len(word) > length and not word[0].isdigit():
                    starts[word[:length]].append(word)
            self._starts[length] = starts
        return list(starts)


def _better(fits: dict[str, int], word: str, fit: int) -> None:
    if fit < fits.get(word, fit + 1):
        fits[word] = fit


def _gaps(token: str, word: str) -> int:
    """What is left out when the token's letters are read along the word: consonants count double; 0 if they are not."""
    gaps, at = 1, 1
    for letter in token[1:]:
        found = word.find(letter, at)
        if found < 0:
            return 0
        gaps += sum(1 if skipped in _VOWELS else 2 for skipped in word[at:found])
        at = found + 1
    return min(gaps, _MAX_WORD_MISFIT)
