"""`sortbench report`."""

from __future__ import annotations

from pathlib import Path

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings
from sortbench.cli.progress import waiting
from sortbench.cli.say import say


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench report",
        "sortbench report --html friday.html --brief",
        "sortbench report --json | jq '.rows[0].targets[] | [.name, .short]'",
    ),
)
@click.option(
    "--html",
    "page",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write it to FILE; without this, into the folder reports of the bench.",
)
@click.option("--brief", is_flag=True, help="Leave the lists out: what is missing line by line, and what is spare.")
@click.option("--overwrite", is_flag=True, help="Write FILE although it holds something else.")
@json_option
@click.pass_context
def report(ctx: click.Context, page: Path | None, brief: bool, overwrite: bool, as_json: bool) -> None:
    """Write the bench down as one page for a browser: to look at, to print, to hand on.

    How far every target is filled, what lies in the bins and which overflow, shades and condition, the wash, how the
    work went, with plots; then line by line what is missing, and what is spare. The page needs nothing else: it holds
    no script, fetches nothing, prints on A4, and is dark where the browser is.

    --json prints the same figures instead of writing the page, unless --html asks for both. It is one row.
    """
    from sortbench.desks.report_desk import report_of
    from sortbench.papers.report_page import keep_report, page_of, write_report
    from sortbench.papers.report_values import mapping_of

    if overwrite and page is None:
        raise click.UsageError("--overwrite is about the file of --html; name one.", ctx)
    if brief and as_json and page is None:
        raise click.UsageError("--brief is about the page; --json has everything.", ctx)
    with opened_bench(ctx) as bench:
        with waiting("working the report out"):
            found = report_of(bench)
            mapping = mapping_of(bench, found) if as_json else {}
            text = "" if as_json and page is None else page_of(found, brief=brief)
        if page is not None:
            write_report(page, text, overwrite=overwrite)
        elif not as_json:
            page = keep_report(bench.path, text)
    if page is not None:
        say(f"Written: {page}. Open it in a browser; it prints on A4.")
    if as_json:
        answer_mappings("report", [mapping])
