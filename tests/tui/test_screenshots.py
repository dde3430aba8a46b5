"""The README's pictures show the screens as they are now."""

from __future__ import annotations

import difflib
import re
from pathlib import Path

from tests.picture_svg import text_of
from tests.pictures import WALKS, all_pictures
from tests.readme_tables import README
from tests.screenshots import HERE


def test_the_committed_pictures_show_what_the_screens_show_now(tmp_path: Path) -> None:
    """Words and figures are compared, cell by cell; colours are not."""
    outdated = []
    for picture in all_pictures(tmp_path):
        path = HERE / f"{picture.name}.svg"
        committed = text_of(path.read_text(encoding="utf-8")) if path.is_file() else []
        if committed != picture.lines:
            outdated += [path.name, *list(difflib.unified_diff(committed, picture.lines, lineterm="", n=0))[2:8]]
    assert not outdated, "run `python -m tests.screenshots`\n" + "\n".join(outdated)


def test_every_picture_stands_in_the_readme_and_no_other_lies_there() -> None:
    shown = re.findall(r"\]\(screenshots/([^)]+)\.svg\)", README.read_text(encoding="utf-8"))
    assert sorted(shown) == sorted(shot.name for walk in WALKS for shot in walk.shots)
    assert {path.stem for path in HERE.glob("*.svg")} == set(shown)
    assert max(path.stat().st_size for path in HERE.glob("*.svg")) < 80_000
