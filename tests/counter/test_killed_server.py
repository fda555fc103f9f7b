"""The server dies between taking a sale and answering: a real process, really killed."""

import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browsing import PHONE, Faults
from tests.counter.steps import opened, pay_exactly, sent, tile
from vendor.settings import BASE_DIR

pytestmark = [pytest.mark.browser, pytest.mark.sqlite]

PROGRAM = [sys.executable, "-m", "tests.counter.dying_server"]


class Served:
    """A data folder, and the processes that serve it one after the other on one port."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with closing(socket.socket()) as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        self.site = f"http://localhost:{self.port}"
        self.env = {
            **{name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
            "WAREBOARD_DATA": str(folder),
            "DJANGO_SETTINGS_MODULE": "vendor.settings",
        }
        laid = subprocess.run(
            [*PROGRAM, "lay out"], cwd=BASE_DIR, env=self.env, check=True, capture_output=True
        )
        self.session = laid.stdout.decode()

    def start(self, stack: ExitStack) -> "subprocess.Popen[bytes]":
        """Start a process, and wait until it answers."""
        process = subprocess.Popen([*PROGRAM, str(self.port)], cwd=BASE_DIR, env=self.env)
        stack.callback(process.wait)
        stack.callback(process.kill)
        for _ in range(300):
            try:
                urllib.request.urlopen(f"{self.site}/login/", timeout=5).close()
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
            else:
                return process
        raise AssertionError("The server did not start.")

    def sales(self) -> list[tuple[int, int]]:
        """Return the number and the pieces of each sale in the books, read past the program."""
        with closing(sqlite3.connect(self.folder / "wareboard.sqlite3")) as books:
            return books.execute("SELECT number, pieces FROM counter_sale ORDER BY id").fetchall()


@pytest.fixture
def served(tmp_path: Path) -> Served:
    """A stall that is on today, in books of its own."""
    return Served(tmp_path)


@pytest.fixture
def stack() -> Iterator[ExitStack]:
    """What ends with the test."""
    with ExitStack() as ending:
        yield ending


def test_a_server_that_is_killed_after_taking_a_sale_takes_it_once(
    served: Served,
    stack: ExitStack,
    new_context: Callable[..., BrowserContext],
    faults: Faults,
) -> None:
    """Written in the books, never answered; another process hears of it again, and has it."""
    faults.allow("ERR_EMPTY_RESPONSE|ERR_CONNECTION|Failed to load resource|request failed")
    first = served.start(stack)
    context = new_context(base_url=served.site, locale="en-US", **PHONE)
    faults.watch(context)
    cookie: Any = {"name": "sessionid", "value": served.session, "url": served.site}
    context.add_cookies([cookie])
    page: Page = context.new_page()
    opened(page)
    (served.folder / "die").touch()
    tile(page, "Tumbler").tap()
    pay_exactly(page)
    assert first.wait(timeout=30) == -signal.SIGKILL
    expect(page.locator("#state")).to_contain_text("1 sale kept on this device")
    assert served.sales() == [(1, 1)], "it was taken before the process died"
    served.start(stack)
    page.reload()
    sent(page)
    expect(page.locator("#log li")).to_have_count(1)
    expect(page.locator("#log")).to_contain_text("1: 1 × Tumbler, celadon")
    expect(tile(page, "Tumbler")).to_contain_text("9 left")
    tile(page, "Berry bowl").tap()
    pay_exactly(page)
    sent(page)
    assert served.sales() == [(1, 1), (2, 1)]
    page.goto("about:blank")
