"""What every command shares: which bench folder, and how a command is built."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

import click

from sortbench.cli.start import OpenApp, folder_from_environment, no_app, require_bench
from sortbench.model.errors import UsageError

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from sortbench.bench import Bench
    from sortbench.model.settings import Found, InForce, Problem, Settings

FORMAT = 1
"""Format of every ``--json`` answer."""


class AppSettings(Protocol):
    """What the app alone knows of settings: its commands and their keys."""

    def problems(self, found: Found[Settings]) -> tuple[Problem, ...]:
        """All that is wrong with a settings file, by line."""

    def in_force(self, found: Found[Settings]) -> tuple[InForce, ...]:
        """Every setting, and every command that the file gives keys."""

    def template(self) -> str:
        """A settings file that sets nothing and names everything."""


def no_app_settings() -> AppSettings:
    """Where the app is out of reach, as in a command that is called by itself."""
    raise UsageError("The app's settings cannot be told from here.", "Call `sortbench` itself.")


@dataclass(slots=True)
class Session:
    """One call of the program.

    Attributes:
        open_app: opens the terminal app on a bench folder and returns its exit code.
        app_settings: what the app knows of settings; nothing of it is imported before it is called.
        folder: the bench folder as named by ``--bench`` or ``$SORTBENCH_BENCH``; None means the current one.
    """

    open_app: OpenApp = no_app
    app_settings: Callable[[], AppSettings] = no_app_settings
    folder: Path | None = None


def session(ctx: click.Context) -> Session:
    """The session of a call; made where a command is called by itself."""
    return ctx.ensure_object(Session)


def bench_folder(ctx: click.Context) -> Path:
    """The bench folder that a call is about.

    Raises:
        UsageError: no bench lies in it.
    """
    return require_bench(session(ctx).folder or folder_from_environment() or Path())


@contextmanager
def opened_bench(ctx: click.Context) -> Iterator[Bench]:
    """The bench of a call, open for one sitting.

    Raises:
        UsageError: no bench is there.
        BenchError: it is damaged, locked or from a newer version.
    """
    folder = bench_folder(ctx)
    from sortbench.bench import Bench

    with Bench.open(folder) as bench:
        yield bench


def _take_folder(ctx: click.Context, _: click.Parameter, value: Path | None) -> None:
    if value is not None:
        session(ctx).folder = value


def bench_option(help_text: str = "The bench folder; also $SORTBENCH_BENCH. The current folder otherwise.") -> Any:
    """The option that names the bench folder."""
    return click.Option(
        ["--bench"],
        metavar="FOLDER",
        type=click.Path(path_type=Path),
        expose_value=False,
        is_eager=True,
        callback=_take_folder,
        help=help_text,
    )


class BenchCommand(click.Command):
    """A command on a bench: ``--bench`` may stand before its name or after it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.params.append(bench_option())


def examples(*lines: str) -> str:
    """An epilog that shows how a command is called; lines stay as they are."""
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


json_option = click.option(
    "--json",
    "as_json",
    is_flag=True,
    help=f'Print {{"format": {FORMAT}, "what": ..., "rows": [...]}} with the column names of the count sheet.',
)

Complete = Callable[[click.Context, click.Parameter, str], "list[CompletionItem]"]


def complete_from(choices: Callable[[Bench], Iterator[tuple[str, str]]]) -> Complete:
    """Shell completion out of the bench: ``choices`` gives values and what they stand for."""

    def complete(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        from sortbench.model.errors import SortbenchError
        from sortbench.model.text import shown

        try:
            with opened_bench(ctx) as bench:
                found = list(choices(bench))
        except SortbenchError:
            return []
        start = incomplete.casefold()
        return [
            CompletionItem(value, help=shown(meaning))
            for value, meaning in found
            if value.casefold().startswith(start) and value == shown(value)
        ]

    return complete


def target_codes(bench: Bench) -> Iterator[tuple[str, str]]:
    """Codes of all targets with their names."""
    return ((target.code, target.name) for target in bench.documents.targets.values())


def bench_labels(bench: Bench) -> Iterator[tuple[str, str]]:
    """Labels of all bins with their rules."""
    return ((each.label, str(each.rule)) for each in bench.documents.bins)
