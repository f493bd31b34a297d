"""Laws of load tests: of every procedure that can be made, and of the sheet that follows from it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from backstay.model.testing import TestKind, TestMethod
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.sheet import field_sheet
from tests.unit.stressing.invented import DAY, anchor, jack

US: tuple[TestKind, ...] = ("performance", "proof", "extended creep")
EN: tuple[TestKind, ...] = ("investigation", "suitability", "acceptance")
CASES: list[tuple[TestKind, TestRules]] = [
    *((kind, US_RULES) for kind in US),
    *((kind, replace(EN_RULES, method=m)) for kind in EN for m in get_args(TestMethod)),
]
factors = st.floats(1.25, 2.0).map(lambda x: round(x, 3))


def made(
    kind: TestKind, rules: TestRules, factor: float, load: float = 400.0, **changes: object
) -> Procedure:
    built = anchor(design_load=load, lock_off_load=load, **changes)
    return procedure_of(kind, built, factor, rules)


def proving(test: Procedure) -> list[TestStep]:
    """Return the steps without the last stay locked off, which is no step of the loading."""
    return list(test.steps[:-1] if test.method == "lock-off" else test.steps)


@pytest.mark.parametrize(("kind", "rules"), CASES, ids=lambda v: getattr(v, "method", v))
@settings(max_examples=30, deadline=None)
@given(factor=factors)
def test_loads_of_any_procedure(kind: TestKind, rules: TestRules, factor: float) -> None:
    test = made(kind, rules, factor)
    steps = proving(test)
    shares = [s.share for s in steps]
    assert max(shares) == pytest.approx(factor)
    assert test.test_load == pytest.approx(factor * test.design_load)
    assert all(s.load == pytest.approx(s.share * test.design_load) for s in test.steps)
    assert shares[0] == pytest.approx(test.alignment_load / test.design_load)
    assert steps[0].up
    assert not steps[-1].up
    for earlier, later in pairwise(steps):
        assert (later.share > earlier.share) == later.up  # every step goes where it says
        assert later.cycle in (earlier.cycle, earlier.cycle + 1)


@pytest.mark.parametrize(("kind", "rules"), CASES, ids=lambda v: getattr(v, "method", v))
@settings(max_examples=30, deadline=None)
@given(factor=factors)
def test_every_cycle_comes_back_and_none_is_lower_than_the_one_before(
    kind: TestKind, rules: TestRules, factor: float
) -> None:
    test = made(kind, rules, factor)
    last = test.cycles - (test.method == "lock-off")
    peaks = []
    for cycle in range(1, last + 1):
        steps = [s for s in test.steps if s.cycle == cycle]
        assert steps[-1].load == pytest.approx(test.alignment_load)
        peaks.append(max(s.share for s in steps))
    assert peaks == sorted(peaks)
    assert peaks[-1] == pytest.approx(factor)


@pytest.mark.parametrize(("kind", "rules"), CASES, ids=lambda v: getattr(v, "method", v))
@settings(max_examples=30, deadline=None)
@given(factor=factors)
def test_readings_run_to_the_end_of_every_hold(
    kind: TestKind, rules: TestRules, factor: float
) -> None:
    test = made(kind, rules, factor)
    for step in test.steps:
        times = (*step.readings, *step.extended)
        assert all(b > a for a, b in pairwise(times))
        assert step.readings[-1] == step.hold
        assert step.most is None or step.most >= step.hold
    assert test.least_minutes == sum(s.readings[-1] for s in test.steps)
    assert test.extended_minutes >= test.least_minutes


@pytest.mark.parametrize(("kind", "rules"), CASES, ids=lambda v: getattr(v, "method", v))
@settings(max_examples=20, deadline=None)
@given(factor=factors, scale=st.floats(0.2, 3.0))
def test_loads_follow_the_design_load_and_times_do_not(
    kind: TestKind, rules: TestRules, factor: float, scale: float
) -> None:
    one, other = made(kind, rules, factor), made(kind, rules, factor, load=400.0 * scale)
    for a, b in zip(one.steps, other.steps, strict=True):
        assert b.load == pytest.approx(scale * a.load)
        assert replace(b, load=a.load) == a


@settings(max_examples=40, deadline=None)
@given(
    factor=factors, free=st.floats(3.0, 40.0), bond=st.floats(3.0, 12.0), inside=st.floats(0.0, 2.0),
    load=st.floats(50.0, 350.0),
)  # fmt: skip
def test_what_a_sheet_says_rises_with_the_load(
    factor: float, free: float, bond: float, inside: float, load: float
) -> None:
    assume(factor * load < 620.0)
    built = anchor(
        design_load=load, lock_off_load=load, free_length=free, bond_length=bond, jack_length=inside
    )
    sheet = field_sheet(
        built, procedure_of("performance", built, factor, US_RULES), jack(), US_RULES, on=DAY
    )
    for a, b in pairwise(sorted(sheet.lines, key=lambda row: row.load)):
        assert b.pressure is not None
        assert a.pressure is not None
        assert b.pressure >= a.pressure
        assert (b.elastic, b.least, b.greatest) >= (a.elastic, a.least, a.greatest)
    for row in sheet.lines:
        assert row.least <= row.elastic * (1 + 1e-12)
        assert row.elastic <= row.greatest * (1 + 1e-12)
        if row.elastic > 0.0:  # the limits are those of the lengths, at every load
            length = free + inside
            assert row.least / row.elastic == pytest.approx(sheet.least_length / length)
            assert row.greatest / row.elastic == pytest.approx(sheet.greatest_length / length)
