"""Draw the README's pictures anew: ``python -m tests.screenshots``.

They are written as SVG under ``screenshots/``. Fonts are left to the reader's machine: nothing is fetched to show them.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.pictures import all_pictures

HERE = Path(__file__).resolve().parent.parent / "screenshots"


def main() -> None:
    """Draw all of them, and take away pictures that are none of them."""
    HERE.mkdir(exist_ok=True)
    names = set()
    with tempfile.TemporaryDirectory() as scratch:
        for picture in all_pictures(Path(scratch)):
            path = HERE / f"{picture.name}.svg"
            names.add(path.name)
            before = path.read_text(encoding="utf-8") if path.is_file() else ""
            path.write_text(picture.svg, encoding="utf-8")
            print(f"screenshots/{path.name}" + (" (as before)" if picture.svg == before else ""))
    for path in HERE.glob("*.svg"):
        if path.name not in names:
            path.unlink()
            print(f"screenshots/{path.name} is no picture of the README any more")


if __name__ == "__main__":
    main()
