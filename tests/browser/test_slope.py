"""A slope as the editor, in a browser: its ground and rows are dragged, refused, typed, and undone."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench import SCREENS, Bench
from tests.browser.test_section import FITS, handle, pictures, take, value

pytestmark = pytest.mark.journey
SLOPE = "slopes/landslide-three-rows.yaml"


@pytest.fixture(scope="module")
def bench(site: Bench) -> Bench:
    return site.within("slope")


def ready(page: Page) -> None:
    expect(handle(page, "ground-3")).to_be_visible()
    page.wait_for_function(FITS)


def test_ground_is_dragged_its_anchors_go_with_it_and_it_is_undone(bench: Bench) -> None:
    path = bench.put("drag.yaml", SLOPE)
    before = path.read_bytes()
    with bench.page("drag.yaml") as page:
        ready(page)
        value(page, "ground-3", "46 m, 112.2 m")
        needs = page.get_by_label("Rows of anchors").locator("tbody td").nth(1)
        was = needs.inner_text()
        take(page, "ground-3", down=-14)
        tip = page.locator(".sec-tip")
        expect(tip).to_contain_text("Point 4 of the ground")
        expect(tip).to_contain_text("kN/m")
        expect(needs).not_to_have_text(was)
        page.screenshot(path=SCREENS / "slope-drag.png")
        page.mouse.up()
        expect(page.get_by_role("button", name="Undo")).to_be_enabled()
        value(page, "ground-3", re.compile(r"^46(\.1)? m, 113\.\d m$"))
        expect(page.get_by_label("Target", exact=True)).to_have_value("1.3")
        page.get_by_role("button", name="Undo").click()
        value(page, "ground-3", "46 m, 112.2 m")
        expect(needs).to_have_text(was)
    assert path.read_bytes() == before
    assert b"elevation: 114.87" in before


def test_an_impossible_ground_says_what_was_asked_for_and_why_not(bench: Bench) -> None:
    bench.put("never.yaml", SLOPE)
    with bench.page("never.yaml") as page:
        ready(page)
        take(page, "ground-3", down=0, right=-230)  # beyond the point before it
        tip = page.locator(".sec-tip.bad")
        expect(tip).to_contain_text("points run from left to right")
        expect(tip).to_contain_text(re.compile(r"Point 4 of the ground: [\d.]+ m, [\d.]+ m"))
        page.mouse.up()
        value(page, "ground-3", "46 m, 112.2 m")
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_rows_and_the_known_surface_by_keyboard(bench: Bench) -> None:
    bench.put("keys.yaml", SLOPE)
    with bench.page("keys.yaml") as page:
        ready(page)
        pictures(page, "slope")
        handle(page, "head-1").focus()
        expect(page.get_by_role("combobox", name="Chosen")).to_have_value("Anchors")
        page.keyboard.press("ArrowRight")
        value(page, "head-1", "42.1 m")
        expect(page.get_by_role("button", name="Undo")).to_be_enabled()
        page.keyboard.press("Enter")
        expect(page.locator(".sec-type input")).to_be_focused()
        page.keyboard.type("43 m")
        page.keyboard.press("Enter")
        value(page, "head-1", "43 m")
        expect(page.get_by_label("Heads", exact=True)).to_have_value(
            re.compile(r"43 m, 110\.9\d* m")  # 107 + 5.2 * 9/12 = 110.9 on the face
        )
        value(page, "inclination", re.compile(r"^1\d(\.\d+)?°$"))
        page.get_by_role("combobox", name="What is dragged").click()
        page.locator(".q-menu .q-item", has_text="known slip surface").click()
        handle(page, "known-2").focus()
        page.keyboard.press("ArrowDown")
        value(page, "known-2", "36 m, 99.5 m")
        expect(handle(page, "head-1")).to_have_count(0)
        pictures(page, "slope-known")
