"""How the pages look and are reached: both themes, print, contrast, names, keyboard, sizes, both unit systems."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from backstay.workbench.app import STATIC
from backstay.workbench.ways import WAYS
from tests.browser.bench import Bench, drawn
from tests.browser.served import Windows, connected, searched

pytestmark = pytest.mark.journey
TWO = "two-row-sand.yaml"
SIZES = ((1280, 720), (768, 1024), (1920, 1080))
PANELS = [way.key for way in WAYS]
ADDRESSES = [*(f"/project/looks.yaml?at={key}" for key in PANELS), "/projects"]
TEXT, LARGE = 4.5, 3.0
"""Least ratio of contrast of text, and of large text or the marks of what can be used: WCAG 2.2,
1.4.3 and 1.4.11, level AA (published)."""


@pytest.fixture(scope="module")
def project(site: Bench) -> Path:
    return site.put("looks.yaml", TWO)


LAST = {
    "section": "Rows of anchors", "checks": "checks, worst first", "anchors": "Add a row below",
    "field": "No anchor is registered yet", "variants": "A variant is a copy of the project",
    "output": "Calculation",
}  # fmt: skip
"""What a panel shows when it is whole."""
FITS = "document.querySelector('.sec')?.ariaBusy !== 'true'"
"""Whether the section, where there is one, is drawn for the room there is."""


def settled(page: Page) -> None:
    """Wait for the design, and what panels fill a moment later."""
    if "/project/" in page.url:
        searched(page)
        way = page.url.partition("at=")[2].partition("&")[0]
        expect(page.locator("#panel")).to_contain_text(LAST[way])
    page.wait_for_function(FITS)
    drawn(page)


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it (published)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_reckoned_as_published() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    # 4.48 and 4.54: greys on either side of the limit, widely given as the example
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


def variables(theme: str) -> dict[str, str]:
    css = (STATIC / "workbench.css").read_text("utf-8")
    head = {"light": r"^:root \{", "dark": r"^body\.body--dark \{"}[theme]
    block = re.search(head + r"([^}]*)\}", css, re.MULTILINE)
    assert block is not None
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})", block[1]))


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_colours_of_text_have_contrast_on_every_ground(theme: str) -> None:
    found = variables(theme)
    assert set(found) >= {"paper", "ink", "quiet", "accent", "wash", "good", "bad", "open"}
    for name in ("ink", "quiet", "accent", "good", "bad", "open"):
        for ground in ("paper", "wash"):
            assert contrast(found[name], found[ground]) >= TEXT, (theme, name, ground)


LOW = """() => {
    const parse = text => (text.match(/[\\d.]+/g) ?? [0, 0, 0, 0]).map(Number);
    const lum = ([r, g, b]) => {
        const f = c => (c /= 255) <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
        return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b);
    };
    const ground = one => {
        for (; one; one = one.parentElement) {
            const [r, g, b, a = 1] = parse(getComputedStyle(one).backgroundColor);
            if (a > 0.99) return [r, g, b];
        }
        return [255, 255, 255];
    };
    const found = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const one = walk.currentNode.parentElement;
        if (!walk.currentNode.data.trim() || !one.checkVisibility({opacityProperty: true})) continue;
        if (one.closest("svg, script, style, [disabled], .disabled, [aria-disabled=true], .q-uploader__header, #popup, .nicegui-error-popup"))
            continue;
        const style = getComputedStyle(one);
        const size = parseFloat(style.fontSize), bold = Number(style.fontWeight) >= 700;
        const least = size >= 24 || (bold && size >= 18.66) ? 3 : 4.5;
        const [a, b] = [lum(parse(style.color)), lum(ground(one))].sort((x, y) => y - x);
        const ratio = (a + 0.05) / (b + 0.05);
        if (ratio < least) found.push(`${ratio.toFixed(2)} ${style.color} "${walk.currentNode.data.trim().slice(0, 40)}" ${one.className}`);
    }
    return found;
}"""

UNNAMED = """() => [...document.querySelectorAll(
    "button, a[href], input, select, textarea, [role=button], [role=link], [role=slider], [role=combobox], [role=checkbox], [role=tab], [role=img], img, svg[role], [tabindex='0']"
)].filter(one => one.checkVisibility() && !one.closest("[aria-hidden=true]") && one.type !== "hidden").filter(one => {
    const by = (one.getAttribute("aria-labelledby") ?? "").split(" ").map(id => document.getElementById(id)?.textContent ?? "").join("");
    const label = [...(one.labels ?? [])].map(label => label.textContent).join("");
    return !(one.textContent.trim() || one.getAttribute("aria-label")?.trim() || by.trim() || label.trim() || one.alt?.trim() || one.title?.trim());
}).map(one => one.outerHTML.slice(0, 200))"""

WIDE = """() => [document.documentElement.scrollWidth, innerWidth,
    ...[...document.querySelectorAll("body *")].filter(one => one.getBoundingClientRect().right > innerWidth + 1)
        .slice(0, 3).map(one => one.outerHTML.slice(0, 120))]"""


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_every_panel_is_readable_named_and_fits(mine: Windows, project: Path, theme: str) -> None:
    mine.context.add_cookies([{"name": "backstay-theme", "value": theme, "url": mine.origin}])
    page = mine.context.new_page()
    faults: list[str] = []
    for address in ADDRESSES:
        page.set_viewport_size({"width": SIZES[0][0], "height": SIZES[0][1]})
        mine.go(page, address)
        settled(page)
        assert page.evaluate("document.body.classList.contains('body--dark')") is (theme == "dark")
        faults += [f"{address}: contrast {one}" for one in page.evaluate(LOW)]
        if theme == "light":
            faults += [f"{address}: no name {one}" for one in page.evaluate(UNNAMED)]
        name = address.rpartition("=")[2].strip("/")
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            drawn(page)
            needed, given, *who = page.evaluate(WIDE)
            if needed > given:
                faults.append(f"{address}: {needed} wide in {given}: {who}")
            page.screenshot(path=Path("out/screens") / f"look-{name}-{theme}-{width}x{height}.png")
    assert faults == []


def test_the_way_by_keyboard_begins_with_a_skip_and_is_seen(mine: Windows, project: Path) -> None:
    page = mine.open("/project/looks.yaml?at=checks")
    settled(page)
    assert page.evaluate("document.documentElement.lang") == "en-US"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the panel"
    assert page.locator("a.skip").bounding_box()["x"] >= 0  # type: ignore[index]
    reached: list[str] = []
    for _ in range(14):
        page.keyboard.press("Tab")
        words, outline, box = page.evaluate(
            """() => { const one = document.activeElement, style = getComputedStyle(one);
                const box = one.getBoundingClientRect();
                return [one.getAttribute("aria-label") || one.textContent.trim(),
                    (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none", [box.top, box.left]]; }"""
        )
        reached.append(words)
        assert outline, f"{words}: focus is not seen"
        assert box[0] >= 0
        assert box[1] >= 0
    ways = [way.name for way in WAYS]
    at = reached.index(ways[0])
    assert reached[at : at + len(ways)] == ways
    assert any("Dark" in one or "dark" in one for one in reached[:at])
    page.keyboard.press("Shift+Tab")
    page.locator("a.skip").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#panel') !== null")


def test_light_and_dark_are_kept_by_the_browser(mine: Windows, project: Path) -> None:
    before = project.read_bytes()
    page = mine.open("/project/looks.yaml?at=checks")
    page.get_by_role("button", name="Show the pages dark").click()
    expect(page.locator("body")).to_have_class(re.compile("body--dark"))
    mine.go(page, "/projects")
    expect(page.locator("body")).to_have_class(re.compile("body--dark"))
    page.get_by_role("button", name="Show the pages light").click()
    expect(page.locator("body")).not_to_have_class(re.compile("body--dark"))
    assert project.read_bytes() == before


def test_both_unit_systems_at_any_moment_without_a_change(site: Bench, mine: Windows) -> None:
    path = site.put("units-shown.yaml", TWO)
    before = path.read_bytes()
    page = mine.open("/project/units-shown.yaml?at=anchors")
    first = page.locator("#rows-0-0")
    expect(first).to_have_text("92.00")
    page.get_by_role("button", name="SI", exact=True).click()
    expect(first).to_have_text("28.04")
    page.wait_for_function("document.cookie.includes('backstay-units=SI')")
    expect(page.locator("header.head")).not_to_contain_text("not saved")
    for key in PANELS:  # and it stays, on every panel
        mine.go(page, f"/project/units-shown.yaml?at={key}")
        expect(page.get_by_role("button", name="SI", exact=True)).to_have_attribute(
            "aria-pressed", "true"
        )
        settled(page)
        shown = page.locator("#panel").inner_text()
        for words in ("Water main, 16 in", "30 ft, 9.2 m, 115 kip"):  # a name, an example
            shown = shown.replace(words, "")
        assert not re.search(r"\d (kip|psf|ft|in)\b", shown), (key, shown)
    page.get_by_role("button", name="US", exact=True).click()
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    assert path.read_bytes() == before


def test_print_is_black_on_white_without_what_is_pressed(mine: Windows, project: Path) -> None:
    mine.context.add_cookies([{"name": "backstay-theme", "value": "dark", "url": mine.origin}])
    page = mine.context.new_page()
    mine.go(page, "/project/looks.yaml?at=checks")
    settled(page)
    page.emulate_media(media="print")
    for name, value in variables("light").items():
        got = page.evaluate(
            "name => getComputedStyle(document.body).getPropertyValue(name).trim()", f"--{name}"
        )
        assert got == value, name
    expect(page.get_by_role("button", name="Undo")).to_be_hidden()
    expect(page.locator("nav.ways")).to_be_hidden()
    expect(page.locator("header.head h1")).to_be_visible()
    Path("out/screens").mkdir(parents=True, exist_ok=True)
    page.pdf(path=Path("out/screens/look-print.pdf"))


def test_nothing_is_asked_of_another_host(mine: Windows, project: Path) -> None:
    page = mine.open(ADDRESSES[0])
    for address in ADDRESSES[1:]:
        mine.go(page, address)
        connected(page)
    assert len(mine.asked) > 50
    assert mine.foreign == []
