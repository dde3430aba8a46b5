"""`sortbench new`."""

from __future__ import annotations

from pathlib import Path

import click

from sortbench.cli.context import examples
from sortbench.cli.say import say


@click.command(
    epilog=examples(
        "sortbench new autumn-lot",
        "sortbench --bench autumn-lot import targets lists.csv",
        "sortbench --bench autumn-lot",
    )
)
@click.argument("folder", type=click.Path(path_type=Path))
def new(folder: Path) -> None:
    """Make a new bench in FOLDER, which must be empty or not there yet."""
    from sortbench.bench import Bench

    Bench.create(folder).close()
    click.echo(folder.resolve())
    say("A new bench. Bring in what it shall know: `sortbench import --help`; then count: `sortbench`.")
