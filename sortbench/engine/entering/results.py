"""What an entry line finds as typed so far, and what would be done with it."""

from __future__ import annotations

from collections.abc import Callable

from sortbench.engine.board import Held, Results
from sortbench.engine.entering.new_part import part_from_words
from sortbench.engine.entry import Entry, parse
from sortbench.engine.labelling.scanned import scanned
from sortbench.engine.lookup import Lookup
from sortbench.engine.picture import Picture
from sortbench.model.errors import DataError


def results_for(
    text: str, picture: Picture, lookup: Lookup, held: Held, in_hand: str, bin_label: Callable[[str], str], limit: int
) -> Results:
    """Results for a line. Never raises: what is wrong is part of the answer.

    Args:
        in_hand: the last tally in words, empty if nothing is counted yet.
        bin_label: the label of a bin as typed; raises DataError for one that is not there.
        limit: most rows.
    """
    if not text.strip():
        return Results(enter=f"counts the same again: {in_hand}" if in_hand else "")
    if selected := scanned(text, picture):
        words = f"holds bin {selected.bin}" if selected.bin else f"says what crate {selected.target} lacks"
        return Results(enter=words)
    try:
        entry = parse(text)
        if held.target:
            refuse_marks_on_a_list(entry)
        label = bin_label(entry.bin)
        if entry.hold:
            return _holding(entry, lookup)
        if entry.add:
            shade, part = part_from_words(entry.words, picture.catalogue, held.shade, lookup.shades)
            if part.code in picture.catalogue.parts:
                return Results(enter=f"counts it in {shade}; {part.code} is in the catalogue already")
            return Results(enter=f"adds the part {part.code} ({part.family}) and counts it in {shade}")
    except DataError as error:
        return Results(wrong=error)
    if not entry.words:
        if not in_hand:
            return Results(
                wrong=DataError("Nothing has been counted yet, so there is no 'same again'.", "Type what the piece is.")
            )
        return Results(enter=f"counts {entry.quantity or 1} more: {in_hand}")
    hits = lookup.search(entry.words, shade=held.shade, limit=limit)
    grade = entry.grade or held.grade
    rows = tuple(picture.result_row(hit.kind, grade, entry.flaws, label or held.bin, bool(hit.tie)) for hit in hits)
    if not rows:
        return Results(
            wrong=DataError(
                f"Nothing is called {entry.words[:60]!r}.", "Fewer letters, or + in front adds it as a part."
            )
        )
    note = "the first two match alike: look before you count" if rows[0].tie and len(rows) > 1 else ""
    return Results(rows, note=note)


def refuse_marks_on_a_list(entry: Entry) -> None:
    """Refuse a grade, flaw or bin said of a line of a list; what is only held does no harm.

    Raises:
        DataError: one was said.
    """
    if not entry.hold and (entry.grade or entry.flaws or entry.bin):
        raise DataError("A line of a list has no grade and no bin.", "Leave the mark out.")


def _holding(entry: Entry, lookup: Lookup) -> Results:
    if not (entry.words or entry.grade or entry.bin):
        return Results(enter="lets everything go that is held")
    words = []
    if entry.words:
        shades = lookup.shades(entry.words, limit=3)
        if not shades:
            return Results(wrong=DataError(f"No shade is called {entry.words[:60]!r}.", "Type the start of its name."))
        others = f" (next: {'; '.join(shades[1:])})" if len(shades) > 1 else ""
        words.append(shades[0] + others)
    if entry.grade:
        words.append(f"grade {entry.grade.label}")
    if entry.bin:
        words.append(f"bin {entry.bin}")
    return Results(enter="holds " + "; ".join(words))
