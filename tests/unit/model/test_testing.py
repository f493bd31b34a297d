"""The tests block of a project file: what it may say, and one message for each thing wrong in it."""

from __future__ import annotations

import re

import pytest

from backstay.errors import ProjectError
from backstay.model import Project, read_text, starter
from backstay.quantity import UnitSystem

SI = starter(UnitSystem.SI)


def with_tests(block: str, units: UnitSystem = UnitSystem.SI) -> str:
    return starter(units).replace("\nsections:", f"\ntests: {{{block}}}\n\nsections:", 1)


def said(block: str) -> list[tuple[str, str, int]]:
    try:
        read_text(with_tests(block))
    except ProjectError as error:
        return [(f.path, f.rule, f.line) for f in error.faults]
    return []


def line_of_block() -> int:
    text = with_tests("practice: US")
    return text[: text.index("\ntests: {")].count("\n") + 2


def uncommented(units: UnitSystem) -> tuple[str, str]:
    """Return the commented block of a starter as text: what both practices say, and what EN adds."""
    text = starter(units)
    block = text[text.index("# tests:") : text.index("\nsections:")]
    lines = [line[2:] for line in block.splitlines() if line.startswith("# ")]
    cut = next(i for i, line in enumerate(lines) if "Of the practice EN alone" in line)
    return "\n".join(lines[:cut]), "\n".join(lines[cut:])


def read(block: str, units: UnitSystem = UnitSystem.SI) -> Project:
    return read_text(starter(units).replace("\nsections:", f"\n{block}\n\nsections:", 1))


def test_nothing_need_be_said() -> None:
    tests = read_text(SI).tests
    assert (tests.practice, tests.method, tests.residual_movement) == (
        "US", "held load", "measured",
    )  # fmt: skip
    others = set(type(tests).model_fields) - {"practice", "method", "residual_movement"}
    assert all(getattr(tests, key) is None for key in others)


@pytest.mark.parametrize("units", list(UnitSystem))
def test_what_the_starter_shows_is_accepted_as_it_stands(units: UnitSystem) -> None:
    us, en = uncommented(units)
    assert read(us, units).tests.practice == "US"
    made = read("tests:\n  practice: EN\n" + en, units).tests
    assert made.suitability_tests == 3
    assert made.stepped_creep == pytest.approx(0.002, rel=0.02)


def test_units_and_clauses() -> None:
    text = with_tests(
        "creep_rate: {value: 0.08 in, clause: 3.5}, lift_off_tolerance: 10 %, hold: 600 s, "
        "readings: [1, 5, 10 min]"
    )
    tests = read_text(text).tests
    assert tests.creep_rate.value == pytest.approx(0.002032)  # type: ignore[union-attr]
    assert tests.creep_rate.clause == "3.5"  # type: ignore[union-attr]
    assert tests.lift_off_tolerance == pytest.approx(0.10)
    assert tests.hold == pytest.approx(10.0)
    assert tests.readings == (1.0, 5.0, 10.0)


BREACHES = [
    ("method: lock-off", "method", "hold the load"),
    ("method: stepped load", "method", "hold the load"),
    ("practice: EN, hold: 20", "hold", "belongs to the practice US"),
    ("practice: EN, first_performance: 3", "first_performance", "belongs to the practice US"),
    ("suitability_tests: 3", "suitability_tests", "belongs to the practice EN"),
    ("practice: EN, suitability_tests: 2", "suitability_tests", "does not occur"),
    ("practice: EN, residual_movement: not measured", "residual_movement", "measure the residual"),
    ("alignment_share: 0.5", "alignment_share", "does not occur"),
    ("lift_off_tolerance: {value: 5, clause: x}", "lift_off_tolerance.value", "does not occur"),
    ("test_stress: 0.85", "test_stress", "does not occur"),
    ("creep_rate: 2 m", "creep_rate", "does not occur"),
    ("calibration_months: 36", "calibration_months", "does not occur"),
    ("lock_off_least: 1.0, lock_off_greatest: 0.9", "lock_off_least", "above the greatest"),
    ("hold: 60, extended_hold: 30", "extended_hold", "longer than the hold"),
    ("readings: [1, 3, 2, 10]", "readings[2]", "forward in time"),
    ("readings: {values: [1, 1, 2], clause: x}", "readings.values[1]", "forward in time"),
    ("creep_first: {start: 10, end: 1, movement: 1}", "creep_first.end", "from start to end"),
    ("creep_first: {start: 1, end: 10, movement: 1 m}", "creep_first.movement", "does not occur"),
    ("practise: US", "practise", "unknown"),
    ("practice: FR", "practice", "not one of the choices"),
    ("hold: -3", "hold", "greater than 0"),
    ("hold: 3 kN", "hold", "not a unit of minutes"),
    ("first_performance: 2.5", "first_performance", "a whole number"),
    ("performance_share: -1", "performance_share", "at least"),
    ("readings: 3", "readings", "a list is wanted"),
    ("readings: [3]", "readings", "needs at least 2"),
    ("lift_off_tolerance: {value: 0.05}", "lift_off_tolerance.clause", "missing"),
    ("creep_first: 1 mm", "creep_first", "a mapping is wanted"),
]


@pytest.mark.parametrize(("block", "path", "words"), BREACHES)
def test_one_message_with_line_and_field(block: str, path: str, words: str) -> None:
    found = said(block)
    assert [p for p, _, _ in found] == [f"tests.{path}"], found
    assert words in found[0][1]
    assert found[0][2] == line_of_block()


def test_the_block_is_judged_while_other_parts_are_faulty() -> None:
    text = re.sub(r"months: 18 ", "months: many ", with_tests("test_stress: 0.85"), count=1)
    with pytest.raises(ProjectError) as caught:
        read_text(text)
    assert {f.path for f in caught.value.faults} == {"service.months", "tests.test_stress"}
