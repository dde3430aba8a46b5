"""A part that the catalogue does not hold, made from the words of an entry line."""

from __future__ import annotations

from collections.abc import Callable

from sortbench.engine.entering.naming import guess_family, part_index, spell_code
from sortbench.engine.entering.words import tokens
from sortbench.model.catalogue import Catalogue, Part
from sortbench.model.errors import DataError
from sortbench.model.text import clean_name, shown

_MOST_WORDS = 4
"""Words that a shade's name has at most."""


def part_from_words(
    words: str, catalogue: Catalogue, held_shade: str, shades: Callable[[str], list[str]]
) -> tuple[str, Part]:
    """The shade and the part that the words of a line name.

    The line may end in a shade's own words (``trough 2x4 grey early``) or else begin with them (``red trough 2x4``);
    where it does neither the held shade is meant. The family is the first shape family among the words. A part that
    goes by those words already is taken as it is.

    Args:
        shades: names of the shades that words may mean, likeliest first.

    Raises:
        DataError: no words, or no shade named or held.
    """
    all_words = words.split()
    shade, rest = held_shade, all_words
    longest = min(_MOST_WORDS, len(all_words) - 1)
    ends = [(all_words[-count:], all_words[:-count]) for count in range(longest, 0, -1)]
    starts = [(all_words[:count], all_words[count:]) for count in range(longest, 0, -1)]
    for said, others in (*ends, *starts):
        exact = [name for name in catalogue.shades if tokens(name) == tokens(" ".join(said))]
        if exact:
            shade, rest = exact[0], others
            break
    if not rest:
        raise DataError("A new part needs a name.", "Write + and the words for its shape, as in +trough 2x4.")
    if not shade and not catalogue.shades:
        raise DataError(
            "No shade is known yet.",
            "`sortbench add shade red` makes one, `sortbench import shades` many; in line mode, the word begin makes "
            "eleven plain ones.",
            "{targets}, {targets.add} and {welcome.nothing} begin with eleven plain ones; in a shell, "
            "`sortbench add shade red` makes one, `sortbench import shades` many.",
        )
    if not shade:
        guesses = shades(all_words[-1])
        hint = f" {guesses[0]}" if guesses else " red"
        raise DataError(
            "In which shade is it?",
            f"Hold one first, or name it at the end of the line, as in +{shown(' '.join(rest))}{hint}.",
        )
    name = clean_name(" ".join(rest), "part name")
    known = part_index(catalogue.parts).find(name)
    if known:
        return shade, catalogue.parts[known]
    return shade, Part(code=clean_name(spell_code(name), "part code"), name=name, family=guess_family(name))
