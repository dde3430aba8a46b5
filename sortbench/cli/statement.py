"""`sortbench statement`."""

from __future__ import annotations

from pathlib import Path

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, json_option, opened_bench, target_codes
from sortbench.cli.output import answer_mappings, write
from sortbench.cli.say import say

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench statement T-03",
        "sortbench statement T-02 --html glasshouse.html",
        "sortbench statement T-02 --markdown glasshouse.md --text glasshouse.txt",
        "sortbench statement T-03 --shared",
        "sortbench statement T-03 T-04 --json | jq '.rows[] | [.target, .complete, .short]'",
    ),
)
@click.argument("targets", nargs=-1, required=True, metavar="TARGET...", shell_complete=complete_from(target_codes))
@click.option(
    "--shared",
    "as_shared",
    is_flag=True,
    help="Speak of what the target would have if it were picked now, instead of what lies in its crate.",
)
@click.option("--text", "text", type=_FILE, metavar="FILE", help="Write it as plain text.")
@click.option("--markdown", "markdown", type=_FILE, metavar="FILE", help="Write it as Markdown.")
@click.option("--html", "page", type=_FILE, metavar="FILE", help="Write it as a page to print.")
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@json_option
@click.pass_context
def statement(
    ctx: click.Context,
    targets: tuple[str, ...],
    as_shared: bool,
    text: Path | None,
    markdown: Path | None,
    page: Path | None,
    overwrite: bool,
    as_json: bool,
) -> None:
    """What can truly be told a buyer of TARGET: only what the counts and the log carry.

    It speaks of what lies in the target's crate: complete or what is missing, what stands in and for what, what is not
    of the set's year and what nobody knows, grades and flaws, treatment, washing, and how it was counted. Where the log
    cannot tell, it says so.

    Without a file to write, the text goes to standard output. Files are for one target at a time.
    """
    from sortbench.desks.statement_desk import statement as stated_of
    from sortbench.papers.statement_files import mapping_of, markdown_of, page_of, text_of, write_statement

    files = [(text, text_of), (markdown, markdown_of), (page, page_of)]
    wanted = [(path, make) for path, make in files if path is not None]
    if wanted and len(targets) > 1:
        raise click.UsageError("A file holds one statement; name one target.", ctx)
    with opened_bench(ctx) as bench:
        stated = [stated_of(bench, code, as_shared=as_shared) for code in dict.fromkeys(targets)]
    for path, make in wanted:
        write_statement(path, make(stated[0]), overwrite=overwrite)
        say(f"Written: {path}")
    if as_json:
        answer_mappings("statement", [mapping_of(each) for each in stated])
    elif not wanted:
        write("\n\n".join(text_of(each) for each in stated))
