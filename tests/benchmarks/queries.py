"""A made-up catalogue of any size, and queries as hasty people type them; both seeded.

The catalogue joins trade words for shapes, sizes, modifiers and printed motifs with plain colour words. It is made up
so that no real catalogue is needed; it is meant to be harder than a real one, for many names differ in one word only.

A query is made from the name of one kind (part name, then shade name). Every word of the name stays, changed like this,
each choice independent:

- a size is written in one of six ways, equally often: ``2x4``, ``2×4``, ``2 x 4``, ``2X4``, ``2-4``, ``24``;
- a word of letters longer than two is cut with probability 0.5 to its first 2, 3 or 4 letters (equally often, never the
  whole word). In *careful* queries a cut keeps at least as many letters as tell the word from every other word of the
  catalogue, if need be the whole word; in *hasty* ones it does not, so that some cannot be told apart by anybody;
- in hasty queries only, a word of five letters and more that was not cut loses its vowels but a first one with
  probability 0.15, and all but the first four letters of what is left (``plate`` becomes ``plt``);
- with probability 0.4 one of the uncut words of four letters and more gets one typo: two neighbouring letters swapped,
  one dropped, one doubled or one replaced, equally often;
- with probability 0.5 the words are shuffled (a size stays one word);
- words are joined by blanks, or with probability 0.1 a size follows the word before it without one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from random import Random
from string import ascii_lowercase

from rapidfuzz.distance import OSA

from sortbench.model.catalogue import Catalogue, Kind, Part, Shade


def _split(words: str) -> list[str]:
    return words.split()


_SHAPES = _split(
    "arch awning axle bar baseplate beam block bracket brick bucket clamp column cone corbel crank cylinder "
    "dish dome door fence flag funnel gate gear girder grating grille gutter hatch hinge hook hose ladder lamp "
    "lattice lever mesh nozzle panel pillar pin pipe plate plank pole pulley rail ramp ring roller roof rosette "
    "shaft shutter sill slope spindle staircase strut tile trough tube turntable valve wall wedge wheel winch "
    "window wing"
)
_MODIFIERS = _split(
    "bevelled bowed closed coned crossed curved divided double facetted fluted forked grooved hollow inverted "
    "jointed latched left level long low mitred narrow notched offset open perforated pierced plain raised "
    "recessed reinforced ribbed ridged right rimmed rounded sealed short single slotted sloping smooth solid "
    "splayed split spring stacked stepped studded tall tapered thick thin toothed twisted vaulted wide"
)
_MOTIFS = _split(
    "anvil apple barometer basket bell bicycle bird book bread butterfly candle carrot cat clock clover "
    "comb cup daisy envelope fern fish flame flower fox gauge hare hexagon honeycomb horse hourglass key "
    "kettle ladle lantern leaf lily magnet map moon mushroom needle number oak owl padlock pear pennant radish "
    "rose scale scissors shell snail spade spiral star sun swan thermometer thistle tulip turnip umbrella "
    "violin wasp wave wheat wrench"
)
_SIZES = [f"{a}x{b}" for a in (1, 2, 3, 4, 6, 8) for b in (1, 2, 3, 4, 6, 8, 10, 12, 16) if b >= a]
_SIZES += [f"{a}x{b}x{c}" for a in (1, 2) for b in (1, 2, 4, 6) for c in (1, 2, 3, 5) if b >= a]
_COLOURS = _split(
    "amber azure beige black blue bronze brown copper coral cream crimson emerald gold green grey indigo ivory "
    "lemon lilac maroon mauve mint mustard olive orange pink plum purple red rust salmon scarlet silver tan "
    "teal turquoise violet white yellow"
)
_PERIODS = ["", "early", "late", "pale", "deep", "clear"]


def catalogue(parts: int, shades: int, seed: int) -> Catalogue:
    """Parts and shades in the numbers asked for (at most 6,000 and 200 or so), in a random order."""
    random = Random(seed)
    names = {f"{shape} {size}" for shape, size in product(_SHAPES, _SIZES) if random.random() < 0.2}
    while len(names) < parts:
        shape, size = random.choice(_SHAPES), random.choice(_SIZES)
        form = random.random()
        if form < 0.55:
            names.add(f"{shape} {size} {random.choice(_MODIFIERS)}")
        elif form < 0.8:
            first, second = sorted(random.sample(_MODIFIERS, 2))
            names.add(f"{shape} {size} {first} {second}")
        else:
            names.add(f"{shape} {size} printed {random.choice(_MOTIFS)}")
    chosen = random.sample(sorted(names), parts)
    tints = [f"{colour}, {period}".rstrip(", ") for colour, period in product(_COLOURS, _PERIODS)]
    return Catalogue(
        {code: Part(code, name, name.split()[0]) for name in chosen if (code := name.replace(" ", "-"))},
        {name: Shade(name) for name in random.sample(tints, shades)},
    )


def name_words(catalogue: Catalogue, kind: Kind) -> list[str]:
    """The words of a kind's name."""
    return [*catalogue.parts[kind.part].name.split(), *kind.shade.replace(",", "").split()]


@dataclass(frozen=True)
class Query:
    """A query and what it was made from.

    Attributes:
        text: as typed.
        kind: what is wanted.
        words: for each word of the wanted name, in its order, what became of it and the word itself.
    """

    text: str
    kind: Kind
    words: tuple[tuple[str, str], ...]

    def means_as_well(self, words: list[str]) -> bool:
        """Whether another name answers the query as well as the wanted one, to anybody who sees both.

        It does if it has as many words, and they can be put beside the typed ones so that each equals what was typed,
        starts with it, holds its letters in order after the same first one, or is as few edits away, just as the wanted
        word does. Sizes must be the same.
        """
        return len(words) == len(self.words) and _pair_up(list(self.words), words)


def _pair_up(typed: list[tuple[str, str]], words: list[str]) -> bool:
    if not typed:
        return True
    (given, wanted), rest = typed[0], typed[1:]
    return any(
        _as_good(given, wanted, word) and _pair_up(rest, words[:place] + words[place + 1 :])
        for place, word in enumerate(words)
    )


def _as_good(given: str, wanted: str, word: str) -> bool:
    if word == wanted:
        return True
    if given == wanted or given[0].isdigit():
        return False
    if wanted.startswith(given):
        return word.startswith(given)
    if _left_out(given, wanted):
        return _left_out(given, word)
    return bool(OSA.distance(given, word) <= OSA.distance(given, wanted))


def _left_out(given: str, word: str) -> bool:
    """Whether only letters after the first were left out, and more than the one that a typo may drop."""
    letters = iter(word)
    return word[0] == given[0] and len(word) > len(given) + 1 and all(letter in letters for letter in given)


def queries(catalogue: Catalogue, count: int, seed: int, careful: bool) -> Iterator[Query]:
    """Queries for kinds drawn evenly from the whole catalogue; see the module's text."""
    random = Random(seed)
    parts, shades = list(catalogue.parts), list(catalogue.shades)
    needed = _letters_needed(catalogue) if careful else {}
    for _ in range(count):
        kind = Kind(random.choice(parts), random.choice(shades))
        wanted = name_words(catalogue, kind)
        given = [_cut(word, needed.get(word, 0), random) for word in wanted]
        if not careful:
            given = [
                _squeeze(word, random) if word == whole else word for word, whole in zip(given, wanted, strict=True)
            ]
        whole = [i for i, word in enumerate(given) if word == wanted[i] and len(word) >= 4 and word.isalpha()]
        if whole and random.random() < 0.4:
            place = random.choice(whole)
            given[place] = _mistype(given[place], random)
        order = list(range(len(given)))
        if random.random() < 0.5:
            random.shuffle(order)
        text = ""
        for i in order:
            glued = given[i][0].isdigit() and random.random() < 0.1
            text += ("" if glued else " ") + (_write_size(given[i], random) if given[i][0].isdigit() else given[i])
        yield Query(text.strip(), kind, tuple(zip(given, wanted, strict=True)))


def _letters_needed(catalogue: Catalogue) -> dict[str, int]:
    """For each word, the length of its shortest start that no other word has; its own length if there is none."""
    texts = [part.name for part in catalogue.parts.values()] + list(catalogue.shades)
    words = sorted({word for text in texts for word in text.replace(",", "").split() if word.isalpha()})
    needed = {}
    for place, word in enumerate(words):
        neighbours = words[max(0, place - 1) : place] + words[place + 1 : place + 2]
        shared = max((_shared_start(word, other) for other in neighbours), default=0)
        needed[word] = min(len(word), shared + 1)
    return needed


def _shared_start(one: str, other: str) -> int:
    return next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))


def _cut(word: str, needed: int, random: Random) -> str:
    if not word.isalpha() or len(word) <= 2 or random.random() >= 0.5:
        return word
    return word[: max(needed, random.choice([n for n in (2, 3, 4) if n < len(word)]))]


def _squeeze(word: str, random: Random) -> str:
    if len(word) < 5 or not word.isalpha() or random.random() >= 0.15:
        return word
    return (word[0] + "".join(letter for letter in word[1:] if letter not in "aeiou"))[:4]


def _mistype(word: str, random: Random) -> str:
    place = random.randrange(len(word) - 1)
    match random.choice(("swap", "drop", "double", "replace")):
        case "swap":
            return word[:place] + word[place + 1] + word[place] + word[place + 2 :]
        case "drop":
            return word[:place] + word[place + 1 :]
        case "double":
            return word[:place] + word[place] + word[place:]
        case _:
            return word[:place] + random.choice(ascii_lowercase) + word[place + 1 :]


def _write_size(size: str, random: Random) -> str:
    cross = random.choice(("x", "×", " x ", "X", "-", ""))
    return size.replace("x", cross)
