"""Corrections, down-ratings and submittals by the code of the commands, as the panel uses it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from math import isclose
from pathlib import Path
from types import SimpleNamespace
from typing import Any, TypeVar, cast

import pytest
from markupsafe import escape

from backstay.design import design
from backstay.errors import ProjectError
from backstay.fieldbook.correctable import correctable
from backstay.fieldbook.correcting import correct_entry
from backstay.fieldbook.correction import correction
from backstay.fieldbook.down_rating import consequences, failed_anchor, record_down_rating
from backstay.fieldbook.submittals import record_submittal
from backstay.quantity import UnitSystem
from backstay.records.entries import Entry
from backstay.records.facts import Drilled, VerdictIssued
from backstay.records.refusal import RefusedError
from backstay.stressing.record import Reading
from backstay.workbench.access.people import Role
from backstay.workbench.field.correct_view import may_correct
from backstay.workbench.field.down_rating_view import shown_derating
from backstay.workbench.field.submittal_view import reviewed, shown_review
from backstay.workbench.field.work import FieldWork
from tests.unit.workbench.field.test_bringing import go
from tests.unit.workbench.field.wall import FIELD, PART, csv, slipping, wall
from tests.unit.workbench.team import moved

US = UnitSystem.US
ANCHOR = f"{PART}-1-001"
T = TypeVar("T")


@pytest.fixture(params=["a file", "PostgreSQL"])
def work(tmp_path: Path, request: pytest.FixtureRequest) -> FieldWork:
    """Return the wall with its records in a file, and in a database of a team."""
    made = wall(tmp_path)
    if request.param == "a file":
        return made
    url = moved(tmp_path / "wall.records", request.getfixturevalue("postgres"))
    (tmp_path / "wall.records").unlink()
    return replace(made, place=url)


def entries(work: FieldWork, kind: type[T]) -> list[tuple[Entry[Any], T]]:
    """Return entries about the anchor with their facts."""
    with work.records() as records:
        history = records.history(ANCHOR)
    return [(e, e.fact) for e in history if isinstance(e.fact, kind)]


def test_an_entry_is_corrected_in_the_units_shown_and_both_stay(work: FieldWork) -> None:
    hole, drilled = entries(work, Drilled)[0]
    with work.records() as records:
        done = correct_entry(
            records, hole.id, {"length": "61"}, US, by="me", reason="measured again"
        )
        made = records.anchor(ANCHOR).of(Drilled)[0]
        history = records.history(ANCHOR)
    assert made.fact is not None
    assert isclose(made.fact.length, 61 * 0.3048)
    assert made.fact.diameter == drilled.diameter
    assert (made.author, made.reason) == ("me", "measured again")
    assert next(e for e in history if e.id == hole.id).superseded_by == done.number == made.id
    assert f"is corrected by entry {done.number}" in done.words


def test_a_reading_is_corrected_and_another_withdrawn(work: FieldWork) -> None:
    go(work, csv("1-001"), record=True)
    (first, _), (second, gone) = entries(work, Reading)[:2]
    with work.records() as records:
        correct_entry(records, first.id, {"dial 1": "0.6 in"}, US, by="me", reason="misread")
        correct_entry(records, second.id, {}, US, by="me", reason="never read", withdraw=True)
        left = records.test_record(ANCHOR).readings
    assert isclose(left[0].dials[0], 0.6 * 0.0254)
    assert gone.number not in [r.number for r in left]
    assert len(left) == 34


def test_what_is_refused_says_why_and_records_nothing(work: FieldWork) -> None:
    hole, drilled = entries(work, Drilled)[0]
    with work.records() as records:
        before = records.last()
        with pytest.raises(ProjectError) as raised:
            correct_entry(records, hole.id, {"length": "long", "on": "never"}, US, by="me",
                          reason="x")  # fmt: skip
        assert {fault.path for fault in raised.value.faults} == {"length", "on"}
        same = dict(correctable(hole, US))["length"]
        with pytest.raises(RefusedError, match="says this already"):
            correct_entry(records, hole.id, {"length": f"{drilled.length!r} m"}, US, by="me",
                          reason="x")  # fmt: skip
        assert same.endswith(" ft")
        with pytest.raises(RefusedError, match="reason"):
            correct_entry(records, hole.id, {"length": "61"}, US, by="me", reason=" ")
        assert records.last() == before


def _refusal(entry: Entry[Any], key: str, text: str) -> str:
    try:
        correction(entry, {key: text}, US)
    except ProjectError as error:
        return str(error)
    return ""


def test_every_field_that_is_offered_is_taken(work: FieldWork) -> None:
    """What the form offers, the correction reads: no field is offered that is refused as unknown."""
    go(work, csv("1-001"), record=True)
    with work.records() as records:
        history = [e for e in records.history(ANCHOR) if e.fact is not None]
    seen = set()
    for entry in history:
        if entry.kind in seen:
            continue
        seen.add(entry.kind)
        for key, now in correctable(entry, US):
            said = _refusal(entry, key, now or "1")
            assert "no such value" not in said, (entry.kind, key)
            assert "cannot be changed" not in said, (entry.kind, key)
    assert {"drilled", "tendon", "grouted", "reading", "test"} <= seen


def test_what_the_engineer_signed_the_engineer_corrects(work: FieldWork) -> None:
    hole, _ = entries(work, Drilled)[0]
    verdict = VerdictIssued(
        anchor=ANCHOR, test=1, decision="accepted", design_load=1.0, rules="x", reasons=(),
        signed_by="E", criteria=(),
    )  # fmt: skip
    signed = SimpleNamespace(fact=verdict)
    for role, both in ((Role.READS, (False, False)), (Role.RECORDS, (True, False)), (Role.DESIGNS, (True, True))):  # fmt: skip
        desk = cast("Any", SimpleNamespace(person=SimpleNamespace(role=role)))
        assert (may_correct(desk, hole), may_correct(desk, cast("Any", signed))) == both


def test_an_anchor_that_failed_is_down_rated(work: FieldWork) -> None:
    made = design(work.project, slip_surfaces="leave out")
    with work.records() as records, pytest.raises(RefusedError, match="no test has begun"):
        failed_anchor(records, work.rules, ANCHOR)
    go(work, slipping(), record=True)
    with work.records() as records:
        failed = failed_anchor(records, work.rules, ANCHOR)
        found = consequences(failed, work.rules, made, rate="rule")
        held = found.rated.held
        assert held is not None
        assert isclose(found.rated.load, work.rules.failed_lock_off.value * held)
        shown = shown_derating(found, US)
        number = record_down_rating(
            records, failed.line, found.rated, by="E", reason="it creeps", on=None
        )  # fmt: skip
        now = records.anchor(ANCHOR).line.design
        assert number is not None
        assert isclose(now.design_load, found.rated.load)
        failed = failed_anchor(records, work.rules, ANCHOR)
        found = consequences(failed, work.rules, made, rate="rule")
        assert record_down_rating(
            records, failed.line, found.rated, by="E", reason="again", on=None
        ) is None  # fmt: skip
    assert "May carry" in shown
    assert "<table" in shown
    assert "engineer of record decides" in shown


def test_a_submittal_is_judged_shown_and_recorded_once(work: FieldWork) -> None:
    made = design(work.project, slip_surfaces="leave out")
    content = (FIELD / "submittal.yaml").read_bytes()
    found = reviewed(content, "submittal.yaml", work, made)
    assert found.anchors
    shown = shown_review(found, US)
    assert found.review.decision in shown
    for reason in found.review.reasons(US):
        assert str(escape(reason[1:])) in shown
    with work.records() as records:
        units = work.project.units
        now = datetime(2025, 3, 6, tzinfo=UTC)
        again = record_submittal(
            records, found.review, found.anchors, units, by="E", on=now
        )  # fmt: skip
    assert not again, "it was recorded when the wall was laid out"
    with pytest.raises(ProjectError) as raised:
        reviewed(content.replace(b"rows:", b"rowz:", 1), "s.yaml", work, made)
    assert any("rowz" in str(fault) for fault in raised.value.faults)
