"""A list that is brought in: what to name, and what a file that was named holds. Made into rows, nothing worked out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.model.text import shown
from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.drawing.words import plural
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.desks.intake import FileIntake, IntakePreview

_MOST = 5
"""Most rows told of one by one of what is bad, what is new and what changes."""
_LONGEST = 40
"""Most of a cell's text that is told."""
_ABOUT = {
    "bins": (
        "A table of bins: the label; shades, shape families, parts, grades and flaws that belong in it; how many "
        "pieces or grams it holds; its place.",
        "The order of the rows is the order in which rules are tried. Bins that the file does not name stay, behind "
        "those it names.",
    ),
    "sellers": (
        "A table of sellers: name, currency, shipping of a parcel; steps of shipping by weight, least order, trust and "
        "a note if wanted.",
        "A column that the file does not have leaves what the bench holds; an empty cell empties it.",
    ),
    "offers": (
        "A table of offers: seller, part, shade, price of one piece, pieces in stock; grade and flaws if wanted. "
        "Sellers must be known already, parts and shades be in the catalogue.",
        "The offers of a seller whom the file names take the place of all that the bench had from that seller.",
    ),
}
_ANY_FILE = "CSV or TSV of any make. Its columns are shown first; nothing is written before a yes."


def about_row(what: str) -> Row:
    """What is brought in."""
    return ((f"{what} from a file", "title"),)


def how_rows(what: str, width: int) -> tuple[Row, ...]:
    """What the file should hold, in the program's own words."""
    rows: list[Row] = [()]
    for words in (*_ABOUT[what], _ANY_FILE):
        rows += wrapped(words, "quiet", width, 4)
        rows.append(())
    return tuple(rows)


def file_rows(seen: IntakePreview, width: int) -> tuple[Row, ...]:
    """What a file holds as it was understood, and what would be put on the bench."""
    rows: list[Row] = []
    for file in seen.files:
        rows += _columns(file)
    plan = seen.plan
    rows += _targets(seen) if seen.what == "targets" else _changes(seen, width)
    if seen.same:
        held = "of it" if not seen.errors else "of the good rows"
        rows.append(((f"The bench holds all {held} already." if plan.unchanged else "No row can be taken.", "text"),))
    for note in plan.notes:
        rows += wrapped(note, "quiet", width, 2)
    for error in seen.errors[:_MOST]:
        value = f'"{shown(error.value[:_LONGEST])}"' if error.value else ""
        what = "  ".join(filter(None, (error.column, value, error.reason)))
        rows += wrapped(f"line {error.line} is left out: {what}", "warning", width, 2)
    if len(seen.errors) > _MOST:
        rows.append(((f"and {plural(len(seen.errors) - _MOST, 'more')}", "warning"),))
    return tuple(rows)


def _targets(seen: IntakePreview) -> list[Row]:
    """Each target with its size, and what comes into the catalogue."""
    plan = seen.plan
    rows: list[Row] = []
    for target in plan.targets:
        pieces = sum(line.quantity for line in target.lines)
        told = f"{target.code} {target.name}: {plural(len(target.lines), 'line')}, {plural(pieces, 'piece')}"
        rows.append(((told, "strong"),))
    news = [plural(len(plan.created_parts), "new part"), plural(len(plan.created_shades), "new shade")]
    return [*rows, ((" · ".join(news), "text"),)]


def _changes(seen: IntakePreview, width: int) -> list[Row]:
    """What would be other than it is."""
    plan = seen.plan
    rows: list[Row] = [((f"{seen.what}: {seen.counts_words}", "strong"),)]
    for title, keys in (("new", plan.new), ("taken off the list", plan.removed)):
        if keys:
            more = f"; and {len(keys) - _MOST:,} more" if len(keys) > _MOST else ""
            rows += wrapped(f"{title}: {'; '.join(keys[:_MOST])}{more}", "text", width, 2)
    for change in plan.changed[:_MOST]:
        fields = "; ".join(f"{each.field} {each.old or '–'} → {each.new or '–'}" for each in change.fields)
        rows += wrapped(f"{change.key}: {fields}", "text", width, 2)
    if len(plan.changed) > _MOST:
        rows.append(((f"and {len(plan.changed) - _MOST:,} more change", "text"),))
    return rows


def _columns(file: FileIntake) -> list[Row]:
    """Each field and the column it was found in; what was guessed and what stays unused."""
    rows: list[Row] = [((f"{file.path.name}, {plural(len(file.table.rows), 'row')}", "title"),)]
    for guess in file.match.guesses:
        if guess.index >= 0:
            why = f"  {guess.why}" if guess.sure < 100 else ""
            rows.append(((f"  {guess.field.name:<12}", "quiet"), (guess.header, "text"), (why, "warning")))
    if file.match.unused:
        rows.append((("  not used    ", "quiet"), (", ".join(file.match.unused), "quiet")))
    return [*rows, ()]
