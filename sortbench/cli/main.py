"""The command line: `sortbench` and its commands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from sortbench import __version__
from sortbench.cli.context import AppSettings, Session, bench_option, no_app_settings, session
from sortbench.cli.lazy import RootGroup
from sortbench.cli.start import OpenApp, folder_from_environment, start

COMMANDS = {
    "new": ("sortbench.cli.new:new", "Make a new bench."),
    "demo": ("sortbench.cli.demo:demo", "Open a filled bench to look around in."),
    "import": ("sortbench.cli.import_:import_", "Bring in lists: parts, targets, bins, offers …; counts."),
    "add": ("sortbench.cli.add:add", "Add one part, shade, target or bin."),
    "wash": ("sortbench.cli.wash:wash", "What stays out of the tub; batches on the clock."),
    "tally": ("sortbench.cli.tally:tally", "Count pieces from the shell, or write up a list."),
    "weigh": ("sortbench.cli.weigh:weigh", "Count small equal pieces by weight."),
    "judge": ("sortbench.cli.judge:judge", "Judge a colour reading against an unaged piece."),
    "photo": ("sortbench.cli.photo:photo", "Judge pieces on a photograph, and count them."),
    "treat": ("sortbench.cli.treat:treat", "Peroxide: amounts, hazards, cautions, outcomes."),
    "counts": ("sortbench.cli.counts:counts", "What was counted, heap by heap."),
    "targets": ("sortbench.cli.targets:targets", "How far each target is filled."),
    "which-sets": ("sortbench.cli.which_sets:which_sets", "Which sets the lot probably holds."),
    "library": ("sortbench.cli.which_sets:library", "Lists of sets that may turn up in a lot."),
    "reconcile": ("sortbench.cli.reconcile:reconcile", "Counts against targets: who gets what, what if, and why."),
    "uniform": ("sortbench.cli.uniform:uniform", "How alike in colour a target's pieces are."),
    "reserve": ("sortbench.cli.reserve:reserve", "Set pieces aside for a target."),
    "release": ("sortbench.cli.reserve:release", "Let pieces go that were set aside."),
    "pick": ("sortbench.cli.pick:pick", "What to take out of which bin for a target; tick it off."),
    "prices": ("sortbench.cli.prices:prices", "What holes, blemishes and treating cost; rates."),
    "plan": ("sortbench.cli.plan:plan", "The cheapest way to finish: keep, treat, move, buy."),
    "orders": ("sortbench.cli.orders:orders", "What was ordered, what came, what cannot be had."),
    "lots": ("sortbench.cli.lots:lots", "What was bought and spent; what targets cost so far."),
    "statement": ("sortbench.cli.statement:statement", "What can truly be told a buyer of a target."),
    "bins": ("sortbench.cli.bins:bins", "What lies in each bin."),
    "labels": ("sortbench.cli.labels:labels", "Labels for bins and crates, to print and to scan."),
    "spot": ("sortbench.cli.spot:spot", "Look at some pieces of a bin: is the count good?"),
    "recount": ("sortbench.cli.recount:recount", "A second person counts a bin blindly; compare."),
    "log": ("sortbench.cli.log:log", "Every record, who voided what."),
    "sitting": ("sortbench.cli.sitting:sitting", "What a sitting did: counted, filled, overflowed."),
    "records": ("sortbench.cli.records:records", "How fast it went, by way of entry; what was put right."),
    "report": ("sortbench.cli.report:report", "The whole bench as a page to look at or print."),
    "serve": ("sortbench.cli.serve:serve", "The app in a browser, here or on a tablet."),
    "pile": ("sortbench.cli.pile:pile", "Say how large the pile is, or ask."),
    "export": ("sortbench.cli.export:export", "Write the count sheet for other programs."),
    "merge": ("sortbench.cli.merge:merge", "Bring another copy of this bench into it."),
    "check": ("sortbench.cli.check:check", "Look a bench folder over, mend it."),
    "settings": ("sortbench.cli.settings:settings", "Keys and looks: where they are set, and what is."),
    "completion": ("sortbench.cli.completion:completion", "Print what a shell needs to complete commands."),
}

EPILOG = """\b
Examples:
  sortbench new autumn-lot            make a bench
  cd autumn-lot
  sortbench import targets lists.csv  bring in what is to be completed
  sortbench                           count in the app
  sortbench --plain                   count line by line, as a screen reader likes it
  sortbench tally 'pl 2x4 wh *12'     count from the shell
  sortbench export sheet              hand the counts on

\b
Exit codes:
  0    done
  1    the data says no: a bad value, an unknown name, a refused row
  2    wrong usage; no bench here; the app without a terminal
  3    the bench folder is damaged, locked, or the disk refused
  70   a fault of the program itself (SORTBENCH_TRACE=1 shows where)
  130  stopped with Ctrl+C
  141  whoever read the output went away

Data goes to standard output, all other words to standard error. Every command that reads has --json.
"""


@click.group(
    cls=RootGroup,
    lazy=COMMANDS,
    invoke_without_command=True,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--plain", is_flag=True, help="Count line by line, without a screen: for screen readers, slow links, pipes."
)
@click.version_option(__version__, prog_name="sortbench", message="%(prog)s %(version)s")
@click.pass_context
def cli(ctx: click.Context, plain: bool) -> int | None:
    """Count a drying pile of construction bricks back into complete sets.

    Without a command, the app opens on the bench in the current folder.
    """
    if ctx.invoked_subcommand is not None:
        if plain:
            raise click.UsageError(f"--plain is about counting; {ctx.invoked_subcommand} is plain already.", ctx)
        return None
    current = session(ctx)
    if plain:
        from sortbench.cli.plain import run_plain

        return run_plain(current.folder or folder_from_environment() or Path())
    return start(current.folder or folder_from_environment(), current.open_app, lambda: open_demo(ctx))


cli.params.insert(0, bench_option())


def open_demo(ctx: click.Context) -> int:
    """Build the demo in a scratch folder and open it."""
    from sortbench.cli.demo import demo

    return int(ctx.invoke(demo, keep=None) or 0)


def run(args: list[str], open_app: OpenApp, app_settings: Callable[[], AppSettings] = no_app_settings) -> int:
    """Run a command line and return its exit code.

    Args:
        args: what follows the program's name.
        open_app, app_settings: see `Session`.
    """
    return int(cli.main(args, "sortbench", standalone_mode=False, obj=Session(open_app, app_settings)))
