"""Names with markup, quotes and braces of templates: on every panel they are text, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path
from urllib.parse import quote

import pytest
from playwright.sync_api import Page, expect

from backstay.workbench.ways import WAYS
from tests.browser.bench import Bench
from tests.browser.served import Windows, connected

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"
HOSTILE = 'Q<img src=x onerror="window.taken=1">\'"{{window.taken=1}}`${window.taken=1}`'
SCRIPT = (
    "Q</script><script>window.taken=1</script><svg onload='window.taken=1'>&lt;&quot;\\u0022 %3C"
)
FILE = "o'hara & {{window.taken=1}} `${window.taken=1}` #1 ;x=1,.yaml"

FOUND = """() => {
    const wrong = [];
    if (window.taken !== undefined) wrong.push("a script ran");
    for (const one of document.querySelectorAll("#app *, .q-notification *")) {
        if (one.matches("img[src=x], script")) wrong.push("element " + one.outerHTML.slice(0, 200));
        for (const {name, value} of one.attributes) {
            if (name === "onload" || name === "onerror") wrong.push("attribute " + one.outerHTML.slice(0, 200));
            if (name === "taken" || name.includes("window.taken")) wrong.push("attribute " + name);
        }
    }
    return wrong;
}"""


def is_text(page: Page) -> None:
    assert page.evaluate(FOUND) == []


@pytest.fixture(scope="module")
def project(site: Bench) -> Path:
    """A project in which every name a person can type is hostile."""
    name, script = json.dumps(HOSTILE), json.dumps(SCRIPT)
    return site.put(
        "hostile.yaml", TWO,
        ("  name: Larkfield Library, basement shoring", f"  name: {name}"),
        ("  client: Town of Larkfield", f"  client: {script}"),
        ("  engineer: A. Example, PE", f"  engineer: {name}"),
        ("  location: Alder Street, north side (invented)", f"  location: {script}"),
        ("  consequence: Street and a water main lie behind the wall.", f"  consequence: {name}"),
        ("  - name: A (Alder Street)", f"  - name: {name}"),
        ("name: Medium dense sand", f"name: {name}"),
        ("description: Brown fine to medium SAND, trace silt (SP-SM)", f"description: {script}"),
        ("name: Street traffic and plant", f"name: {script}"),
    )  # fmt: skip


@pytest.mark.parametrize("way", [way.key for way in WAYS])
def test_hostile_names_are_text_on_every_panel(mine: Windows, project: Path, way: str) -> None:
    page = mine.open(f"/project/{project.name}?at={way}")
    expect(page.locator("header.head h1")).to_have_text(HOSTILE)
    expect(page).to_have_title(f"{HOSTILE} - Backstay")
    expect(page.locator("header.head .verdict")).not_to_have_text("")
    is_text(page)
    for one in page.locator("#panel [title*='onerror'], #panel [aria-label*='onerror']").all():
        said = (one.get_attribute("title") or "") + (one.get_attribute("aria-label") or "")
        assert "<img src=x onerror=" in said
    page.screenshot(path=Path("out/screens") / f"hostile-{way}.png")


def test_hostile_names_are_text_in_what_is_chosen_of_the_section(
    mine: Windows, project: Path
) -> None:
    page = mine.open(f"/project/{project.name}?at=section")
    handles = page.locator(".sec-handle")
    expect(handles.first).to_be_visible()
    for at in range(handles.count()):
        handles.nth(at).focus()
        page.keyboard.press("Enter")
        is_text(page)
    expect(page.locator("#panel")).to_contain_text("<img src=x")
    box = page.locator(".sec-handle").first.bounding_box()
    assert box is not None
    for share in (0.2, 0.5, 0.8):
        page.mouse.move(1280 * share / 2, 400)
        is_text(page)


def test_a_derivation_of_hostile_names_is_text(mine: Windows, project: Path) -> None:
    page = mine.open(f"/project/{project.name}?at=checks")
    page.locator(".checks-list [data-key]").first.click()
    expect(page.locator("#check-title")).to_be_visible()
    is_text(page)


def test_a_hostile_step_is_text_on_the_buttons_that_undo_it(site: Bench, mine: Windows) -> None:
    site.put("hostile-step.yaml", TWO)
    page = mine.open("/project/hostile-step.yaml?at=anchors")
    page.locator("#rows-0-0").focus()
    page.keyboard.type(HOSTILE)  # no number: refused beside the cell, in its own words
    page.keyboard.press("Enter")
    expect(page.locator("#rows-0-0")).to_have_attribute("aria-invalid", "true")
    is_text(page)
    page.keyboard.press("Escape")
    page.goto("/project/hostile-step.yaml?at=variants")
    connected(page)
    field = page.get_by_label("Name of the variant")
    field.fill(HOSTILE[:60])
    page.get_by_role("button", name="Keep the project as it stands").click()
    expect(page.locator(".q-notification")).to_contain_text("A variant's name begins with")
    is_text(page)


def test_a_hostile_file_name_is_text_an_address_and_the_name_of_its_download(
    site: Bench, mine: Windows
) -> None:
    path = site.put(FILE, TWO)
    page = mine.open("/projects")
    link = page.get_by_role("link", name=FILE, exact=True)
    expect(link).to_be_visible()
    is_text(page)
    link.click()
    expect(page.locator("header.head")).to_contain_text(FILE)
    connected(page)
    for way in WAYS:
        page.locator("nav.ways").get_by_role("link", name=way.name).click()
        current = page.get_by_role("link", name=way.name).first
        expect(current).to_have_attribute("aria-current", "page")
        expect(page.locator("header.head")).to_contain_text(FILE)
        connected(page)
        is_text(page)
    with page.expect_download() as waited:
        page.get_by_role("button", name="Make the project file").click()
    assert waited.value.path().read_bytes() == path.read_bytes()
    assert waited.value.suggested_filename.startswith("o'hara & {{window.taken=1}}")


@pytest.mark.parametrize(
    "address",
    [
        "/project/" + quote("<img src=x onerror=window.taken=1>.yaml"),
        "/project/" + quote("{{window.taken=1}}`${window.taken=1}`.yaml"),
        "/project/hostile-none.yaml?at=" + quote('"><img src=x onerror=window.taken=1>'),
        "/project/..%2f..%2fetc%2fpasswd",
    ],
)
def test_a_hostile_address_is_answered_in_words(site: Bench, mine: Windows, address: str) -> None:
    site.put("hostile-none.yaml", TWO)
    mine.may_complain_of = ("404", "400")
    page = mine.context.new_page()
    page.goto(address)
    expect(page.locator("body")).not_to_be_empty()
    assert page.evaluate(FOUND) == []
