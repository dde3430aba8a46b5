"""`sortbench settings`."""

from __future__ import annotations

import click

from sortbench.cli.context import examples, json_option, session
from sortbench.cli.output import Heading, answer_mappings, answer_table, write
from sortbench.cli.say import say
from sortbench.model.settings import shown_value
from sortbench.model.text import shown
from sortbench.settings import read_settings, settings_path, write_template


@click.command(
    epilog=examples(
        "sortbench settings",
        "sortbench settings --write",
        "sortbench settings --check && sortbench",
        "sortbench settings --json | jq -r '.rows[] | select(.line) | .name'",
    )
)
@click.option("--check", is_flag=True, help="Tell what will not do, with its line; exit code 1 if anything will not.")
@click.option("--write", "make", is_flag=True, help="Write a settings file that sets nothing and explains everything.")
@click.option("--template", is_flag=True, help="Print such a file instead of writing it.")
@json_option
@click.pass_context
def settings(ctx: click.Context, check: bool, make: bool, template: bool, as_json: bool) -> int:
    """Show where the settings file lies, and what it sets.

    Settings are the user's, for all benches: which keys commands have, and how the app looks and sounds. The file is
    TOML; there need not be one. $SORTBENCH_SETTINGS names another. Whatever in it will not do leaves its default
    standing and is told; counting never waits for it. The app reads it when it starts.

    A command gets other keys by its id, which the list of commands (Ctrl+P) and --template show:

    \b
      [keys]
      discard = "w"
      "pad.undo" = [".", "backspace"]
    """
    if check + make + template > 1:
        raise click.UsageError("--check, --write and --template are three things; ask for one.", ctx)
    if as_json and (make or template):
        raise click.UsageError("--json is about what is set, or with --check about what will not do.", ctx)
    known = session(ctx).app_settings()
    path = settings_path()
    if template:
        write(known.template())
        return 0
    if make:
        write_template(path, known.template())
        say(f"Written: {path}. It sets nothing yet; take the # off a line and change what follows.")
        return 0
    found = read_settings(path)
    wrong = known.problems(found)
    if check:
        if as_json:
            answer_mappings("settings problems", [{"file": str(path), **problem._asdict()} for problem in wrong])
        for problem in () if as_json else wrong:
            where = f"{path}:{problem.line}" if problem.line else str(path)
            write(shown(f"{where}: {problem.message} {problem.mend}".rstrip()) + "\n")
        if not wrong and not as_json:
            say(f"{path}: nothing wrong." if path.exists() else f"{path} is not there; all defaults stand.")
        return 1 if wrong else 0
    rows = known.in_force(found)
    if as_json:
        answer_mappings("settings", [{"file": str(path), **row._asdict()} for row in rows])
        return 0
    say(f"Settings file: {path}" if path.exists() else f"Settings file: {path} (not there; --write makes one)")
    headings = (Heading("setting"), Heading("is"), Heading("default"), Heading("line", number=True))
    answer_table(
        headings,
        [
            (f"{row.table}.{row.name}", shown_value(row.value), shown_value(row.default), str(row.line or ""))
            for row in rows
        ],
        "Nothing is set.",
    )
    if wrong:
        few = f"{len(wrong)} things in it will" if len(wrong) > 1 else "One thing in it will"
        say(f"{few} not do, and the default stands: `sortbench settings --check` says more.")
    return 0
