"""`sortbench check`."""

from __future__ import annotations

from pathlib import Path

import click

from sortbench.cli.context import BenchCommand, examples, json_option, session
from sortbench.cli.output import answer_mappings
from sortbench.cli.progress import waiting
from sortbench.cli.say import say
from sortbench.cli.start import folder_from_environment, require_bench
from sortbench.model.text import shown

_TRACES = "Every record is sound; a crash left traces that do no harm."


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench check", "sortbench check --repair", "sortbench --bench autumn-lot check --json"),
)
@click.option("--repair", is_flag=True, help="Keep every sound record and move damaged bytes aside.")
@json_option
@click.pass_context
def check(ctx: click.Context, repair: bool, as_json: bool) -> int:
    """Look the bench folder over: documents, logs, what a crash left.

    Changes nothing unless told to --repair; a repair loses nothing that can be read. Exit code 3 if something is
    damaged and stays so.
    """
    from sortbench.upkeep import Severity
    from sortbench.upkeep import check as look_over
    from sortbench.upkeep import repair as mend

    folder = session(ctx).folder or folder_from_environment() or Path()
    if not (folder / "bench.json").exists() and not (folder / "tallies").is_dir():
        require_bench(folder)
    with waiting("reading all logs"):
        done = mend(folder) if repair else []
        findings = done if repair else look_over(folder)
        left = look_over(folder) if repair else findings
    damaged = any(finding.severity not in (Severity.NOTE, Severity.TRACE) for finding in left)
    traces = any(finding.severity is Severity.TRACE for finding in left)
    if as_json:
        answer_mappings(
            "findings",
            [
                {
                    "file": str(finding.file),
                    "where": finding.where or None,
                    "severity": finding.severity.value,
                    "finding": finding.what,
                    "mend": finding.mend or None,
                }
                for finding in findings
            ],
        )
    else:
        for finding in findings:
            place = ", ".join(filter(None, (str(finding.file), finding.where)))
            click.echo(shown(f"{finding.severity.value}: {place}: {finding.what}"))
            if finding.mend:
                click.echo(shown(f"    {finding.mend}"))
        say("Something is damaged." if damaged else "The bench is sound." if not traces else _TRACES)
    return 3 if damaged else 0
