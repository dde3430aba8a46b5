"""`sortbench serve`."""

from __future__ import annotations

import ipaddress
import os
import sys
from contextlib import redirect_stdout, suppress
from typing import TextIO

import click

from sortbench.cli.context import BenchCommand, bench_folder, examples
from sortbench.cli.say import say
from sortbench.cli.start import BENCH_VARIABLE
from sortbench.model.errors import UsageError
from sortbench.own_command import app_command

USUAL_PORT = 8790

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
LOOPBACK = ipaddress.IPv4Address("127.0.0.1")


def _read_address(ctx: click.Context, param: click.Parameter, value: str | None) -> Address:
    if value is None:
        return LOOPBACK
    try:
        return ipaddress.ip_address(value)
    except ValueError:
        raise click.BadParameter(f"{value[:60]!r} is no address; say numbers, as 192.168.1.20.", ctx, param) from None


@click.command(
    cls=BenchCommand,
    epilog=examples(
        "sortbench serve",
        "sortbench serve --bench autumn-lot --address 192.168.1.20",
    ),
)
@click.option(
    "--address",
    metavar="ADDRESS",
    callback=_read_address,
    help="Answer at this address of this machine, for other devices of its network, as a tablet by the sink. Without "
    "it only browsers on this machine are answered.",
)
@click.option(
    "--port", type=click.IntRange(0, 65535), default=USUAL_PORT, show_default=True, help="The port; 0 for any."
)
@click.pass_context
def serve(ctx: click.Context, address: Address, port: int) -> None:
    """Show the app in a browser, until Ctrl+C.

    Prints the link to open. Its token lets one browser in, once; then the link for one more is printed. Each page is a
    sitting of its own on the same bench, and whatever it shows as counted is on disk here. A page that is closed or
    loses its network ends its sitting; loaded again, it begins another.

    The connection is not encrypted: who listens in the same network can read it and could take it over. Use --address
    only in a network whose people you trust. Add ?letters=20 to the address for larger letters.

    Needs three packages: `pip install 'sortbench[serve]'`.
    """
    folder = bench_folder(ctx).resolve()
    try:
        from sortbench.web.door import Door
        from sortbench.web.server import BenchServer
        from sortbench.web.server import serve as serve_until_stopped
    except ModuleNotFoundError as error:
        package = (error.name or "textual-serve").replace("_", "-")
        raise UsageError(
            f"Showing the app in a browser needs the package {package}, which is not installed.",
            "Install it: pip install 'sortbench[serve]' (or pip install textual-serve).",
        ) from None
    import asyncio

    # The folder goes by the environment: no name ever stands in a line that a shell reads.
    os.environ[BENCH_VARIABLE] = str(folder)
    door = Door()
    links = _Links(sys.stdout, with_squares=not address.is_loopback)

    def came_in(where: str) -> None:
        say(f"A browser at {where} was let in. For one more:")
        links.say(door.token)

    def ready(reached: str, at: int) -> None:
        links.begin = f"http://{f'[{reached}]' if ':' in reached else reached}:{at}/"
        say(f"The bench {folder.name} is served; Ctrl+C ends it.")
        if not address.is_loopback:
            say("Who has the link may count, and what goes through it is not encrypted. Open it on the tablet:")
        links.say(door.token)

    server = BenchServer(app_command(), door, came_in)
    try:
        # What an app says at its end is no data; textual-serve would print it among the links.
        with redirect_stdout(sys.stderr):
            asyncio.run(serve_until_stopped(server, str(address), port, ready))
    except OSError as error:
        raise UsageError(
            f"{address}, port {port} cannot be served: {error.strerror or error}.",
            "Another program may have that port (--port 0 takes any), or the address is not this machine's.",
        ) from None
    except KeyboardInterrupt:
        pass


class _Links:
    """Says the link for the next browser.

    Args:
        out: where to; data, unlike all other words.
        with_squares: draw each as a code for a camera too, where a person looks on.
    """

    def __init__(self, out: TextIO, with_squares: bool) -> None:
        self._out = out
        self._with_squares = with_squares and sys.stderr.isatty()
        self.begin = ""

    def say(self, token: str) -> None:
        link = f"{self.begin}?token={token}"
        click.echo(link, self._out)
        if self._with_squares:
            from sortbench.papers.link_square import square_lines

            with suppress(UsageError):  # the package for codes is not installed; the link will do
                say("\n".join(square_lines(link)))
