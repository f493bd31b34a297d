"""The page of all projects: begun in either system, brought along, and refused in words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from backstay.model.document import MAX_BYTES
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from tests.browser.bench import EXAMPLES, Bench
from tests.browser.served import Windows, connected

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"


def files(site: Bench) -> list[Path]:
    """Return all files there are, but those that a database of records makes and removes as it goes."""
    made = sorted(site.folder.parent.rglob("*"))
    return [one for one in made if not one.name.endswith(("-wal", "-shm", "-journal"))]


@pytest.fixture
def page(mine: Windows) -> Page:
    return mine.open("/projects")


def begin(page: Page, name: str, units: UnitSystem = UnitSystem.SI) -> None:
    page.get_by_label("File name").fill(name)
    page.get_by_role("combobox", name="Units").click()
    page.get_by_role("option", name=units.value, exact=True).click()
    page.get_by_role("button", name="Begin", exact=True).click()


def send(page: Page, name: str, content: bytes, kind: str = "application/yaml") -> None:
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": kind, "buffer": content}
    )


@pytest.mark.parametrize("units", list(UnitSystem), ids=lambda one: one.value)
def test_a_project_is_begun_and_can_be_designed(site: Bench, page: Page, units: UnitSystem) -> None:
    name = f"begun-{units.value}.yaml".lower()
    begin(page, name, units)
    expect(page.locator("header.head .verdict")).to_have_class(re.compile("verdict-(pass|show)"))
    assert name in page.url
    connected(page)
    assert read_project(site.folder / name).units is units


def test_a_name_that_is_taken_is_refused(site: Bench, page: Page) -> None:
    path = site.put("taken.yaml", TWO)
    before = path.read_bytes()
    begin(page, "taken.yaml")
    expect(page.get_by_role("alert")).to_have_text(
        "taken.yaml is there already; choose another name."
    )
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "name",
    ["../out.yaml", "/out.yaml", "wall.txt", "", "..", "a\\b.yaml", "<b>.yaml", "con.yaml"],
)
def test_a_path_outside_or_of_another_kind_is_refused(site: Bench, page: Page, name: str) -> None:
    before = files(site)
    begin(page, name)
    expect(page.get_by_role("alert")).to_contain_text(
        "This is not the path of a file in the folder of the projects."
    )
    assert files(site) == before


def test_a_file_is_brought_along(site: Bench, page: Page) -> None:
    content = (EXAMPLES / "three-row-layered-water.yaml").read_bytes()
    send(page, "brought.yaml", content)
    expect(page.locator("nav.ways")).to_be_visible()
    assert (site.folder / "brought.yaml").read_bytes() == content
    connected(page)


def test_a_faulty_project_is_brought_along_and_says_what_is_wrong(site: Bench, page: Page) -> None:
    text = (EXAMPLES / TWO).read_text("utf-8").replace("elevation: 92", "elevation: high")
    send(page, "faulty.yaml", text.encode())
    expect(page.locator("header.head .verdict")).to_contain_text("cannot be designed")
    for region in ("Rows of anchors", "Checks that fail"):
        expect(page.get_by_role("region", name=region)).to_contain_text("there is no design")
    expect(page.locator("#panel")).not_to_contain_text("the last design is shown")
    connected(page)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("binary.yaml", b"\x89PNG\r\n\x1a\n\x00\x00\xff\xfe", "binary.yaml"),
        ("large.yaml", b"# " + b"x" * MAX_BYTES, "not taken"),
        ("wall.exe", b"MZ", "not taken"),
        ("wall.yaml.png", b"name: x", "not taken"),
        ("<img src=x onerror=alert(1)>.yaml", b"name: x", "not the path of a file"),
        ("..%2f..%2fout.yaml", b"name: x", "not the path of a file"),
    ],
    ids=["binary", "large", "suffix", "two-suffixes", "markup", "encoded-path"],
)
def test_a_bad_file_is_refused_in_words_and_another_can_follow(
    site: Bench, page: Page, name: str, content: bytes, words: str
) -> None:
    before = files(site)
    send(page, name, content)
    expect(page.get_by_role("alert").filter(has_text=words)).to_be_visible()
    assert files(site) == before
    assert page.locator("main img").count() == 0
    follows = f"after-{len(before)}.yaml"
    send(page, follows, (EXAMPLES / TWO).read_bytes())
    expect(page.locator("nav.ways")).to_be_visible()
    connected(page)
    assert (site.folder / follows).is_file()


def test_a_name_is_taken_as_it_is_not_as_a_path(site: Bench, page: Page, tmp_path: Path) -> None:
    send(page, "a/../../escaped.yaml", (EXAMPLES / TWO).read_bytes())
    expect(page.locator("nav.ways")).to_be_visible()
    connected(page)
    assert (site.folder / "escaped.yaml").is_file()
    assert not (site.folder.parent / "escaped.yaml").exists()


def test_a_file_without_the_token_of_the_page_is_not_taken(mine: Windows, site: Bench) -> None:
    page = mine.open("/projects")
    mine.may_complain_of = ("403",)
    url = page.evaluate(
        "Object.values(mounted_app.elements).map(one => one.props?.url).find(url => url?.includes('upload'))"
    )
    assert "/upload/" in url
    status = page.evaluate(
        """async url => {
            const form = new FormData();
            form.append("file", new File(["name: x"], "forged.yaml"));
            return (await fetch(url, { method: "POST", body: form })).status;
        }""",
        url,
    )
    assert status == 403
    assert not (site.folder / "forged.yaml").exists()
