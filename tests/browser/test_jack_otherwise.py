"""The stressing page where things go another way: failing anchors, cells, refusals, clocks."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, expect

from backstay.records.store import open_records
from tests.browser.jack_site import Served
from tests.browser.tablet import (
    SIZES,
    Tablet,
    recorded,
    told,
)
from tests.unit.workbench.jack.proof import rows
from tests.unit.workbench.jack.site import ANCHOR

pytestmark = pytest.mark.journey


def test_a_longer_hold_and_an_anchor_that_fails(tablet: Tablet, at_jack: Served) -> None:
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
    assert recorded(at_jack) == told(table)
    page.click("#close")
    page.wait_for_selector("#lock-off")
    tablet.says("Record a lock-off", "#task")
    page.click("#lock-off")
    tablet.says("for the engineer to say", "#task")
    assert page.locator("#task .aim").count() == 0


def test_a_load_cell_in_place_of_the_gauge(tablet: Tablet, at_jack: Served) -> None:
    page = tablet.page
    page.wait_for_selector("#begin")
    page.click("#menu >> text=Settings")
    page.locator("text=a load cell").click()
    page.click("#back")
    tablet.begin()
    at_jack.lose()
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
    at_jack.start()
    tablet.tries_again()
    tablet.says("2 readings in the record")
    with open_records(at_jack.folder / "wall.records") as records:
        read = records.test_record(ANCHOR).readings
    assert [r.gauge for r in read] == [None, None]
    assert [r.load for r in read] == pytest.approx([11.5 * 4.4482216, 28.9 * 4.4482216], rel=1e-6)


def test_what_the_record_refuses_stays_here_with_its_reason(
    tablet: Tablet, at_jack: Served
) -> None:
    page = tablet.page
    table = rows()
    tablet.begin("R. <b>Field</b>")
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    at_jack.lose()
    tablet.read(table[1])
    from backstay.records import TestClosed

    with open_records(at_jack.folder / "wall.records") as records:
        records.add(TestClosed(anchor=ANCHOR, test=1), by="Office")
    at_jack.start()
    tablet.tries_again()
    tablet.says("The record refused this entry", "#notices")
    tablet.says("no test goes on", "#notices")
    tablet.shot("refused", every=True)
    assert len(recorded(at_jack)) == 1
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


def test_two_windows_and_a_wrong_clock_are_said(tablet: Tablet, at_jack: Served) -> None:
    tablet.page.wait_for_selector("#begin")
    other = tablet.context.new_page()
    other.clock.install(time=datetime(2025, 3, 24, 11, 0, tzinfo=UTC))
    other.goto(at_jack.url)
    expect(other.locator("#notices")).to_contain_text("another window of this tablet")
    expect(other.locator("#notices")).to_contain_text("180 minutes behind")
    tablet.says("another window of this tablet", "#notices")
    other.close(run_before_unload=True)
    expect(tablet.page.locator("#notices")).to_be_empty()


def test_without_a_database_of_the_browser_readings_are_kept_all_the_same(
    browser: Browser, at_jack: Served
) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 720})
    context.add_init_script("Object.defineProperty(window, 'indexedDB', {value: undefined})")
    context.add_init_script("delete Navigator.prototype.serviceWorker")
    made = Tablet(browser, at_jack, context)
    try:
        made.says("Keep this page open", "#notices")
        made.begin()
        at_jack.lose()
        for row in rows()[:2]:
            made.read(row)
        made.says("2 readings kept on this tablet")
        at_jack.start()
        made.dies()
        made.says("2 readings in the record")
        assert recorded(at_jack) == told(rows()[:2])
    finally:
        made.close()
    assert made.errors == []
