"""Variants: kept, seen side by side, taken, undone and removed."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.bench import Bench, shot
from tests.browser.served import Windows
from tests.browser.test_windows import button, cell, set_cell

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"


def choose(page: Page, which: str, name: str) -> None:
    page.get_by_role("combobox", name=which).click()
    page.get_by_role("option", name=name, exact=True).click()


def keep(page: Page, name: str) -> None:
    field = page.get_by_label("Name of the variant")
    expect(field).to_have_value("")  # what was kept before has been taken
    field.fill(name)
    button(page, "Keep the project as it stands").click()


def test_a_variant_is_kept_compared_taken_undone_and_removed(site: Bench, mine: Windows) -> None:
    path = site.put("varied.yaml", TWO)
    text = path.read_text("utf-8")
    page = mine.open("/project/varied.yaml?at=variants")
    expect(button(page, "Take the second")).to_be_disabled()
    keep(page, "as begun")
    expect(button(page, "Take the second")).to_be_enabled()
    expect(page.locator("#panel")).to_contain_text("0 differ")
    kept = site.folder / "varied-variants" / "as begun.yaml"
    assert kept.read_text("utf-8") == text

    mine.go(page, "/project/varied.yaml?at=anchors")
    set_cell(page, 0, 0, "90")
    expect(cell(page, 0, 0)).to_have_text("90.00")
    mine.go(page, "/project/varied.yaml?at=variants")
    choose(page, "Second", "as begun")
    line = page.locator("tr").filter(has_text="Row 1: elev. (").first
    expect(line).to_be_visible()
    assert line.locator("td").all_inner_texts()[1:3] == ["90.00", "92.00"]
    assert line.locator("td").nth(3).inner_text() == "+2.00"
    expect(page.locator("#panel .drawing svg")).to_have_count(2)
    shot(page, "variants")

    page.get_by_role("button", name="SI", exact=True).click()
    expect(line.locator("td").nth(1)).to_have_text("27.43")
    page.get_by_role("button", name="US", exact=True).click()

    button(page, "Take the second").click()
    expect(page.locator("#panel")).to_contain_text("0 differ")
    expect(page.locator("#panel tr").filter(has_text="Row 1: elev. (")).to_have_count(0)
    button(page, "Undo").click()
    expect(line).to_be_visible()

    button(page, "Remove the second").click()
    button(page, "Keep it").click()
    assert kept.is_file()
    button(page, "Remove the second").click()
    button(page, "Remove it").click()
    expect(page.get_by_role("combobox", name="Second")).to_have_value("The project as it stands")
    assert not kept.exists()
    assert path.read_text("utf-8") == text  # nothing of this was saved


def test_names_of_variants_that_are_taken_or_no_names_are_refused(
    site: Bench, mine: Windows
) -> None:
    site.put("named.yaml", TWO)
    page = mine.open("/project/named.yaml?at=variants")
    keep(page, "once")
    expect(button(page, "Take the second")).to_be_enabled()
    keep(page, "once")
    said = page.locator(".q-notification")
    expect(said).to_contain_text("There is a variant 'once' already")
    said.get_by_role("button", name="Close").click()
    expect(said).to_have_count(0)
    page.get_by_label("Name of the variant").fill("")
    for name in ("../up", "a/b", "", ".hidden"):
        keep(page, name)
        expect(said).to_contain_text("A variant's name begins with")
        said.get_by_role("button", name="Close").click()
        expect(said).to_have_count(0)
        page.get_by_label("Name of the variant").fill("")
    assert [one.name for one in (site.folder / "named-variants").iterdir()] == ["once.yaml"]
    mine.go(page, "/projects")
    expect(page.get_by_role("link", name="named.yaml")).to_be_visible()
    expect(page.get_by_role("link", name="once.yaml")).to_have_count(0)
