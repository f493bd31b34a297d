"""What browser tests share: one Chromium, a served folder with people in it, and windows that are watched."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from backstay.workbench.access.passwords import Cost
from backstay.workbench.access.people import People, Role

PATIENCE = 40_000
"""ms that a page may take: other tests share the machine."""
SEARCH = 180_000
"""ms that the search of slip surfaces may take: one at a time, after those of other tests."""
PASSWORD = "seven wooden sleepers"
QUICK = Cost(n=2**10)
"""Of the passwords in tests: how dear they are to guess is tested where they are made."""

_running: list[Browser] = []


@contextmanager
def chromium() -> Iterator[Browser]:
    """Give the browser that runs already, or one that is closed in the end.

    Playwright has one event loop in a thread, so that there can be one at a time.
    """
    if _running:
        yield _running[0]
        return
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        _running.append(browser)
        try:
            yield browser
        finally:
            _running.clear()
            browser.close()


def accounts(folder: Path, **people: Role) -> Path:
    """Make the accounts of a folder that is served; all have one password."""
    made = People(folder / "people.json", cost=QUICK)
    for name, role in people.items():
        made.add(name, role, PASSWORD)
    return made.path


class Windows:
    """Windows of one person: a browser of their own, and everything it complains of or asks for."""

    def __init__(self, browser: Browser, origin: str, **options: Any) -> None:
        """origin: scheme, host and port, which nothing may be loaded from beside; options: of the context."""
        self.origin = origin
        options.setdefault("viewport", {"width": 1280, "height": 720})
        self.context: BrowserContext = browser.new_context(base_url=origin, **options)
        self.complaints: list[str] = []
        self.foreign: list[str] = []
        self.asked: list[str] = []
        self.may_complain_of: tuple[str, ...] = ()
        self.context.on("request", lambda asked: self._ask(asked.url))
        self.context.on("weberror", lambda error: self.complaints.append(str(error.error)))
        self.context.on("console", self._hear)

    def open(self, address: str) -> Page:
        """Open one more window, and wait for it to be connected."""
        expect.set_options(timeout=PATIENCE)
        page = self.context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("websocket", lambda socket: self._ask(socket.url.replace("ws", "http", 1)))
        self.go(page, address)
        return page

    def go(self, page: Page, address: str) -> None:
        page.goto(address)
        connected(page)

    def _ask(self, url: str) -> None:
        self.asked.append(url)
        if not url.startswith((self.origin + "/", "data:", "blob:")):
            self.foreign.append(url)

    def _hear(self, said: Any) -> None:
        if said.type == "error" and not any(one in said.text for one in self.may_complain_of):
            self.complaints.append(f"{said.text} at {said.location}")

    def close(self) -> None:
        self.context.close()
        assert not self.complaints, self.complaints
        assert not self.foreign, self.foreign


def searched(page: Page) -> None:
    """Wait until slip surfaces are no longer looked for, one project after the other."""
    expect(page.locator("header.head .verdict")).not_to_have_text("")
    expect(page.locator("header.head .verdict")).not_to_contain_text("looking", timeout=SEARCH)


def connected(page: Page) -> None:
    page.wait_for_function("window.did_handshake === true")


@contextmanager
def windows(browser: Browser, origin: str, **options: Any) -> Iterator[Windows]:
    """Give windows; anything they complain of, or load from elsewhere, fails the test."""
    made = Windows(browser, origin, **options)
    try:
        yield made
    except BaseException:
        made.context.close()
        raise
    made.close()
