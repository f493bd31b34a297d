"""People with accounts: who may see and do what, signing in and out, and what an ended session leaves."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from backstay.workbench.access.people import People, Role
from tests.browser.bench import EXAMPLES, Bench
from tests.browser.served import PASSWORD, QUICK, Windows, accounts, connected, windows
from tests.browser.test_windows import button, cell, set_cell

pytestmark = pytest.mark.journey
PEOPLE = {"reader": Role.READS, "recorder": Role.RECORDS, "designer": Role.DESIGNS}


@pytest.fixture(scope="module")
def shared(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A workbench that people sign in to."""
    folder = tmp_path_factory.mktemp("roles") / "site"
    folder.mkdir()
    accounts(folder, **PEOPLE)
    shutil.copy(EXAMPLES / "two-row-sand.yaml", folder / "wall.yaml")
    bench = Bench(folder, browser)
    yield bench
    bench.stop()


@pytest.fixture
def door(browser: Browser, shared: Bench) -> Iterator[Windows]:
    with windows(browser, f"http://127.0.0.1:{shared.port}") as made:
        made.may_complain_of = ("401", "403")  # what the browser says of a refusal it was told
        yield made


def sign_in(page: Page, name: str, password: str = PASSWORD) -> None:
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def enter(door: Windows, name: str, address: str) -> Page:
    """Sign in on the way to an address."""
    page = door.context.new_page()
    page.set_default_timeout(40_000)
    page.goto(address)
    sign_in(page, name)
    expect(page.locator("header.head")).to_be_visible()
    connected(page)
    return page


def test_a_wrong_password_lets_nobody_in_and_says_so(door: Windows) -> None:
    page = door.context.new_page()
    page.goto("/project/wall.yaml?at=checks")
    expect(page).to_have_title("Sign in - Backstay")
    sign_in(page, "designer", "not the password")
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("The name or the password is not right.")
    assert page.locator("nav.ways").count() == 0
    sign_in(page, "nobody of that name")
    expect(alert).to_contain_text("The name or the password is not right.")
    sign_in(page, "designer")
    expect(page.get_by_role("link", name="Checks")).to_have_attribute("aria-current", "page")
    connected(page)


@pytest.mark.parametrize("name", ["reader", "recorder"])
def test_who_does_not_design_sees_everything_and_changes_nothing(
    shared: Bench, door: Windows, name: str
) -> None:
    path = shared.folder / "wall.yaml"
    before = path.read_bytes()
    page = enter(door, name, "/project/wall.yaml?at=anchors")
    expect(page.locator("header.head")).to_contain_text(name)
    expect(page.locator("#panel")).to_contain_text("92.00")
    first = cell(page, 0, 0)
    first.focus()
    page.keyboard.type("91")
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    page.keyboard.press("Control+z")
    expect(button(page, "Save")).to_be_disabled()
    expect(button(page, "Undo")).to_be_disabled()
    expect(page.locator("header.head")).not_to_contain_text("not saved")
    door.go(page, "/project/wall.yaml?at=variants")
    keep = page.get_by_role("button", name="Keep the project as it stands")
    expect(keep).to_be_disabled()
    page.get_by_label("Name of the variant").fill("mine")
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    door.go(page, "/projects")
    expect(page.get_by_role("link", name="wall.yaml")).to_be_visible()
    expect(page.get_by_role("button", name="Begin")).to_have_count(0)
    assert page.locator("input[type=file]").count() == 0
    assert path.read_bytes() == before
    assert not (shared.folder / "wall-variants").exists()


def test_a_reader_cannot_undo_what_a_designer_did(
    shared: Bench, browser: Browser, door: Windows
) -> None:
    shutil.copy(EXAMPLES / "two-row-sand.yaml", shared.folder / "both.yaml")
    reader = enter(door, "reader", "/project/both.yaml?at=anchors")
    with windows(browser, door.origin) as others:
        designer = enter(others, "designer", "/project/both.yaml?at=anchors")
        set_cell(designer, 0, 0, "91.5")
        expect(cell(reader, 0, 0)).to_have_text("91.50")
        reader.locator("body").click(position={"x": 640, "y": 700})
        reader.keyboard.press("Control+z")
        reader.wait_for_timeout(500)
        expect(cell(designer, 0, 0)).to_have_text("91.50")
        text = (shared.folder / "both.yaml").read_text("utf-8")
        (shared.folder / "both.yaml").write_text(text + "\n", "utf-8")
        alert = reader.get_by_role("alert").filter(has_text="changed by something else")
        expect(alert).to_contain_text("Somebody who designs may take it")
        expect(button(reader, "Take the file from the disk")).to_be_hidden()
        expect(button(designer, "Take the file from the disk")).to_be_visible()


def test_a_reader_is_refused_where_the_page_is_gone_around(shared: Bench, door: Windows) -> None:
    page = enter(door, "reader", "/project/wall.yaml")
    answers = page.evaluate(
        """async () => {
            const token = (await (await fetch("/who-am-i", {headers: {Accept: "application/json"}})).json()).token;
            const tries = [["POST", "/api/jack/entries"], ["PUT", "/project/wall.yaml"], ["DELETE", "/project/wall.yaml"]];
            return Promise.all(tries.map(async ([method, url]) =>
                (await fetch(url, {method, headers: {"X-Backstay-Token": token}, body: "{}"})).status));
        }"""
    )
    assert answers == [403, 403, 403]


def test_signing_out_ends_every_window_of_the_session(door: Windows) -> None:
    page = enter(door, "designer", "/project/wall.yaml")
    second = door.open("/projects")
    page.get_by_role("link", name="designer").click()
    expect(page.get_by_text("reads, records tests and designs")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page).to_have_title("Sign in - Backstay")
    second.bring_to_front()
    second.evaluate("dispatchEvent(new Event('focus'))")
    expect(second).to_have_title("Sign in - Backstay")
    second.goto("/project/wall.yaml")
    expect(second).to_have_title("Sign in - Backstay")


def test_a_changed_role_ends_the_session(shared: Bench, door: Windows) -> None:
    people = People(shared.folder / "people.json", cost=QUICK)
    people.add("guest", Role.DESIGNS, PASSWORD)
    page = enter(door, "guest", "/project/wall.yaml?at=anchors")
    expect(cell(page, 0, 0)).to_be_visible()
    people.change_role("guest", Role.READS)
    page.evaluate("dispatchEvent(new Event('focus'))")
    expect(page).to_have_title("Sign in - Backstay")
    sign_in(page, "guest")
    expect(page.locator("header.head")).to_contain_text("guest")
    connected(page)
    door.go(page, "/project/wall.yaml?at=variants")
    expect(page.get_by_role("button", name="Keep the project as it stands")).to_be_disabled()
    people.remove("guest")
    page.evaluate("dispatchEvent(new Event('focus'))")
    expect(page).to_have_title("Sign in - Backstay")
    sign_in(page, "guest")
    expect(page.get_by_role("alert")).to_contain_text("not right")


def test_a_recorder_may_open_the_field_and_a_name_of_markup_is_text(
    shared: Bench, door: Windows
) -> None:
    people = People(shared.folder / "people.json", cost=QUICK)
    name = "R. <b>Field</b> & 'Sons' {{1}}"
    people.add(name, Role.RECORDS, PASSWORD)
    page = enter(door, name, "/project/wall.yaml?at=field")
    expect(page.get_by_role("link", name=name)).to_be_visible()
    page.get_by_role("link", name=name).click()
    expect(page.get_by_text(name)).to_be_visible()
    assert page.locator("dd b").count() == 0
