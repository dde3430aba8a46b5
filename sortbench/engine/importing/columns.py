"""Which column holds which field: found by header, each guess with how sure it is and why."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from sortbench.engine.importing.fields import Field
from sortbench.model.errors import UsageError
from sortbench.model.text import shown

LEAST_ALIKE = 84
"""Spellings less alike than this, in percent, are not taken for one another."""

_LEAST_FUZZY_LENGTH = 4
_LEAST_SHORT_LENGTH = 3
"""Fewest letters of a header with a full stop behind it that is taken for the beginning of a longer word."""
_WORDS = re.compile(r"[^\W_]+")


@dataclass(frozen=True, slots=True)
class Guess:
    """Where one field stands.

    Attributes:
        field: the field.
        header: the header it was found under, empty where it was not found.
        index: the column's place from 0, -1 where it was not found.
        sure: how sure that is, in percent.
        why: in words.
    """

    field: Field
    header: str = ""
    index: int = -1
    sure: int = 0
    why: str = ""


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """All fields and where they stand.

    Attributes:
        guesses: one a field, in the order of the fields.
        headers: as they stand in the file.
    """

    guesses: tuple[Guess, ...]
    headers: tuple[str, ...]

    def index(self, field: str) -> int:
        """The column of a field from 0, -1 where it has none."""
        return next((guess.index for guess in self.guesses if guess.field.name == field), -1)

    @property
    def unused(self) -> tuple[str, ...]:
        """Headers that no field was found under."""
        used = {guess.index for guess in self.guesses}
        return tuple(header for index, header in enumerate(self.headers) if index not in used)

    @property
    def missing(self) -> tuple[Field, ...]:
        """Required fields without a column."""
        return tuple(guess.field for guess in self.guesses if guess.field.required and guess.index < 0)

    @property
    def remember(self) -> dict[str, str]:
        """Field to header, as `match_columns` takes it back; an empty header says that the field has no column."""
        return {g.field.name: g.header for g in self.guesses if g.index >= 0 or g.why == _LEFT_OUT}


_LEFT_OUT = "left out as told"


def signature(what: str, headers: Iterable[str]) -> str:
    """A short key for a set of headers in whatever order, under which its match is remembered."""
    text = "\x1f".join(sorted(unicodedata.normalize("NFC", header) for header in headers))
    return f"{what}-{hashlib.sha256(text.encode('utf-8', 'surrogatepass')).hexdigest()[:16]}"


def match_columns(
    headers: Sequence[str], fields: Sequence[Field], remembered: Mapping[str, str], fixed: Mapping[str, str]
) -> ColumnMatch:
    """Find the column of each field; no column serves two fields.

    What is fixed comes first, then what is remembered, then the best likenesses of headers with the fields' names,
    labels and synonyms, the surest first.

    Args:
        headers: all different.
        fields: what is looked for.
        remembered: field to header from an earlier import; headers that are gone are passed over.
        fixed: field to header as the user says; an empty header leaves the field out.

    Raises:
        UsageError: a fixed field or header does not exist, or one header is fixed twice.
    """
    found: dict[str, Guess] = {}
    by_name = {field.name: field for field in fields}
    used: set[int] = set()

    def take(field: Field, index: int, sure: int, why: str) -> None:
        found[field.name] = Guess(field, headers[index] if index >= 0 else "", index, sure, why)
        used.update({index} - {-1})

    for name, header in fixed.items():
        if name not in by_name:
            raise UsageError(f"There is no field {shown(name)!r}.", _nearest(name, list(by_name), "The fields are"))
        index = _header_index(header, headers) if header else -1
        if index in used:
            raise UsageError(f"The column {shown(header)!r} is named for two fields.", "One column serves one field.")
        take(by_name[name], index, 100, "fixed" if header else _LEFT_OUT)
    for name, header in remembered.items():
        if name in by_name and name not in found and (header in headers or not header):
            index = headers.index(header) if header else -1
            if index not in used:
                take(by_name[name], index, 100, "as last time" if header else _LEFT_OUT)
    for hit in _likenesses(headers, [f for f in fields if f.name not in found], used):
        if hit.field.name not in found and hit.column not in used:
            take(hit.field, hit.column, hit.sure, hit.why)
    for field in fields:
        loan = found.get(field.instead)
        if field.name not in found and loan and loan.index >= 0 and loan.why != "fixed":
            found[field.name] = replace(loan, field=field, why=f"no column of its own; the {loan.field.label} serves")
            found[field.instead] = Guess(loan.field)
    return ColumnMatch(tuple(found.get(field.name, Guess(field)) for field in fields), tuple(headers))


def _plain(text: str) -> str:
    """Words of a header in lower case, accents and marks dropped."""
    folded = unicodedata.normalize("NFKD", text).casefold()
    bare = "".join(char for char in folded if not unicodedata.combining(char))
    return " ".join(_WORDS.findall(bare))


class _Hit(NamedTuple):
    """A header that could be a field."""

    sure: int
    field: Field
    column: int
    why: str
    # Among hits equally sure the earlier word for a field counts for more: the first synonyms are the plainest.
    place: int = 0


def _likenesses(headers: Sequence[str], fields: Sequence[Field], used: set[int]) -> list[_Hit]:
    """Every header that could be a field, the surest first; among equals the first field, then the first column."""
    order = {field.name: place for place, field in enumerate(fields)}
    plain = [(index, _plain(header)) for index, header in enumerate(headers) if index not in used]
    cut_short = {
        index for index, text in plain if len(text) >= _LEAST_SHORT_LENGTH and headers[index].rstrip()[-1] == "."
    }
    hits: list[_Hit] = []
    for field in fields:
        names = {_plain(field.name), _plain(field.label)}
        synonyms = {_plain(synonym): (place, synonym) for place, synonym in reversed(list(enumerate(field.synonyms)))}
        for index, text in plain:
            longer = _first_longer(text, synonyms) if index in cut_short else None
            if text in names:
                hits.append(_Hit(100, field, index, "same name"))
            elif longer:  # surer than the word itself: "Art." is an article, "Art" may be a family
                hits.append(_Hit(97, field, index, f"short for {longer[1]}", longer[0]))
            elif text in synonyms:
                place, synonym = synonyms[text]
                hits.append(_Hit(95, field, index, f"another word for it: {synonym}", place))
    settled = {hit.column for hit in hits}
    unsettled = [(index, text) for index, text in plain if index not in settled and text]
    if unsettled:
        for field in fields:
            hits += _fuzzy(field, unsettled)
    return sorted(hits, key=lambda hit: (-hit.sure, hit.place, order[hit.field.name], hit.column))


def _first_longer(text: str, synonyms: Mapping[str, tuple[int, str]]) -> tuple[int, str] | None:
    """The first synonym of one word, with its place, that a word cut short may stand for; None if there is none."""
    longer = (said for word, said in synonyms.items() if word.startswith(text) and word != text and " " not in word)
    return min(longer, default=None)


def _fuzzy(field: Field, headers: Iterable[tuple[int, str]]) -> list[_Hit]:
    """Headers spelled nearly like the field or one of its words, or holding one of them as a whole word."""
    from rapidfuzz import fuzz

    words = {_plain(word): word for word in (*reversed(field.synonyms), field.label, field.name)}
    hits = []
    for index, text in headers:
        alike, word = max((max(fuzz.ratio(text, w), fuzz.token_sort_ratio(text, w)), w) for w in words)
        if alike >= LEAST_ALIKE and min(len(text), len(word)) >= _LEAST_FUZZY_LENGTH:
            # Never as sure as a word that is known: even the same words in another order stay below.
            hits.append(_Hit(min(90, round(alike) - 8), field, index, f"spelled like {words[word]}"))
            continue
        held = [w for w in words if len(w) >= _LEAST_FUZZY_LENGTH and f" {w} " in f" {text} "]
        if held:
            longest = max(held, key=len)
            # The more of the header the word is, the surer: 40 % for a stray word up to 70 %.
            hits.append(_Hit(round(40 + 30 * len(longest) / len(text)), field, index, f"holds {words[longest]}"))
    return hits


def _header_index(wanted: str, headers: Sequence[str]) -> int:
    if wanted in headers:
        return headers.index(wanted)
    alike = [index for index, header in enumerate(headers) if _plain(header) == _plain(wanted)]
    if len(alike) == 1:
        return alike[0]
    raise UsageError(f"There is no column {shown(wanted)!r}.", _nearest(wanted, headers, "The columns are"))


def _nearest(wanted: str, known: Sequence[str], lead: str) -> str:
    from rapidfuzz import fuzz, process

    best = process.extractOne(_plain(wanted), [_plain(name) for name in known], scorer=fuzz.ratio, score_cutoff=50)
    hint = f"Did you mean {shown(known[best[2]])!r}? " if best else ""
    return f"{hint}{lead} {', '.join(shown(name) for name in known)}."
