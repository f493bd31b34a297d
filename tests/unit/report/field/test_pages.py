"""The pages of anchors: every kind of test, in either system, on one page that says what was judged.

Read back with pypdf; what is expected comes from the judgement, not from the page.
"""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from backstay.errors import DesignError
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field import paper_of, write_anchor_pages
from backstay.report.field.anchor_pages import anchor_pages_bytes
from backstay.report.field.words import VERDICT, source
from tests.unit.report.field.trials import TYPED, judged, paper, trials

NAMES = list(trials())
UNITS = list(UnitSystem)


@cache
def pages(name: str, units: UnitSystem, *, full: bool = False) -> tuple[str, ...]:
    """Return the text of the page of a test and of those after it."""
    content = anchor_pages_bytes([paper(name, full=full)], units, trials()[name][1])
    return tuple(" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(content)).pages)


def close(text: str) -> str:
    """Return text without spaces, as lines may break anywhere in a cell."""
    return "".join(text.split())


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_an_anchor_stands_on_one_page(name: str, units: UnitSystem) -> None:
    for full in (False, True):
        content = anchor_pages_bytes(
            [paper(name, full=full)], units, trials()[name][1], readings=False
        )
        assert len(PdfReader(io.BytesIO(content)).pages) == 1


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_the_page_says_verdict_criteria_clauses_and_what_is_next(
    name: str, units: UnitSystem
) -> None:
    found, front = judged(name), close(pages(name, units)[0])
    assert close(VERDICT[found.decision].upper()) in front
    for check in found.checks:
        assert close(check.quantity.text(check.demand, units)) in front, check.id
        assert close(check.quantity.text(check.capacity, units)) in front, check.id
        assert close(source(check.clause)) in front, check.id
    failing = [c for c in found.checks if c.verdict.value == "fail"]
    assert front.count("NOTMET") == len(failing)
    for step in found.next:
        assert close(step.action) in front
    for person in ("Tested by", "Judged by", "Engineer of record", "Date"):
        assert close(person) in front
    assert "behindthejack" in front


@pytest.mark.parametrize("name", NAMES)
def test_units_are_those_asked_for(name: str) -> None:
    si, us = (pages(name, units) for units in UNITS)
    assert " kN" in si[0]
    assert " kip" not in " ".join(si)
    assert " kip" in us[0]
    assert " kN" not in " ".join(us)
    assert "(in)" in us[0]
    assert "(mm)" in si[0]


def test_an_incomplete_test_is_not_shown_as_accepted() -> None:
    for name in ("incomplete", "goes on", "no readings", "faulty"):
        text = pages(name, UnitSystem.SI)[0]
        assert judged(name).decision != "accepted"
        assert "ACCEPTED" not in text


def test_open_criteria_say_what_they_wait_for() -> None:
    text = close(pages("goes on", UnitSystem.SI)[0])
    assert judged("goes on").waiting
    for outcome in judged("goes on").waiting:
        assert close(outcome.words)[1:] in text


def test_findings_stand_with_their_weight_and_all_of_them_behind() -> None:
    front, *behind = pages("faulty", UnitSystem.SI)
    found = judged("faulty").findings
    assert len(found) >= 3
    assert "refused" in front
    for finding in found:
        assert close(finding.code) in close(" ".join(behind))


@pytest.mark.parametrize("units", UNITS)
def test_every_reading_is_printed(units: UnitSystem) -> None:
    record, _ = trials()["extended creep"]
    text = " ".join(pages("extended creep", units)[1:])
    pressure = QUANTITIES["gauge pressure"]
    for r in record.readings:
        assert pressure.number(r.gauge or 0.0, units) in text
    assert f" {len(record.readings)} " in text


def test_what_was_typed_is_only_text() -> None:
    text = close(" ".join(pages("faulty", UnitSystem.SI)))
    assert close(TYPED) in text
    assert close("J {foo:2}") in text


def test_everything_recorded_finds_its_place() -> None:
    front = close(pages("performance", UnitSystem.SI, full=True)[0])
    for words in (
        "Locked off on wedges: 410.0 kN at the jack, 361.0 kN in the tendon, drawn in 6.00 mm",
        "Lift-off at 355.0 kN", "M-77", "A. Engineer", "PE 1234", "w/c 0.45", "7 days", "31.00",
        "Verdict issued: accepted for a design load of 450.0 kN", "row 1, number 1", "C-17",
        "kN = 1.00 + 1.18 × bar",
    ):  # fmt: skip
        assert close(words) in front, words


def test_a_verdict_that_differs_from_the_judgement_is_said() -> None:
    front = close(pages("failed", UnitSystem.SI, full=True)[0])
    assert close("It differs from the judgement of this page: not accepted") in front


def test_a_verdict_on_changed_facts_is_said() -> None:
    one = paper("performance", full=True)
    assert one.line is not None
    one = replace(one, line=replace(one.line, verdict_stale=True))
    content = anchor_pages_bytes([one], UnitSystem.SI, trials()["performance"][1])
    text = PdfReader(io.BytesIO(content)).pages[0].extract_text()
    assert close("it is to be issued anew") in close(text)


def test_names_too_long_for_a_page_still_leave_one_page() -> None:
    one = paper("performance", full=True)
    record = replace(
        one.record, by="W" * 900, anchor=replace(one.record.anchor, grouting="g" * 400)
    )
    content = anchor_pages_bytes(
        [replace(one, record=record)], UnitSystem.US, trials()["performance"][1], readings=False
    )
    assert len(PdfReader(io.BytesIO(content)).pages) == 1


def test_the_same_test_gives_the_same_bytes_and_a_whole_file(tmp_path: Path) -> None:
    rules = trials()["proof"][1]
    one, two = (anchor_pages_bytes([paper("proof")], UnitSystem.SI, rules) for _ in range(2))
    assert one == two
    path = write_anchor_pages([paper("proof")], tmp_path / "a.pdf", UnitSystem.SI, rules)
    assert path.read_bytes() == one
    assert [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_nothing_to_write_about_is_refused_and_leaves_the_file(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"before")
    with pytest.raises(DesignError, match="no test"):
        write_anchor_pages([], path, UnitSystem.SI, trials()["proof"][1])
    assert path.read_bytes() == b"before"
    assert callable(paper_of)
