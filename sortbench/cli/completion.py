"""`sortbench completion`."""

from __future__ import annotations

import click

from sortbench.cli.context import examples


@click.command(
    epilog=examples(
        "sortbench completion bash > ~/.local/share/bash-completion/completions/sortbench",
        "sortbench completion zsh > ~/.zfunc/_sortbench",
        "sortbench completion fish > ~/.config/fish/completions/sortbench.fish",
    )
)
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def completion(ctx: click.Context, shell: str) -> None:
    """Print the script with which SHELL completes commands, options, bin labels and target codes.

    For one session of bash: eval "$(sortbench completion bash)"
    """
    from click.shell_completion import get_completion_class

    found = get_completion_class(shell)
    assert found is not None, "click knows all three shells"
    root = ctx.find_root()
    click.echo(found(root.command, {}, "sortbench", "_SORTBENCH_COMPLETE").source())
