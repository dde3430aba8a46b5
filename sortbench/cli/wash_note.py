"""`sortbench wash`: what notes something of a batch."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click

from sortbench.cli.context import BenchCommand, complete_from, examples, opened_bench
from sortbench.cli.say import say
from sortbench.model.wash import Stage

if TYPE_CHECKING:
    from sortbench.bench import Bench
    from sortbench.engine.washing.cautions import Caution


def batch_codes(bench: Bench) -> Iterator[tuple[str, str]]:
    """Codes of all batches with their names."""
    return ((batch.code, batch.name) for batch in bench.documents.batches.values())


code_argument = click.argument("code", metavar="BATCH", shell_complete=complete_from(batch_codes))
_at = click.option("--at", default="", metavar="TIME", help="When it was; now if not said. As 07:40, -20 or -1:30.")
_tray = click.option("--tray", default="", metavar="NAME", help="Which tray, where a batch lies on several.")
_FIGURES: tuple[tuple[str, str, str, str], ...] = (
    ("--soak", "soak_h", "HOURS", "How long it is to soak. Usual: 1.5, between 1 and 2 (common practice, no source)."),
    ("--stir", "stir_min", "MINUTES", "Time from one stirring to the next while it soaks. Usual: 20."),
    ("--drying", "drying_h", "HOURS", "How long drying usually takes here. Usual: 12, overnight."),
    ("--step", "resolution_g", "GRAMS", "The smallest step of the scale: a change below it proves nothing."),
    ("--temp", "temp_c", "CELSIUS", "Temperature of the drying room; with --humidity it adjusts the usual time."),
    ("--humidity", "rh_percent", "PERCENT", "Relative humidity of the drying room."),
)


def _figures(command: Callable[..., Any]) -> Callable[..., Any]:
    """The figures of a batch as options."""
    command = click.option("--note", default=None, metavar="TEXT", help="Anything else.")(command)
    for option, field, metavar, about in reversed(_FIGURES):
        command = click.option(option, field, type=float, metavar=metavar, help=about)(command)
    return command


def _given(figures: dict[str, Any]) -> dict[str, Any]:
    return {field: value for field, value in figures.items() if value is not None}


def say_cautions(cautions: Sequence[Caution]) -> None:
    """What to mind, each with what it rests on."""
    from sortbench.desks.wash_desk import told

    say("\nTo mind:")
    for line in told(cautions):
        say(line)


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench wash new 'whites, plates'",
        "sortbench wash new greys --soak 2 --at 09:15",
        "sortbench wash new --step 0.5 --temp 19 --humidity 55",
    ),
)
@click.argument("name", default="")
@click.option("--code", default="", metavar="CODE", help="Its code; the next free W1, W2 ... if not said.")
@_figures
@_at
@click.pass_context
def new(ctx: click.Context, /, name: str, code: str, at: str, **figures: Any) -> None:
    """Begin a batch with its soak. NAME says what is in it."""
    with opened_bench(ctx) as bench:
        desk = bench.washing
        batch = desk.new(name, code, desk.moment(at), **_given(figures))
        say(f"{batch.code}: soak from {desk.clock(batch.entries[0].at)}, {batch.soak_h:g} h")
        say_cautions(desk.cautions(Stage.SOAK))


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench wash stage W1 rinse", "sortbench wash stage W1 drying --at 11:20"),
)
@code_argument
@click.argument("stage", type=click.Choice([stage.value for stage in Stage]))
@_at
@click.pass_context
def stage(ctx: click.Context, code: str, stage: str, at: str) -> None:
    """Note that a stage of BATCH begins; the one before ends with it."""
    with opened_bench(ctx) as bench:
        desk = bench.washing
        say(desk.stage(code, Stage(stage), desk.moment(at)).text)
        if stage != Stage.DRY:
            say_cautions(desk.cautions(Stage(stage)))


@click.command(cls=BenchCommand, epilog=examples("sortbench wash stir W1", "sortbench wash stir W1 --at -5"))
@code_argument
@_at
@click.pass_context
def stir(ctx: click.Context, code: str, at: str) -> None:
    """Note that BATCH was stirred while it soaks."""
    with opened_bench(ctx) as bench:
        say(bench.washing.stirred(code, bench.washing.moment(at)).text)


@click.command(
    cls=BenchCommand, epilog=examples("sortbench wash tray W1 410", "sortbench wash tray W1 385.5 --tray big")
)
@code_argument
@click.argument("grams", type=float)
@_tray
@click.pass_context
def tray(ctx: click.Context, code: str, grams: float, tray: str) -> None:
    """Say what an empty tray of BATCH weighs, in GRAMS.

    The criterion of constant mass is a share of the pieces' mass. Without the empty weight the tray's own would count
    too and the pieces be called dry too early, so nothing is called dry then.
    """
    with opened_bench(ctx) as bench:
        say(bench.washing.tare(code, grams, tray).text)


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench wash weigh W1 1265.5", "sortbench wash weigh W1 844 --tray big --at 07:40"),
)
@code_argument
@click.argument("grams", type=float)
@_tray
@_at
@click.pass_context
def weigh(ctx: click.Context, code: str, grams: float, tray: str, at: str) -> None:
    """Note what the scale shows for a tray of BATCH while it dries: GRAMS, the tray included."""
    with opened_bench(ctx) as bench:
        desk = bench.washing
        batch = desk.find(code)
        say(desk.weigh(code, grams, tray, desk.moment(at)).text)
        say(next(row.words for row in desk.due() if row.code == batch.code))


@click.command(
    "set",
    cls=BenchCommand,
    epilog=examples("sortbench wash set W1 --soak 2", "sortbench wash set W1 --step 0.1 --temp 19 --humidity 55"),
)
@code_argument
@click.option("--name", default=None, metavar="TEXT", help="What is in it.")
@_figures
@click.pass_context
def set_(ctx: click.Context, /, code: str, **figures: Any) -> None:
    """Change a batch's name, usual times, scale or room."""
    given = _given(figures)
    if not given:
        raise click.UsageError("Say what to change; --help lists what can be.", ctx)
    with opened_bench(ctx) as bench:
        say(bench.washing.amend(code, **given).text)


@click.command(
    cls=BenchCommand,
    epilog=examples("sortbench wash strike W1", "sortbench wash strike W1 4", "sortbench wash strike W1 4 --back"),
)
@code_argument
@click.argument("number", type=int, required=False)
@click.option("--back", is_flag=True, help="Let it hold again.")
@click.pass_context
def strike(ctx: click.Context, code: str, number: int | None, back: bool) -> None:
    """Strike what was noted of BATCH by mistake: entry NUMBER, or what was noted last and holds.

    It stays on record, marked, and --back brings it back. `sortbench wash show BATCH` numbers the entries.
    """
    if back and number is None:
        raise click.UsageError("Name the number of the entry to bring back.", ctx)
    with opened_bench(ctx) as bench:
        say(bench.washing.strike(code, number, back).text)
