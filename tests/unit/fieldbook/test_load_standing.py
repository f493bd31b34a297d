"""An anchor that lost its load is not in tolerance: judged, on its page, in summary and register."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import timedelta

import jsonschema
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.fieldbook.lock_off_words import after_words, fails_words
from backstay.quantity import UnitSystem
from backstay.records import DesignChanged, LiftedOff, LoadRead, LockedOff, Records, VerdictIssued
from backstay.report.field.anchor_pages import anchor_pages_bytes
from backstay.report.field.anchor_paper import paper_of
from backstay.report.field.register_book import register_bytes
from backstay.report.field.summary import summary_bytes
from backstay.results.field import field_schema, judgements_json
from backstay.stressing.rules_us import US_RULES
from tests.unit.fieldbook.locked import DAY, HOUR, LOCKED, SEATED, A, Later, record_later
from tests.unit.records.wall import BY, DESIGN


def judged(records: Records, *facts: Later) -> JudgedTest:
    """Record facts so long after the lock-off, and return the test judged then."""
    record_later(records, *facts)
    return next(judged_tests(records, US_RULES, records.register()))


def carries(one: JudgedTest) -> bool:
    """Say whether the anchor is accepted, had its test been."""
    return replace(one, judgement=replace(one.judgement, decision="accepted")).accepted


def page_of(one: JudgedTest) -> str:
    paper = paper_of(one.file, one.record, one.judgement, lift_off=one.lift_off, after=one.after)
    pdf = anchor_pages_bytes([paper], UnitSystem.SI, US_RULES, readings=False)
    pages = PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 1
    return " ".join(pages[0].extract_text().split())


def test_an_anchor_that_lost_its_load_does_not_stand_in_tolerance(records: Records) -> None:
    """190 kN of 320: the lift-off on its day was right, what was read later counts."""
    good = judged(records, (timedelta(0), SEATED), (HOUR, LiftedOff(anchor=A, load=321.0)))
    assert (good.standing, carries(good)) == ("in tolerance", True)
    assert ", BUT" not in page_of(good)
    lost = judged(records, (60 * DAY, LoadRead(anchor=A, load=190.0)))
    assert lost.lift_off is not None
    assert lost.after is not None
    assert lost.lift_off.standing == "in tolerance"
    assert (lost.standing, carries(lost)) == ("load not kept", False)
    assert [n.action for n in lost.after.next] == ["lift off", "re-stress", "re-stress"]
    assert "60 days after" in after_words(lost.after)[1]
    page = page_of(lost)
    assert ", BUT LOAD NOT KEPT" in page
    assert "190.0 kN, at least 289.8 kN" in page
    assert "Lift the anchor off" in page


@pytest.mark.parametrize(("load", "kept"), [(289.9, True), (289.7, False)])
def test_the_load_now_on_both_sides(records: Records, load: float, kept: bool) -> None:
    """A tenth (BS 8081:1989, 11.4, memory) of the 322 kN that were left."""
    one = judged(
        records, (timedelta(0), SEATED), (HOUR, LiftedOff(anchor=A, load=321.0)),
        (60 * DAY, LoadRead(anchor=A, load=load)),
    )  # fmt: skip
    assert carries(one) is kept
    assert one.standing == ("in tolerance" if kept else "load not kept")


def test_a_load_that_grows_is_not_let_down_before_anyone_knows_why(records: Records) -> None:
    one = judged(records, (timedelta(0), SEATED), (60 * DAY, LoadRead(anchor=A, load=400.0)))
    assert one.after is not None
    assert [n.action for n in one.after.next] == ["lift off"]
    assert "why" in " ".join(fails_words(one.after, UnitSystem.SI))
    assert not carries(one)


def test_a_lock_off_out_of_tolerance_stands_until_a_lift_off_tells_better(records: Records) -> None:
    one = judged(records, (timedelta(0), replace(SEATED, load=290.0)))
    assert (one.standing, carries(one)) == ("lock-off not in tolerance", False)
    assert one.after is not None
    assert one.after.next[0].action == "re-stress"
    better = judged(records, (HOUR, LiftedOff(anchor=A, load=318.0)))
    assert (better.standing, carries(better)) == ("in tolerance", True)


def test_a_down_rated_anchor_locked_off_as_told_is_in_tolerance(records: Records) -> None:
    design = replace(DESIGN, design_load=220.0, lock_off_load=200.0)
    records.add(
        DesignChanged(anchor=A, design=design, reason="it crept"), by=BY, on=LOCKED - HOUR / 4
    )
    one = judged(
        records, (timedelta(0), LockedOff(anchor=A, jack_load=270.0, load=201.0)),
        (HOUR, LiftedOff(anchor=A, load=199.0)),
    )  # fmt: skip
    assert one.lift_off is not None
    assert one.lift_off.standing == "in tolerance"
    page = page_of(one)
    assert "Down-rated since to 220.0 kN, lock-off 200.0 kN" in page
    assert "it crept" in page
    assert "wanted 200.0 kN" in page


def test_a_lock_off_before_the_test_is_of_another_life(records: Records) -> None:
    one = judged(records, (-2 * HOUR, replace(SEATED, load=290.0)))
    assert one.after is None
    assert one.standing == ""


def test_a_draw_in_that_leaves_nothing_is_told_and_breaks_nothing(records: Records) -> None:
    one = judged(
        records, (timedelta(0), LockedOff(anchor=A, jack_load=100.0, seating=0.03)),
        (DAY, LoadRead(anchor=A, load=90.0)),
    )  # fmt: skip
    assert one.after is not None
    assert one.after.seated is not None
    assert one.after.seated.load < 0.0
    assert one.standing == "load not kept"


def test_papers_and_data_tell_of_the_lost_load(records: Records) -> None:
    verdict = VerdictIssued(
        anchor=A, test=1, decision="accepted", design_load=400.0, rules="US", signed_by="A. Engineer"
    )  # fmt: skip
    one = judged(
        records, (-HOUR / 4, verdict), (timedelta(0), SEATED),
        (HOUR, LiftedOff(anchor=A, load=321.0, strands=(80.0, 81.0, 79.0, 81.0))),
        (60 * DAY, LoadRead(anchor=A, load=190.0)),
    )  # fmt: skip
    assert one.after is not None
    lines = records.register()
    pdf = summary_bytes(
        lines, UnitSystem.SI, judged=[(one.record, one.judgement)], after={A: one.after}
    )
    text = " ".join(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages).split())
    assert "Since the lock-off: Load of the anchor now, at least: 190.0 kN" in text
    paper = paper_of(one.file, one.record, one.judgement, lift_off=one.lift_off, after=one.after)
    book = load_workbook(io.BytesIO(register_bytes(lines, UnitSystem.SI, papers=[paper])))
    head, row = [
        [cell.value for cell in cells] for cells in book["Register"].iter_rows(min_row=3, max_row=4)
    ]
    shown = dict(zip(head, row, strict=True))
    assert shown["Load stands"] == "load not kept"
    assert shown["Strands, lifted off (kN)"] == "80.00, 81.00, 79.00, 81.00"
    assert shown["Load read last (kN)"] == pytest.approx(190.0)
    data = json.loads(judgements_json([one], "wall", US_RULES, UnitSystem.SI))
    jsonschema.validate(data, field_schema("judgements"))
    after = data["tests"][0]["after_lock_off"]
    assert after["sound"] is False
    assert data["tests"][0]["stands"] == "load not kept"
    assert after["loads"][-1]["load"] == {"value": pytest.approx(190.0), "unit": "kN"}
    assert after["seating_loss_predicted"]["value"] > 0.0
