"""The section as the editor, in a browser: dragged, stepped, typed, refused, undone, with and without a mouse."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.bench import SCREENS, Bench

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"
SIZES = ((1280, 720), (1024, 768), (1920, 1080))
FITS = """() => {
    const one = document.querySelector(".sec"), box = one?.getBoundingClientRect();
    if (!box?.width) return false;
    const wide = Number(one.dataset.room.split(" ")[0]);
    return one.getAttribute("aria-busy") === "false" && Math.abs(wide - box.width) < 9;
}"""
"""Whether the picture is drawn for the width that there is: small changes of it change nothing."""
ESCAPES = """([id, text]) => new MutationObserver((_, all) => {
    if (document.querySelector(`.sec-handle[data-id="${id}"]`).getAttribute("aria-valuetext") !== text) return;
    all.disconnect();
    document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", bubbles: true }));
    window.escaped = true;
}).observe(document.querySelector(".sec-over"), { subtree: true, attributes: true })"""
"""Presses Escape when a handle is seen at a value, before the keys have rested so long that it is kept."""


@pytest.fixture(scope="module")
def bench(site: Bench) -> Bench:
    return site.within("section")


def handle(page: Page, id: str) -> Locator:
    return page.locator(f'.sec-handle[data-id="{id}"]')


def value(page: Page, id: str, words: str | re.Pattern[str]) -> None:
    expect(handle(page, id)).to_have_attribute("aria-valuetext", words)


def needs(page: Page, row: int) -> Locator:
    """Return the cell with the load that a row needs."""
    return (
        page.get_by_label("Rows of anchors").locator("tbody tr").nth(row - 1).locator("td").nth(1)
    )


def middle(page: Page, id: str) -> tuple[float, float]:
    box = handle(page, id).locator("path").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def ready(page: Page) -> None:
    """Wait for the picture to be drawn for the room there is."""
    expect(handle(page, "row-0-head")).to_be_visible()
    page.wait_for_function(FITS)


def take(page: Page, id: str, down: float, right: float = 0.0) -> None:
    """Take hold of a handle and move it by pixels; it is not let go."""
    x, y = middle(page, id)
    page.mouse.move(x, y)
    page.mouse.down()
    for share in (0.3, 0.7, 1.0):
        page.mouse.move(x + share * right, y + share * down)


def pictures(page: Page, name: str) -> None:
    """Keep pictures at the sizes of a small screen, a tablet and a large screen."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_function(FITS)
        page.screenshot(path=SCREENS / f"section-{name}-{width}x{height}.png")
    page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})
    page.wait_for_function(FITS)


def test_an_anchor_is_dragged_its_load_changes_and_it_is_undone(bench: Bench) -> None:
    path = bench.put("drag.yaml", TWO, ("design_load: 115 ", "# design_load: 115 "))
    before = path.read_text("utf-8")
    with bench.page("drag.yaml") as page:
        ready(page)
        value(page, "row-0-head", "92 ft")
        load = page.get_by_label("Rows of anchors").locator("tbody tr").first.locator("td").nth(2)
        was = load.inner_text()
        take(page, "row-0-head", down=9)
        tip = page.locator(".sec-tip")
        expect(tip).to_contain_text("Anchor head, row 1")
        expect(tip).to_contain_text("kip")
        expect(load).not_to_have_text(was)
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()  # nothing is changed yet
        page.screenshot(path=SCREENS / "section-drag.png")
        page.mouse.up()
        expect(page.get_by_role("button", name="Undo")).to_be_enabled()
        value(page, "row-0-head", re.compile(r"^(89|90)(\.5)? ft$"))
        expect(load).not_to_have_text(was)
        assert path.read_text("utf-8") == before  # it is saved when the person says so
        page.keyboard.press("Control+z")
        value(page, "row-0-head", "92 ft")
        expect(load).to_have_text(was)
        page.keyboard.press("Control+Shift+z")
        value(page, "row-0-head", re.compile(r"^(89|90)(\.5)? ft$"))


def test_a_click_is_no_move_and_escape_drops_what_is_held(bench: Bench) -> None:
    bench.put("drop.yaml", TWO)
    with bench.page("drop.yaml") as page:
        ready(page)
        x, y = middle(page, "subgrade")
        page.mouse.click(x, y)
        expect(page.get_by_role("combobox", name="Chosen")).to_have_value("Cut")
        take(page, "subgrade", down=12)
        expect(page.locator(".sec-tip")).to_contain_text("Subgrade")
        page.keyboard.press("Escape")
        page.mouse.up()
        value(page, "subgrade", "68 ft")
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_an_impossible_place_explains_itself_and_changes_nothing(bench: Bench) -> None:
    path = bench.put("never.yaml", TWO)
    with bench.page("never.yaml") as page:
        ready(page)
        take(page, "row-0-head", down=70)  # below the row beneath it
        tip = page.locator(".sec-tip.bad")
        expect(tip).to_contain_text("✗")
        page.screenshot(path=SCREENS / "section-impossible.png")
        page.mouse.up()
        value(page, "row-0-head", "92 ft")
        expect(tip).to_be_visible()
        assert len(tip.inner_text()) > 30
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()
        expect(page.get_by_text("all checks pass")).to_be_visible()
    assert path.read_text("utf-8") == bench.put("again.yaml", TWO).read_text("utf-8")


def test_everything_is_done_by_keyboard(bench: Bench) -> None:
    bench.put("keys.yaml", TWO)
    with bench.page("keys.yaml") as page:
        ready(page)
        for _ in range(40):  # by Tab alone, from the top of the page
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement?.dataset?.id") == "row-0-head":
                break
        expect(handle(page, "row-0-head")).to_be_focused()
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        value(page, "row-0-head", "91 ft")
        expect(page.get_by_role("button", name="Undo")).to_be_enabled()  # kept when the keys rest
        expect(handle(page, "row-0-head")).to_be_focused()
        page.evaluate(ESCAPES, ["row-0-head", "91.1 ft"])
        page.keyboard.press("Shift+ArrowUp")
        page.wait_for_function("window.escaped")
        value(page, "row-0-head", "91 ft")
        page.keyboard.press("Enter")
        typed = page.locator(".sec-type input")
        expect(typed).to_be_focused()
        expect(typed).to_have_value("91 ft")
        page.keyboard.type("28.2 m")
        page.keyboard.press("Enter")
        value(page, "row-0-head", "92.5197 ft")
        expect(handle(page, "row-0-head")).to_be_focused()
        page.keyboard.press("Enter")
        page.keyboard.type("12 kPa")
        page.keyboard.press("Enter")
        expect(page.locator(".sec-type .sec-why")).to_contain_text("not a unit of length")
        page.keyboard.press("Escape")
        value(page, "row-0-head", "92.5197 ft")
        page.keyboard.press("Control+z")
        value(page, "row-0-head", "91 ft")


def test_stages_are_stepped_through_and_diagrams_read_at_a_depth(bench: Bench) -> None:
    bench.put("stages.yaml", TWO)
    with bench.page("stages.yaml") as page:
        ready(page)
        words = page.locator(".stages .words")
        expect(words).to_contain_text("design envelope")
        seen = []
        for number in range(1, 6):
            page.get_by_label("Next stage").click()
            expect(words).to_contain_text(f"Stage {number}:")
            seen.append(words.inner_text())
        expect(page.get_by_label("Next stage")).to_be_disabled()
        assert "row 1" in seen[1]
        assert "kip" in seen[1]
        page.get_by_label("Stage before").click()
        reader = page.get_by_label("Depth at which the diagrams are read")
        reader.focus()
        page.keyboard.press("PageDown")
        read = page.locator(".sec-read")
        for said in ("Elevation", "depth", "psf", "Shear", "kip·ft", "Deflection"):
            expect(read).to_contain_text(said)
        at = reader.get_attribute("aria-valuetext")
        page.keyboard.press("ArrowDown")
        assert reader.get_attribute("aria-valuetext") != at
        page.screenshot(path=SCREENS / "section-stage.png")


def test_a_value_with_its_unit_is_typed_into_what_is_chosen(bench: Bench) -> None:
    bench.put("typed.yaml", TWO)
    with bench.page("typed.yaml") as page:
        ready(page)
        x, y = middle(page, "row-0-head")
        page.mouse.click(x, y)
        load = page.get_by_label("Design load", exact=True)
        expect(load).to_have_value("115 kip")
        load.fill("600 kN")
        load.press("Tab")
        expect(load).to_have_value("134.885 kip")  # 600 / 4.4482216
        expect(page.get_by_label("Rows of anchors")).to_contain_text("134.9")
        load.fill("12 ft")
        load.press("Tab")
        row = page.locator(".field").filter(has=load)
        expect(row.locator(".why")).to_contain_text("not a unit of force")
        page.screenshot(path=SCREENS / "section-typed.png")
        load.press("Escape")
        expect(load).to_have_value("134.885 kip")
        page.get_by_label(re.compile("^Take out Design load")).click()
        expect(load).to_have_value("")
        page.get_by_role("button", name="SI", exact=True).click()
        expect(page.get_by_label("Elevation", exact=True)).to_have_value("28.0416 m")


def test_things_are_added_taken_out_and_dragged(bench: Bench) -> None:
    bench.put("things.yaml", TWO)
    with bench.page("things.yaml") as page:
        ready(page)
        for what, id in (
            ("Strip load", "load-1-near"), ("Water behind the wall", "water"),
            ("Pipe or duct", "obstacle-1"), ("Row of anchors", "row-2-head"),
            ("Stratum", "stratum-2"),
        ):  # fmt: skip
            page.get_by_role("button", name="Add", exact=True).click()
            page.get_by_role("menuitem", name=what).or_(
                page.locator(".q-menu .q-item", has_text=what)
            ).first.click()
            expect(handle(page, id)).to_be_visible()
        page.get_by_role("button", name="Take out stratum 3").click()
        expect(handle(page, "stratum-2")).to_have_count(0)
        pictures(page, "full")


def test_a_row_is_added_by_keyboard(bench: Bench) -> None:
    bench.put("added.yaml", TWO)
    with bench.page("added.yaml") as page:
        ready(page)
        page.get_by_role("button", name="Add", exact=True).press("Enter")
        item = page.locator(".q-menu .q-item")
        expect(page.locator(".q-menu")).to_be_focused()
        for key, at in (("ArrowDown", 0), ("ArrowDown", 1), ("End", -1), ("Home", 0)):
            page.keyboard.press(key)
            expect(item.nth(at)).to_be_focused()
        page.keyboard.press("Enter")
        expect(handle(page, "row-2-head")).to_be_visible()


def test_slip_surfaces_are_looked_for_stopped_and_chosen(bench: Bench) -> None:
    bench.put("slips.yaml", TWO)
    with bench.page("slips.yaml") as page:
        ready(page)
        box = page.get_by_label("Slip surfaces")
        stop = box.get_by_role("button", name="Stop")
        expect(box.get_by_text("Looking for slip surfaces")).to_be_visible()
        stop.click()
        expect(box.get_by_text("The search was stopped")).to_be_visible()
        box.get_by_role("button", name="Look for them").click()
        chosen = box.get_by_label("Shown in the section")
        expect(chosen).to_be_visible(timeout=180_000)
        chosen.click()
        page.locator(".q-menu .q-item", has_text="F =").first.click()
        expect(page.locator(".slip-shown").first).to_be_attached()
        page.screenshot(path=SCREENS / "section-slip.png")
        box.get_by_role("button", name="Map of safety").click()
        expect(page.locator(".map svg")).to_be_visible(timeout=180_000)
        page.screenshot(path=SCREENS / "section-map.png")


def test_a_tablet_drags_by_touch(bench: Bench) -> None:
    bench.put("touch.yaml", TWO)
    context = bench.browser.new_context(
        viewport={"width": 1024, "height": 768}, has_touch=True, is_mobile=True
    )
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(bench.url("touch.yaml"))
    ready(page)
    x, y = middle(page, "row-0-head")
    touch = context.new_cdp_session(page)

    def send(kind: str, *points: dict[str, float]) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    send("touchStart", {"x": x + 8, "y": y})  # a finger is not exact
    for k in range(1, 6):
        send("touchMove", {"x": x + 8, "y": y + 2 * k})
    expect(page.locator(".sec-tip")).to_contain_text("Anchor head, row 1")
    send("touchEnd")
    value(page, "row-0-head", re.compile(r"^(89|90)(\.5)? ft$"))
    context.close()


def test_a_hostile_name_stays_text(bench: Bench) -> None:
    bad = "<img src=x onerror=document.title='pwned'>"
    bench.put(
        "bad.yaml", TWO, ("Street traffic and plant", bad), ("name: Dense sand", f'name: "{bad}"')
    )
    with bench.page("bad.yaml") as page:
        ready(page)
        take(page, "stratum-1", down=6)
        expect(page.locator(".sec-tip")).to_contain_text("<img src=x")
        page.mouse.up()
        page.wait_for_timeout(500)
        assert page.title() != "pwned"
        assert page.locator("img[src='x']").count() == 0


def test_another_section_is_chosen_and_changed_alone(bench: Bench) -> None:
    path = bench.put("parts.yaml", TWO)
    text = path.read_text("utf-8")
    head, body = text.split("sections:\n")
    second = body.replace("A (Alder Street)", "B (Beech Lane)").replace(
        "subgrade: 68.0", "subgrade: 70.0"
    )
    path.write_text(f"{head}sections:\n{body}{second}", "utf-8")
    with bench.page("parts.yaml") as page:
        ready(page)
        value(page, "subgrade", "68 ft")
        page.get_by_role("combobox", name="Section or slope").click()
        page.locator(".q-menu .q-item", has_text="Beech Lane").click()
        value(page, "subgrade", "70 ft")
        handle(page, "subgrade").focus()
        page.keyboard.press("ArrowUp")
        value(page, "subgrade", "70.5 ft")
        expect(page.get_by_role("button", name="Undo")).to_be_enabled()
        page.get_by_role("combobox", name="Section or slope").click()
        page.locator(".q-menu .q-item", has_text="Alder Street").click()
        value(page, "subgrade", "68 ft")


def test_what_leaves_no_design_is_set_only_where_it_is_asked_for(bench: Bench) -> None:
    bench.put("anyway.yaml", TWO)
    with bench.page("anyway.yaml") as page:
        ready(page)
        handle(page, "stratum-1").focus()
        kind = page.get_by_label("Kind", exact=True)
        kind.select_option("rock")
        row = page.locator(".field").filter(has=kind)
        expect(row.locator(".why")).to_contain_text("bond")
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()
        row.get_by_role("button", name="Set it all the same").click()
        expect(page.get_by_text("cannot be designed as it stands; the last design")).to_be_visible()
        expect(page.locator(".sec-handle")).to_have_count(0)
        page.get_by_role("button", name="Undo").click()
        value(page, "row-0-head", "92 ft")
