"""The welcome: what somebody may have, and what a file that was named holds. Made into rows, nothing worked out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.drawing.words import plural
from sortbench.tui.widgets.rows import Row

if TYPE_CHECKING:
    from sortbench.desks.intake import FileIntake, IntakePreview

_ABOUT = "What do you have of the first set?"
_WAYS: tuple[tuple[str, str, str], ...] = (
    (
        "{welcome.file}",
        "its list, as a file",
        "CSV or TSV of any make, one row for each part, shade and quantity. What it names is put on the bench.",
    ),
    (
        "{welcome.manual}",
        "its manual",
        "Page through it and type what you see; that becomes the list. Then count the pile against it.",
    ),
    (
        "{welcome.nothing}",
        "nothing but the pile",
        "Count it as it comes. Parts are learnt as you type them; lists can come later.",
    ),
    ("{welcome.demo}", "just looking", "The demo: a filled bench in a folder of its own. This one stays as it is."),
)
_MOST_ERRORS = 5


def about_rows() -> tuple[Row, ...]:
    """What is asked."""
    return (((_ABOUT, "title"),),)


def way_rows(width: int) -> tuple[Row, ...]:
    """The ways to begin, in the program's own words; ids in braces stand for keys."""
    rows: list[Row] = []
    for key, what, how in _WAYS:
        rows += [(), ((f"  {key}", "key"), (f"  {what}", "strong"))]
        rows += [((f"     {line[0][0]}", "quiet"),) for line in wrapped(how, "quiet", max(width - 6, 1), 3)]
    return tuple(rows)


def file_rows(seen: IntakePreview, width: int) -> tuple[Row, ...]:
    """What a file holds as it was understood, and what would be put on the bench."""
    rows: list[Row] = []
    for file in seen.files:
        rows += _columns(file)
    plan = seen.plan
    for target in plan.targets:
        pieces = sum(line.quantity for line in target.lines)
        told = f"{target.code} {target.name}: {plural(len(target.lines), 'line')}, {plural(pieces, 'piece')}"
        rows.append(((told, "strong"),))
    news = [plural(len(plan.created_parts), "new part"), plural(len(plan.created_shades), "new shade")]
    rows.append(((" · ".join(news), "text"),))
    if seen.same:
        rows.append((("The bench holds all of it already.", "text"),))
    for note in plan.notes:
        rows += wrapped(note, "quiet", width, 2)
    for error in seen.errors[:_MOST_ERRORS]:
        rows += wrapped(f"line {error.line} is left out: {error.column} {error.reason}", "warning", width, 2)
    if len(seen.errors) > _MOST_ERRORS:
        rows.append(((f"and {plural(len(seen.errors) - _MOST_ERRORS, 'more')}", "warning"),))
    return tuple(rows)


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
