"""Bytes of a file into text: which encoding they are in, found out without guessing twice."""

from __future__ import annotations

from sortbench.model.errors import DataError

_SAVE = "Save it again as CSV in UTF-8."
_PATTERN_BYTES = 4096

# First bytes of files that are opened by mistake for text; the last column of each is what a person calls it.
_NOT_TEXT = (
    (b"PK\x03\x04", "a packed archive or a spreadsheet workbook"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an old spreadsheet workbook"),
    (b"%PDF-", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"SQLite format 3\0", "a database"),
)


def decode(data: bytes, name: str) -> tuple[str, str]:
    """Text and the name of its encoding.

    UTF-8 with or without a byte order mark, UTF-16 with a mark or by the NUL bytes that every second place of plain
    text has in it (Unicode Standard, section 3.10), else Windows-1252, whose five unassigned bytes are refused.

    Args:
        data: the content of the file.
        name: what the errors call it.

    Raises:
        DataError: not text in one of these encodings, or a NUL character in it.
    """
    for start, what in _NOT_TEXT:
        if data.startswith(start):
            raise DataError(f"{name} is {what}, not delimited text.", "Export the sheet as CSV and bring that in.")
    text, encoding = _decoded(data, name)
    if "\0" in text:
        raise DataError(f"{name} holds a NUL at character {text.index(chr(0)) + 1}: it is damaged or no text.", _SAVE)
    # Files put together from several parts may carry more than one mark in front.
    return text.lstrip("\ufeff"), encoding


def _decoded(data: bytes, name: str) -> tuple[str, str]:
    if data.startswith((b"\xff\xfe\0\0", b"\0\0\xfe\xff")):
        raise DataError(f"{name} is in UTF-32, which is not read.", _SAVE)
    if data.startswith(b"\xef\xbb\xbf"):
        return _strictly(data, 3, "utf-8", name), "utf-8 with mark"
    if data.startswith(b"\xff\xfe"):
        return _strictly(data, 2, "utf-16-le", name), "utf-16-le"
    if data.startswith(b"\xfe\xff"):
        return _strictly(data, 2, "utf-16-be", name), "utf-16-be"
    wide = _wide_by_pattern(data)
    if wide:
        return _strictly(data, 0, wide, name), wide
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError as error:
        if _mostly_utf8(data):
            raise DataError(_bad_byte(name, "utf-8", data, error.start), _SAVE) from None
    return _strictly(data, 0, "windows-1252", name), "windows-1252"


def _strictly(data: bytes, skip: int, encoding: str, name: str) -> str:
    try:
        return data[skip:].decode(encoding)
    except UnicodeDecodeError as error:
        raise DataError(_bad_byte(name, encoding, data, skip + error.start), _SAVE) from None


def _bad_byte(name: str, encoding: str, data: bytes, offset: int) -> str:
    return (
        f"{name} is not text in {encoding.upper()}: byte 0x{data[offset]:02X} at offset {offset} has no meaning there."
    )


def _wide_by_pattern(data: bytes) -> str:
    """UTF-16 without a mark: in text of a European language most characters have a NUL half."""
    sample = data[:_PATTERN_BYTES]
    pairs = len(sample) // 2
    if pairs < 2:
        return ""
    high_first, low_first = sample[0 : 2 * pairs : 2].count(0), sample[1 : 2 * pairs : 2].count(0)
    if low_first * 10 >= pairs * 4 and not high_first:
        return "utf-16-le"
    if high_first * 10 >= pairs * 4 and not low_first:
        return "utf-16-be"
    return ""


def _mostly_utf8(data: bytes) -> bool:
    """Whether more characters outside ASCII read well as UTF-8 than do not: a damaged file, not another encoding."""
    text = data.decode("utf-8", errors="replace")
    bad = text.count("\N{REPLACEMENT CHARACTER}")
    return sum(char > "\x7f" for char in text) - bad > bad
