"""The user's settings file: what it says, the lines of what will not do, and keeping one value of it."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sortbench import settings
from sortbench.model.errors import DataError, WriteError
from sortbench.model.settings import Found, Settings, named, setting, settled, shown_value
from sortbench.store.settings_file import lines_of, settings_from


def told(text: str) -> list[str]:
    return [str(problem) for problem in settings_from(text).problems]


class TestReading:
    def test_no_file_is_all_defaults(self, tmp_path: Path) -> None:
        assert settings.read_settings(tmp_path / "none.toml") == Found(Settings())

    def test_what_it_sets_is_set_and_the_line_is_known(self) -> None:
        found = settings_from('# mine\n[looks]\ntheme = "dark"\n\n[feedback]\nbell = true\n[keys]\ndiscard = "w"\n')
        assert not found.problems
        assert (found.settings.looks.theme, found.settings.feedback.bell) == ("dark", True)
        assert found.settings.keys["discard"].keys == ("w",)
        assert found.lines == {("looks", "theme"): 3, ("feedback", "bell"): 6, ("keys", "discard"): 8}

    @pytest.mark.parametrize(
        "text",
        ['[keys]\n"pad.undo" = "u"', '[keys]\npad.undo = "u"', '[keys.pad]\nundo = "u"', 'keys."pad.undo" = ["u"]'],
    )
    def test_an_id_with_a_dot_needs_no_quotes(self, text: str) -> None:
        found = settings_from(text)
        assert not found.problems
        assert found.settings.keys["pad.undo"].keys == ("u",)
        assert found.settings.keys["pad.undo"].line == text.count("\n") + 1

    def test_windows_line_ends_and_a_byte_order_mark_are_fine(self, tmp_path: Path) -> None:
        path = tmp_path / "settings.toml"
        path.write_bytes(b"\xef\xbb\xbf[feedback]\r\nbell = true\r\n[keys]\r\nnosuch = 7\r\n")
        found = settings.read_settings(path)
        assert found.settings.feedback.bell
        assert [problem.line for problem in found.problems] == [4]


class TestWhatWillNotDo:
    @pytest.mark.parametrize(
        ("text", "line", "words"),
        [
            ("[feedbak]\nbell = true", 1, "[feedbak]. Did you mean feedback?"),
            ("[feedback]\n\nbel = true", 3, "no setting bel. Did you mean bell?"),
            ('[feedback]\nbell = "yes"', 2, "bell wants true or false"),
            ("[feedback]\nbell = 1", 2, "bell wants true or false"),
            ("[looks]\ntheme = false", 2, "theme wants a text in quotes"),
            ('[looks]\ntheme = "drak"', 2, "did you mean 'dark'?"),
            ('looks = "dark"', 1, "looks is a table"),
            ("[keys]\nwash = 7", 2, "wash wants a key or a list of keys in quotes"),
            ('[keys]\nwash = ["w", 7]', 2, "wash wants a key or a list of keys in quotes"),
            ("[feedback]\nbell = true\nbell = false", 3, "no TOML"),
            ("[feedback\nbell = true", 1, "no TOML"),
            ("[keys]\nwash = [", 2, "no TOML"),
        ],
    )
    def test_is_told_with_its_line_and_leaves_the_default(self, text: str, line: int, words: str) -> None:
        found = settings_from(text)
        [problem] = found.problems
        assert problem.line == line
        assert words in str(problem)
        assert found.settings == Settings()

    def test_does_not_keep_the_rest_from_counting(self) -> None:
        found = settings_from("[looks]\ntheme = 3\n[feedback]\nbell = true\nloud = 1\n")
        assert found.settings.feedback.bell
        assert [problem.line for problem in found.problems] == [2, 5]

    def test_no_utf_8_names_the_line(self, tmp_path: Path) -> None:
        path = tmp_path / "settings.toml"
        path.write_bytes(b'[looks]\ntheme = "\xe9"\n')
        [problem] = settings.read_settings(path).problems
        assert (problem.line, "UTF-8" in problem.message) == (2, True)

    def test_a_folder_in_its_place_is_told(self, tmp_path: Path) -> None:
        [problem] = settings.read_settings(tmp_path).problems
        assert "cannot be read" in str(problem)

    def test_a_file_without_end_is_not_read(self) -> None:
        if not Path("/dev/zero").exists():
            pytest.skip("no /dev/zero on this system")
        [problem] = settings.read_settings(Path("/dev/zero")).problems
        assert "larger than 1 MB" in str(problem)

    def test_nothing_of_it_reaches_a_terminal_as_a_command(self) -> None:
        assert not [each for each in told('["\\u001b[31m"]\na = 1\n[keys]\n"\\u001b[2J" = 1') if "\x1b" in each]

    def test_deep_nesting_is_no_fault(self) -> None:
        assert "nested too deep" in told("a = " + "[" * 100_000)[0]

    @given(st.text(max_size=60))
    def test_no_text_is_a_fault(self, text: str) -> None:
        for start in ("", "[keys]\n", "[looks]\n"):
            found = settings_from(start + text)
            assert all(0 <= problem.line <= (start + text).count("\n") + 1 for problem in found.problems)


@given(
    st.lists(
        st.tuples(st.sampled_from(["a", "b", "c"]), st.sampled_from(["x", "y-1", "z.z", "w w"])),
        unique=True,
        max_size=8,
    ),
    st.sampled_from(["\n", "\n\n", "\n# [no] table\n"]),
)
def test_lines_are_those_that_hold_the_names(names: list[tuple[str, str]], gap: str) -> None:
    text, wanted = "", {}
    for table in dict.fromkeys(table for table, _ in names):
        text += f"[{table}]{gap}"
        for name in (name for each, name in names if each == table):
            wanted[table, name] = text.count("\n") + 1
            text += f'"{name}" = 1{gap}'
    tomllib.loads(text)
    lines = lines_of(text)
    assert {at: lines[at] for at in wanted} == wanted


@given(st.one_of(st.booleans(), st.integers(), st.text(st.characters(exclude_categories=["Cs"]))))
def test_a_shown_value_is_that_value_in_toml(value: bool | int | str) -> None:
    assert tomllib.loads(f"a = {shown_value(value)}")["a"] == value


class TestKeeping:
    def test_makes_the_file_and_its_folder(self, tmp_path: Path) -> None:
        path = tmp_path / "new" / "settings.toml"
        settings.keep("looks", "theme", "dark", path)
        assert settings.read_settings(path).settings.looks.theme == "dark"

    def test_leaves_everything_else_as_it_stands(self, tmp_path: Path) -> None:
        path = tmp_path / "settings.toml"
        before = (
            '# my keys\n[keys]   # all of them\n"pad.undo" = [ "u",\n  "." ]\n\n[looks]\ntheme = "dark" # at night\n'
        )
        path.write_text(before)
        settings.keep("looks", "theme", "light", path)
        assert path.read_text() == before.replace('"dark"', '"light"')
        settings.keep("feedback", "bell", True, path)
        assert path.read_text().startswith(before.replace('"dark"', '"light"'))
        assert settings.read_settings(path).settings.feedback.bell

    @pytest.mark.parametrize("text", ["[looks", 'looks = "dark"', "looks = [1]"])
    def test_refuses_a_file_that_is_not_as_it_should_be(self, tmp_path: Path, text: str) -> None:
        path = tmp_path / "settings.toml"
        path.write_text(text)
        with pytest.raises(DataError, match=r"looks\.theme cannot be kept"):
            settings.keep("looks", "theme", "light", path)
        assert path.read_text() == text

    @pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
    def test_follows_a_link(self, tmp_path: Path) -> None:
        (tmp_path / "real").mkdir()
        link = tmp_path / "settings.toml"
        link.symlink_to(tmp_path / "real" / "mine.toml")
        settings.keep("feedback", "bell", True, link)
        assert link.is_symlink()
        assert "bell = true" in (tmp_path / "real" / "mine.toml").read_text()

    def test_tells_where_the_disk_refuses(self, tmp_path: Path) -> None:
        (tmp_path / "file").write_text("")
        with pytest.raises(WriteError, match="cannot be written"):
            settings.keep("feedback", "bell", True, tmp_path / "file" / "settings.toml")


class TestWhere:
    def test_the_variable_names_it(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        monkeypatch.setenv(settings.SETTINGS_VARIABLE, str(tmp_path / "mine.toml"))
        assert settings.settings_path() == tmp_path / "mine.toml"

    @pytest.mark.skipif(sys.platform != "linux", reason="other systems have other folders")
    def test_else_the_folder_that_the_system_keeps_for_it(
        self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        """$XDG_CONFIG_HOME, or ~/.config (XDG Base Directory Specification 0.8)."""
        monkeypatch.delenv(settings.SETTINGS_VARIABLE)
        monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
        assert settings.settings_path() == tmp_path / "sortbench" / "settings.toml"
        monkeypatch.delenv("XDG_CONFIG_HOME")
        monkeypatch.setenv("HOME", str(tmp_path))
        assert settings.settings_path() == tmp_path / ".config" / "sortbench" / "settings.toml"

    def test_a_start_without_one_loads_nothing_of_it(self, tmp_path: Path) -> None:
        code = (
            "import sys, sortbench.tui.app\n"
            "from sortbench.settings import settings_if_any\n"
            "late = ('sortbench.model.settings', 'sortbench.store.settings_file', 'sortbench.tui.remaps', 'tomllib')\n"
            "print(settings_if_any(), [name for name in late if name in sys.modules])"
        )
        env = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
        done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=env, capture_output=True, text=True)
        assert done.stdout.strip() == "None []", done.stderr


@dataclass(frozen=True, slots=True)
class _Stir:
    every: int = setting(10, "Minutes.", wrong=lambda value: "" if value > 0 else "it is more than 0")
    way: str = setting("slow", "How.", one_of=("slow", "quick"))


@dataclass(frozen=True, slots=True)
class _World:
    stir: _Stir = field(default_factory=_Stir)


def test_a_new_table_needs_no_more_than_its_fields() -> None:
    assert [(each.name, each.value, each.default) for each in named(_World(_Stir(7)))] == [
        ("every", 7, 10),
        ("way", "slow", "slow"),
    ]
    good = settled({"stir": {"every": 5, "way": "quick"}}, {}, _World())
    assert (good.settings, good.problems) == (_World(_Stir(5, "quick")), ())
    bad = settled({"stir": {"every": 0, "way": "quik"}}, {}, _World())
    assert bad.settings == _World()
    assert "more than 0" in str(bad.problems[0])
    assert 'one of "slow", "quick"; did you mean \'quick\'?' in str(bad.problems[1])


def test_the_tests_themselves_read_no_settings_of_anybody() -> None:
    assert not Path(os.environ[settings.SETTINGS_VARIABLE]).exists()
