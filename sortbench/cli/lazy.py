"""A command group whose commands are imported only when they are called."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import click

from sortbench.cli.say import NO_READER, STOPPED, complain, fault, say
from sortbench.model.errors import SortbenchError, WriteError


class LazyGroup(click.Group):
    """Commands by name; each entry says where it lies and what it is for, so that the list of commands imports none.

    Args:
        lazy: name -> (``module:attribute``, one line of help).
    """

    def __init__(self, *args: Any, lazy: Mapping[str, tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lazy = dict(lazy)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order in which they were given: the order of the work."""
        return [*self.commands, *self.lazy]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A command, imported now."""
        if cmd_name not in self.lazy:
            return super().get_command(ctx, cmd_name)
        module, _, attribute = self.lazy[cmd_name][0].partition(":")
        command = getattr(importlib.import_module(module), attribute)
        assert isinstance(command, click.Command), f"{module}:{attribute} is no command"
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, importing none."""
        with formatter.section("Commands"):
            own = [(name, command.get_short_help_str(80)) for name, command in self.commands.items()]
            formatter.write_dl(own + [(name, about) for name, (_, about) in self.lazy.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click, but the names that are not imported yet are proposed too where one is mistyped."""
        name = args[0]
        if not name.startswith("-") and not ctx.resilient_parsing and self.get_command(ctx, name) is None:
            import difflib

            near = difflib.get_close_matches(name, self.list_commands(ctx), 1)
            hint = f" Did you mean {near[0]!r}?" if near else ""
            raise click.UsageError(f"There is no command {name!r}.{hint}", ctx)
        return super().resolve_command(ctx, args)


class RootGroup(LazyGroup):
    """The program itself: turns every way to fail into words on standard error and an exit code."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run what was called; a reader of standard output that goes away ends it quietly."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            # What is still buffered must not be tried again when the interpreter ends.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return NO_READER
        return result

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command line; leaves the process by its exit code unless ``standalone_mode`` is false."""
        parent: Callable[..., Any] = super().main
        code = 0
        try:
            result = parent(args, prog_name, complete_var, standalone_mode=False, **extra)
            code = result if isinstance(result, int) else 0
        except SortbenchError as error:
            code = complain(error)
        except click.ClickException as error:
            code = _misused(error)
        except click.Abort:
            say("stopped")
            code = STOPPED
        except OSError as error:
            code = complain(
                WriteError(f"The system refused: {error}.", "Make room, or mend the rights, and try again.")
            )
        except Exception as error:
            code = fault(error)
        if not standalone_mode:
            return code
        sys.exit(code)


def _misused(error: click.ClickException) -> int:
    """Say how a command was called wrongly; the exit code to leave with."""
    if isinstance(error, click.UsageError) and error.ctx is not None:
        say(error.ctx.get_usage())
        say(f"Try '{error.ctx.command_path} --help'.\n")
    say(f"sortbench: {error.format_message()}")
    return 2 if isinstance(error, click.UsageError) else error.exit_code
