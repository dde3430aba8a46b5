"""Every example of the command line: those of ``--help`` and of the README are read as the shell and the program would
read them, and the README's own sittings are run."""

from __future__ import annotations

import csv
import json
import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

import click
import pytest

from sortbench.cli.context import Session
from sortbench.cli.main import cli
from tests.unit.cli_bench import call

HERE = Path(__file__).resolve().parents[2]
README = (HERE / "README.md").read_text(encoding="utf-8")
LISTS = HERE / "demo_catalog"
_FILE = re.compile(r"(?:lists/)?[\w*-]+\.(?:csv|jpg|ttf)")
_ENDS = ("|", "||", "&&", ";", ">", "<", "(", ")")


def groups_and_commands(group: click.Group, *path: str) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """The program itself, then every command and group in it."""
    yield path, group
    for name in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), name)
        if isinstance(command, click.Group):
            yield from groups_and_commands(command, *path, name)
        elif command is not None:
            yield (*path, name), command


def shell_words(line: str) -> list[list[str]]:
    """The calls of the program in one line of a shell, each without the program's name."""
    reader = shlex.shlex(line, posix=True, punctuation_chars=True)
    reader.commenters, reader.whitespace_split = "#", True
    calls: list[list[str]] = [[]]
    for word in reader:
        if word in _ENDS:
            calls.append([])
        else:
            calls[-1].append(word)
    return [each[1:] for each in calls if each[:1] == ["sortbench"]]


def help_lines() -> list[str]:
    """The example lines of all help sheets, without what explains them."""
    found = []
    for path, command in groups_and_commands(cli):
        shown = (command.epilog or "").split("Examples:\n")[-1].split("\n\n")[0].splitlines()
        lines = [re.split(r"\s{2,}", line.strip())[0] for line in shown if "sortbench" in line]
        assert lines, f"sortbench {' '.join(path)} has no example"
        found += lines
    return found


def readme_blocks() -> list[list[str]]:
    """The blocks of shell commands that call the program by its name."""
    blocks = re.findall(r"```sh\n(.+?)```", README, re.S)
    return [block.splitlines() for block in blocks if re.search(r"^sortbench", block, re.M)]


def readme_phrases() -> list[str]:
    """Whole calls in the README's prose: those with an option or an argument in quotes or capitals."""
    return [
        phrase for phrase in re.findall(r"`(sortbench [^`]+)`", README) if re.search(r" -|'|[A-Z]\d| [A-Z]-", phrase)
    ]


def read_as_click_does(words: Sequence[str]) -> None:
    """Read a call down to its last command; nothing is run.

    Raises:
        click.UsageError: the program would refuse it as wrong usage.
    """
    ctx = cli.make_context("sortbench", list(words), obj=Session(lambda _: 0))
    command: click.Command = cli
    while isinstance(command, click.Group) and (rest := [*getattr(ctx, "_protected_args", ()), *ctx.args]):
        name, found, rest = command.resolve_command(ctx, rest)
        assert found is not None
        ctx, command = found.make_context(name, rest, parent=ctx), found


@pytest.fixture
def with_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to read calls in; the lists and pictures that they name are put there."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    "lines",
    [help_lines(), readme_phrases(), [line for block in readme_blocks() for line in block]],
    ids=["help", "prose", "sh"],
)
def test_every_example_is_a_call_that_the_program_takes(lines: list[str], with_files: Path) -> None:
    assert len(lines) > 10
    refused = []
    for line in lines:
        for name in _FILE.findall(line):
            (with_files / name.replace("*", "T-01")).parent.mkdir(exist_ok=True)
            (with_files / name.replace("*", "T-01")).touch()
        for words in shell_words(line):
            try:
                read_as_click_does([word.replace("*.csv", "T-01.csv") for word in words])
            except click.exceptions.Exit as shown:
                assert shown.exit_code == 0 and "--help" in words
            except click.UsageError as wrong:
                refused.append(f"{line}: {wrong.format_message()}")
    assert not refused, "\n".join(refused)


@pytest.mark.parametrize("line", ["sortbench reconcile --all", "sortbench wash dream", "sortbench lots spend 3.20"])
def test_a_call_that_is_wrong_would_be_seen(line: str) -> None:
    """The test above is worth something only if the reading reaches the last command of a line."""
    with pytest.raises(click.UsageError):
        read_as_click_does(shell_words(line)[0])


def run(line: str) -> str:
    """Run one line in the current folder; what it says on standard output."""
    said = ""
    for words in shell_words(line):
        result = call(*words)
        assert result.exit_code == 0, f"{line}: {result.stderr}"
        said += result.stdout
    return said


def lists_of_a_lot(folder: Path) -> None:
    """The lists that the README's sitting brings in, from the demo's; one file of targets holds one set."""
    for name in ("shades", "parts", "bins"):
        (folder / f"{name}.csv").write_bytes((LISTS / f"{name}.csv").read_bytes())
    (folder / "stand-ins.csv").write_bytes((LISTS / "stand_ins.csv").read_bytes())
    with (LISTS / "targets.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    (folder / "lists").mkdir()
    for path, code in ((folder / "glasshouse.csv", "T-02"), (folder / "lists" / "VW-12.csv", "T-06")):
        with path.open("w", encoding="utf-8", newline="") as out:
            fields = [
                name for name in rows[0] if code == "T-02" or name not in ("target", "target_name", "rank", "stand_ins")
            ]
            writer = csv.DictWriter(out, fields, extrasaction="ignore")
            writer.writeheader()
            writer.writerows(row for row in rows if row["target"] == code)


def test_the_sitting_of_the_readme_goes_as_it_stands_there(with_files: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its questions are answered with yes; where the app would be opened, some pieces are counted from the shell."""
    first, *rest = next(block for block in readme_blocks() if block[0].startswith("sortbench new"))
    run(first)
    assert rest[0] == "cd autumn-lot"
    bench = with_files / "autumn-lot"
    monkeypatch.chdir(bench)
    lists_of_a_lot(bench)
    said = {}
    for line in rest[1:]:
        (words,) = shell_words(line)
        if words:
            said[" ".join(words[:2])] = run(line.replace(".csv", ".csv --yes"))
        else:
            run("sortbench tally .white 'plate 2x4 *3' 'plate 1x2 *2'")
    assert "W1" in run("sortbench wash show")
    assert "Glasshouse" in said["reconcile"] and "plate 1x2, white" in said["pick T-02"]
    assert (bench / "sheet" / "datapackage.json").is_file()

    (sets,) = [block for block in readme_blocks() if "import library" in block[0]]
    told = [run(line.replace("*.csv", "VW-12.csv --yes").replace("VW-12 ", "VW-12 --yes ")) for line in sets]
    assert "Glasshouse" in told[2]
    assert "VW-12" in run("sortbench targets")

    (labels,) = [block for block in readme_blocks() if "sortbench labels" in block[0]]
    for line in labels:
        run(line.replace("T-03", "T-02"))
    assert (bench / "labels.pdf").read_bytes().startswith(b"%PDF-") and (bench / "new.pdf").is_file()


def test_the_list_in_the_readme_comes_in_as_it_stands_there(with_files: Path) -> None:
    block = README.split("<!-- list -->\n```csv\n")[1].split("```")[0]
    (with_files / "hut.csv").write_text(block, encoding="utf-8")
    (line,) = re.findall(r"`(sortbench import targets --target [^`]+)`", README)
    run("sortbench new hut")
    run(line.replace("sortbench", "sortbench --bench hut") + " --yes")
    told = json.loads(run("sortbench --bench hut targets T-07 --json"))["rows"]
    assert [(row["part"], row["shade"], row["quantity"]) for row in told] == [
        ("plate-2x4", "white", 12),
        ("arch-1x6x2", "grey, early", 2),
    ]
