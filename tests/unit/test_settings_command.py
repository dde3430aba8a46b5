"""`sortbench settings`: where they lie, what is set, what will not do, a template."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from click.testing import Result

from sortbench.model.settings import Settings, named
from sortbench.store.settings_file import settings_from
from sortbench.tui import remaps
from sortbench.tui.keys import COMMANDS
from tests.unit.cli_bench import call, rows

BAD = '[looks]\ntheme = 3\n[keys]\ndiscard = "w"\nwash = "w"\nnosuch = "q"\npin = "ctrl+i"\n'


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "settings" / "mine.toml"


def settings(path: Path, *args: str) -> Result:
    return call("settings", *args, env={"SORTBENCH_SETTINGS": str(path)})


def written(path: Path, text: str) -> Path:
    path.parent.mkdir(exist_ok=True)
    path.write_text(text)
    return path


def test_without_a_file_all_defaults_stand(path: Path) -> None:
    result = settings(path)
    assert result.exit_code == 0
    assert f"{path} (not there; --write makes one)" in result.stderr
    assert "feedback.bell" in result.stdout
    assert settings(path, "--check").exit_code == 0
    assert not path.parent.exists()


def test_what_is_set_is_shown_with_its_line(path: Path) -> None:
    written(path, '[feedback]\nbell = true\n[keys]\n"pad.undo" = [".", "backspace"]\npin = "Space"\n')
    lines = settings(path).stdout.splitlines()
    assert ["feedback.bell", "true", "false", "2"] in [line.split() for line in lines]
    [undo] = [line for line in lines if line.startswith("keys.pad.undo")]
    assert '[".", "backspace"]' in undo and undo.endswith("4")
    answer = rows(settings(path, "--json"), "settings")
    assert answer[-1] == {
        "file": str(path),
        "table": "keys",
        "name": "pin",
        "value": ["space"],
        "default": ["p"],
        "line": 5,
    }


def test_check_tells_line_and_reason_and_leaves_with_1(path: Path) -> None:
    result = settings(written(path, BAD), "--check")
    assert result.exit_code == 1
    told = result.stdout.splitlines()
    assert [line.removeprefix(f"{path}:").partition(":")[0] for line in told] == ["2", "5", "6", "7"]
    assert "'discard'" in told[1] and "'wash'" in told[1] and "'*'" in told[1]
    assert "as tab" in told[3]
    problems = settings(path, "--check", "--json")
    assert problems.exit_code == 1
    assert '"line": 5' in problems.stdout


def test_what_will_not_do_is_mentioned_where_settings_are_shown(path: Path) -> None:
    result = settings(written(path, BAD))
    assert result.exit_code == 0
    assert "4 things in it will not do" in result.stderr
    assert "One thing in it" in settings(written(path, "[keys]\nnosuch = 'q'\n")).stderr


def test_check_of_a_good_file(path: Path) -> None:
    result = settings(written(path, '[keys]\ndiscard = "w"\n'), "--check")
    assert (result.exit_code, result.stdout) == (0, "")
    assert "nothing wrong" in result.stderr


def test_write_makes_a_file_that_sets_nothing_and_never_writes_over_one(path: Path) -> None:
    assert settings(path, "--write").exit_code == 0
    text = path.read_text()
    assert text == settings(path, "--template").stdout
    assert all(values == {} for values in tomllib.loads(text).values())
    path.write_text("# mine\n")
    again = settings(path, "--write")
    assert again.exit_code == 1
    assert "There is a settings file already" in again.stderr
    assert path.read_text() == "# mine\n"


def test_every_line_of_the_template_holds_once_its_mark_is_gone() -> None:
    lines = [line.removeprefix("# ") for line in remaps.template().splitlines()]
    found = settings_from("\n".join(line for line in lines if re.match(r'\[\w+\]$|"?[a-z0-9.-]+"? = ', line)))
    assert remaps.problems(found) == ()
    assert set(found.settings.keys) == {command.id for command in COMMANDS}
    assert set(found.lines) >= {(each.table, each.name) for each in named(Settings())}
    assert all(row.value == row.default for row in remaps.in_force(found))


@pytest.mark.parametrize("args", [("--check", "--write"), ("--template", "--check"), ("--write", "--json")])
def test_things_that_do_not_go_together_are_wrong_usage(path: Path, args: tuple[str, ...]) -> None:
    assert settings(path, *args).exit_code == 2
    assert not path.exists()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    result = settings(tmp_path / "file" / "settings.toml", "--write")
    assert result.exit_code not in (0, 70)
    assert "cannot be written" in result.stderr


def test_the_example_of_the_readme_holds() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    found = settings_from(readme.partition("<!-- settings -->\n```toml\n")[2].partition("```")[0])
    assert remaps.problems(found) == ()
    assert [row.name for row in remaps.in_force(found) if row.line] == ["discard", "pad.undo", "leave"]
