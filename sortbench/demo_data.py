"""Where the demo's files lie, and the pile that the demo counts."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from sortbench.model.errors import BenchError, DataError
from sortbench.model.grade import Flaw, Flaws, Grade, flaws_of
from sortbench.model.text import clean_name

PILE = "pile.csv"
LISTS: Mapping[str, str] = MappingProxyType(
    {
        "parts": "parts.csv",
        "shades": "shades.csv",
        "stand-ins": "stand_ins.csv",
        "targets": "targets.csv",
        "bins": "bins.csv",
        "sellers": "sellers.csv",
        "offers": "offers.csv",
    }
)
"""What is imported, in this order, for each list names what the ones before brought; and the file of each."""

FILES = (*LISTS.values(), PILE)
"""What the demo needs."""

COLUMNS = ("part", "shade", "grade", "flaws")


@dataclass(frozen=True, slots=True)
class PilePiece:
    """One piece of a pile, as it lies on the drying table."""

    part: str
    shade: str
    grade: Grade
    flaws: Flaws = ()


def demo_files() -> Path:
    """The folder that holds the demo's CSV files: inside an installed package, beside it in a checkout.

    Raises:
        BenchError: neither place has all of FILES.
    """
    package = Path(__file__).resolve().parent
    places = (package / "demo_catalog", package.parent / "demo_catalog")
    for folder in places:
        if all((folder / name).is_file() for name in FILES):
            return folder
    raise BenchError(
        f"The demo's files are in neither {places[0]} nor {places[1]}.",
        "Install sortbench again; in a checkout run: python demo_catalog/generate.py",
    )


def read_pile(path: Path) -> list[PilePiece]:
    """The pieces of a pile file in order: CSV after RFC 4180 in UTF-8, one piece a row, columns COLUMNS.

    Raises:
        DataError: not readable, a column is missing, or a row holds what is no name, grade or flaw.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise DataError(f"{path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise DataError(f"{path} is not UTF-8 at byte {error.start}.", "Save it as UTF-8.") from error
    rows = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:
        missing = [column for column in COLUMNS if column not in (rows.fieldnames or ())]
        if missing:
            raise DataError(f"the column {', '.join(missing)} is missing.", f"A pile has: {', '.join(COLUMNS)}.")
        return [_piece(row) for row in rows]
    except DataError as error:
        raise DataError(f"{path}, line {rows.reader.line_num}: {error.message}", error.mend) from error
    except csv.Error as error:
        raise DataError(f"{path}, line {rows.reader.line_num}: {error}.", "Mend the quotes in that line.") from error


def _piece(row: dict[str, str | None]) -> PilePiece:
    part, shade, grade, flaws = (row[column] or "" for column in COLUMNS)
    return PilePiece(
        clean_name(part, "part"),
        clean_name(shade, "shade"),
        Grade.from_label(grade),
        flaws_of(Flaw.from_text(flaw) for flaw in flaws.split("|") if flaw.strip()),
    )
