"""The app in a browser: who is let in, what a page gets, and the command that serves it."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import subprocess
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from aiohttp import ClientSession, CookieJar, WSMsgType, WSServerHandshakeError
from small_bench import ticking

from sortbench.bench import Bench
from sortbench.own_command import app_command
from sortbench.papers.link_square import square_lines
from sortbench.web import server as web_server
from sortbench.web.door import TOKEN_LETTERS, Door
from sortbench.web.server import BenchServer, reached_at

PATIENCE_S = 60


class TestDoor:
    def test_a_token_lets_one_browser_in_once(self) -> None:
        door = Door()
        token = door.token
        carried = door.admit(token)
        assert carried and door.knows(carried)
        assert door.admit(token) is None and door.token != token
        other = door.admit(door.token)
        assert other and other != carried and door.knows(carried) and door.knows(other)

    def test_it_may_be_typed_as_people_type(self) -> None:
        door = Door()
        assert door.admit(f"  {door.token.upper().replace('-', ' ')} ")

    @pytest.mark.parametrize("said", ["", "-", "x", "ß" * 10, "\ud800", "\x00", "2" * 10_000])
    def test_nothing_else_does(self, said: str) -> None:
        door = Door()
        token = door.token
        assert door.admit(said) is None and not door.knows(said) and not door.knows(token)
        assert door.token == token

    def test_tokens_are_no_two_alike_and_have_no_letters_that_look_alike(self) -> None:
        tokens = {Door().token for _ in range(500)}
        assert len(tokens) == 500
        assert all(re.fullmatch(rf"[2-9a-hj-km-np-z-]{{{TOKEN_LETTERS + 1}}}", token) for token in tokens)


class Served:
    """A served bench and its door."""

    def __init__(self, door: Door, port: int, came_in: list[str]) -> None:
        self.door = door
        self.came_in = came_in
        self.url = f"http://127.0.0.1:{port}"

    async def status(self, session: ClientSession, path: str) -> int:
        async with session.get(f"{self.url}{path}", allow_redirects=False) as answer:
            return answer.status

    async def let_in(self, session: ClientSession) -> None:
        assert await self.status(session, f"/?token={self.door.token}") == 303

    async def refused(self, session: ClientSession, origin: str | None) -> int:
        """The status that a web socket is refused with."""
        with pytest.raises(WSServerHandshakeError) as error:
            await session.ws_connect(f"{self.url}/ws", headers={"Origin": origin} if origin is not None else {})
        return error.value.status


@pytest.fixture
async def served(bench_folder: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[Served]:
    monkeypatch.setenv("SORTBENCH_BENCH", str(bench_folder))
    door, came_in = Door(), list[str]()
    async with BenchServer(app_command(), door, came_in.append).open("127.0.0.1", 0) as port:
        yield Served(door, port, came_in)


@pytest.fixture
async def browser() -> AsyncIterator[ClientSession]:
    """Asks as a browser does; keeps cookies, of addresses in numbers too."""
    async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as session:
        yield session


PATHS = ("/", "/page.js", "/page.css", "/static/js/textual.js", "/static/", "/ws", "/none", "/?token=", "/?token=x")


class TestPages:
    async def test_without_a_pass_there_is_the_door_and_nothing_else(
        self, served: Served, browser: ClientSession
    ) -> None:
        assert {path: await served.status(browser, path) for path in PATHS} == dict.fromkeys(PATHS, 403)
        for origin in (served.url, "http://elsewhere.example", None):
            assert await served.refused(browser, origin) == 403
        async with browser.get(served.url) as door:
            assert "Type the token" in await door.text()
        async with browser.get(f"{served.url}/?token=%3Cscript%3E") as door:
            told = await door.text()
        assert "used already" in told and "<script" not in told
        assert not served.came_in

    async def test_a_token_opens_it_to_one_browser(self, served: Served, browser: ClientSession) -> None:
        link = f"{served.url}/?token={served.door.token}"
        async with browser.get(link, allow_redirects=False) as answer:
            assert (answer.status, answer.headers["Location"]) == (303, "/")
            assert re.fullmatch(
                rf"sortbench-{answer.url.port}=[\w-]{{40,}}; HttpOnly; Path=/; SameSite=Lax",
                answer.headers["Set-Cookie"],
            )
        assert served.came_in == ["127.0.0.1"]
        for path in ("/", "/page.js", "/page.css", "/static/js/textual.js"):
            assert await served.status(browser, path) == 200
        for path in ("/static/", "/none", "/static/../server.py", "/static/%2e%2e/server.py", "/server.py"):
            assert await served.status(browser, path) in (403, 404)
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as other:
            async with other.get(link) as answer:
                assert answer.status == 403
            assert await served.refused(other, served.url) == 403

    async def test_the_page_asks_nobody_else_for_anything(self, served: Served, browser: ClientSession) -> None:
        await served.let_in(browser)
        async with browser.get(served.url) as page:
            text = await page.text()
            policy = page.headers["Content-Security-Policy"]
        assert "//" not in re.sub(r"<!DOCTYPE[^>]*>", "", text) and "default-src 'none'" in policy
        assert not re.search(r"https?:|\*", policy)

    async def test_pages_of_other_origins_cannot_use_a_pass(self, served: Served, browser: ClientSession) -> None:
        """RFC 6455, 10.2: servers verify the Origin field, for browsers send cookies along with anybody's socket."""
        await served.let_in(browser)
        neighbour = served.url[:-1] + str((int(served.url[-1]) + 1) % 10)
        for origin in ("http://elsewhere.example", "null", "", neighbour, f"{served.url}.elsewhere.example", None):
            assert await served.refused(browser, origin) == 403


async def until(socket: object, pattern: str) -> str:
    """What a page is sent, until it has a pattern in it."""
    text = ""
    async with asyncio.timeout(PATIENCE_S):
        async for message in socket:  # type: ignore[attr-defined]
            if message.type == WSMsgType.BINARY:
                text += message.data.decode()
            elif message.type == WSMsgType.TEXT:
                text += message.data
            if re.search(pattern, text):
                return text
    raise AssertionError(f"closed before {pattern}: {text[-2000:]}")


class TestApp:
    async def test_what_a_page_types_is_counted(
        self, served: Served, browser: ClientSession, bench_folder: Path
    ) -> None:
        await served.let_in(browser)
        url = f"{served.url}/ws?width=100&height=30"
        async with browser.ws_connect(url, headers={"Origin": served.url}) as page:
            await until(page, "Signal Hut")
            for rubbish in ("", "[", "[]", "{}", '["stdin"]', '["stdin", 7]', '["resize", {"width": -1}]', '["x", 1]'):
                await page.send_str(rubbish)
            await page.send_json(["resize", {"width": 80, "height": 24}])
            await page.send_json(["ping", 12.5])
            await until(page, r"\[\"pong\", 12.5\]")
            await page.send_json(["focus"])
            await page.send_json(["stdin", "plate 2x4 red *3\r"])
            await until(page, "3 pieces")
            with Bench.open(bench_folder, ticking()) as bench:
                assert bench.picture.ledger.pieces == 3
            await page.send_json(["stdin", "\x1b[21~"])  # F10
            async with asyncio.timeout(PATIENCE_S):
                async for _ in page:
                    pass
            assert page.closed

    async def test_a_page_is_told_where_the_app_does_not_start(
        self, served: Served, browser: ClientSession, bench_folder: Path
    ) -> None:
        (bench_folder / "bench.json").write_text("{", "utf-8")
        await served.let_in(browser)
        async with browser.ws_connect(f"{served.url}/ws", headers={"Origin": served.url}) as page:
            async with asyncio.timeout(PATIENCE_S):
                async for _ in page:
                    pass
            assert page.closed

    async def test_not_more_than_so_many_pages(
        self, served: Served, browser: ClientSession, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(web_server, "MOST_APPS", 1)
        await served.let_in(browser)
        async with browser.ws_connect(f"{served.url}/ws", headers={"Origin": served.url}) as page:
            await until(page, "Signal Hut")
            assert await served.refused(browser, served.url) == 503


def serving(folder: Path, *args: str, **env: str) -> subprocess.Popen[str]:
    """The command in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "sortbench", "--bench", str(folder), "serve", *args],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "SORTBENCH_BENCH": "/nowhere", **env},
    )


class TestCommand:
    def test_it_serves_this_machine_alone_until_it_is_stopped(self, bench_folder: Path) -> None:
        with serving(bench_folder, "--port", "0") as server:
            assert server.stdout is not None
            link = server.stdout.readline()
            assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=\w{5}-\w{5}\n", link)
            taken = serving(bench_folder, "--port", re.split("[:/]", link)[4])
            said = taken.communicate(timeout=PATIENCE_S)[1]
            assert taken.returncode == 2 and "cannot be served" in said
            server.send_signal(signal.SIGINT)
            out, said = server.communicate(timeout=PATIENCE_S)
        assert (server.returncode, out) == (0, "") and said == "The bench bench is served; Ctrl+C ends it.\n"

    @pytest.mark.parametrize(
        ("args", "said"),
        [
            (("--address", "everybody"), "is no address"),
            (("--address", "192.168.1.20; reboot"), "is no address"),
            (("--address", "192.0.2.1"), "cannot be served"),  # for documentation only (RFC 5737): nobody's
            (("--port", "70000"), "70000"),
        ],
    )
    def test_where_it_cannot_serve_it_says_so(self, bench_folder: Path, args: tuple[str, ...], said: str) -> None:
        server = serving(bench_folder, *args)
        assert said in server.communicate(timeout=PATIENCE_S)[1] and server.returncode == 2

    @pytest.mark.parametrize("missing", ["textual_serve", "aiohttp"])
    def test_without_its_packages_it_says_how_to_get_them(self, bench_folder: Path, missing: str) -> None:
        code = f"import sys; sys.modules[{missing!r}] = None; from sortbench.__main__ import main; main()"
        call = [sys.executable, "-c", code, "--bench", str(bench_folder), "serve"]
        done = subprocess.run(call, capture_output=True, text=True, timeout=PATIENCE_S)
        assert done.returncode == 2 and done.stdout == ""
        assert f"needs the package {missing.replace('_', '-')}, which is not installed" in done.stderr
        assert "pip install 'sortbench[serve]'" in done.stderr

    def test_without_a_bench_nothing_is_served(self, tmp_path: Path) -> None:
        server = serving(tmp_path)
        assert "No bench lies in" in server.communicate(timeout=PATIENCE_S)[1] and server.returncode == 2

    def test_without_its_packages_it_says_which_to_install(self, bench_folder: Path, tmp_path: Path) -> None:
        (tmp_path / "textual_serve.py").write_text("raise ModuleNotFoundError(name='textual_serve')", "utf-8")
        server = serving(bench_folder, PYTHONPATH=str(tmp_path))
        said = server.communicate(timeout=PATIENCE_S)[1]
        assert server.returncode == 2 and "the package textual-serve, which" in said and "pip install" in said

    async def test_the_address_for_other_devices(self) -> None:
        assert await reached_at("192.168.1.20") == "192.168.1.20"
        assert re.fullmatch(r"\d+(\.\d+){3}", await reached_at("0.0.0.0"))


def test_a_camera_reads_the_link_off_the_terminal() -> None:
    link = "http://192.168.178.120:8790/?token=abcde-fgh23"
    pixels = [[255 * (char in lit) for char in line] for line in square_lines(link) for lit in ("█▀", "█▄")]
    found = zxingcpp.read_barcodes(np.kron(np.array(pixels, np.uint8), np.ones((4, 4), np.uint8)))
    assert [each.text for each in found] == [link]
