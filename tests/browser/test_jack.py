"""The stressing page in a browser: a whole proof test with reload, lost server and dead battery."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from backstay.records.store import open_records
from backstay.stressing.judge import judge
from backstay.stressing.project_rules import rules_of
from tests.browser.jack_site import Served
from tests.browser.tablet import (
    Tablet,
    recorded,
    told,
)
from tests.unit.workbench.jack.proof import rows
from tests.unit.workbench.jack.site import ANCHOR

pytestmark = pytest.mark.journey


def test_a_whole_proof_test_with_reload_and_lost_server(tablet: Tablet, at_jack: Served) -> None:
    table = rows()
    tablet.by_pad = True
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

    at_jack.lose()  # before the load that is judged
    for row in table[6:9]:
        tablet.read(row)
    tablet.says("3 readings kept on this tablet, not yet in the record")
    tablet.says("No connection")
    page.wait_for_selector("#task.hold")
    tablet.shot("offline", every=True)
    assert len(recorded(at_jack)) == 6
    expect(page.locator("#plots")).to_contain_text("not corrected and not judged")

    held = page.get_attribute("#countdown", "data-due")
    tablet.dies()  # battery, with the server away: the service worker opens the page
    page = tablet.page
    page.wait_for_selector("#task.hold")
    assert page.get_attribute("#countdown", "data-due") == held
    tablet.says("3 readings kept on this tablet")
    tablet.read(table[9])
    at_jack.start()
    tablet.tries_again()
    tablet.says("10 readings in the record")
    assert recorded(at_jack) == told(table[:10])

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
    assert recorded(at_jack) == told(table)
    with open_records(at_jack.folder / "wall.records") as records:
        record = records.test_record(ANCHOR)
    assert record.closed
    judged = judge(record, rules_of(read_project(at_jack.folder / "wall.yaml")))
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


def test_an_answer_that_is_lost_records_nothing_twice(tablet: Tablet, at_jack: Served) -> None:
    page = tablet.page
    table = rows()
    tablet.begin()
    lost: list[str] = []

    losing = True

    def lose_the_answer(route: Any) -> None:
        if not losing:
            route.continue_()
            return
        route.fetch()  # it reaches the server
        lost.append(route.request.post_data or "")
        route.abort()  # and the answer never comes back

    page.route("**/api/jack/entries", lose_the_answer)
    tablet.read(table[0])
    tablet.read(table[1])
    tablet.says("2 readings kept on this tablet")
    assert lost
    losing = False  # what is on its way is lost still
    tablet.tries_again()
    tablet.says("2 readings in the record")
    assert recorded(at_jack) == told(table[:2])


def test_a_doubtful_reading_is_asked_about_and_a_wrong_one_corrected(
    tablet: Tablet, at_jack: Served
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
    assert recorded(at_jack) == told(table[:2])
    with open_records(at_jack.folder / "wall.records") as records:
        assert [e.reason for e in records.history(ANCHOR) if e.kind == "reading"] == [
            "",
            "",
            "typed wrong",
        ]


def test_two_tablets_on_one_anchor(browser: Browser, tablet: Tablet, at_jack: Served) -> None:
    table = rows()
    tablet.begin()
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    second = Tablet(browser, at_jack)
    try:
        second.says("Another tablet is open on this anchor: R. Field", "#notices")
        second.says("1 reading in the record")
        at_jack.lose()  # both read on, and know nothing of each other
        tablet.read(table[1])
        second.read(table[1])
        at_jack.start()
        tablet.tries_again()
        tablet.says("2 readings in the record")
        second.tries_again()
        second.says("recorded readings of this test", "#notices")
        second.shot("two-tablets", every=True)
        assert recorded(at_jack) == told(table[:2])
        second.page.click("text=Set mine aside")
        second.says("2 readings in the record")
        second.page.click("#menu >> text=Readings")
        second.says("1 set aside", "#task")
        assert recorded(at_jack) == told(table[:2])
    finally:
        second.close()
    assert second.errors == []


def test_a_hold_that_is_over_without_a_server_is_not_judged(
    tablet: Tablet, at_jack: Served
) -> None:
    page = tablet.page
    table = rows()
    tablet.begin()
    tablet.read(table[0])
    tablet.says("1 reading in the record")
    at_jack.lose()
    for row in table[1:14]:
        tablet.read(row)
    page.wait_for_selector("#task.ask")
    tablet.says("not judged yet", "#task")
    tablet.shot("not-judged", every=True)
    page.click("#hold-on")
    page.wait_for_selector("#task.hold")
    tablet.says("minute 15", "#task")
    at_jack.start()
    tablet.tries_again()
    tablet.says("14 readings in the record")
    page.wait_for_selector("#task.pump")  # the creep was small: the rules go on
    tablet.says("Let the load down", "#task")
    tablet.read(table[14])
    tablet.says("Accepted", "#task")
    assert recorded(at_jack) == told(table)


def test_by_keyboard_alone_and_in_other_units(tablet: Tablet, at_jack: Served) -> None:
    page = tablet.page
    page.wait_for_selector("#begin")
    page.click("#menu >> text=Settings")
    page.locator("text=mm").click()
    page.click("#back")
    tablet.shot("settings")
    page.fill("#by", "R. Field")
    for kind in ("#kind-0", "#kind-1"):  # chosen anew before the plan of the first has come
        page.locator(kind).check()
    expect(page.locator("#by")).to_have_value("R. Field")
    page.click("#begin")
    page.wait_for_selector("#task.pump")
    tablet.says("proof", "#where")
    page.locator("#reached").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector("#task.read")
    for text in ("570", "14.554", "-24.56"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.keyboard.press("Enter")  # a hand that is too quick: it is taken once
    tablet.says("1 reading in the record")
    tablet.says("Connected", "#link")
    assert len(recorded(at_jack)) == 1
    dials = recorded(at_jack)[0][3]
    assert dials == pytest.approx((14.554 / 25.4, -24.56 / 25.4), abs=1e-6)
    names = page.evaluate(
        "[...document.querySelectorAll('button, input')].filter(e => !(e.innerText || e.ariaLabel || e.labels?.length)).length"
    )
    assert names == 0
