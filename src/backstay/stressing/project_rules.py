"""The rules that a project tests by: those of its practice, with what its file says instead."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from backstay.anchors.load_tests import counts_of, given, given_factor
from backstay.errors import DesignError
from backstay.model.project import Project
from backstay.model.testing import CreepRule, LoadTests, TimesRule
from backstay.stressing.procedure import minutes_between
from backstay.stressing.rules import ClockStart, CreepLimit, EnLoading, TestRules, Times, UsLoading
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES

_PRACTICES = {rules.id: rules for rules in (US_RULES, EN_RULES)}
_OTHER_NAMES = {
    "calibration_days": "calibration_before_work", "calibration_months": "calibration_life",
}  # fmt: skip
"""Values of the rules that the project file calls by another name."""
_FACTORS = (
    "creep_rate", "stepped_creep", "load_loss_rate", "free_length_least", "free_length_bond",
    "free_length_greatest", "test_stress", "lock_off_stress", "lock_off_least", "lock_off_greatest",
    "lift_off_tolerance", "load_tolerance", "gauge_agreement", "gauge_accuracy", "calibration_days",
    "calibration_months", "regroutings", "failed_lock_off",
)  # fmt: skip
_CREEP = ("creep_first", "creep_extended", "creep_regrouted")


def practice_rules(name: str) -> TestRules:
    """Return the rules of a practice by its name; raise LookupError with the choices if unknown."""
    for practice, rules in _PRACTICES.items():
        if practice == name:
            return rules
    raise LookupError(f"no practice {name!r}; there are: {', '.join(_PRACTICES)}")


def rules_of(project: Project) -> TestRules:
    """Return the rules that a project tests by.

    Raises DesignError, with the field, where a limit of creep has no readings to be held against.
    """
    said = project.tests
    rules = practice_rules(said.practice)
    changes: dict[str, Any] = {"method": said.method, "counts": counts_of(said)}
    for key in _FACTORS:
        value = getattr(said, key)
        if value is not None:
            changes[_OTHER_NAMES.get(key, key)] = given_factor(key, value)
    for key in _CREEP:
        limit: CreepRule | None = getattr(said, key)
        if limit is not None:
            changes[key] = CreepLimit(
                limit.start, limit.end, limit.movement, given(key, limit.clause)
            )
    if said.test_stress is not None:
        changes["other_test_stress"] = None
    if said.clock is not None:
        changes["clock"] = ClockStart(said.clock, given("clock"))
    made = replace(rules, loading=_loading(rules.loading, said), **changes)
    _readable(made)
    return made


def _readable(rules: TestRules) -> None:
    """Require that what is limited is also read. Raises DesignError with the field."""
    loading = rules.loading
    if isinstance(loading, EnLoading):
        return
    hold, longer = loading.hold.value, loading.hold_extended.value
    if longer <= hold:
        raise DesignError(
            f"the extended hold of {longer:g} min is not longer than the hold of {hold:g} min",
            "tests.extended_hold",
        )
    first = minutes_between(loading.readings.minutes, 0.0, hold)
    more = minutes_between(loading.readings_extended.minutes, hold, longer)
    for key, limit, read in (
        ("creep_first", rules.creep_first, first),
        ("creep_extended", rules.creep_extended, (*first, *more)),
        ("creep_regrouted", rules.creep_regrouted, (*first, *more)),
    ):
        missing = [m for m in (limit.start, limit.end) if m not in read] if limit else []
        if missing:
            times = ", ".join(f"{minute:g}" for minute in read)
            raise DesignError(
                f"a limit of creep counts from or to {missing[0]:g} min, and readings are at {times} min",
                f"tests.{key}",
            )


def _loading(loading: UsLoading | EnLoading, said: LoadTests) -> UsLoading | EnLoading:
    changes: dict[str, Any] = {}
    if said.alignment_share is not None:
        changes["alignment_share"] = given_factor("alignment_share", said.alignment_share)
    if said.readings is not None:
        changes["readings"] = _times("readings", said.readings)
    if isinstance(loading, EnLoading):
        return replace(loading, **changes)
    if said.hold is not None:
        changes["hold"] = given_factor("hold", said.hold)
    if said.extended_hold is not None:
        changes["hold_extended"] = given_factor("extended_hold", said.extended_hold)
    if said.extended_readings is not None:
        changes["readings_extended"] = _times("extended_readings", said.extended_readings)
    return replace(loading, **changes)


def _times(key: str, said: tuple[float, ...] | TimesRule) -> Times:
    if isinstance(said, TimesRule):
        return Times(said.values, given(key, said.clause))
    return Times(said, given(key))
