"""The stressing page in a browser: a whole proof test with reload, lost server and dead battery."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from backstay.model.reading import read_project
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.store import open_records
from backstay.stressing.judge import judge
from backstay.stressing.project_rules import rules_of
from tests.browser.jack_site import START, Served, served
from tests.journeys.field import copied, ready
from tests.unit.workbench.jack.proof import rows
from tests.unit.workbench.jack.site import ANCHOR

SCREENS = Path(__file__).parents[2] / "out" / "screens"
SIZES = ((1280, 720), (1024, 768), (768, 1024))
SECOND = 1000

pytestmark = pytest.mark.journey


@pytest.fixture(scope="module")
def grouted(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready(tmp_path_factory.mktemp("grouted"))


@pytest.fixture
def site(grouted: Path, tmp_path: Path) -> Iterator[Served]:
    with served(copied(grouted, tmp_path)) as made:
        yield made


class Tablet:
    """A tablet beside the jack, whose clock is the test's."""

    def __init__(
        self, browser: Browser, site: Served, context: BrowserContext | None = None
    ) -> None:
        self.site = site
        self.context = context or browser.new_context(viewport={"width": 1280, "height": 720})
        self.errors: list[str] = []
        self.page = self._open(START)

    def _open(self, at: datetime) -> Page:
        page = self.context.new_page()
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
        for key in text:
            self.page.click(f'[data-pad="{"±" if key == "-" else key}"]')
        self.page.click('[data-pad="enter"]')

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
        expect(self.page.locator(where)).to_contain_text(words, timeout=20_000)

    def shot(self, name: str, *, every: bool = False) -> None:
        SCREENS.mkdir(parents=True, exist_ok=True)
        for width, height in SIZES if every else SIZES[:1]:
            self.page.set_viewport_size({"width": width, "height": height})
            self.page.wait_for_timeout(50)
            self.page.screenshot(path=SCREENS / f"jack-{name}-{width}x{height}.png")
        self.page.set_viewport_size({"width": 1280, "height": 720})

    def close(self) -> None:
        with suppress(Exception):
            self.context.close()


@pytest.fixture
def tablet(browser: Browser, site: Served) -> Iterator[Tablet]:
    made = Tablet(browser, site)
    yield made
    made.close()
    assert made.errors == []


def recorded(site: Served) -> list[tuple[int, float, float, tuple[float, ...]]]:
    """Return what the records say, in the units of the table."""
    psi, inch = QUANTITIES["gauge pressure"], QUANTITIES["small length"]
    us = UnitSystem.US
    with open_records(site.folder / "wall.records") as records:
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


def test_a_whole_proof_test_with_reload_and_lost_server(tablet: Tablet, site: Served) -> None:
    table = rows()
    page = tablet.page
    page.wait_for_selector("#begin")
    tablet.shot("begin", every=True)
    tablet.begin()
    tablet.says("0 readings in the record")
    tablet.shot("pump", every=True)
    expect(page.locator("#caution")).to_contain_text("Nobody behind the jack")
    for row in table[:4]:
        tablet.read(row)
    tablet.says("4 readings in the record")

    page.reload()  # in the middle, and then with half a reading typed
    tablet.reach()
    for key in table[4]["Gauge (psi)"]:
        page.click(f'[data-pad="{key}"]')
    page.reload()
    page.wait_for_selector("#task.read")
    assert page.input_value("#field-gauge") == table[4]["Gauge (psi)"]
    page.click('[data-pad="enter"]')
    for head in ("Dial 1 (in)", "Dial 2 (in)"):
        tablet.type(table[4][head])
    tablet.says("5 readings in the record")
    tablet.read(table[5])

    site.lose()  # before the load that is judged
    for row in table[6:9]:
        tablet.read(row)
    tablet.says("3 readings kept on this tablet, not yet in the record")
    tablet.says("No connection")
    page.wait_for_selector("#task.hold")
    tablet.shot("offline", every=True)
    assert len(recorded(site)) == 6
    expect(page.locator("#plots")).to_contain_text("not corrected and not judged")

    held = page.get_attribute("#countdown", "data-due")
    tablet.dies()  # battery, with the server away: the service worker opens the page
    page = tablet.page
    page.wait_for_selector("#task.hold")
    assert page.get_attribute("#countdown", "data-due") == held
    tablet.says("3 readings kept on this tablet")
    tablet.read(table[9])
    site.start()
    page.clock.fast_forward(20 * SECOND)
    tablet.says("10 readings in the record")
    assert recorded(site) == told(table[:10])

    page.wait_for_selector("#task.hold")
    tablet.shot("hold", every=True)
    for row in table[10:13]:
        tablet.read(row)
    tablet.wait_until_due()
    tablet.shot("read", every=True)
    for head in ("Gauge (psi)", "Dial 1 (in)", "Dial 2 (in)"):
        tablet.type(table[13][head])
    tablet.read(table[14])
    page.wait_for_selector("#task.result")
    tablet.says("Accepted", "#task")
    tablet.shot("verdict", every=True)

    page.click("#close")
    page.wait_for_selector("#lock-off")
    tablet.says("15 readings in the record")
    assert recorded(site) == told(table)
    with open_records(site.folder / "wall.records") as records:
        record = records.test_record(ANCHOR)
    assert record.closed
    judged = judge(record, rules_of(read_project(site.folder / "wall.yaml")))
    assert judged.decision == "accepted"
    shown = page.locator("#task .checks tbody tr")
    assert shown.count() == len(judged.checks)
    for k, check in enumerate(judged.checks):
        words = shown.nth(k).inner_text()
        assert check.name in words
        assert check.quantity.text(check.demand, UnitSystem.US) in words
        assert check.quantity.text(check.capacity, UnitSystem.US) in words

    page.click("#lock-off")
    tablet.shot("lock-off", every=True)
    page.fill("#why", "agreed with the engineer by radio")
    tablet.type("5831")
    tablet.type("")
    tablet.type("0.24")
    page.wait_for_selector("#lift-off")
    page.click("#lift-off")
    tablet.type("5100")
    tablet.says("In tolerance", "#task")
    tablet.says("was left after seating", "#task .since")
    tablet.says("was predicted", "#task .since")
    expect(page.locator(".load-standing")).to_have_count(0)
    tablet.shot("lift-off")
    page.get_by_role("button", name="Remark").click()
    page.fill("#remark", "wedges <b>cleaned</b> before")
    page.click("#record-remark")
    tablet.says("wedges <b>cleaned</b> before", "#task .remarks")


def test_an_answer_that_is_lost_records_nothing_twice(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    table = rows()
    tablet.begin()
    lost: list[str] = []

    def lose_the_answer(route: Any) -> None:
        route.fetch()  # it reaches the server
        lost.append(route.request.post_data or "")
        route.abort()  # and the answer never comes back

    page.route("**/api/jack/entries", lose_the_answer)
    tablet.read(table[0])
    tablet.read(table[1])
    tablet.says("2 readings kept on this tablet")
    assert lost
    page.unroute("**/api/jack/entries")
    page.clock.fast_forward(20 * SECOND)
    tablet.says("2 readings in the record")
    assert recorded(site) == told(table[:2])


def test_a_doubtful_reading_is_asked_about_and_a_wrong_one_corrected(
    tablet: Tablet, site: Served
) -> None:
    page = tablet.page
    table = rows()
    tablet.begin()
    tablet.read(table[0])
    tablet.reach()
    for text in ("14200", table[1]["Dial 1 (in)"], "12.96"):
        tablet.type(text)
    tablet.says("Look again", "#doubts")
    tablet.says("14200 psi", "#doubts")
    tablet.says("Dial 2", "#doubts")
    tablet.shot("doubt", every=True)
    page.click("#change")
    for text in (table[1]["Gauge (psi)"], table[1]["Dial 1 (in)"]):
        tablet.type(text)
    tablet.type("1.297")  # a slip that nothing can tell
    tablet.says("2 readings in the record")

    page.click("#menu >> text=Readings")
    tablet.shot("readings", every=True)
    page.locator("text=Correct >> nth=1").click()
    page.click("[data-pad=enter]")
    page.click("[data-pad=enter]")
    tablet.type("1.296")
    page.click("[data-pad=enter]")
    tablet.says("Say why", "#task")
    tablet.shot("correct", every=True)
    page.click("text=typed wrong")
    page.click("[data-pad=enter]")
    tablet.says("corrected once", "#task")
    assert recorded(site) == told(table[:2])
    with open_records(site.folder / "wall.records") as records:
        assert [e.reason for e in records.history(ANCHOR) if e.kind == "reading"] == [
            "",
            "",
            "typed wrong",
        ]


def test_two_tablets_on_one_anchor(browser: Browser, tablet: Tablet, site: Served) -> None:
    table = rows()
    tablet.begin()
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    second = Tablet(browser, site)
    try:
        second.says("Another tablet is open on this anchor: R. Field", "#notices")
        second.says("1 reading in the record")
        site.lose()  # both read on, and know nothing of each other
        tablet.read(table[1])
        second.read(table[1])
        site.start()
        tablet.page.clock.fast_forward(20 * SECOND)
        tablet.says("2 readings in the record")
        second.page.clock.fast_forward(20 * SECOND)
        second.says("recorded readings of this test", "#notices")
        second.shot("two-tablets", every=True)
        assert recorded(site) == told(table[:2])
        second.page.click("text=Set mine aside")
        second.says("2 readings in the record")
        second.page.click("#menu >> text=Readings")
        second.says("1 set aside", "#task")
        assert recorded(site) == told(table[:2])
    finally:
        second.close()
    assert second.errors == []


def test_a_hold_that_is_over_without_a_server_is_not_judged(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    table = rows()
    tablet.begin()
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    site.lose()
    for row in table[1:14]:
        tablet.read(row)
    page.wait_for_selector("#task.ask")
    tablet.says("not judged yet", "#task")
    tablet.shot("not-judged", every=True)
    page.click("#hold-on")
    page.wait_for_selector("#task.hold")
    tablet.says("minute 15", "#task")
    site.start()
    page.clock.fast_forward(20 * SECOND)
    tablet.says("14 readings in the record")
    page.wait_for_selector("#task.pump")  # the creep was small: the rules go on
    tablet.says("Let the load down", "#task")
    tablet.read(table[14])
    tablet.says("Accepted", "#task")
    assert recorded(site) == told(table)


def test_by_keyboard_alone_and_in_other_units(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    page.wait_for_selector("#begin")
    page.click("#menu >> text=Settings")
    page.locator("text=mm").click()
    page.click("#back")
    tablet.shot("settings")
    tablet.begin()
    page.locator("#reached").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#task.read")
    for text in ("570", "14.554", "-24.56"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    tablet.says("1 reading in the record")
    dials = recorded(site)[0][3]
    assert dials == pytest.approx((14.554 / 25.4, -24.56 / 25.4), abs=1e-6)
    names = page.evaluate(
        "[...document.querySelectorAll('button, input')].filter(e => !(e.innerText || e.ariaLabel || e.labels?.length)).length"
    )
    assert names == 0


def test_a_longer_hold_and_an_anchor_that_fails(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    table = rows("1-005-proof.csv")
    tablet.begin()
    for row in table:
        if row is table[-1]:  # the anchor has failed at the hold: it is unloaded and read
            tablet.says("Judged at step 7", "#task")
            page.click("#all-the-same")
        tablet.read(row)
        tablet.says(f"{table.index(row) + 1} reading")
        assert not page.locator("#notices .notice").count()
        page.wait_for_function("() => document.querySelector('#link').textContent === 'Connected.'")
    tablet.says("Not accepted", "#task")
    tablet.says("✗ failed", "#task")
    tablet.says("Re-grout it", "#task")
    tablet.shot("not-accepted", every=True)
    assert recorded(site) == told(table)
    page.click("#close")
    page.wait_for_selector("#lock-off")
    tablet.says("Record a lock-off", "#task")
    page.click("#lock-off")
    tablet.says("for the engineer to say", "#task")
    assert page.locator("#task .aim").count() == 0


def test_a_load_cell_in_place_of_the_gauge(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    page.wait_for_selector("#begin")
    page.click("#menu >> text=Settings")
    page.locator("text=a load cell").click()
    page.click("#back")
    tablet.begin()
    site.lose()
    tablet.reach()
    for text in ("11.5", "0.573", "0.967"):
        tablet.type(text)
    tablet.reach()
    for text in ("28.9", "0.902", "1.296"):
        tablet.type(text)
    tablet.says("Load cell (kip)", "#plots")
    page.click("#menu >> text=Readings")
    tablet.says("Load (kip)", "#task")
    tablet.says("28.9", "#task")
    site.start()
    page.clock.fast_forward(20 * SECOND)
    tablet.says("2 readings in the record")
    with open_records(site.folder / "wall.records") as records:
        read = records.test_record(ANCHOR).readings
    assert [r.gauge for r in read] == [None, None]
    assert [r.load for r in read] == pytest.approx([11.5 * 4.4482216, 28.9 * 4.4482216], rel=1e-6)


def test_what_the_record_refuses_stays_here_with_its_reason(tablet: Tablet, site: Served) -> None:
    page = tablet.page
    table = rows()
    tablet.begin("R. <b>Field</b>")
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    site.lose()
    tablet.read(table[1])
    from backstay.records import TestClosed

    with open_records(site.folder / "wall.records") as records:
        records.add(TestClosed(anchor=ANCHOR, test=1), by="Office")
    site.start()
    page.clock.fast_forward(20 * SECOND)
    tablet.says("The record refused this entry", "#notices")
    tablet.says("no test goes on", "#notices")
    tablet.shot("refused", every=True)
    assert len(recorded(site)) == 1
    page.click("text=Try again")
    tablet.says("The record refused this entry", "#notices")
    page.locator("#notices >> text=Set it aside").click()
    tablet.says("1 reading in the record")


def test_targets_are_large_and_everything_fits(tablet: Tablet) -> None:
    page = tablet.page
    tablet.begin()
    tablet.reach()
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        sizes = page.evaluate(
            "[...document.querySelectorAll('button')].map(b => b.getBoundingClientRect()).map(r => [r.width, r.height])"
        )
        assert all(w >= 64 and h >= 64 for w, h in sizes), (width, sizes)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        bottom = page.evaluate(
            "document.querySelector('.pad .enter').getBoundingClientRect().bottom"
        )
        assert bottom <= height, (width, height, bottom)


def test_two_windows_and_a_wrong_clock_are_said(tablet: Tablet, site: Served) -> None:
    tablet.page.wait_for_selector("#begin")
    other = tablet.context.new_page()
    other.clock.install(time=datetime(2025, 3, 24, 11, 0, tzinfo=UTC))
    other.goto(site.url)
    expect(other.locator("#notices")).to_contain_text("another window of this tablet")
    expect(other.locator("#notices")).to_contain_text("180 minutes behind")
    tablet.says("another window of this tablet", "#notices")
    other.close(run_before_unload=True)
    expect(tablet.page.locator("#notices")).to_be_empty()


def test_without_a_database_of_the_browser_readings_are_kept_all_the_same(
    browser: Browser, site: Served
) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    context.add_init_script("Object.defineProperty(window, 'indexedDB', {value: undefined})")
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    made = Tablet(browser, site, context)
    try:
        made.says("Keep this page open", "#notices")
        made.begin()
        site.lose()
        for row in rows()[:2]:
            made.read(row)
        made.says("2 readings kept on this tablet")
        site.start()
        made.dies()
        made.says("2 readings in the record")
        assert recorded(site) == told(rows()[:2])
    finally:
        made.close()
    assert made.errors == []
