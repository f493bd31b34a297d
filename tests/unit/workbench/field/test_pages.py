"""Register, elevation and the page of an anchor: what is recorded is there, and typed text stays text."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest

from backstay.fieldbook.forms import record_form
from backstay.quantity import UnitSystem
from backstay.report.field.faces import faces_of
from backstay.workbench.field.anchor_page import life, made, next_steps_of, see_anchor
from backstay.workbench.field.elevation import elevation
from backstay.workbench.field.places import anchor_address, jack_address
from backstay.workbench.field.register_table import Wanted, register_table
from backstay.workbench.field.tested import shown_test
from backstay.workbench.field.work import FieldWork
from tests.unit.workbench.field.test_bringing import go
from tests.unit.workbench.field.wall import PART, csv, ready, wall

US, SI = UnitSystem.US, UnitSystem.SI
HOSTILE = '<img src=x onerror=alert(1)>"'
NOW = datetime(2025, 4, 1, tzinfo=UTC)


class Tags(HTMLParser):
    """Gathers the elements of a page, with their attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


@pytest.fixture
def work(tmp_path: Path) -> FieldWork:
    return wall(tmp_path)


def address(anchor: str) -> str:
    return anchor_address("wall.yaml", anchor)


def test_every_anchor_of_the_elevation_is_a_link_where_its_sign_stands(work: FieldWork) -> None:
    with work.records() as records:
        lines = records.register()
    page = str(elevation(lines, faces_of(work.project), US, address))
    links = [a for tag, a in Tags(page).found if tag == "a"]
    assert len(links) == len(lines) == 46
    first = next(a for a in links if a["href"] == address(f"{PART}-1-001"))
    assert first["aria-label"] == f"{PART}-1-001: grouted"
    # the sign's letter, written in the drawing, stands within the link
    width, height = (float(x) for x in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', page)[0])
    style = dict(re.findall(r"(\w+):([\d.]+)%", first["style"] or ""))
    left, top, wide, high = (float(style[k]) for k in ("left", "top", "width", "height"))
    letters = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>G</text>', page)
    inside = [
        (x, y) for x, y in letters
        if left < 100 * float(x) / width < left + wide and top < 100 * float(y) / height < top + high
    ]  # fmt: skip
    assert len(inside) == 1


def test_what_stands_out_is_ringed_and_said(work: FieldWork) -> None:
    with work.records() as records:
        lines = records.register()
    one = f"{PART}-1-003"
    faces = faces_of(work.project)
    plain, page = (str(elevation(lines, faces, US, address, outliers)) for outliers in ((), {one}))
    assert "stands out" not in plain
    labels = [a["aria-label"] for tag, a in Tags(page).found if tag == "a"]
    assert [x for x in labels if "stands out" in (x or "")] == [
        f"{one}: submittal judged, stands out among those tested alike"
    ]
    assert "ring: stands out among those tested alike: 1" in page
    assert page.count("<circle") > plain.count("<circle")


def test_links_of_the_elevation_are_wide_and_do_not_overlap(work: FieldWork) -> None:
    with work.records() as records:
        lines = records.register()
    page = str(elevation(lines, faces_of(work.project), US, address))
    boxes = []
    for tag, attributes in Tags(page).found:
        if tag == "a":
            style = dict(re.findall(r"(\w+):([\d.]+)%", attributes["style"] or ""))
            boxes.append(tuple(float(style[k]) for k in ("left", "top", "width", "height")))
    # 24 px across at the least width that the figure is shown at (WCAG 2.2, 2.5.8)
    assert min(box[2] for box in boxes) / 100 * 58 * 15 >= 24
    for i, (x, y, w, h) in enumerate(boxes):
        for u, v, wide, high in boxes[:i]:
            apart = x >= u + wide - 1e-3 or u >= x + w - 1e-3 or y >= v + high or v >= y + h
            assert apart


def test_the_table_filters_by_state_row_and_words(work: FieldWork) -> None:
    with work.records() as records:
        lines = records.register()
    assert {x.state for x in lines if Wanted(state="grouted").takes(x)} == {"grouted"}
    assert sum(Wanted(row=(PART, 2)).takes(x) for x in lines) == 23
    assert [x.anchor for x in lines if Wanted(words="1-004 grouted").takes(x)] == [f"{PART}-1-004"]
    page = str(register_table(lines, SI, address))
    assert "Design load (kN)" in page
    assert page.count("<tr>") == 47


def test_a_tested_anchor_shows_every_criterion_with_limit_and_reason(work: FieldWork) -> None:
    go(work, csv("1-001"), record=True)
    with work.records() as records:
        seen = see_anchor(records, work.rules, records.register(), f"{PART}-1-001")
    one = seen.tests[0]
    page = str(shown_test(one, work.rules, US))
    for check in one.judgement.checks:
        limit = check.quantity.text(check.capacity, US)
        assert check.quantity.text(check.demand, US) in page
        assert limit in page
    assert page.count("<svg") == 2
    assert "35 readings" in page
    assert "✓ Accepted" in page
    assert any("lift-off" in words for words in next_steps_of(seen))
    assert seen.after == f"{PART}-1-002"
    assert not seen.before
    assert "kN" in str(shown_test(one, work.rules, SI))
    assert "kip" not in str(made(seen, SI))


def test_typed_text_stays_text(work: FieldWork) -> None:
    anchor = f"{PART}-1-001"
    with work.records() as records:
        written = {"on": "2025-03-20 10:00", "text": HOSTILE}
        record_form("remarks", anchor, written, records, US, by=HOSTILE, now=NOW)
        cubes = {"on": "2025-03-20", "sample": HOSTILE, "age": "7", "strengths": "4.1, 4.4"}
        record_form("cubes", anchor, cubes, records, US, by="me", now=NOW)
        seen = see_anchor(records, work.rules, records.register(), anchor)
    page = str(life(seen, US)) + str(made(seen, US))
    assert HOSTILE.replace("<", "&lt;").replace(">", "&gt;").replace('"', "&#34;") in page
    assert "img" not in {tag for tag, _ in Tags(page).found}


def test_a_part_of_a_hostile_name_stays_text(tmp_path: Path) -> None:
    name = "<script>alert(1)</script>"
    work = ready(tmp_path, change=(PART, name))
    with work.records() as records:
        lines = records.register()
        seen = see_anchor(records, work.rules, lines, lines[0].anchor)
    assert name in lines[0].anchor
    pages = [
        elevation(lines, faces_of(work.project), US, address), register_table(lines, US, address),
        life(seen, US), made(seen, US),
    ]  # fmt: skip
    for page in map(str, pages):
        tags = Tags(page).found
        assert "script" not in {tag for tag, _ in tags}
        assert not any(key.startswith("on") for _, attributes in tags for key in attributes)


def test_addresses_hold_names_whole() -> None:
    assert (
        anchor_address("a/b c.yaml", "A&B-1/2")
        == "/project/a/b%20c.yaml?at=field&anchor=A%26B-1%2F2"
    )
    assert jack_address("wall.yaml", "A (x)-1-1") == "/jack/wall.yaml/A%20%28x%29-1-1"
