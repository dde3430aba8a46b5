"""What to do with an overflowing bin: which pieces should get a bin of their own."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from sortbench.model.bins import Bin, Rule
from sortbench.model.catalogue import Catalogue
from sortbench.model.grade import Grade
from sortbench.model.tally import Cell

HEADROOM = 0.9
"""A split that leaves both bins at most this full comes first: the next handful shall not overflow one again."""
MOST_VALUES = 4
"""Most shades, families or parts that one proposal names: a rule with more is not kept in the head."""


@dataclass(frozen=True, slots=True)
class SplitProposal:
    """A bin of its own for some of what lies in an overflowing bin.

    Attributes:
        bin: label of the overflowing bin; the new bin's rule goes right before its rule.
        label: a label not taken yet, for the new bin.
        rule: the new bin's rule; it matches the pieces to carry and nothing else that lies in the bin.
        pieces: pieces to carry.
        total: pieces in the overflowing bin now.
        grams: mass of what is to be carried as far as known.
        fits: whether both bins come within the capacity of the overflowing one.
        words: the proposal in plain words.
    """

    bin: str
    label: str
    rule: Rule
    pieces: int
    total: int
    grams: float
    fits: bool
    words: str


@dataclass(frozen=True, slots=True)
class _Load:
    """Pieces and known grams."""

    pieces: int = 0
    grams: float = 0.0

    def __add__(self, other: _Load) -> _Load:
        return _Load(self.pieces + other.pieces, self.grams + other.grams)

    def __sub__(self, other: _Load) -> _Load:
        return _Load(self.pieces - other.pieces, self.grams - other.grams)

    def share(self, of: Bin) -> float:
        """How full it makes a bin; the fuller of pieces and grams."""
        by_pieces = self.pieces / of.capacity if of.capacity else 0.0
        # Grams are sums of rounded masses: a bin is not over by a rounding error.
        by_grams = self.grams / (of.capacity_g * (1 + 1e-9)) if of.capacity_g else 0.0
        return max(by_pieces, by_grams)


@dataclass(frozen=True, slots=True)
class _Candidate:
    rule: Rule
    words: str
    load: _Load
    conditions: int
    """Values the rule adds: fewer are easier to remember."""
    several: bool = False
    """Whether it names several things, which get a bin of *their* own."""


def propose_split(
    bin: Bin, content: Mapping[Cell, int], catalogue: Catalogue, labels: Collection[str] = ()
) -> SplitProposal | None:
    """Which shade, family, part, grades or pair of these should get a bin of its own.

    The new bin is taken to hold as much as the old one. Proposals that leave both at most HEADROOM full come first,
    then those that leave both within capacity, then the least overfull; among the first two the fewest pieces to carry
    decide, then the simplest rule. Pieces that lie in the bin against its rule are not proposed, for the rule of the
    new bin is the old one made narrower. Pieces of unknown mass count as no grams.

    Args:
        bin: the bin with its rule and capacities.
        content: pieces by heap, as they lie in it.
        catalogue: families and masses of parts.
        labels: labels taken already.

    Returns:
        None where the bin does not overflow or what lies in it cannot be told apart by any rule.
    """
    cells = [(cell, n) for cell, n in content.items() if n > 0]
    loads = {cell: _Load(n, n * ((catalogue.mass_g(cell.part) if cell.part else None) or 0.0)) for cell, n in cells}
    total = sum(loads.values(), _Load())
    if total.share(bin) <= 1:
        return None
    own = {cell: load for cell, load in loads.items() if _matches(bin.rule, cell, catalogue)}
    candidates = [c for c in _candidates(bin, own, total, catalogue) if 0 < c.load.pieces < total.pieces]
    if not candidates:
        return None

    def rank(candidate: _Candidate) -> tuple[float, ...]:
        fuller = max(candidate.load.share(bin), (total - candidate.load).share(bin))
        tier = 0 if fuller <= HEADROOM else 1 if fuller <= 1 else 2
        return tier, fuller if tier == 2 else 0.0, candidate.load.pieces, candidate.conditions

    best = min(candidates, key=lambda c: (rank(c), c.words))
    fits = rank(best)[0] < 2
    return SplitProposal(
        bin=bin.label,
        label=_new_label(bin.label, labels),
        rule=best.rule,
        pieces=best.load.pieces,
        total=total.pieces,
        grams=best.load.grams,
        fits=fits,
        words=_words(best, total, bin, fits),
    )


def _family(cell: Cell, catalogue: Catalogue) -> str:
    return catalogue.family(cell.part) if cell.part else cell.family


def _matches(rule: Rule, cell: Cell, catalogue: Catalogue) -> bool:
    return rule.matches(cell.part, _family(cell, catalogue), cell.shade, cell.grade, cell.flaws)


def _candidates(bin: Bin, own: Mapping[Cell, _Load], total: _Load, catalogue: Catalogue) -> list[_Candidate]:
    """Every rule worth weighing, each with what it takes along; one pass over the content."""
    shades: dict[str, _Load] = {}
    families: dict[str, _Load] = {}
    parts: dict[str, _Load] = {}
    pairs: dict[tuple[str, str, str], _Load] = {}
    grades: dict[Grade, _Load] = {}
    for cell, load in own.items():
        family = _family(cell, catalogue)
        for key, sums in ((cell.shade, shades), (family, families), (cell.part, parts)):
            if key:
                sums[key] = sums.get(key, _Load()) + load
        for pair in ((cell.shade, family, ""), (cell.shade, "", cell.part)):
            if cell.shade and (pair[1] or pair[2]):
                pairs[pair] = pairs.get(pair, _Load()) + load
        if cell.grade is not None:
            grades[cell.grade] = grades.get(cell.grade, _Load()) + load
    rule = bin.rule
    found = _unions(shades, lambda names: rule._replace(shades=names), "pieces in {}", str, bin, total)
    found += _unions(families, lambda names: rule._replace(families=names), "{}", _quoted, bin, total)
    part_name = catalogue.part_name
    found += _unions(
        parts, lambda names: rule._replace(parts=names), "{}", lambda part: _quoted(part_name(part)), bin, total
    )
    for (shade, family, part), load in pairs.items():
        name = _quoted(family or part_name(part))
        narrowed = rule._replace(shades=(shade,), families=(family,)) if family else _one_part(rule, shade, part)
        found.append(_Candidate(narrowed, f"{name} in {shade}", load, 2))
    return found + _grade_candidates(rule, grades)


def _one_part(rule: Rule, shade: str, part: str) -> Rule:
    return rule._replace(shades=(shade,), parts=(part,))


def _unions(
    sums: Mapping[str, _Load],
    narrowed: Callable[[tuple[str, ...]], Rule],
    phrase: str,
    named: Callable[[str], str],
    bin: Bin,
    total: _Load,
) -> list[_Candidate]:
    """Each value alone, and the fullest few together for a bin in which no single value weighs enough."""
    found = [_Candidate(narrowed((key,)), phrase.format(named(key)), load, 1) for key, load in sums.items()]
    by_size = sorted(sums, key=lambda key: (-sums[key].share(bin), key))
    for count in range(2, min(MOST_VALUES, len(by_size) - 1) + 1):
        keys = tuple(by_size[:count])
        words = " and ".join([", ".join(named(key) for key in keys[:-1]), named(keys[-1])])
        load = sum((sums[key] for key in keys), _Load())
        found.append(_Candidate(narrowed(keys), phrase.format(words), load, count, several=True))
    return found


def _grade_candidates(rule: Rule, grades: Mapping[Grade, _Load]) -> list[_Candidate]:
    found = []
    steps = sorted(grades)
    for cut in steps[:-1]:
        worse = sum((load for grade, load in grades.items() if grade <= cut), _Load())
        found.append(_Candidate(rule._replace(highest=cut), f"grade {cut.label} and worse", worse, 1))
    for cut in steps[1:]:
        better = sum((load for grade, load in grades.items() if grade >= cut), _Load())
        found.append(_Candidate(rule._replace(lowest=cut), f"grade {cut.label} and better", better, 1))
    return found


def _words(best: _Candidate, total: _Load, bin: Bin, fits: bool) -> str:
    words = f"Give {best.words} a bin of {'their' if best.several else 'its'} own"
    words += f": {best.load.pieces} of {total.pieces} pieces to carry"
    if fits:
        return words + "."
    rest = total - best.load
    fuller, place = (rest, bin.label) if rest.share(bin) >= best.load.share(bin) else (best.load, "the new bin")
    return (
        f"{words}. {place[:1].upper()}{place[1:]} would still be {fuller.share(bin):.0%} full: split again after that."
    )


def _quoted(name: str) -> str:
    return f'"{name}"'


def _new_label(label: str, taken: Iterable[str]) -> str:
    """The next number after the highest in use with the same letters; compared without regard to case."""
    used = {other.casefold() for other in (*taken, label)}
    match = re.fullmatch(r"(.*?)(\d+)", label)
    stem, width = (match[1], len(match[2])) if match else (f"{label}-", 1)
    number = 1
    for other in used:
        numbered = re.fullmatch(re.escape(stem.casefold()) + r"(\d{1,9})", other)
        if numbered:
            number = max(number, int(numbered[1]) + 1)
    if not match and number == 1:
        number = 2
    return f"{stem}{number:0{width}d}"
