"""The square code of a label (QR code, ISO/IEC 18004), as rows of dark and light modules."""

from __future__ import annotations

from sortbench.model.errors import DataError, UsageError

QUIET = 4
"""Light modules that the standard wants around the code, on each side (ISO/IEC 18004:2015, 6.3.8)."""

Modules = tuple[tuple[bool, ...], ...]
"""A code's modules, row by row from above: True is dark. Without the light edge around it."""


def square_of(text: str) -> Modules:
    """The code that says a text.

    Level M of error correction at least (about 15 % may be covered), more where that costs no space.

    Raises:
        DataError: the text is too long for any code.
        UsageError: the library is not installed.
    """
    try:
        import segno
    except ImportError as error:
        raise UsageError(
            "The codes on labels are made by the package segno, which is not installed.",
            "Install it: pip install 'sortbench[labels]' (or pip install segno).",
        ) from error

    try:
        # Letters beyond ASCII as UTF-8: of Latin-1, readers believe that it is Japanese.
        code = segno.make_qr(text, error="m", encoding="utf-8")
    except segno.DataOverflowError as error:
        raise DataError(f"A label of {len(text)} characters is too long for a code.", "Shorten it.") from error
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)
