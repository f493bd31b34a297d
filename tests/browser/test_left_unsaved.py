"""A served program that is killed: what was not saved is offered when the project is opened again."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.bench import Bench, shot


def test_unsaved_steps_outlive_the_program(browser: Browser, tmp_path: Path) -> None:
    first = Bench(tmp_path, browser)
    path = first.put("wall.yaml", "two-row-sand.yaml")
    was = path.read_text("utf-8")
    try:
        with first.page("wall.yaml") as page:
            page.get_by_label("Wall length").fill("190 ft")
            page.keyboard.press("Enter")
            expect(page.locator("[data-unsaved='yes']")).to_be_visible()
            page.goto("about:blank")
    finally:
        first.server.kill()
        first.server.wait()
        first.log.close()
    assert path.read_text("utf-8") == was
    again = Bench(tmp_path, browser)
    try:
        with again.page("wall.yaml") as page:
            notice = page.get_by_role("alert").filter(has_text="were left unsaved")
            expect(notice).to_be_visible()
            expect(page.get_by_label("Wall length")).to_have_value("184 ft")
            notice.get_by_text("What differs from the file").click()
            expect(notice).to_contain_text("190")
            shot(page, "left-unsaved")
            page.get_by_label("Name", exact=True).fill("B")
            page.keyboard.press("Enter")
            expect(
                page.get_by_text("First take up or drop what was left unsaved").first
            ).to_be_visible()
            notice.get_by_role("button", name="Take it up").press("Enter")
            expect(notice).to_be_hidden()
            expect(page.get_by_label("Wall length")).to_have_value("190 ft")
            expect(page.locator("[data-unsaved='yes']")).to_be_visible()
            page.keyboard.press("Control+s")
            expect(page.locator("[data-unsaved='no']")).to_be_visible()
        assert [line.split()[1:2] for line in set(path.read_text("utf-8").splitlines())
                - set(was.splitlines())] == [["190"]]  # fmt: skip
        assert not path.with_name(".wall.yaml.unsaved").exists()
    finally:
        again.stop()


def test_what_was_left_is_dropped_only_when_asked_twice(browser: Browser, site: Bench) -> None:
    path = site.put("dropped.yaml", "two-row-sand.yaml")
    draft = path.with_name(".dropped.yaml.unsaved")
    draft.write_text(path.read_text("utf-8") + "# <b>left</b>\n", "utf-8")
    with site.page("dropped.yaml") as page:
        notice = page.get_by_role("alert").filter(has_text="were left unsaved")
        notice.get_by_text("What differs from the file").click()
        expect(notice).to_contain_text("+# <b>left</b>")
        notice.get_by_role("button", name="Drop it").click()
        page.get_by_role("button", name="Keep it").click()
        expect(notice).to_be_visible()
        assert draft.exists()
        notice.get_by_role("button", name="Drop it").click()
        page.get_by_role("button", name="Drop it for good").click()
        expect(notice).to_be_hidden()
        assert not draft.exists()
