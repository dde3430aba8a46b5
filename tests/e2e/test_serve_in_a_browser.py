"""The app in a real browser: pieces typed on a page stand in the bench. Skipped where there is no Chromium."""

from __future__ import annotations

import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import aiohttp
import pytest
from chromium import MISSING, PROGRAM
from driven_browser import PATIENCE_S, opened_page

from sortbench.bench import Bench

pytestmark = pytest.mark.skipif(PROGRAM is None, reason=MISSING)

STANDS = "document.body && document.body.classList.contains('-first-byte')"
ENDED = "document.body.classList.contains('-closed')"


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """A bench served at a free port: the link that lets one browser in, and the program."""
    command = [sys.executable, "-m", "sortbench", "--bench", str(folder), "serve", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
        try:
            assert program.stdout is not None
            yield program.stdout.readline().strip(), program
        finally:
            program.terminate()
            program.wait(PATIENCE_S)


@pytest.fixture
def profile(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A profile for the browser, which is removed: it is large."""
    folder = tmp_path_factory.mktemp("chromium")
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


def counted(folder: Path) -> int:
    with Bench.open(folder) as bench:
        return bench.picture.ledger.pieces


async def test_what_is_typed_on_a_page_is_counted_and_nothing_comes_from_elsewhere(
    bench_folder: Path, profile: Path
) -> None:
    with served(bench_folder) as (link, program):
        home = re.match(r"http://127\.0\.0\.1:\d+/", link)
        assert home, link
        async with opened_page(profile) as page:
            await page.go(link)
            await page.until(STANDS)
            await page.until("document.activeElement.tagName == 'TEXTAREA'")
            await page.type("plate 2x4 red *4")
            await page.type("brick 2x4 red *2")
            # The page is told that the program ends; what was typed before has been counted by then.
            await page.call("Input.dispatchKeyEvent", type="keyDown", key="F10", code="F10", windowsVirtualKeyCode=121)
            await page.until(ENDED)
            assert counted(bench_folder) == 6
            assert await page.value("location.href") == home[0], "the token is in no address"
            elsewhere = [each for each in page.asked_for if not each.split("//")[1].startswith(home[0].split("//")[1])]
            assert (page.complaints, elsewhere) == ([], [])
        async with aiohttp.ClientSession() as another, another.get(link) as answer:
            assert answer.status == 403, "the link was used"
        program.send_signal(signal.SIGINT)
        assert program.wait(PATIENCE_S) == 0
