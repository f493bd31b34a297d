"""Checks: utilisation, verdict, order, words."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backstay.checks import Check, Sense, Verdict, expand, safety_check, worst_first
from backstay.cite import STATICS
from backstay.quantity import QUANTITIES, UnitSystem

FORCE = QUANTITIES["force"]


def check(demand: float, capacity: float, **more: object) -> Check:
    return Check("x.y", "a check", demand, capacity, FORCE, STATICS, **more)  # type: ignore[arg-type]


def test_demand_over_capacity() -> None:
    assert check(50, 100).utilisation == 0.5
    assert check(50, 100).verdict is Verdict.PASS
    assert check(101, 100).verdict is Verdict.FAIL
    assert check(100 * (1 + 1e-12), 100).verdict is Verdict.PASS


def test_provided_against_required() -> None:
    short = check(3.2, 3.9, sense=Sense.AT_LEAST)
    assert math.isclose(short.utilisation, 3.9 / 3.2)
    assert short.verdict is Verdict.FAIL


def test_nothing_to_resist_with_is_a_failure_not_a_crash() -> None:
    assert check(10, 0).utilisation == math.inf
    assert check(10, 0).verdict is Verdict.FAIL
    assert check(0, 0).utilisation == 0.0
    assert check(-5, 10).utilisation == 0.0


def test_a_number_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match=r"x\.y"):
        check(math.nan, 1)


def test_worst_first_and_open_choices_last() -> None:
    a, b, c = check(1, 2), check(3, 2), check(9, 1, open_choice="to be shown")
    assert worst_first([a, c, b]) == [b, a, c]


def test_safety_check() -> None:
    assert safety_check("x.y", "slip", 1.2, 1.5, STATICS).verdict is Verdict.FAIL


def test_comparison_and_placeholders_in_either_system() -> None:
    assert check(100, 200).comparison(UnitSystem.US) == "22.48 kip, at most 44.96 kip"
    assert expand("needs {length:3.9}", UnitSystem.SI) == "needs 3.900 m"
    assert expand("needs {small length:0.0254}", UnitSystem.US) == "needs 1.000 in"


@pytest.mark.parametrize("typed", ["{name:1}", "{length:1e}", "{length:-}", "{length:..}", "{:1}"])
@pytest.mark.parametrize("system", list(UnitSystem))
def test_braces_that_a_person_typed_stay_as_they_are(typed: str, system: UnitSystem) -> None:
    assert expand(f"see {typed} there", system) == f"see {typed} there"


@given(st.text() | st.from_regex(r"\{[a-z ]{0,12}:[-+0-9.einf]{0,6}\}"))
def test_no_text_is_refused(typed: str) -> None:
    for name in ("length", "count", "angle"):
        expand(f"{typed}{{{name}:{typed}}}", UnitSystem.US)
