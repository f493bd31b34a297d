"""What a person has chosen or typed in one panel, and what becomes of it: kept, carried on, or judged again."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.bench import Bench

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"


@pytest.fixture(scope="module")
def bench(site: Bench) -> Bench:
    return site.within("carried-over")


def two_sections(bench: Bench, name: str) -> None:
    """Put a project of two sections, the second with a higher subgrade."""
    path = bench.put(name, TWO)
    head, body = path.read_text("utf-8").split("sections:\n")
    second = body.replace("A (Alder Street)", "B (Beech Lane)").replace(
        "subgrade: 68.0", "subgrade: 70.0"
    )
    path.write_text(f"{head}sections:\n{body}{second}", "utf-8")


def test_the_section_that_is_looked_at_is_kept_in_every_panel(bench: Bench) -> None:
    two_sections(bench, "kept.yaml")
    with bench.page("kept.yaml") as page:
        ways = page.get_by_role("navigation", name="Panels")
        chosen = page.get_by_role("combobox", name="Section or slope")
        subgrade = page.locator('.sec-handle[data-id="subgrade"]')
        expect(subgrade).to_have_attribute("aria-valuetext", "68 ft")
        chosen.click()
        page.locator(".q-menu .q-item", has_text="Beech Lane").click()
        expect(page).to_have_url(re.compile("part=1"))
        expect(subgrade).to_have_attribute("aria-valuetext", "70 ft")
        page.reload()
        expect(subgrade).to_have_attribute("aria-valuetext", "70 ft")
        for panel in ("Anchors", "Field", "Variants", "Output", "Checks"):
            ways.get_by_role("link", name=panel, exact=True).click()
            expect(page).to_have_url(re.compile(f"at={panel.lower()}&part=1"))
            if panel in ("Anchors", "Variants"):
                expect(chosen).to_have_value(re.compile("Beech Lane"))
        page.locator(
            "[data-key]", has_text="Toe"
        ).first.click()  # of the first section: it is worse
        expect(page).to_have_url(re.compile(r"check=.+&part=\d"))
        part = page.evaluate("new URL(location.href).searchParams.get('part')")
        ways.get_by_role("link", name="Section", exact=True).click()
        expect(page).to_have_url(re.compile(f"at=section&part={part}"))
        expect(subgrade).to_have_attribute("aria-valuetext", ("68 ft", "70 ft")[int(part)])


def test_a_refused_text_goes_with_its_cause(bench: Bench) -> None:
    bench.put("refused.yaml", TWO)
    with bench.page("refused.yaml") as page:
        handle = page.locator('.sec-handle[data-id="row-0-head"]')
        handle.focus()
        elevation = page.get_by_label("Elevation", exact=True)
        expect(elevation).to_have_value("92 ft")
        why = page.locator(".field").filter(has=elevation).locator(".why")
        elevation.fill("79 ft")  # below the row beneath it
        elevation.press("Enter")
        expect(why).not_to_be_empty()
        expect(elevation).to_have_value("79 ft")
        handle.focus()
        page.keyboard.press("ArrowDown")
        expect(elevation).to_have_value("91.5 ft")
        expect(why).to_be_empty()

        elevation.fill("79 ft")
        elevation.press("Enter")
        expect(why).not_to_be_empty()
        page.get_by_role("button", name="Undo").click()
        expect(elevation).to_have_value("92 ft")
        expect(why).to_be_empty()


def test_a_refused_cell_of_the_schedule_goes_when_the_project_changes(bench: Bench) -> None:
    bench.put("cell.yaml", TWO)
    with bench.page("cell.yaml", at="anchors") as page, bench.page("cell.yaml") as other:
        cell = page.locator('[data-grid="rows"] [data-row="0"][data-edit]').first
        cell.focus()
        page.keyboard.press("Enter")
        page.keyboard.type("12 kPa")
        page.keyboard.press("Enter")
        said = page.locator(".notice[role=alert]", has_text="Nothing was changed")
        expect(said).to_be_visible()
        expect(page.locator('[data-grid="rows"]')).to_contain_text("12 kPa")
        other.locator('.sec-handle[data-id="toe"]').focus()
        other.keyboard.press("ArrowDown")
        expect(other.get_by_role("button", name="Undo")).to_be_enabled()
        expect(said).to_be_hidden()
        expect(page.locator('[data-grid="rows"]')).not_to_contain_text("12 kPa")


def test_a_search_that_was_stopped_is_begun_again_from_any_panel(bench: Bench) -> None:
    bench.put("again.yaml", TWO)
    with bench.page("again.yaml") as page:
        again = page.get_by_role("button", name="Look for slip surfaces")
        verdict = page.locator("header.head .verdict")
        expect(again).to_be_hidden()
        for panel in ("Checks", "Output"):
            page.goto(bench.url("again.yaml"))
            page.get_by_label("Slip surfaces").get_by_role("button", name="Stop").click()
            expect(verdict).to_contain_text("without slip surfaces")
            page.get_by_role("link", name=panel, exact=True).click()
            expect(verdict).to_contain_text("without slip surfaces")
            again.click()
            expect(verdict).to_contain_text("looking for slip surfaces")
            expect(again).to_be_hidden()
