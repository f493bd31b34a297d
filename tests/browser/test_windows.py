"""A project in the browser: opened, saved, left, changed in two windows at once and from outside."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.bench import Bench
from tests.browser.conftest import Opener
from tests.browser.served import Windows

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"


def cell(page: Page, row: int, column: int) -> Locator:
    return page.locator(f"#rows-{row}-{column}")


def set_cell(page: Page, row: int, column: int, text: str) -> None:
    cell(page, row, column).focus()
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


def test_a_change_in_one_window_shows_in_the_other_and_undo_shows_in_both(
    site: Bench, person: Opener
) -> None:
    site.put("both.yaml", TWO)
    one = person().open("/project/both.yaml?at=anchors")
    other = person().open("/project/both.yaml?at=anchors")
    expect(cell(other, 0, 0)).to_have_text("92.00")
    set_cell(one, 0, 0, "91.5")
    expect(cell(other, 0, 0)).to_have_text("91.50")
    expect(other.locator("header.head")).to_contain_text("not saved")
    button(other, "Undo").click()  # by whoever sees it
    expect(cell(one, 0, 0)).to_have_text("92.00")
    expect(cell(other, 0, 0)).to_have_text("92.00")
    button(one, "Redo").click()
    expect(cell(other, 0, 0)).to_have_text("91.50")
    button(other, "Save").click()
    expect(button(one, "Save")).to_be_disabled()
    expect(one.locator("header.head")).not_to_contain_text("not saved")


class Line:
    """The connection of a window, which can be held: what the server says then comes later."""

    def __init__(self, page: Page) -> None:
        self.kept: list[Any] = []
        self.held = False
        self._page: Any = None
        page.route_web_socket("**/_nicegui_ws/**", self._through)

    def _through(self, page: Any) -> None:
        self._page = page
        server = page.connect_to_server()
        server.on_message(lambda said: self.kept.append(said) if self.held else page.send(said))

    def let_go(self) -> None:
        self.held = False
        for said in self.kept:
            self._page.send(said)
        self.kept.clear()


def test_a_change_made_on_what_has_changed_is_refused_with_words(
    site: Bench, mine: Windows, person: Opener
) -> None:
    site.put("stale.yaml", TWO)
    page = mine.context.new_page()
    line = Line(page)
    mine.go(page, "/project/stale.yaml?at=anchors")
    other = person().open("/project/stale.yaml?at=anchors")
    expect(cell(page, 0, 0)).to_have_text("92.00")

    line.held = True
    set_cell(other, 0, 0, "91.5")
    expect(cell(other, 0, 0)).to_have_text("91.50")
    set_cell(page, 0, 0, "93")  # on what it still shows: 92
    line.let_go()
    refused = page.get_by_text("Another window has changed the project meanwhile")
    expect(refused.first).to_be_visible()
    expect(cell(other, 0, 0)).to_have_text("91.50")
    page.keyboard.press("Escape")
    expect(cell(page, 0, 0)).to_contain_text("91.50")

    set_cell(page, 0, 0, "93")  # and now it has been seen
    expect(cell(other, 0, 0)).to_have_text("93.00")


def test_saving_changes_one_line_and_keeps_comments(site: Bench, mine: Windows) -> None:
    path = site.put("saved.yaml", TWO)
    before = path.read_text("utf-8").splitlines()
    page = mine.open("/project/saved.yaml?at=anchors")
    expect(button(page, "Save")).to_be_disabled()
    set_cell(page, 1, 0, "79.5")
    expect(cell(page, 1, 0)).to_have_text("79.50")
    page.keyboard.press("Control+s")
    expect(button(page, "Save")).to_be_disabled()
    after = path.read_text("utf-8").splitlines()
    assert len(before) == len(after)
    changed = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert len(changed) == 1
    old, new = changed[0]
    assert new.split("#")[0].split() == ["-", "elevation:", "79.5"]
    assert old.partition("#")[2] == new.partition("#")[2]
    assert sum("#" in line for line in after) == sum("#" in line for line in before) > 3


def test_what_is_typed_when_saving_is_asked_for_is_saved(site: Bench, mine: Windows) -> None:
    path = site.put("typing.yaml", TWO)
    page = mine.open("/project/typing.yaml?at=anchors")
    cell(page, 0, 0).focus()
    page.keyboard.type("91.5")
    page.keyboard.press("Control+s")  # nothing is unsaved yet, and the cell still open
    expect(page.locator(".say-good")).to_contain_text("Saved")
    assert "- elevation: 91.5" in path.read_text("utf-8")
    mine.go(page, "/project/typing.yaml?at=section")
    page.get_by_label("Wall length").fill("190 ft")
    page.keyboard.press("Control+s")
    expect(page.locator(".say-good")).to_contain_text("Saved")
    assert "length: 190" in path.read_text("utf-8")
    expect(button(page, "Save")).to_be_disabled()


def test_what_something_else_wrote_is_offered_taken_and_undone(site: Bench, mine: Windows) -> None:
    path = site.put("outside.yaml", TWO)
    page = mine.open("/project/outside.yaml?at=anchors")
    text = path.read_text("utf-8")
    path.write_text(text.replace("- elevation: 92", "- elevation: 90"), "utf-8")
    notice = page.get_by_role("alert").filter(has_text="changed by something else")
    expect(notice).to_be_visible()
    expect(cell(page, 0, 0)).to_have_text("92.00")
    button(page, "Take the file from the disk").click()
    expect(cell(page, 0, 0)).to_have_text("90.00")
    expect(notice).to_be_hidden()
    button(page, "Undo").click()
    expect(cell(page, 0, 0)).to_have_text("92.00")
    button(page, "Save").click()
    expect(button(page, "Save")).to_be_disabled()
    assert path.read_text("utf-8") == text


def test_saving_over_an_outside_change_has_to_be_asked_for(site: Bench, mine: Windows) -> None:
    path = site.put("over.yaml", TWO)
    page = mine.open("/project/over.yaml?at=anchors")
    set_cell(page, 0, 0, "91.5")
    expect(cell(page, 0, 0)).to_have_text("91.50")
    text = path.read_text("utf-8").replace("- elevation: 92", "- elevation: 90")
    path.write_text(text, "utf-8")
    button(page, "Save").click()
    notice = page.get_by_role("alert").filter(has_text="changed by something else")
    expect(notice).to_be_visible()
    assert path.read_text("utf-8") == text
    button(page, "Write over it").click()
    expect(button(page, "Save")).to_be_disabled()
    expect(notice).to_be_hidden()
    assert "- elevation: 91.5" in path.read_text("utf-8")


def test_leaving_with_unsaved_changes_asks_but_not_between_panels(
    site: Bench, mine: Windows
) -> None:
    site.put("leave.yaml", TWO)
    page = mine.open("/project/leave.yaml?at=anchors")
    asked: list[str] = []
    answers = ["stay", "go"]

    def answer(dialog: Any) -> None:
        asked.append(dialog.type)
        if answers.pop(0) == "stay":
            dialog.dismiss()
        else:
            dialog.accept()

    page.on("dialog", answer)
    set_cell(page, 0, 0, "91.5")
    expect(page.locator("header.head")).to_contain_text("not saved")
    page.get_by_role("link", name="Checks").click()
    expect(page.get_by_role("link", name="Checks")).to_have_attribute("aria-current", "page")
    assert asked == []
    page.wait_for_function("window.did_handshake === true")
    page.mouse.click(5, 700)  # browsers ask only about a page that was used
    with page.expect_event("dialog"):
        page.get_by_role("link", name="All projects").click(no_wait_after=True)
    assert asked == ["beforeunload"]
    expect(page.get_by_role("link", name="Checks")).to_be_visible()
    assert "/project/leave.yaml" in page.url
    page.get_by_role("link", name="All projects").click()
    expect(page.get_by_role("heading", name="Projects")).to_be_visible()
    assert asked == ["beforeunload"] * 2
    page.get_by_role("link", name="leave.yaml", exact=True).click()
    # the program has kept the changes
    expect(page.locator("header.head")).to_contain_text("not saved")


def test_leaving_without_changes_asks_nothing(site: Bench, mine: Windows) -> None:
    site.put("calm.yaml", TWO)
    page = mine.open("/project/calm.yaml")
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.mouse.click(5, 700)
    page.get_by_role("link", name="All projects").click()
    expect(page.get_by_role("heading", name="Projects")).to_be_visible()
    assert asked == []
