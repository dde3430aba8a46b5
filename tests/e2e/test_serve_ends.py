"""An app on a page ends with whoever serves it, however that ended."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

from aiohttp import ClientSession, CookieJar

from sortbench.bench import Bench
from sortbench.web.door import Door
from sortbench.web.server import BenchServer

PATIENCE_S = 60
DRIVER = "sortbench.tui.page_driver:PageDriver"


def packet(typed: str) -> bytes:
    """What is typed, as the server hands it on (textual.drivers.web_driver: a letter, four bytes of length, bytes)."""
    return b"D" + len(typed.encode()).to_bytes(4, "big") + typed.encode()


def seen(app: subprocess.Popen[bytes], words: bytes) -> None:
    """Wait until an app has sent some words."""
    assert app.stdout
    said = b""
    while words not in said:
        more = os.read(app.stdout.fileno(), 65536)
        assert more, said
        said += more


def test_an_app_whose_server_was_killed_ends_its_sitting(bench_folder: Path) -> None:
    command = [sys.executable, "-m", "sortbench", "--bench", str(bench_folder)]
    with subprocess.Popen(
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "TEXTUAL_DRIVER": DRIVER},
    ) as app:
        assert app.stdin and app.stdout and app.stderr
        try:
            seen(app, b"Signal Hut")
            app.stdin.write(packet("plate 2x4 red *4\r"))
            app.stdin.flush()
            seen(app, b"4 pieces")
            app.stdin.close()
            app.stdout.close()
            assert app.wait(PATIENCE_S) == 0, app.stderr.read()
        finally:
            app.kill()
    with Bench.open(bench_folder) as bench:
        assert bench.picture.ledger.pieces == 4


async def test_the_server_starts_apps_with_that_driver(tmp_path: Path) -> None:
    told, door = tmp_path / "environment", Door()
    async with (
        BenchServer(f"env > {shlex.quote(str(told))}", door, lambda _: None).open("127.0.0.1", 0) as port,
        ClientSession(f"http://127.0.0.1:{port}", cookie_jar=CookieJar(unsafe=True)) as browser,
    ):
        await (await browser.get("/", params={"token": door.token})).read()
        async with browser.ws_connect("/ws", headers={"Origin": f"http://127.0.0.1:{port}"}) as page:
            async for _ in page:
                pass
    assert f"TEXTUAL_DRIVER={DRIVER}" in told.read_text().splitlines()
