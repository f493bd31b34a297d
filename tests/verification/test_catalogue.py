"""Every case of the catalogue meets its value."""

from __future__ import annotations

from collections import Counter
from math import inf, nan
from typing import get_args

import pytest

from backstay.cite import Provenance
from tests.verification.catalogue import Case, all_cases

CASES = all_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_value_is_met(case: Case) -> None:
    value = case.compute()
    assert case.met_by(value), (
        f"{case.title}: computed {value:.6g} {case.unit}, expected {case.expected:.6g} "
        f"({case.source}); deviation {case.deviation(value):+.3g}, tolerance {case.tolerance:g}"
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_case_says_what_it_rests_on(case: Case) -> None:
    assert case.id.startswith(f"{case.room}.")
    assert case.title
    assert case.inputs
    assert case.source
    assert case.provenance in get_args(Provenance)
    assert case.tolerance > 0.0
    if not case.absolute:
        assert case.expected != 0.0, "a relative tolerance needs a value that is not nil"
        assert case.tolerance < 0.2
        if case.tolerance > 0.01:
            assert case.tolerance_reason, "a tolerance wider than 1 % needs its reason"


def test_identifiers_are_unique() -> None:
    repeated = [name for name, times in Counter(case.id for case in CASES).items() if times > 1]
    assert not repeated


def test_a_wrong_value_is_seen() -> None:
    case = Case("x.y", "x", "t", "s", "formula", "i", lambda: 1.0, 2.0, 0.01, "kPa")
    assert case.met_by(2.01)
    for wrong in (2.03, 1.97, -2.0, nan, inf):
        assert not case.met_by(wrong)
