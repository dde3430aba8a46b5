"""Drives Chromium as a person would, by its DevTools protocol: goes to an address, types, and looks at the page.

The protocol is that of https://chromedevtools.github.io/devtools-protocol/ (domains Page, Runtime, Input, Log), known
from memory; aiohttp, which the served app needs anyway, speaks to it.
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp
from chromium import PROGRAM

PATIENCE_S = 90
_LOOK_S = 0.05


_SLOW = "task queue exceeded allotted deadline by"
"""What xterm.js warns of where the machine is busy: it says nothing of the page."""


class Page:
    """One page of a browser, and all that went wrong on it."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._calls = 0
        self.complaints: list[str] = []
        """Errors on the console, scripts that threw, and what could not be loaded."""
        self.asked_for: list[str] = []
        """Addresses that the page fetched, or connected to."""

    async def call(self, method: str, **params: Any) -> dict[str, Any]:
        """One command of the protocol; what it answers."""
        self._calls += 1
        await self._socket.send_json({"id": self._calls, "method": method, "params": params})
        while True:
            said = await asyncio.wait_for(self._socket.receive_json(), PATIENCE_S)
            if said.get("id") == self._calls:
                assert "error" not in said, f"{method}: {said['error']}"
                return dict(said["result"])
            self._note(said["method"], said["params"])

    def _note(self, event: str, params: dict[str, Any]) -> None:
        if event == "Runtime.exceptionThrown":
            self.complaints.append(str(params["exceptionDetails"]))
        elif event == "Runtime.consoleAPICalled" and params["type"] in {"error", "warning", "assert"}:
            if _SLOW not in (told := str(params["args"])):
                self.complaints.append(told)
        elif event == "Log.entryAdded" and params["entry"]["level"] == "error":
            self.complaints.append(f"{params['entry']['text']} {params['entry'].get('url', '')}")
        elif event == "Network.requestWillBeSent":
            self.asked_for.append(params["request"]["url"])
        elif event == "Network.webSocketCreated":
            self.asked_for.append(params["url"])

    async def go(self, address: str) -> None:
        """Go to an address."""
        await self.call("Page.navigate", url=address)

    async def value(self, expression: str) -> Any:
        """What an expression gives on the page."""
        found = await self.call("Runtime.evaluate", expression=expression, returnByValue=True)
        return found["result"].get("value")

    async def until(self, expression: str) -> None:
        """Wait until an expression holds on the page."""
        end = time.monotonic() + PATIENCE_S
        while not await self.value(expression):
            assert time.monotonic() < end, f"{expression} never held; {self.complaints}"
            await asyncio.sleep(_LOOK_S)

    async def type(self, text: str) -> None:
        """Type a text and Enter."""
        await self.call("Input.insertText", text=text)
        for kind in ("keyDown", "keyUp"):
            pressed = {"text": "\r"} if kind == "keyDown" else {}
            await self.call(
                "Input.dispatchKeyEvent", type=kind, key="Enter", code="Enter", windowsVirtualKeyCode=13, **pressed
            )


@asynccontextmanager
async def opened_page(profile: Path) -> AsyncIterator[Page]:
    """An empty page of a fresh Chromium without a window.

    Args:
        profile: a folder for it; a new one.
    """
    assert PROGRAM is not None
    own = ["--headless", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
    own += ["--remote-debugging-port=0", f"--user-data-dir={profile}", "--window-size=1100,700"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        own.append("--no-sandbox")  # it refuses to start for root otherwise
    with subprocess.Popen([PROGRAM, *own, "about:blank"], stderr=subprocess.DEVNULL) as browser:
        try:
            async with aiohttp.ClientSession() as session:
                pages = await _pages(session, profile / "DevToolsActivePort", browser)
                async with session.ws_connect(pages[0]["webSocketDebuggerUrl"], max_msg_size=0) as socket:
                    page = Page(socket)
                    for domain in ("Page", "Runtime", "Log", "Network"):
                        await page.call(f"{domain}.enable")
                    yield page
        finally:
            browser.terminate()
            browser.wait(PATIENCE_S)


async def _pages(session: aiohttp.ClientSession, told: Path, browser: subprocess.Popen[bytes]) -> list[dict[str, Any]]:
    """The pages of a browser that is starting, once it has written where it listens."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end and browser.poll() is None:
        if told.exists() and "\n" in (text := told.read_text()):
            async with session.get(f"http://127.0.0.1:{text.split()[0]}/json") as answer:
                if pages := [each for each in await answer.json() if each["type"] == "page"]:
                    return pages
        await asyncio.sleep(_LOOK_S)
    raise AssertionError("Chromium did not start")
