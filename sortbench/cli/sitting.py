"""`sortbench sitting`."""

from __future__ import annotations

import click

from sortbench.cli.context import BenchCommand, examples, json_option, opened_bench
from sortbench.cli.output import answer_mappings, write
from sortbench.cli.say import say


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench sitting",
        "sortbench sitting 20260301",
        "sortbench sitting --json | jq '.rows[0].filled'",
    ),
)
@click.argument("start", required=False, default="", metavar="[START]")
@json_option
@click.pass_context
def sitting(ctx: click.Context, start: str, as_json: bool) -> None:
    """What a sitting did: counted, how fast, what filled, what overflowed, what is due in the wash now.

    The app says the same when it is left. Without START the last sitting is meant in which pieces were counted, else
    the last whose name starts so; `sortbench records` lists them. What filled and what overflowed compares the bench
    before the sitting with the bench after it, with the lists and bins of now; what others counted meanwhile is in it.
    """
    from sortbench.desks.summary_desk import summary_of
    from sortbench.model.text import shown
    from sortbench.papers.summary_words import summary_lines, summary_mapping

    with opened_bench(ctx) as bench:
        found = summary_of(bench, start)
        line = bench.due_line()
    due = line.words if line is not None else ""
    if as_json:
        answer_mappings("sitting", [summary_mapping(found, due)] if found is not None else [])
    elif found is None:
        say("No pieces of the pile were counted yet.")
    else:
        write("".join(f"{shown(each)}\n" for each in summary_lines(found, due)))
