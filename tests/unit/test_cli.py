"""The command line as a whole: help, exit codes, which bench, faults."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from sortbench import __version__
from sortbench.cli.main import COMMANDS, cli
from tests.unit.cli_bench import OPENED, call, make_bench


def commands(group: click.Group = cli, *path: str) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command, groups included, with the words that call it."""
    ctx = click.Context(group)
    for name in group.list_commands(ctx):
        command = group.get_command(ctx, name)
        assert command is not None
        yield (*path, name), command
        if isinstance(command, click.Group):
            yield from commands(command, *path, name)


ALL = list(commands())


def program(*args: str, folder: Path, **env: str) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own, without a terminal."""
    settings = {key: value for key, value in os.environ.items() if not key.startswith(("SORTBENCH", "_SORTBENCH"))}
    root = str(Path(__file__).parents[2])
    return subprocess.run(
        [sys.executable, "-m", "sortbench", *args],
        cwd=folder,
        env=settings | {"PYTHONPATH": root} | env,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize(("path", "command"), ALL, ids=[" ".join(path) for path, _ in ALL])
class TestHelp:
    def test_says_what_it_does_and_shows_an_example(self, path: tuple[str, ...], command: click.Command) -> None:
        result = call(*path, "--help")
        assert result.exit_code == 0
        assert command.help and len(command.help) > 15
        shown = result.stdout.partition("Example")[2]
        assert re.search(rf"sortbench (--bench \S+ )?{' '.join(path)}", shown), "no example that calls it"

    def test_every_option_says_what_it_is_for(self, path: tuple[str, ...], command: click.Command) -> None:
        assert not [
            param.name for param in command.params if isinstance(param, click.Option) and not (param.help or "").strip()
        ]


def test_list_of_commands_imports_none_of_them(tmp_path: Path) -> None:
    code = (
        "import sys; from sortbench.cli.main import cli\n"
        "try: cli(['--help'])\nexcept SystemExit: pass\n"
        "late = ('textual', 'rich', 'tinydb', 'rapidfuzz', 'sortbench.bench')\n"
        "print([m for m in sys.modules if m.startswith(late)], file=sys.stderr)"
    )
    root = str(Path(__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": root},
        capture_output=True,
        text=True,
    )
    assert done.stderr.strip() == "[]"
    assert all(name in done.stdout for name in COMMANDS)


def test_way_into_the_app_does_not_import_the_command_line(tmp_path: Path) -> None:
    code = (
        "import sys; import sortbench.__main__ as program\n"
        "code = program.run([])\n"
        "print(code, [m for m in ('click', 'rich', 'textual', 'tinydb') if m in sys.modules])"
    )
    root = str(Path(__file__).parents[2])
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": root},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    assert done.stdout.strip() == "2 []"


def test_version() -> None:
    assert call("--version").stdout.strip() == f"sortbench {__version__}"


def test_exit_codes_are_documented() -> None:
    text = call("--help").stdout
    for code in ("0 ", "1 ", "2 ", "3 ", "70 ", "130 ", "141 "):
        assert f"\n    {code}" in text


class TestWhichBench:
    def test_option_before_and_after_the_command(self, tmp_path: Path) -> None:
        make_bench(tmp_path / "b")
        assert call("--bench", tmp_path / "b", "bins").exit_code == 0
        assert call("bins", "--bench", tmp_path / "b").exit_code == 0

    def test_the_later_one_wins(self, tmp_path: Path) -> None:
        make_bench(tmp_path / "b")
        assert call("--bench", tmp_path / "none", "bins", "--bench", tmp_path / "b").exit_code == 0

    def test_variable(self, tmp_path: Path) -> None:
        make_bench(tmp_path / "b")
        assert call("bins", env={"SORTBENCH_BENCH": str(tmp_path / "b")}).exit_code == 0
        assert call("--bench", tmp_path, "bins", env={"SORTBENCH_BENCH": str(tmp_path / "b")}).exit_code == 2

    def test_current_folder(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.chdir(make_bench(tmp_path / "b"))
        assert call("bins").exit_code == 0

    @pytest.mark.parametrize(
        "args",
        [
            ["counts"],
            ["targets"],
            ["bins"],
            ["log"],
            ["pile"],
            ["check"],
            ["export", "out"],
            ["tally", "x"],
            ["add", "shade", "x"],
        ],
        ids=lambda args: args[0],
    )
    def test_none_there(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, args: list[str]) -> None:
        monkeypatch.chdir(tmp_path)
        result = call(*args)
        assert result.exit_code == 2
        assert "No bench lies in the current folder." in result.stderr
        assert "sortbench new" in result.stderr
        assert result.stdout == ""
        assert list(tmp_path.iterdir()) == []


class TestFailing:
    def test_damaged_documents(self, tmp_path: Path) -> None:
        folder = make_bench(tmp_path / "b")
        (folder / "bench.json").write_text("{")
        result = call("--bench", folder, "counts")
        assert result.exit_code == 3
        assert "bench.json" in result.stderr
        assert "Traceback" not in result.stderr

    def test_unknown_command_names_its_neighbour(self) -> None:
        result = call("cuonts")
        assert result.exit_code == 2
        assert "There is no command 'cuonts'. Did you mean 'counts'?" in result.stderr

    def test_unknown_option(self) -> None:
        assert call("counts", "--jsn").exit_code == 2

    def test_fault_of_the_program_shows_no_trace_unless_asked(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        folder = make_bench(tmp_path / "b")

        def broken(_: object) -> None:
            raise RuntimeError("a wheel came off \x1b[31m")

        monkeypatch.setattr("sortbench.desks.sheet_desk.count_rows", broken)
        result = call("--bench", folder, "counts")
        assert result.exit_code == 70
        assert "a wheel came off" in result.stderr
        assert "\x1b" not in result.stderr
        assert "Traceback" not in result.stderr
        told = call("--bench", folder, "counts", env={"SORTBENCH_TRACE": "1"})
        assert told.exit_code == 70
        assert "Traceback" in told.stderr

    def test_interrupt(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        folder = make_bench(tmp_path / "b")

        def interrupted(_: object) -> None:
            raise KeyboardInterrupt

        monkeypatch.setattr("sortbench.desks.sheet_desk.count_rows", interrupted)
        assert call("--bench", folder, "counts").exit_code == 130


@pytest.mark.skipif(sys.platform == "win32", reason="needs a shell")
class TestOutput:
    def through(self, folder: Path, rest: str) -> subprocess.CompletedProcess[str]:
        """A command whose output goes where ``rest`` says; the exit code is the program's own."""
        return subprocess.run(
            ["bash", "-c", f'{sys.executable} -m sortbench counts --json {rest}; exit "${{PIPESTATUS[0]}}"'],
            cwd=folder,
            env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])},
            capture_output=True,
            text=True,
            check=False,
        )

    def test_reader_that_goes_away(self, tmp_path: Path) -> None:
        done = self.through(make_bench(tmp_path / "b"), "| true")
        assert (done.returncode, done.stderr) == (141, "")

    @pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
    def test_full_disk(self, tmp_path: Path) -> None:
        done = self.through(make_bench(tmp_path / "b"), "> /dev/full")
        assert done.returncode == 3
        assert done.stderr.startswith("sortbench: The system refused:")
        assert "Traceback" not in done.stderr


class TestApp:
    def test_opens_on_the_bench(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("sortbench.cli.start.require_terminal", lambda: None)
        folder = make_bench(tmp_path / "b")
        assert call("--bench", folder).exit_code == 0
        assert [folder] == OPENED

    def test_without_a_terminal(self, tmp_path: Path) -> None:
        folder = make_bench(tmp_path / "b")
        done = program(folder=folder)
        assert done.returncode == 2
        assert "needs a terminal" in done.stderr
        assert "needs a terminal" in program("--bench", ".", folder=folder).stderr

    def test_without_a_bench_and_a_terminal(self, tmp_path: Path) -> None:
        done = program(folder=tmp_path)
        assert done.returncode == 2
        assert "No bench lies in the current folder." in done.stderr
        assert done.stdout == ""
        assert list(tmp_path.iterdir()) == []

    @pytest.mark.parametrize(("answer", "code"), [("q", 2), ("", 2), ("n", 0), ("x\nn", 0)])
    def test_offer_on_a_terminal(
        self,
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
        answer: str,
        code: int,
    ) -> None:
        from sortbench.cli import start

        given = iter(answer.split("\n"))
        monkeypatch.setattr(start, "on_terminal", lambda: True)
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(start, "_ask", lambda _: next(given))
        opened: list[Path] = []

        def open_app(folder: Path) -> int:
            opened.append(folder)
            return 0

        assert start.start(tmp_path / "b", open_app, lambda: 5) == code
        assert (tmp_path / "b" / "bench.json").exists() == (code == 0)
        assert opened == ([tmp_path / "b"] if code == 0 else [])
        assert "No bench lies in" in capsys.readouterr().err

    def test_offer_takes_the_demo(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        from sortbench.cli import start

        monkeypatch.setattr(start, "on_terminal", lambda: True)
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(start, "_ask", lambda _: "d")
        assert start.start(tmp_path, start.no_app, lambda: 5) == 5


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are POSIX")
@pytest.mark.parametrize(("key", "code"), [("q\r", 2), ("\x03", 130)])
def test_offer_through_a_pseudo_terminal(tmp_path: Path, key: str, code: int) -> None:
    from terminal import Terminal

    env = {"SORTBENCH_BENCH": "", "PYTHONPATH": str(Path(__file__).parents[2])}
    with Terminal([sys.executable, "-m", "sortbench"], cwd=tmp_path, env=env) as person:
        person.wait_for("n, d or q?", 20)
        person.send(key)
        assert person.wait(20) == code
    assert list(tmp_path.iterdir()) == []


class TestCompletion:
    @pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
    def test_script(self, shell: str) -> None:
        result = call("completion", shell)
        assert result.exit_code == 0
        assert "_SORTBENCH_COMPLETE" in result.stdout

    @pytest.mark.parametrize(
        ("words", "at", "expected"),
        [
            ("sortbench ex", 1, ["export"]),
            ("sortbench targets t-", 2, ["T-03", "T-05"]),
            ("sortbench counts --in b", 3, ["B1"]),
            ("sortbench tally --target T-05", 3, ["T-05"]),
        ],
    )
    def test_words(self, tmp_path: Path, words: str, at: int, expected: list[str]) -> None:
        make_bench(tmp_path / "b")
        asked = {"_SORTBENCH_COMPLETE": "bash_complete", "COMP_WORDS": words, "COMP_CWORD": str(at)}
        done = program(folder=tmp_path / "b", **asked)
        assert [line.partition(",")[2] for line in done.stdout.split()] == expected
        assert done.stderr == ""

    def test_without_a_bench_nothing_is_said(self, tmp_path: Path) -> None:
        asked = {"_SORTBENCH_COMPLETE": "bash_complete", "COMP_WORDS": "sortbench targets T", "COMP_CWORD": "2"}
        done = program(folder=tmp_path, **asked)
        assert (done.stdout.strip(), done.stderr) == ("", "")
