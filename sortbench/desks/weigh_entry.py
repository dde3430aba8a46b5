"""What lies on the scale, as it is typed: ``plate 2x4 white !4 @B2``, and handfuls: ``30:44.6``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.desks.weigh_desk import Question
from sortbench.engine.entry import parse
from sortbench.model.errors import DataError
from sortbench.model.weighing import Handful, Load, checked_handful, checked_load

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.model.catalogue import Kind


def read_what(bench: Bench, text: str, load: Load) -> Question:
    """Pieces on the scale, in the words and marks of an entry line.

    Raises:
        DataError: a mark that cannot be meant or tells a quantity, or words that name no one kind.
    """
    entry = parse(text)
    if entry.hold or entry.add or entry.quantity is not None or not entry.words:
        raise DataError(f"{text[:60]!r} does not name pieces.", "Write it as in: plate 2x4 white !4 @B2")
    label = bench.bin_label(entry.bin)
    return Question(kind_named(bench, entry.words), load, (), None, None, entry.grade, entry.flaws, label)


def kind_named(bench: Bench, words: str) -> Kind:
    """The one kind that words mean.

    Raises:
        DataError: nothing is called so, or two kinds match alike.
    """
    rows = bench.search(words).rows
    if not rows:
        raise DataError(f"Nothing is called {words[:60]!r}.", "Name part and shade, as in: plate 2x4 white")
    if len(rows) > 1 and rows[0].tie:
        names = " or ".join(f"{row.name} ({row.kind.part}) in {row.kind.shade}" for row in rows[:2])
        raise DataError(f"Could be {names}.", "Type more of what tells them apart.")
    return rows[0].kind


def read_handful(text: str, tare_g: float = 0.0) -> Handful:
    """A handful: ``30:44.6`` or ``30:44.6:12.5``, pieces, then grams with the cup, then of the cup alone. Blanks do as
    well as colons.

    Args:
        tare_g: of the cup where the text does not tell it.

    Raises:
        DataError: it is not written so, or cannot be.
    """
    cells = text.replace(":", " ").split()
    if not 2 <= len(cells) <= 3 or not (cells[0].isascii() and cells[0].isdecimal()) or len(cells[0]) > 6:
        raise DataError(f"{text[:40]!r} is no handful.", "Write pieces and grams, as in 30:44.6 or 30:44.6:12.5.")
    grams = [read_grams(cell) for cell in cells[1:]]
    return checked_handful(Handful(int(cells[0]), grams[0], grams[1] if len(grams) > 1 else tare_g))


def read_load(text: str, tare_g: float = 0.0) -> Load:
    """A load: ``268.4`` or ``268.4:12.5``, grams with the cup, then of the cup alone.

    Raises:
        DataError: as :func:`read_handful`.
    """
    cells = text.replace(":", " ").split()
    if not 1 <= len(cells) <= 2:
        raise DataError(f"{text[:40]!r} is no load.", "Write grams, as in 268.4, or 268.4:12.5 with the cup's.")
    grams = [read_grams(cell) for cell in cells]
    return checked_load(Load(grams[0], grams[1] if len(grams) > 1 else tare_g))


def read_grams(text: str) -> float:
    """Grams as one types them; a comma does as well as a point.

    Raises:
        DataError: it is no number.
    """
    try:
        return float(text.strip().removesuffix("g").replace(",", "."))
    except ValueError:
        raise DataError(f"{text[:20]!r} is no number of grams.", "Write it as in 268.4.") from None
