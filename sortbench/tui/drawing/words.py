"""Small words and marks that several panels share."""

from __future__ import annotations

from sortbench.model.grade import Flaws, Grade
from sortbench.model.tally import Condition
from sortbench.tui.widgets.rows import Row, Span


def swatch(rgb: str, shade: str) -> Span:
    """A speck of the shade itself with the first letter of its name; the bare letter where its value is not known."""
    letter = shade[:1].lower() or " "
    return (letter, f"#{rgb}") if rgb else (letter, "quiet")


def condition(grade: Grade | None, flaws: Flaws) -> str:
    """Grade and flaws in few cells: ``5``, ``3 cracked``, ``not judged``."""
    words = [grade.label if grade else "not judged", *(flaw.value for flaw in flaws)]
    return " ".join(words)


def judged(grade: Grade | None, flaws: Flaws, became: Condition | None) -> str:
    """A condition, and what pieces that were judged anew became: ``3 residue → 5``."""
    before = condition(grade, flaws)
    return before if became is None else f"{before} → {condition(*became)}"


def plural(count: int, one: str, many: str = "") -> str:
    """``1 piece``, ``1,240 pieces``."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def duration(seconds: float) -> str:
    """A time span as one would say it: ``40 s``, ``25 min``, ``3 h 10 min``."""
    minutes = round(seconds / 60)
    if minutes < 1:
        return f"{round(seconds)} s"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02} min" if hours < 10 else f"{round(minutes / 60)} h"


def joined(parts: list[Row], gap: str = "  ") -> Row:
    """Rows one after the other on one line."""
    spans: list[Span] = []
    for part in parts:
        if part:
            spans += [(gap, "text"), *part] if spans else [*part]
    return tuple(spans)
