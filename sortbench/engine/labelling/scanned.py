"""What a scanner types from a label, and what that means on the entry line.

A hand-held scanner is a keyboard: it types what the code says, then Enter. The code says ``@`` and the label, so that
a scanner, a person and a line of a file all say it alike. A bin's label wins over a target's code that is the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from sortbench.model.errors import DataError

if TYPE_CHECKING:
    from sortbench.engine.picture import Picture

MARK = "@"
"""A line that begins with this and holds nothing but a label selects what bears the label."""
_FIRST = 3
"""Lines that are told of what a crate lacks."""


def code_text(label: str) -> str:
    """What a label's code says."""
    return MARK + label


class Scanned(NamedTuple):
    """What a line selects: one of both is empty."""

    bin: str = ""
    target: str = ""


def scanned(text: str, picture: Picture) -> Scanned | None:
    """What a line selects that holds a label and nothing else; None if it is another line."""
    if label := scanned_label(text, (each.label for each in picture.bins)):
        return Scanned(bin=label)
    if code := scanned_label(text, (each.code for each in picture.targets)):
        return Scanned(target=code)
    return None


def scanned_label(text: str, labels: Iterable[str]) -> str:
    """The label that a line names and says nothing else; empty if the line is another one.

    Labels may hold blanks and marks, so the whole line is held against them, in any case of the letters.
    """
    line = text.strip()
    if not line.startswith(MARK):
        return ""
    typed = " ".join(line.removeprefix(MARK).split()).casefold()
    return next((label for label in labels if label.casefold() == typed), "")


def crate_words(picture: Picture, code: str) -> str:
    """How far the target of a crate is, and what it lacks first.

    Raises:
        DataError: no such target.
    """
    row = next((row for row in picture.target_rows(at_once=True) if row.code == code), None)
    if row is None:
        raise DataError(f"No target has the code {code!r}.", "`sortbench targets` lists them.")
    words = f"crate {code}, {row.name}: {row.standard:,} of {row.need:,} to standard"
    if row.short:
        missing = [each for each in picture.line_rows(code) if each.short]
        first = "; ".join(f"{each.short:,} × {each.name} {each.kind.shade}" for each in missing[:_FIRST])
        more = f"; and {len(missing) - _FIRST} more lines" if len(missing) > _FIRST else ""
        return f"{words}, {row.short:,} missing: {first}{more}"
    return f"{words}, nothing missing"
