"""The schedule of anchors in a browser: edited by keyboard, pasted into, and refused beside the cell."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.bench import Bench, shot
from tests.browser.served import connected

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"


def of_two_sections(bench: Bench, name: str) -> None:
    """Put a project that has the section of the example twice."""
    path = bench.put(name, TWO)
    text = path.read_text("utf-8")
    head, section = text.split("sections:\n")
    again = section.replace("name: A (Alder Street)", "name: B (Birch Lane)")
    path.write_text(f"{head}sections:\n{section.rstrip()}\n{again}", "utf-8")


@pytest.fixture(scope="module")
def bench(site: Bench) -> Bench:
    return site.within("anchors")


def cell(page: Page, row: int, column: int) -> Locator:
    return page.locator(f"#rows-{row}-{column}")


def paste(page: Page, text: str) -> None:
    page.evaluate("text => navigator.clipboard.writeText(text)", text)
    page.keyboard.press("Control+V")


def test_the_schedule_is_edited_by_keyboard_alone(bench: Bench) -> None:
    bench.put("keys.yaml", TWO)
    with bench.page("keys.yaml", at="anchors") as page:
        expect(cell(page, 0, 0)).to_have_text("92.00")
        cell(page, 0, 0).focus()
        page.keyboard.type("91.5 ft")
        page.keyboard.press("Enter")
        expect(cell(page, 0, 0)).to_have_text("91.50")
        expect(cell(page, 1, 0)).to_be_focused()
        page.keyboard.press("F2")
        page.keyboard.press("Escape")
        expect(cell(page, 1, 0)).to_have_text("80.00")
        page.keyboard.press("ArrowRight")
        page.keyboard.type("25")
        page.keyboard.press("Tab")
        expect(cell(page, 1, 1)).to_have_text("25.00")
        expect(cell(page, 1, 2)).to_be_focused()
        undo = page.get_by_role("button", name="Undo")
        undo.click()
        expect(cell(page, 1, 1)).to_have_text("20.00")
        undo.click()
        expect(cell(page, 0, 0)).to_have_text("92.00")


def test_a_fast_hand_is_followed(bench: Bench) -> None:
    bench.put("fast.yaml", TWO)
    with bench.page("fast.yaml", at="anchors") as page:
        cell(page, 0, 0).focus()
        for text in ("91.5", "79.5"):  # before the first is answered
            page.keyboard.type(text)
            page.keyboard.press("Enter")
        expect(cell(page, 1, 0)).to_have_text("79.50")
        expect(cell(page, 0, 0)).to_have_text("91.50")
        expect(page.get_by_role("alert").filter(has_text="Another window")).to_have_count(0)


def test_a_block_is_pasted_as_one_step(bench: Bench) -> None:
    path = bench.put("paste.yaml", TWO)
    with bench.page("paste.yaml", at="anchors") as page:
        cell(page, 0, 0).focus()
        paste(page, "93\t18\t1\r\n81.5\t22\t1\r\n")
        expect(cell(page, 0, 0)).to_have_text("93.00")
        expect(cell(page, 1, 1)).to_have_text("22.00")
        expect(page.locator(".anchors-said")).to_contain_text("Paste into 6 cells")
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_role("button", name="Save")).to_be_disabled()
        assert "elevation: 81.5" in path.read_text("utf-8")
        page.get_by_role("button", name="Undo").click()
        expect(cell(page, 0, 0)).to_have_text("92.00")
        expect(cell(page, 1, 1)).to_have_text("20.00")


def test_marked_cells_are_copied_as_a_block(bench: Bench) -> None:
    bench.put("copy.yaml", TWO)
    with bench.page("copy.yaml", at="anchors") as page:
        cell(page, 0, 0).focus()
        page.keyboard.press("Shift+ArrowRight")
        page.keyboard.press("Shift+ArrowDown")
        expect(page.locator('[aria-selected="true"]')).to_have_count(4)
        page.keyboard.press("Control+C")
        page.wait_for_function(
            "async text => await navigator.clipboard.readText() === text", arg="92\t20\n80\t20"
        )


def test_a_wrong_value_is_explained_beside_its_cell(bench: Bench) -> None:
    bench.put("wrong.yaml", TWO)
    with bench.page("wrong.yaml", at="anchors") as page:
        cell(page, 0, 0).focus()
        paste(page, "93\t1,200\n=A1\t20")
        wrong = cell(page, 0, 1)
        expect(wrong).to_contain_text("thousands without a comma")
        expect(wrong).to_have_attribute("aria-invalid", "true")
        expect(cell(page, 1, 0)).to_contain_text("this is a formula")
        expect(cell(page, 0, 0)).to_have_text("92.00")
        expect(page.get_by_role("alert").filter(has_text="Nothing was changed")).to_be_visible()
        shot(page, "anchors-wrong")
        wrong.focus()
        page.keyboard.press("Escape")
        expect(wrong).to_have_text("20.00")


def test_words_are_chosen_and_markup_stays_text(bench: Bench) -> None:
    hostile = "<img src=x onerror=document.title='taken'>"
    bench.put(
        "words.yaml", TWO, ("name: Larkfield Library, basement shoring", f'name: "{hostile}"')
    )
    with bench.page("words.yaml", at="anchors") as page:
        page.get_by_role("checkbox", name="All columns").click()
        head = page.locator(".anchors-grid thead th", has_text="Note")
        expect(head).to_be_visible()
        heads = page.locator(".anchors-grid thead th").all_inner_texts()
        at = heads.index("Note") - 3  # two heads of groups and that of the row stand before
        note = cell(page, 0, at)
        note.focus()
        page.keyboard.type(hostile)
        page.keyboard.press("Enter")
        expect(note).to_have_text(hostile)
        assert page.locator(".panel img").count() == 0
        assert page.title() != "taken"
        expect(page.locator("header.head h1")).to_have_text(hostile)


def test_rows_are_added_and_removed(bench: Bench) -> None:
    bench.put("rows.yaml", TWO)
    with bench.page("rows.yaml", at="anchors") as page:
        cell(page, 0, 0).focus()
        page.get_by_role("button", name="Add a row below").click()
        expect(cell(page, 1, 0)).to_have_text("86.00")
        expect(cell(page, 2, 0)).to_have_text("80.00")
        shot(page, "anchors-rows")
        cell(page, 1, 0).focus()
        page.get_by_role("button", name="Remove the row").click()
        expect(cell(page, 2, 0)).to_have_count(0)
        expect(cell(page, 1, 0)).to_have_text("80.00")


def test_units_change_what_is_shown_and_not_the_file(bench: Bench) -> None:
    path = bench.put("units.yaml", TWO)
    before = path.read_text("utf-8")
    with bench.page("units.yaml", at="anchors") as page:
        page.get_by_role("button", name="SI", exact=True).click()
        expect(cell(page, 0, 0)).to_have_text("28.04")
        cell(page, 0, 0).focus()
        page.keyboard.type("28")
        page.keyboard.press("Enter")
        expect(cell(page, 0, 0)).to_have_text("28.00")
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_role("button", name="Save")).to_be_disabled()
    after = path.read_text("utf-8")
    changed = [b for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    assert changed == ["      - elevation: 28 m"]


def test_the_table_can_be_left_by_keyboard(bench: Bench) -> None:
    bench.put("leave.yaml", TWO)
    with bench.page("leave.yaml", at="anchors") as page:
        cell(page, 0, 3).focus()
        page.keyboard.press("Escape")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('[role=grid]')") is None


def test_another_window_does_not_end_what_is_being_typed(bench: Bench) -> None:
    bench.put("both.yaml", TWO)
    with (
        bench.page("both.yaml", at="anchors") as one,
        bench.page("both.yaml", at="anchors") as other,
    ):
        cell(one, 0, 0).focus()
        one.keyboard.type("91")
        cell(other, 1, 1).focus()
        other.keyboard.type("22")
        other.keyboard.press("Enter")
        expect(cell(one, 1, 1)).to_have_text("22.00")
        editor = one.locator(".anchors-editor")
        expect(editor).to_be_focused()
        expect(editor).to_have_value("91")
        one.keyboard.press("Enter")
        expect(cell(other, 0, 0)).to_have_text("91.00")
        expect(cell(one, 1, 1)).to_have_text("22.00")


def test_each_section_has_its_own_schedule(bench: Bench) -> None:
    of_two_sections(bench, "sections.yaml")
    with bench.page("sections.yaml", at="anchors") as page:
        page.get_by_role("combobox", name="Section or slope").click()
        page.locator(".q-menu .q-item", has_text="Birch Lane").click()
        cell(page, 0, 0).focus()
        page.keyboard.type("91")
        page.keyboard.press("Enter")
        expect(cell(page, 0, 0)).to_have_text("91.00")
        page.get_by_role("combobox", name="Section or slope").click()
        page.locator(".q-menu .q-item", has_text="Alder Street").click()
        expect(cell(page, 0, 0)).to_have_text("92.00")
        page.goto(bench.url("sections.yaml", at="checks"))
        connected(page)
        groups = page.locator(".check-list tr.group")
        expect(groups).to_have_count(2)
        page.get_by_role("checkbox", name="By part").click()
        expect(groups).to_have_count(0)
        expect(page.locator(".check-list td").nth(2)).to_contain_text("Section")
