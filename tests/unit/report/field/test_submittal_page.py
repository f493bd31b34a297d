"""The page of a submittal: one page, the decision, every line with its clause, what is missing."""

from __future__ import annotations

import io
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from backstay.quantity import UnitSystem
from backstay.report.field import write_submittal_page
from backstay.report.field.submittal_page import submittal_page_bytes
from backstay.report.field.words import source
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.submittal import SubmittalReview, review_submittal
from tests.unit.report.field.trials import TYPED
from tests.unit.stressing.submittals import design_of, submittal

CASES = ("accept", "accept as noted", "revise", "not to be designed")


@cache
def review(name: str) -> SubmittalReview:
    offered = {
        "accept": submittal(),
        "accept as noted": submittal(None, "grout", "jack", "test", "sequence"),
        "revise": submittal(
            {"bond": {"length": 2.0}, "grout": {"strength": 12}, "note": TYPED}, "test"
        ),
        "not to be designed": submittal({"tendon": {"product": "of another world"}}),
    }[name]
    return review_submittal(offered, design_of(), US_RULES, on=date(2026, 3, 2))


def close(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("units", list(UnitSystem))
@pytest.mark.parametrize("name", CASES)
def test_a_review_is_one_page_with_its_decision_and_reasons(name: str, units: UnitSystem) -> None:
    found = review(name)
    pages = PdfReader(io.BytesIO(submittal_page_bytes(found, units))).pages
    assert len(pages) == 1
    text = close(pages[0].extract_text())
    badge = "REVISE AND SUBMIT AGAIN" if found.decision == "revise" else found.decision.upper()
    assert close(badge) in text
    for item in found.items:
        assert close(item.check.quantity.text(item.check.demand, units)) in text
        assert close(source(item.check.clause)) in text
    for one in found.missing:
        assert close(one.what)[1:] in text
        assert close(one.by) in text
    assert close("Engineer of record") in text
    if found.refusal:
        assert close("cannot be designed as offered") in text


def test_the_note_of_the_contractor_is_only_text() -> None:
    pages = PdfReader(io.BytesIO(submittal_page_bytes(review("revise"), UnitSystem.SI))).pages
    assert close(TYPED) in close(pages[0].extract_text())


def test_what_is_revised_comes_before_what_is_noted() -> None:
    text = PdfReader(io.BytesIO(submittal_page_bytes(review("revise"), UnitSystem.SI))).pages[0]
    words = text.extract_text()
    assert words.index("REVISE") < words.index("note\n") < words.index("Met\n")


def test_the_file_is_whole(tmp_path: Path) -> None:
    path = write_submittal_page(review("accept"), tmp_path / "s.pdf", UnitSystem.SI)
    assert path.read_bytes().startswith(b"%PDF")
    assert [p.name for p in tmp_path.iterdir()] == ["s.pdf"]
