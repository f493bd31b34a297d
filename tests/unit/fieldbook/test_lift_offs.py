"""A lift-off from readings of the jack: recorded as read, and judged by the load that they show."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.at_hand import Asked
from backstay.fieldbook.book_reading import BookText, book_text
from backstay.fieldbook.entering import enter_book
from backstay.fieldbook.forms import fields_of, record_form
from backstay.fieldbook.judged import judged_tests
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from backstay.records import LiftedOff, Records
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_us import US_RULES
from backstay.workbench.field.bringing import Brought, bring
from backstay.workbench.field.work import FieldWork
from tests.journeys.field import EXAMPLES
from tests.unit.fieldbook.locked import SEATED, STIFFNESS, A, record_later
from tests.unit.records.wall import BY, START, tendon

NOW = START + timedelta(days=30)
FREE, IN_JACK = 6.1, 1.2
"""Free length as built and tendon in the jack (m)."""


def movement(load: float, lifts_at: float) -> float:
    """Return the movement (mm) by Hooke: the tendon in the jack, and beyond the seat all that is free."""
    stretched = load * IN_JACK + max(load - lifts_at, 0.0) * FREE
    return 1e3 * stretched / STIFFNESS + 1.0


def written(lifts_at: float, loads: tuple[int, ...], more: str = "") -> str:
    moved = [round(movement(load, lifts_at), 2) for load in loads]
    return (
        "field_book: B\nunits: SI\nzone: '+00:00'\nlifted_off:\n"
        f"  - {{anchor: {A}, on: {START.date()} 12:00, loads: {list(loads)}, movements: {moved}{more}}}\n"
    )


def book(lifts_at: float, loads: tuple[int, ...], more: str = "") -> BookText:
    return book_text(written(lifts_at, loads, more), "b.yaml", None)


LOADS = tuple(range(200, 420, 20))


@pytest.fixture
def records(records: Records) -> Records:
    record_later(records, (timedelta(0), SEATED))
    return records


def enter(records: Records, text: BookText, rules: TestRules | None = US_RULES) -> int:
    return enter_book(text, records, by=BY, now=datetime.now(UTC), rules=rules).new


@pytest.mark.parametrize(
    ("lifts_at", "standing"),
    [(306.0, "in tolerance"), (302.0, "too low"), (334.0, "in tolerance"), (338.0, "too high")],
)
def test_the_load_is_read_from_the_change_of_slope(
    records: Records, lifts_at: float, standing: str
) -> None:
    """5 % of 320 kN: from 304 to 336 kN (UFGS 02490, published); the readings by Hooke's law."""
    assert enter(records, book(lifts_at, LOADS)) == 1
    fact = records.anchor(A).of(LiftedOff)[-1].fact
    assert fact is not None
    assert fact.load == pytest.approx(lifts_at, abs=0.5)
    assert fact.loads == tuple(map(float, LOADS))
    assert fact.movements[0] == pytest.approx(movement(200, lifts_at) / 1e3, abs=5e-6)
    one = next(judged_tests(records, US_RULES, records.register()))
    assert one.lift_off is not None
    assert one.lift_off.standing == standing
    assert "95 % between" in one.lift_off.reason
    assert enter(records, book(lifts_at, LOADS)) == 0, "recognised"


def test_readings_that_show_no_lift_off_are_refused_with_the_reason(records: Records) -> None:
    before = records.last()
    for text, words in (
        (book(500.0, LOADS), "one line"),
        (book(320.0, LOADS[:4]), "5 loads or more"),
        (book(320.0, LOADS[::-1]), "rise from reading to reading"),
    ):
        with pytest.raises(ProjectError, match=words) as refused:
            enter(records, text)
        assert refused.value.faults[0].path == "lifted_off[0].loads"
    with pytest.raises(ProjectError, match="by the rules of the project"):
        enter(records, book(320.0, LOADS), None)
    assert records.last() == before


def test_the_fields_of_a_form_say_what_the_book_says(records: Records) -> None:
    moved = ", ".join(f"{movement(load, 306.0):.2f}" for load in LOADS)
    form = {
        "on": f"{START.date()} 12:00 +00:00", "loads": ", ".join(map(str, LOADS)), "movements": moved,
    }  # fmt: skip

    def record(rules: TestRules | None) -> int:
        return record_form(
            "lifted_off", A, form, records, UnitSystem.SI, by=BY, now=NOW, rules=rules
        ).new

    with pytest.raises(ProjectError, match="by the rules") as refused:
        record(None)
    assert refused.value.faults[0].path == "loads"
    assert record(US_RULES) == 1
    assert enter(records, book(306.0, LOADS)) == 0, "it is the same as in a book"
    units = {field.key: field.unit for field in fields_of("lifted_off", UnitSystem.US)}
    assert (units["loads"], units["movements"]) == ("kip", "in")


def test_a_book_on_the_page_is_read_by_the_rules_of_the_project(records: Records) -> None:
    work = FieldWork(read_project(EXAMPLES / "two-row-sand.yaml"), US_RULES, Path("wall.records"))
    brought = Brought("b.yaml", written(306.0, LOADS).encode())
    found = bring(
        brought, Asked(tested_by=BY), work, records, UnitSystem.SI, by=BY, course="record"
    )
    assert found.new == 1
    fact = records.anchor(A).of(LiftedOff)[-1].fact
    assert fact is not None
    assert fact.load == pytest.approx(306.0, abs=0.5)


@pytest.mark.parametrize("more", [", load: 320", ", strands: [160, 160]"])
def test_a_load_is_given_in_one_way(more: str) -> None:
    with pytest.raises(ProjectError, match="either load is given"):
        book(320.0, LOADS, more)


def test_a_movement_belongs_to_every_load() -> None:
    text = (
        "field_book: B\nunits: SI\n"
        "lifted_off: [{anchor: 1-1, on: 2026-03-01, loads: [1, 2], movements: [1]}]\n"
    )
    with pytest.raises(ProjectError, match="one movement for each load"):
        book_text(text, "b.yaml", None)


def test_readings_that_the_anchor_no_longer_bears_out_tell_nothing(records: Records) -> None:
    """The free length is found to be four times as long: what stretched was not the tendon alone."""
    enter(records, book(320.0, LOADS))
    placed = next(e for e in records.history(A) if e.kind == "tendon")
    records.correct(
        placed.id, replace(tendon(), free_length=4 * FREE), by=BY, reason="measured again"
    )
    one = next(judged_tests(records, US_RULES, records.register()))
    assert one.lift_off is not None
    assert one.lift_off.standing == "cannot be told"
    assert [n.action for n in one.lift_off.next] == ["lift off"]
    assert not one.accepted
