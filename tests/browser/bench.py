"""The workbench as a person starts it, over a folder of copied examples, and a browser that looks at it."""

from __future__ import annotations

import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from copy import copy
from pathlib import Path
from time import monotonic, sleep
from urllib.parse import quote, urlencode

from playwright.sync_api import Browser, Page, expect

from tests.browser.served import chromium

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
SCREENS = ROOT / "out" / "screens"
SIZES = ((1280, 720), (1920, 1080), (820, 1180))
PATIENCE = 30_000
"""ms that a page may take: other tests share the machine."""
STARTING = 300.0
"""s that the program may take to listen, as long as it runs."""


class Bench:
    """A served folder. Every test puts its own project there, so that none sees another's changes.

    under: the folder within it that a module of tests has for itself, "" or with a slash at its end.
    """

    under = ""

    def __init__(self, folder: Path, browser: Browser) -> None:
        self.folder = folder
        self.browser = browser
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.log = (folder / "served.log").open("w")
        self.server = subprocess.Popen(
            [
                sys.executable, "-m", "backstay", "serve", str(folder), "--port", str(self.port),
                "--no-browser", "--people", str(folder / "people.json"),
            ],
            stdout=self.log, stderr=self.log,
        )  # fmt: skip
        began = monotonic()
        while monotonic() - began < STARTING:
            with socket.socket() as tried:
                if tried.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            assert self.server.poll() is None, (folder / "served.log").read_text()
            sleep(0.1)
        raise AssertionError("the workbench did not start")

    def put(self, name: str, example: str, *changes: tuple[str, str]) -> Path:
        """Copy an example under a name, with pieces of its text replaced."""
        text = (EXAMPLES / example).read_text("utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = self.folder / name
        path.write_text(text, "utf-8")
        return path

    def url(self, name: str, **asked: str) -> str:
        address = f"http://127.0.0.1:{self.port}/project/{quote(self.under + name)}"
        return f"{address}?{urlencode(asked)}"

    def within(self, folder: str) -> Bench:
        """Return the same program with a folder of its own for a module of tests."""
        made = copy(self)
        made.folder, made.under = self.folder / folder, f"{folder}/"
        made.folder.mkdir()
        return made

    @contextmanager
    def page(self, name: str, size: tuple[int, int] = SIZES[0], **asked: str) -> Iterator[Page]:
        """Open a project; anything that the browser complains of fails the test."""
        context = self.browser.new_context(viewport={"width": size[0], "height": size[1]})
        context.grant_permissions(["clipboard-read", "clipboard-write"])
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        complaints: list[str] = []
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda said: complaints.append(said.text) if said.type == "error" else None,
        )
        page.goto(self.url(name, **asked))
        try:
            page.wait_for_function("window.did_handshake === true")
            yield page
        finally:
            context.close()
        assert not complaints, complaints

    def stop(self) -> None:
        self.server.terminate()
        try:
            self.server.wait(20)
        except subprocess.TimeoutExpired:
            self.server.kill()
            self.server.wait()
        self.log.close()


@contextmanager
def workbench(folder: Path) -> Iterator[Bench]:
    """Serve an empty folder and open a browser."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    with chromium() as browser:
        bench = Bench(folder, browser)
        try:
            yield bench
        finally:
            bench.stop()


def shot(page: Page, name: str) -> None:
    """Keep a picture of the page as it is, to look at; `test_looks` has every panel at all sizes."""
    page.screenshot(path=SCREENS / f"{name}.png")


def drawn(page: Page) -> None:
    """Wait until what has changed is laid out."""
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
