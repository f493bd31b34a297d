"""The panel of checks in a browser: opened, filtered, cured and undone, by mouse and by keyboard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.bench import Bench, shot

pytestmark = pytest.mark.journey
THREE, TWO = "three-row-layered-water.yaml", "two-row-sand.yaml"


@pytest.fixture(scope="module")
def bench(site: Bench) -> Bench:
    return site.within("checks")


def test_a_derivation_opens_by_keyboard_and_has_an_address(bench: Bench) -> None:
    bench.put("opens.yaml", TWO)
    with bench.page("opens.yaml", at="checks") as page:
        page.get_by_role("combobox", name="Kind of check").click()
        page.get_by_role("option", name="Anchors", exact=True).click()
        rows = page.locator(".checks-list [data-key]")
        # now no check of slip surfaces comes between
        expect(page.locator(".checks-list [data-key*='wall.']")).to_have_count(0)
        rows.first.focus()
        for key, at in (("ArrowDown", 1), ("ArrowDown", 2), ("ArrowUp", 1)):
            page.keyboard.press(key)
            expect(rows.nth(at)).to_be_focused()
        name = rows.nth(1).inner_text()
        page.keyboard.press("Enter")
        title = page.locator("#check-title")
        expect(title).to_have_text(name)
        expect(title).to_be_focused()
        expect(page.locator(".derivation math").nth(5)).to_be_attached()
        expect(page.locator(".derivation cite").first).not_to_be_empty()
        expect(page).to_have_url(re.compile(r"at=checks&check=anchor\.|at=checks&check=wall\."))
        address = page.url
        shot(page, "checks-derivation")
        page.goto(address)
        expect(page.locator("#check-title")).to_have_text(name)


def test_the_list_is_filtered_by_verdict_kind_and_words(bench: Bench) -> None:
    bench.put("filters.yaml", THREE)
    with bench.page("filters.yaml", at="checks") as page:
        caption = page.locator(".checks-list caption")
        expect(caption).to_contain_text("checks, worst first")
        page.get_by_role("button", name="Failing").click()
        verdicts = page.locator(".checks-list td.verdict")
        expect(verdicts.filter(has_not_text="✗ fails")).to_have_count(0)
        expect(verdicts.first).to_have_text("✗ fails")
        page.keyboard.press("Escape")
        page.locator(".checks-list [data-key]").first.focus()
        page.keyboard.press("/")
        page.keyboard.type("row 2 bond")
        expect(caption).to_have_text(re.compile(r"^2 checks"))
        shot(page, "checks-filtered")
        page.get_by_label("Find checks by words").fill("no such check")
        expect(page.locator(".checks-list .notice")).to_be_visible()


def test_a_cure_is_found_set_and_undone(bench: Bench) -> None:
    bench.put("cures.yaml", THREE)
    with bench.page("cures.yaml", at="checks", check="wall.lagging-bending") as page:
        head = page.locator(".check-head")
        expect(head).to_contain_text("✗ fails")
        expect(head).to_contain_text("What would help")
        page.get_by_role("button", name="Look for one value that cures it").click()
        expect(page.locator(".cures .progress")).to_contain_text("Designing again")
        button = page.get_by_role("button", name=re.compile("^Set thickness of the lagging to 160"))
        expect(button).to_be_visible(timeout=120_000)
        expect(page.locator(".cures")).to_contain_text("What else changes")
        shot(page, "checks-cure")
        button.click()
        expect(head).to_contain_text("✓ passes")
        expect(page.locator(".cures .cure")).to_have_count(0)
        page.get_by_role("button", name="Undo").click()
        expect(head).to_contain_text("✗ fails")


def test_a_search_can_be_stopped(bench: Bench) -> None:
    bench.put("stops.yaml", THREE)
    with bench.page("stops.yaml", at="checks", check="movement.building") as page:
        page.get_by_role("button", name="Look for one value that cures it").click()
        page.get_by_role("button", name="Stop", exact=True).click()
        expect(page.locator(".cures")).to_contain_text("Stopped before all was tried")


def test_markup_in_names_stays_text(bench: Bench) -> None:
    hostile = "<img src=x onerror=document.title='taken'>"
    bench.put("hostile.yaml", THREE, ("name: Brick sewer", f'name: "{hostile}"'), ("name: C-C", f'name: "C {hostile}"'))  # fmt: skip
    with bench.page("hostile.yaml", at="checks", check="anchor.obstacle", where="") as page:
        expect(page.locator("#check-title")).to_contain_text("<img src=x")
        expect(page.locator(".checks-list")).to_contain_text("<img src=x")
        assert page.locator(".panel img").count() == 0
        assert page.title() != "taken"


def test_what_is_narrow_shows_one_after_the_other(bench: Bench, tmp_path: Path) -> None:
    bench.put("narrow.yaml", TWO)
    with bench.page("narrow.yaml", (820, 1180), at="checks") as page:
        first = page.locator(".checks-list [data-key]").first
        first.click()
        expect(page.locator(".checks-all")).to_be_hidden()
        page.keyboard.press("Escape")
        expect(page.locator(".checks-all")).to_be_visible()
        expect(first).to_be_focused()

        page.evaluate("window.went = []; const told = window.backstayChecks;"
                      "for (const one of ['opened', 'closed']) {"
                      "const did = told[one]; told[one] = key => { went.push(one); did(key); }; }")  # fmt: skip
        first.press("Enter")
        page.keyboard.press("Escape")  # before the server has shown what was opened
        page.wait_for_function("window.went.slice(-2).join() === 'opened,closed'")
        expect(page.locator(".checks-all")).to_be_visible()
        expect(first).to_be_focused()
