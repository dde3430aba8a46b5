"""The welcome: what somebody may have. Made into rows, nothing worked out."""

from __future__ import annotations

from sortbench.tui.drawing.list_rows import wrapped
from sortbench.tui.widgets.rows import Row

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
