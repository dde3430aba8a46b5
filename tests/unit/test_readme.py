"""The README says what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from sortbench.bench import Bench
from sortbench.cli.main import COMMANDS, cli
from sortbench.cli.plain import PlainMode
from tests.readme_tables import README, with_tables

TEXT = README.read_text(encoding="utf-8")


def test_the_tables_of_keys_and_of_the_grammar_are_those_of_the_program() -> None:
    assert with_tables(TEXT) == TEXT, "run `python -m tests.readme_tables`"


def test_the_job_stands_in_one_paragraph_on_top() -> None:
    title, paragraph = TEXT.split("\n\n")[:2]
    assert title == "# sortbench"
    assert paragraph.startswith("Somebody buys") and "\n" not in paragraph


@pytest.mark.parametrize("image", re.findall(r"\]\((screenshots/[^)]+)\)", TEXT))
def test_every_picture_is_there(image: str) -> None:
    assert "<svg" in (README.parent / image).read_text(encoding="utf-8")[:200]


def test_every_command_that_the_readme_names_exists() -> None:
    named = set(re.findall(r"`?sortbench ([a-z]+(?:-[a-z]+)*)", TEXT)) - {"is", "contributors", "and", "with"}
    assert named >= {"new", "import", "export", "tally", "check", "demo"}
    assert named <= set(COMMANDS)


def test_every_option_that_the_readme_names_exists() -> None:
    context = click.Context(cli)
    known = {option for parameter in (*cli.params, click.Option(["--help"])) for option in parameter.opts}
    pending = [cli.get_command(context, name) for name in cli.list_commands(context)]
    while pending:
        command = pending.pop()
        assert command is not None
        known |= {option for parameter in command.params for option in parameter.opts}
        if isinstance(command, click.Group):
            pending += [command.get_command(context, name) for name in command.list_commands(context)]
    code = " ".join(re.findall(r"`([^`]+)`|^(?:sortbench.*)$", TEXT, re.M))
    assert set(re.findall(r"--[a-z][a-z-]+", code)) <= known


def test_the_sitting_in_line_mode_goes_as_it_stands_there(bench: Bench) -> None:
    told = re.search(r"<!-- plain -->\n```text\n(.+?)```", TEXT, re.S)
    assert told
    mode, said = PlainMode(bench, person=True), ""
    for line in re.findall(r"^> (.+)$", told[1], re.M):
        said += "".join(f"{each}\n" for each in (f"> {line}", *mode.answer(line)))
    assert told[1] == said


def test_every_chapter_stands_in_the_contents_and_every_link_leads_to_one() -> None:
    """Anchors as GitHub makes them: small letters, blanks to hyphens, other marks dropped."""
    outside_code = re.sub(r"```.+?```", "", TEXT, flags=re.S)
    headings = re.findall(r"^#{2,3} (.+)$", outside_code, re.M)
    anchors = [re.sub(r"[^\w-]", "", heading.lower().replace(" ", "-")) for heading in headings]
    assert len(anchors) == len(set(anchors))
    assert sorted(re.findall(r"\]\(#([^)]+)\)", TEXT)) == sorted(anchors)


def test_the_licence_closes_it() -> None:
    assert "MIT License" in TEXT.split("## Licence")[1]
    assert Path(README.parent / "pyproject.toml").read_text(encoding="utf-8").count('"MIT"') == 1
