"""A tablet beside the jack, as the browser's tests drive it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.store import open_records
from tests.browser.bench import drawn
from tests.browser.jack_site import START, Served, served
from tests.browser.served import PATIENCE
from tests.unit.workbench.field.wall import wall
from tests.unit.workbench.jack.site import ANCHOR

SCREENS = Path(__file__).parents[2] / "out" / "screens"
SIZES = ((1280, 720), (1024, 768), (768, 1024))
SECOND = 1000


@pytest.fixture
def at_jack(tmp_path: Path) -> Iterator[Served]:
    wall(tmp_path)
    with served(tmp_path) as made:
        yield made


class Tablet:
    """A tablet beside the jack, whose clock is the test's."""

    def __init__(
        self, browser: Browser, at_jack: Served, context: BrowserContext | None = None
    ) -> None:
        self.site = at_jack
        self.context = context or browser.new_context(viewport={"width": 1280, "height": 720})
        self.errors: list[str] = []
        self.by_pad = False
        self.page = self._open(START)

    def _open(self, at: datetime) -> Page:
        expect.set_options(timeout=PATIENCE)
        page = self.context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("console", lambda said: self._said(said.text))
        page.clock.install(time=at)
        page.goto(self.site.url)
        return page

    def _said(self, words: str) -> None:
        if "Content Security Policy" in words:
            self.errors.append(words)

    def dies(self) -> None:
        """Lose the page as a battery does, and open it anew at the same moment."""
        now = self.page.evaluate("Date.now()")
        self.page.close()
        self.page = self._open(datetime.fromtimestamp(now / 1000, UTC))

    def begin(self, by: str = "R. Field") -> None:
        self.page.fill("#by", by)
        self.page.click("#begin")
        self.page.wait_for_selector("#task.pump")

    def type(self, text: str) -> None:
        """Type into the field at hand, by the pad of the page or, which is quicker, by keys."""
        if self.by_pad:
            for key in text:
                self.page.click(f'[data-pad="{"±" if key == "-" else key}"]')
            self.page.click('[data-pad="enter"]')
            return
        expect(self.page.locator("#task .field.now input")).to_be_focused()
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")

    def reach(self) -> None:
        """Bring up the load of the step."""
        self.page.wait_for_selector("#task.pump")
        if self.page.locator("#pumping").count():
            self.page.click("#pumping")
        self.page.click("#reached")
        self.page.wait_for_selector("#task.read")

    def wait_until_due(self) -> None:
        """Let the hold go on to the minute of the next reading."""
        self.page.wait_for_selector("#task.hold")
        left = float(self.page.get_attribute("#countdown", "data-due") or 0) - self.now()
        self.page.clock.fast_forward(max(0, int(left)) + 100)
        self.site.ahead += timedelta(milliseconds=max(0, int(left)))
        self.page.wait_for_selector("#task.read")

    def now(self) -> float:
        return float(self.page.evaluate("Date.now()"))

    def read(self, row: dict[str, str]) -> None:
        """Take one reading of the table."""
        if float(row["Minute"]) == 0.0:
            self.reach()
        else:
            self.wait_until_due()
        before = self.page.evaluate("document.querySelector('#task').dataset.key")
        for head in ("Gauge (psi)", "Dial 1 (in)", "Dial 2 (in)"):
            self.type(row[head])
        self.page.wait_for_function(
            "k => document.querySelector('#task').dataset.key !== k || document.querySelector('#take')",
            arg=before,
        )
        assert not self.page.locator("#take").count(), self.page.inner_text("#doubts")

    def says(self, words: str, where: str = "#line") -> None:
        expect(self.page.locator(where)).to_contain_text(words)

    def tries_again(self) -> None:
        """Let the time pass until the page asks the server again; what is on its way has ended then."""
        expect(self.page.locator("#link")).to_have_text(re.compile("trying again in|Connected"))
        self.page.clock.fast_forward(20 * SECOND)

    def shot(self, name: str, *, every: bool = False) -> None:
        for width, height in SIZES if every else SIZES[:1]:
            if every:
                self.page.set_viewport_size({"width": width, "height": height})
                drawn(self.page)
            self.page.screenshot(path=SCREENS / f"jack-{name}-{width}x{height}.png")
        if every:
            self.page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})

    def close(self) -> None:
        with suppress(Exception):
            self.context.close()


@pytest.fixture
def tablet(browser: Browser, at_jack: Served) -> Iterator[Tablet]:
    made = Tablet(browser, at_jack)
    yield made
    made.close()
    assert made.errors == []


def recorded(at_jack: Served) -> list[tuple[int, float, float, tuple[float, ...]]]:
    """Return what the records say, in the units of the table."""
    psi, inch = QUANTITIES["gauge pressure"], QUANTITIES["small length"]
    us = UnitSystem.US
    with open_records(at_jack.folder / "wall.records") as records:
        steps = records.test_record(ANCHOR).procedure.steps
        assert steps
        return [
            (r.number, r.minute, round(psi.shown(r.gauge or 0.0, us), 4),
             tuple(round(inch.shown(d, us), 6) for d in r.dials))
            for r in records.test_record(ANCHOR).readings
        ]  # fmt: skip


def told(table: list[dict[str, str]]) -> list[tuple[int, float, float, tuple[float, ...]]]:
    return [
        (k, float(r["Minute"]), float(r["Gauge (psi)"]), (float(r["Dial 1 (in)"]), float(r["Dial 2 (in)"])))
        for k, r in enumerate(table, start=1)
    ]  # fmt: skip
