"""The field panel in a browser: register, anchors, readings brought in, bad files, papers, roles."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from backstay.records.facts import Remark
from backstay.records.store import open_records
from backstay.workbench.access.people import Role
from tests.browser.bench import Bench, shot
from tests.browser.served import PASSWORD, accounts
from tests.unit.workbench.field.test_bringing import go
from tests.unit.workbench.field.wall import FIELD, PART, csv, ready, slipping, wall

pytestmark = pytest.mark.journey
ANCHOR = f"{PART}-1-001"
UPLOAD = ".q-uploader input[type=file]"


def last(folder: Path, name: str) -> int:
    """Return the number of the last entry on record."""
    with open_records(folder / f"{name}.records") as records:
        return records.last()[0]


def named(page: Page) -> None:
    """Say who records."""
    page.get_by_label("Recorded by (name)").first.fill("R. Field")
    page.get_by_label("Recorded by (name)").first.blur()


def choose(page: Page, field: str, option: str) -> None:
    """Choose from a list."""
    page.get_by_label(field, exact=True).first.click()
    page.get_by_role("option", name=option, exact=True).click()


def drop(page: Page, name: str, content: bytes) -> None:
    """Put a file into the field for files."""
    page.locator(UPLOAD).first.set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    )


def fold(page: Page, title: str) -> Locator:
    """Return a part of the page that opens, opened."""
    part = page.locator("details").filter(
        has=page.locator("summary", has_text=re.compile(f"^{title}$"))
    )
    if part.get_attribute("open") is None:
        part.locator("summary").click()
    return part


def test_a_register_is_begun_and_an_anchor_opened_from_the_elevation(site: Bench) -> None:
    site.put("begun.yaml", "two-row-sand.yaml")
    with site.page("begun.yaml", at="field") as page:
        expect(page.get_by_text("No anchor is registered yet")).to_be_visible()
        begin = page.get_by_role("button", name="Begin the register with 46 anchors")
        begin.click()
        expect(page.get_by_text("Say who records it")).to_be_visible()
        assert not (site.folder / "begun.records").exists()
        named(page)
        begin.click()
        expect(page.get_by_text("46 of 46 anchors")).to_be_visible()
        spot = page.get_by_role("link", name=f"{PART}-2-003: planned")
        spot.focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", name=f"Anchor {PART}-2-003")).to_be_visible()
        expect(page.get_by_text("then drill").first).to_be_visible()
        link = page.get_by_role("link", name=re.compile("Stressing page"))
        assert link.get_attribute("href") == f"/jack/begun.yaml/{PART}-2-003".replace(
            " ", "%20"
        ).replace("(", "%28").replace(")", "%29")
        expect(page.get_by_label("Recorded by (name)")).to_have_value("R. Field")
    assert last(site.folder, "begun") == 46


def test_the_register_filters_and_shows_the_units_chosen(site: Bench) -> None:
    wall(site.folder, "filters")
    with site.page("filters.yaml", at="field") as page:
        expect(page.get_by_text("46 of 46 anchors")).to_be_visible()
        shot(page, "field-register")
        choose(page, "State", "G: grouted")
        expect(page.get_by_text("3 of 46 anchors")).to_be_visible()
        page.get_by_label("Words in name, state, tests or ground").fill("1-004")
        expect(page.get_by_text("1 of 46 anchors")).to_be_visible()
        expect(page.get_by_role("columnheader", name="Design load (kip)")).to_be_visible()
        page.get_by_role("button", name="SI", exact=True).click()
        expect(page.get_by_role("columnheader", name="Design load (kN)")).to_be_visible()


def test_a_table_with_a_fault_is_refused_and_the_right_one_recorded(site: Bench) -> None:
    wall(site.folder, "table")
    number = last(site.folder, "table")
    wrong = csv("1-001").replace(b"1,0,570,", b"1,0,five hundred,", 1)
    with site.page("table.yaml", at="field", show="readings") as page:
        named(page)
        choose(page, "Anchor", ANCHOR)
        page.get_by_label("When the test began; now if empty").fill("2025-03-24 09:00")
        page.get_by_role("checkbox", name="The test is over with these readings").click()
        drop(page, "wrong.csv", wrong)
        expect(page.get_by_role("alert")).to_contain_text("wrong.csv: 1 fault in it. Nothing was")
        expect(page.get_by_role("cell", name="'five hundred'")).to_be_visible()
        expect(page.get_by_role("button", name=re.compile("^Record"))).to_have_count(0)
        shot(page, "field-readings-fault")
        drop(page, "right.csv", csv("1-001"))
        expect(page.get_by_text("35 new. Nothing is recorded yet.")).to_be_visible()
        expect(
            page.get_by_role("row", name="Gauge (psi) pressure at the gauge psi")
        ).to_be_visible()
        shot(page, "field-readings-understood")
        assert last(site.folder, "table") == number
        page.get_by_role("button", name="Record 35 new").click()
        expect(page.get_by_text("✓ Recorded 35.")).to_be_visible()
        done = last(site.folder, "table")
        assert done > number
        drop(page, "right.csv", csv("1-001"))
        expect(page.get_by_text("nothing new, 35 recorded before")).to_be_visible()
        expect(page.get_by_role("button", name=re.compile("^Record"))).to_have_count(0)
        assert last(site.folder, "table") == done
    with site.page("table.yaml", at="field", anchor=ANCHOR) as page:
        expect(page.get_by_text("✓ Accepted", exact=True)).to_be_visible()
        expect(page.get_by_role("cell", name="Creep from 1 to 10 minutes")).to_be_visible()
        shot(page, "field-anchor")
        sign = fold(page, "Sign the verdict")
        sign.get_by_label("Licence number").fill("12345")
        named(page)
        sign.get_by_role("button", name="Sign the verdict").click()
        page.get_by_role("button", name="Sign it").click()
        expect(page.get_by_text("Accepted, since")).to_be_visible()
        with page.expect_download() as got:
            page.get_by_role("button", name="Page of the anchor as PDF").click()
        assert Path(got.value.path()).read_bytes().startswith(b"%PDF-")


def test_what_is_pasted_is_looked_at_too(site: Bench) -> None:
    wall(site.folder, "pasted")
    with site.page("pasted.yaml", at="field", show="readings") as page:
        named(page)
        choose(page, "Anchor", f"{PART}-1-004")
        page.get_by_label("When the test began; now if empty").fill("2025-03-24 13:30")
        page.get_by_label("Or paste the table here, with its head").fill(
            csv("1-004").decode().replace(",", "\t")
        )
        page.get_by_role("button", name="Look at what is pasted").click()
        expect(page.get_by_text("Nothing is recorded yet.")).to_be_visible()


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("photo.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20, "not UTF-8 text"),
        ("large.csv", b"x" * 10_000_001, "one file of up to 10 MB"),
        ("tool.exe", b"MZ", "ends with one of"),
        ("weather.csv", b"Day,Weather\n1,rain\n", "no head of a table of readings"),
        ("empty.csv", b"", "nothing in it"),
        ("<img src=x onerror=alert(1)>.csv", b"Day,Weather\n1,rain\n", "<img src=x onerror"),
    ],
)  # fmt: skip
def test_bad_files_are_refused_in_one_message(
    site: Bench, name: str, content: bytes, words: str
) -> None:
    own = f"bad-{len(name)}-{len(content)}"  # what is served is never written over
    wall(site.folder, own)
    number = last(site.folder, own)
    with site.page(f"{own}.yaml", at="field", show="readings") as page:
        named(page)
        drop(page, name, content)
        expect(page.get_by_role("alert")).to_have_count(1)
        expect(page.locator(".panel")).to_contain_text(words)
        expect(page.get_by_role("button", name=re.compile("^Record"))).to_have_count(0)
        assert page.locator("img[src=x]").count() == 0
    assert last(site.folder, own) == number


def test_what_happened_is_recorded_by_form_and_a_file_is_kept(site: Bench) -> None:
    wall(site.folder, "forms")
    with site.page("forms.yaml", at="field", anchor=f"{PART}-1-002") as page:
        named(page)
        form = fold(page, "Drilled")
        form.get_by_label("Diameter of the hole (in)").fill("six")
        form.get_by_role("button", name="Record: drilled").click()
        expect(form.get_by_text("'six': this is not a number")).to_be_visible()
        form.get_by_label("Diameter of the hole (in)").fill("150 mm")
        form.get_by_label("Length of the hole (ft)").fill("66")
        form.get_by_role("button", name="Add a stratum").click()
        form.get_by_label("From (ft) 1").fill("0")
        form.get_by_label("To (ft) 1").fill("66")
        form.get_by_label(re.compile("Ground as met")).fill("<b>fill</b>")
        shot(page, "field-form")
        form.get_by_role("button", name="Record: drilled").click()
        expect(page.get_by_text("Drilled, since")).to_be_visible()
        expect(page.get_by_role("cell", name="<b>fill</b>")).to_be_visible()
        more = fold(page, "Photograph or file")
        more.get_by_label("Caption").fill("<script>alert(1)</script>")
        drop(page, "run.bin", bytes(range(256)))
        expect(page.get_by_role("alert").filter(has_text="is not taken")).to_be_visible()
        drop(page, "note.txt", bytes(range(256)))
        expect(page.get_by_text("this file is neither")).to_be_visible()
        drop(page, "log.png", PIXEL)
        expect(page.get_by_text(re.compile(r"log\.png: <script>"))).to_be_visible()
        page.get_by_role("button", name="Show", exact=True).click()
        expect(page.locator("img.shown")).to_be_visible()
        fold(page, "Photograph or file")
        drop(page, "again.png", PIXEL)
        expect(page.get_by_text("kept already")).to_be_visible()


PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c6360000002000001e221bc330000000049454e44ae426082"
)


def test_papers_are_made_and_the_chain_is_shown(site: Bench) -> None:
    wall(site.folder, "papers")
    starts = {
        "Summary of the wall, PDF": b"%PDF-", "Field sheets, PDF": b"%PDF-",
        "Register, XLSX": b"PK", "Readings, CSV": b"anchor,test", "Archive, ZIP": b"PK",
    }  # fmt: skip
    with site.page("papers.yaml", at="field", show="papers") as page:
        for name, start in starts.items():
            with page.expect_download() as got:
                page.get_by_role("button", name=f"Make {name}").click()
            assert Path(got.value.path()).read_bytes().startswith(start), name
        page.get_by_role("button", name="Make Pages of the anchors, PDF").click()
        expect(page.get_by_text("no test to write a page about").first).to_be_visible()
        page.get_by_role("button", name="Verify the records").click()
        with open_records(site.folder / "papers.records") as records:
            number, digest = records.last()
        expect(page.get_by_text(f"{number}:{digest}")).to_be_visible()
        shot(page, "field-papers")


def test_what_another_program_records_is_brought_up(site: Bench) -> None:
    work = wall(site.folder, "others")
    with site.page("others.yaml", at="field", anchor=ANCHOR) as page:
        expect(page.get_by_text("Grouted, since")).to_be_visible()
        fold(page, "Remark").get_by_label("Remark *", exact=True).fill("half typed")
        with work.records() as records:
            records.add(Remark(text="seen from the tablet", anchor=ANCHOR), by="T. Ablet")
        expect(page.get_by_text("seen from the tablet")).to_be_visible()
        expect(page.get_by_label("Remark *", exact=True)).to_have_value("half typed")


def test_a_hostile_name_of_a_part_stays_text(site: Bench) -> None:
    name = "<img src=x onerror=alert(1)>"
    ready(site.folder, "hostile", change=(PART, name))
    with site.page("hostile.yaml", at="field") as page:
        expect(page.get_by_text("46 of 46 anchors")).to_be_visible()
        page.get_by_role("link", name=f"{name}-1-001", exact=True).click()
        expect(page.get_by_role("heading", name=f"Anchor {name}-1-001")).to_be_visible()
        assert page.locator("img[src=x]").count() == 0


def test_roles_who_reads_sees_who_records_records_and_who_designs_signs(
    browser: Browser, tmp_path: Path
) -> None:
    wall(tmp_path)
    accounts(tmp_path, rita=Role.READS, carl=Role.RECORDS, dora=Role.DESIGNS)
    bench = Bench(tmp_path, browser)
    try:
        go(wall(tmp_path), csv("1-001"), record=True)
        seen = {}
        for who in ("rita", "carl", "dora"):
            context = browser.new_context()
            page = context.new_page()
            page.goto(bench.url("wall.yaml", at="field", anchor=ANCHOR))
            page.locator("#name").fill(who)
            page.locator("#password").fill(PASSWORD)
            page.keyboard.press("Enter")
            expect(page.get_by_text("✓ Accepted", exact=True)).to_be_visible(timeout=30_000)
            expect(page.get_by_role("heading", name="Record what happened")).to_be_visible()
            seen[who] = page.locator(".field").inner_text()
            if who == "carl":
                form = fold(page, "Remark")
                form.get_by_label("Remark *", exact=True).fill("by carl")
                form.get_by_role("button", name="Record: remark").click()
                expect(page.get_by_text("text by carl")).to_be_visible()
                fold(page, "Photograph or file")
                drop(page, "log.png", PIXEL)
                expect(page.get_by_text(re.compile(r"log\.png.*carl"))).to_be_visible()
            context.close()
        assert "not add to them" in seen["rita"]
        assert "Sign the verdict" not in seen["rita"]
        assert "A verdict is signed by who may design" in seen["carl"]
        assert "Recorded by dora" in seen["dora"]
        assert "A verdict is signed by who may design" not in seen["dora"]
    finally:
        bench.stop()


def test_an_entry_is_corrected_and_a_reading_withdrawn(site: Bench) -> None:
    go(wall(site.folder, "corrected"), csv("1-001"), record=True)
    with site.page("corrected.yaml", at="field", anchor=ANCHOR) as page:
        named(page)
        part = fold(page, "Correct or withdraw what is recorded")
        part.get_by_label("Entry or reading to correct").fill("drilled")
        page.get_by_role("option").filter(has_text="drilled").first.click()
        part.get_by_label(re.compile("^Length, now")).fill("long")
        part.get_by_role("button", name="Correct it").click()
        expect(page.get_by_text("Say why it is corrected or withdrawn.")).to_be_visible()
        part.get_by_label("Why it is corrected or withdrawn *").fill("<b>measured</b> again")
        part.get_by_role("button", name="Correct it").click()
        expect(part.get_by_text("'long'")).to_be_visible()
        part.get_by_label(re.compile("^Length, now")).fill("61 ft")
        shot(page, "field-correct")
        part.get_by_role("button", name="Correct it").click()
        expect(page.get_by_text("(<b>measured</b> again)")).to_be_visible()
        part = fold(page, "Correct or withdraw what is recorded")
        part.get_by_label("Entry or reading to correct").fill("reading 2:")
        page.get_by_role("option").filter(has_text="reading 2:").first.click()
        part.get_by_label("Why it is corrected or withdrawn *").fill("never read")
        part.get_by_role("button", name="It should not have been: withdraw it").click()
        page.get_by_role("button", name="Withdraw it", exact=True).click()
        expect(page.get_by_text("34 readings")).to_be_visible()


def test_an_anchor_that_failed_is_down_rated(site: Bench) -> None:
    go(wall(site.folder, "failed"), slipping(), record=True)
    with site.page("failed.yaml", at="field", anchor=ANCHOR) as page:
        expect(page.get_by_text("✗ Not accepted", exact=True)).to_be_visible()
        named(page)
        part = fold(page, "Down-rate it")
        part.get_by_role("button", name="What it may carry, and the wall with it").click()
        expect(part.get_by_role("heading", name="What may be done")).to_be_visible()
        shot(page, "field-down-rating")
        part.get_by_label("Why it is down-rated *").fill("it creeps")
        part.get_by_role("button", name="Record the down-rating").click()
        expect(page.get_by_text("is down-rated.")).to_be_visible()
        expect(
            page.get_by_role("cell", name=re.compile("design changed.*it creeps"))
        ).to_be_visible()


def test_a_submittal_is_brought_in_and_its_verdict_shown(site: Bench) -> None:
    ready(site.folder, "offered", change=("name: Larkfield Library", "name: Larkfield House"))
    content = (FIELD / "submittal.yaml").read_bytes()
    with site.page("offered.yaml", at="field", show="submittal") as page:
        drop(page, "wrong.yaml", content.replace(b"rows:", b"rowz:", 1))
        expect(page.get_by_role("cell", name="rowz")).to_be_visible()
        number = last(site.folder, "offered")
        drop(page, "submittal.yaml", content)
        expect(page.get_by_text(re.compile("^. Submittal .*: accept"))).to_be_visible()
        shot(page, "field-submittal")
        assert last(site.folder, "offered") == number
        with page.expect_download() as got:
            page.get_by_role("button", name="Page of the review as PDF").click()
        assert Path(got.value.path()).read_bytes().startswith(b"%PDF-")
        named(page)
        page.get_by_role("button", name="Record the decision").click()
        expect(page.get_by_text(re.compile("Recorded for .* anchors"))).to_be_visible()
        assert last(site.folder, "offered") == number + 1
