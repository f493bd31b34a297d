"""The rules of load tests: complete, cited, and replaceable by the project."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any, get_args

import pytest

from backstay.basis import Factor
from backstay.cite import Citation, Provenance
from backstay.errors import DesignError
from backstay.model import read_text, starter
from backstay.model.testing import TestKind, TestMethod
from backstay.quantity import UnitSystem
from backstay.stressing.project_rules import practice_rules, rules_of
from backstay.stressing.rules import EnLoading, TestRules, UsLoading
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES

SI = starter(UnitSystem.SI)


def rules(block: str = "practice: US") -> TestRules:
    text = SI.replace("\nsections:", f"\ntests: {{{block}}}\n\nsections:", 1)
    return rules_of(read_text(text))


def citations(value: Any) -> Iterator[Citation]:
    if isinstance(value, Citation):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from citations(item)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from citations(getattr(value, field.name))


@pytest.mark.parametrize("made", [US_RULES, EN_RULES], ids=lambda r: r.id)
def test_every_value_says_where_it_comes_from(made: TestRules) -> None:
    bare = ("id", "title", "method")
    for field in fields(made):
        value = getattr(made, field.name)
        if field.name in bare or value is None:
            continue
        found = list(citations(value))
        assert found, field.name
        assert all(c.document and c.provenance in get_args(Provenance) for c in found), field.name


def test_an_unknown_practice_is_refused_with_the_choices() -> None:
    with pytest.raises(LookupError, match="'FR'; there are: US, EN"):
        practice_rules("FR")
    assert practice_rules("EN") is EN_RULES


def test_an_unknown_kind_of_test_is_refused_with_the_choices() -> None:
    assert isinstance(EN_RULES.loading, EnLoading)
    with pytest.raises(LookupError, match="investigation, suitability, acceptance"):
        EN_RULES.loading.of("proof", "held load")


def test_every_kind_of_en_test_has_loads_by_every_method() -> None:
    assert isinstance(EN_RULES.loading, EnLoading)
    for kind in ("investigation", "suitability", "acceptance"):
        for method in get_args(TestMethod):
            assert EN_RULES.loading.of(kind, method).shares[-1] == 1.0
    assert set(get_args(TestKind)) > {"investigation", "suitability", "acceptance"}


def test_limits_that_are_set_nationally_are_left_open() -> None:
    assert EN_RULES.creep_rate is None
    assert EN_RULES.stepped_creep is None
    assert EN_RULES.load_loss_rate is None
    given = rules("practice: EN, creep_rate: {value: 2 mm, clause: NA.4}, load_loss_rate: 0.03")
    assert given.creep_rate == Factor(
        0.002, Citation("project file", "tests.creep_rate: NA.4", "given")
    )
    assert given.load_loss_rate == Factor(
        0.03, Citation("project file", "tests.load_loss_rate", "given")
    )


def test_a_project_that_says_nothing_tests_by_the_practice() -> None:
    assert rules() == US_RULES
    assert rules("practice: EN") == EN_RULES


FACTORS = [
    ("creep_rate: 3 mm", "creep_rate", 0.003),
    ("free_length_least: 0.9", "free_length_least", 0.9),
    ("free_length_bond: 0.4", "free_length_bond", 0.4),
    ("test_stress: 0.75", "test_stress", 0.75),
    ("lock_off_stress: 0.6", "lock_off_stress", 0.6),
    ("lock_off_least: 0.8", "lock_off_least", 0.8),
    ("lock_off_greatest: 1.1", "lock_off_greatest", 1.1),
    ("lift_off_tolerance: 10 %", "lift_off_tolerance", 0.10),
    ("load_tolerance: 0.03", "load_tolerance", 0.03),
    ("gauge_agreement: 0.05", "gauge_agreement", 0.05),
    ("gauge_accuracy: 0.01", "gauge_accuracy", 0.01),
    ("calibration_days: 60", "calibration_before_work", 60),
    ("calibration_months: 12", "calibration_life", 12),
    ("regroutings: 2", "regroutings", 2),
    ("failed_lock_off: 0.6", "failed_lock_off", 0.6),
]


@pytest.mark.parametrize(("block", "name", "value"), FACTORS)
def test_the_project_replaces_one_value_and_no_other(block: str, name: str, value: float) -> None:
    made = rules(block)
    changed = {f.name for f in fields(made) if getattr(made, f.name) != getattr(US_RULES, f.name)}
    assert changed == {name}
    assert getattr(made, name).value == pytest.approx(value)
    assert getattr(made, name).cite.provenance == "given"


def test_a_share_of_the_strength_that_the_project_gives_holds_in_every_test() -> None:
    made = rules("practice: EN, test_stress: 0.75")
    assert made.test_stress.value == 0.75
    assert made.other_test_stress is None
    assert EN_RULES.other_test_stress is not None


def test_the_project_replaces_times_and_limits_of_creep() -> None:
    made = rules(
        "hold: 15, extended_hold: 120, alignment_share: 0.05, clock: load reached, "
        "readings: [1, 5, 15], extended_readings: {values: [20, 60, 120], clause: 3.4}, "
        "creep_first: {start: 1, end: 15, movement: 1 mm, clause: 3.5}, "
        "creep_extended: {start: 5, end: 60, movement: 2 mm}, creep_regrouted: {start: 1, end: 120, movement: 1 mm}"
    )
    loading = made.loading
    assert isinstance(loading, UsLoading)
    assert (loading.hold.value, loading.hold_extended.value) == (15.0, 120.0)
    assert loading.alignment_share.value == 0.05
    assert loading.readings.minutes == (1.0, 5.0, 15.0)
    assert loading.readings_extended.cite.clause == "tests.extended_readings: 3.4"
    assert made.clock.value == "load reached"
    assert made.creep_first is not None
    assert (made.creep_first.end, made.creep_first.movement) == (15.0, pytest.approx(0.001))
    assert made.creep_first.cite.clause == "tests.creep_first: 3.5"


@pytest.mark.parametrize(
    ("block", "where"),
    [
        ("readings: [2, 5, 10]", "tests.creep_first"),
        ("hold: 5, readings: [1, 5]", "tests.creep_first"),
        ("creep_first: {start: 1, end: 12, movement: 1 mm}", "tests.creep_first"),
        ("extended_hold: 30", "tests.creep_extended"),
        ("hold: 60", "tests.extended_hold"),
    ],
)
def test_a_limit_without_readings_is_refused(block: str, where: str) -> None:
    with pytest.raises(DesignError) as caught:
        rules(block)
    assert caught.value.where == where


def test_counts_follow_the_project() -> None:
    counts = rules("first_performance: {value: 5, clause: 3.1}, performance_share: 0.05").counts
    assert counts.first_performance.value == 5
    assert counts.first_performance.cite.clause == "tests.first_performance: 3.1"
    assert counts.performance_share.value == 0.05
    assert counts.extended_creep == US_RULES.counts.extended_creep
    en = rules("practice: EN, suitability_tests: 4, investigation_tests: 1").counts
    assert (en.suitability.value, en.investigation.value) == (4, 1)
