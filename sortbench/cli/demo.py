"""`sortbench demo`."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

import click

from sortbench.cli.context import examples, session
from sortbench.cli.progress import counting
from sortbench.cli.say import complain, say
from sortbench.cli.start import require_terminal


@click.command(
    epilog=examples(
        "sortbench demo",
        "sortbench demo --play --speed 120",
        "sortbench demo --keep try-out",
        "sortbench --bench try-out targets",
    )
)
@click.option(
    "--keep",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="Make the demo in FOLDER and leave it there; without a terminal, make it only.",
)
@click.option("--play", is_flag=True, help="Let the rest of the pile be counted by itself.")
@click.option(
    "--speed",
    type=click.FloatRange(1, 6000),
    default=60.0,
    show_default=True,
    metavar="N",
    help="With --play: pieces a minute.",
)
@click.pass_context
def demo(ctx: click.Context, keep: Path | None, play: bool, speed: float) -> int:
    """Open a filled bench: six invented sets, twenty bins, and a pile that is half counted.

    It lies in a scratch folder that is named and removed again at the end, unless --keep says where it shall stay.
    """
    open_app = session(ctx).open_app
    per_minute = speed if play else None

    def open_demo(folder: Path) -> int:
        if per_minute is None:
            return open_app(folder)
        from sortbench.demo_bench import Player

        with Player(folder, per_minute) as player:
            code = open_app(folder)
        if player.error is not None:
            complain(player.error)
        return code

    if keep is not None:
        _build(keep)
        say(f"The demo lies in {keep.resolve()}; open it again with: sortbench --bench {keep}")
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            return 0
        return open_demo(keep)
    require_terminal()
    scratch = Path(tempfile.mkdtemp(prefix="sortbench-demo-"))
    try:
        say(f"The demo lies in {scratch / 'bench'}, until you leave it; --keep FOLDER would keep it.")
        _build(scratch / "bench")
        return open_demo(scratch / "bench")
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


def _build(folder: Path) -> None:
    from sortbench.demo_bench import build_demo

    with counting("counting half the pile") as progress:
        build_demo(folder, progress)
