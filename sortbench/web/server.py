"""Serves one bench to browsers: textual-serve runs the app for each page, this decides who gets one.

Every address of it but the door needs the pass that the door gives (see `Door`). The web socket, which is what counts,
also refuses pages of other origins: a browser sends our pass along with what any page of this machine's asks for.
"""

from __future__ import annotations

import asyncio
import contextlib
import signal
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

import textual_serve
from aiohttp import WSCloseCode, WSMessage, WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from sortbench.web.door import Door

MOST_APPS = 8
"""Pages that may show the app at the same time; each is a process of its own, and a sitting of its own."""

_HERE = Path(__file__).parent
_TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
_SIZES = range(1, 1000)
"""Columns and lines that a page may ask for."""
_BEAT_S = 15.0
"""A browser that does not answer so long is gone, and its sitting ends."""
_DRIVER = "sortbench.tui.page_driver:PageDriver"
"""What makes the app write to a page, and end where the server was killed."""
_LAST_WORDS_S = 5.0
"""How long the apps get to end when the program does."""

_SAFE = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "font-src 'self'; img-src 'self' data:; connect-src 'self' ws: wss:; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class _App(AppService):
    """The app of one page. When it is over, however that came, the page is told."""

    def _build_environment(self, width: int = 80, height: int = 24) -> dict[str, str]:
        """As textual-serve has it, but with a driver of ours. A private method; without it Textual's own is taken."""
        return {**super()._build_environment(width, height), "TEXTUAL_DRIVER": _DRIVER}

    async def run(self) -> None:
        """As textual-serve has it, and then the web socket is closed."""
        try:
            await super().run()
            if self._process is not None:
                await self._process.wait()  # else the loop may end before it knows that the process did
        finally:
            await self.remote_close()


class BenchServer:
    """Serves the app.

    Args:
        command: starts the app, as a shell takes it.
        door: who may come in.
        came_in: is told from which address a browser was let in.
    """

    def __init__(self, command: str, door: Door, came_in: Callable[[str], None]) -> None:
        self._command = command
        self._door = door
        self._came_in = came_in
        self._sockets: set[web.WebSocketResponse] = set()
        self._downloads = DownloadManager()
        self._cookie = "sortbench"

    @contextlib.asynccontextmanager
    async def open(self, address: str, port: int) -> AsyncIterator[int]:
        """Answer at an address as long as the context lasts.

        Args:
            address: of this machine.
            port: 0 for any that is free.

        Yields:
            The port.

        Raises:
            OSError: the address is not this machine's, or the port is taken.
        """
        runner = web.AppRunner(self._application(), access_log=None, shutdown_timeout=_LAST_WORDS_S)
        await runner.setup()
        try:
            await web.TCPSite(runner, address, port).start()
            answers_at = int(runner.addresses[0][1])
            # Cookies know no ports: two benches served by one machine must not take each other's for theirs.
            self._cookie = f"sortbench-{answers_at}"
            yield answers_at
        finally:
            await runner.cleanup()

    def _application(self) -> web.Application:
        application = web.Application(middlewares=[self._guard])
        static = Path(textual_serve.__file__).parent / "static"
        application.add_routes(
            [
                web.get("/", self._front, allow_head=False),
                web.get("/page.css", self._own_file),
                web.get("/page.js", self._own_file),
                web.get("/ws", self._socket),
                web.static("/static", static),
            ]
        )
        application.on_shutdown.append(self._close_sockets)
        return application

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Nobody gets past the door without a pass."""
        if request.path != "/" and not self._has_pass(request):
            raise web.HTTPForbidden(text="The door is at /.", headers=_SAFE)
        return await handler(request)

    def _has_pass(self, request: web.Request) -> bool:
        return self._door.knows(request.cookies.get(self._cookie, ""))

    async def _front(self, request: web.Request) -> web.StreamResponse:
        """The app's page for who has a pass, the door for all others."""
        if self._has_pass(request):
            return _file("page.html")
        said = request.query.get("token", "")
        carried = self._door.admit(said)
        if carried is None:
            words = "Type the token that stands where the bench is served from."
            if said:
                words = f"That token is not the one, or was used already. {words}"
            return _file("door.html", status=403, words=words)
        self._came_in(request.remote or "")
        # Sent on, so that the token stays in no address line.
        answer = web.Response(status=303, headers={**_SAFE, "Location": "/"})
        answer.set_cookie(self._cookie, carried, httponly=True, samesite="Lax", path="/")
        return answer

    async def _own_file(self, request: web.Request) -> web.StreamResponse:
        return _file(request.path.removeprefix("/"))

    async def _socket(self, request: web.Request) -> web.StreamResponse:
        """Run the app for one page."""
        if request.headers.get("Origin", "").partition("://")[2] != request.host:
            raise web.HTTPForbidden(text="Pages of other origins are not served.", headers=_SAFE)
        if len(self._sockets) >= MOST_APPS:
            raise web.HTTPServiceUnavailable(text=f"{MOST_APPS} pages show the bench already.", headers=_SAFE)
        socket = web.WebSocketResponse(heartbeat=_BEAT_S)
        self._sockets.add(socket)
        try:
            await socket.prepare(request)
            await self._run_app(socket, _size(request, "width", 80), _size(request, "height", 24))
        finally:
            self._sockets.discard(socket)
        return socket

    async def _run_app(self, socket: web.WebSocketResponse, width: int, height: int) -> None:
        async def write_bytes(data: bytes) -> None:
            with contextlib.suppress(ConnectionError):
                await socket.send_bytes(data)

        async def write_str(data: str) -> None:
            with contextlib.suppress(ConnectionError):
                await socket.send_str(data)

        async def close() -> None:
            await socket.close()

        app = _App(
            self._command,
            write_bytes=write_bytes,
            write_str=write_str,
            close=close,
            download_manager=self._downloads,
        )
        await app.start(width, height)
        try:
            async for message in socket:
                if message.type == WSMsgType.TEXT:
                    await _hand_on(app, socket, message)
        finally:
            await app.stop()

    async def _close_sockets(self, _: web.Application) -> None:
        for socket in tuple(self._sockets):
            await socket.close(code=WSCloseCode.GOING_AWAY)


async def _hand_on(app: AppService, socket: web.WebSocketResponse, message: WSMessage) -> None:
    """Hand what a page says on to its app; what is no such thing is passed over."""
    try:
        said = message.json()
    except ValueError:
        return
    match said:
        case ["stdin", str(typed)]:
            await app.send_bytes(typed.encode("utf-8", "replace"))
        case ["resize", {"width": int(width), "height": int(height)}] if width in _SIZES and height in _SIZES:
            await app.set_terminal_size(width, height)
        case ["ping", str() | int() | float() as mark]:
            await socket.send_json(["pong", mark])
        case ["focus", *_]:
            await app.focus()
        case ["blur", *_]:
            await app.blur()


def _size(request: web.Request, name: str, usual: int) -> int:
    said = request.query.get(name, "")
    return int(said) if said.isascii() and said.isdecimal() and len(said) < 5 and int(said) in _SIZES else usual


def _file(name: str, status: int = 200, words: str = "") -> web.Response:
    path = _HERE / name
    text = path.read_text("utf-8").replace("WORDS", words)
    return web.Response(text=text, status=status, content_type=_TYPES[path.suffix], headers=_SAFE)


async def serve(server: BenchServer, address: str, port: int, ready: Callable[[str, int], None]) -> None:
    """Serve until the program is told to stop.

    Args:
        ready: is told, once browsers are answered, at which address and port.

    Raises:
        OSError: the address is not this machine's, or the port is taken.
    """
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for each in ("SIGINT", "SIGTERM", "SIGHUP"):
        # Windows lacks some of them and all handlers; there Ctrl+C ends the loop by itself.
        with contextlib.suppress(AttributeError, NotImplementedError):
            loop.add_signal_handler(getattr(signal, each), stop.set)
    async with server.open(address, port) as answers_at:
        ready(await reached_at(address), answers_at)
        await stop.wait()


async def reached_at(address: str) -> str:
    """The address that other devices use: itself, or for "all addresses" the one that this machine's network knows."""
    far = {"0.0.0.0": "192.0.2.1", "::": "2001:db8::1"}.get(address)  # for documentation only: RFC 5737, RFC 3849
    if far is None:
        return address
    try:
        # Nothing is sent: the system is only asked which of its addresses it would take.
        asked = asyncio.get_running_loop().create_datagram_endpoint(asyncio.DatagramProtocol, remote_addr=(far, 9))
        transport, _ = await asked
    except OSError:
        return address
    found: str = transport.get_extra_info("sockname")[0]
    transport.close()
    return found
