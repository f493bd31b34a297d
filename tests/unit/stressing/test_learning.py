"""What tests teach: bounds by hand, lessons by ground and grouting, their effect on bonds."""

from __future__ import annotations

from dataclasses import replace
from math import inf, pi
from typing import Any

import pytest

from backstay.basis import Factor
from backstay.checks import Verdict, expand
from backstay.quantity import UnitSystem
from backstay.stressing.bond_effect import ACCEPTED, effect_on, length_for_share, share_failing
from backstay.stressing.bond_tests import bond_test
from backstay.stressing.bond_update import BondBelief, believed
from backstay.stressing.judge import judge
from backstay.stressing.learning import lessons
from backstay.stressing.rules_us import US_RULES
from tests.unit.anchors.example import BASIS, anchors, section
from tests.unit.stressing.bonds import bond, known, proof
from tests.unit.stressing.invented import line
from tests.unit.stressing.synthetic import Model

# --- bounds ---------------------------------------------------------------------------------


def test_what_one_test_shows_by_hand() -> None:
    """598.5 kN on 8 m of a 150 mm hole: 74.8 kN/m and 158.8 kPa."""
    found = bond(598.5)
    assert found.transfer == (pytest.approx(74.8125), inf)
    assert found.stress == (pytest.approx(598.5 / (pi * 0.15 * 8.0)), inf)
    failed = bond(450.0, 540.0)
    assert failed.transfer == pytest.approx((56.25, 67.5))


def test_an_accepted_anchor_is_a_lower_bound_at_the_test_load() -> None:
    record, judgement = proof(Model())
    assert judgement.decision == "accepted"
    found = bond_test(record, judgement)
    assert found is not None
    assert found.held == pytest.approx(598.5, rel=1e-6)
    assert found.failed is None


def test_an_anchor_that_crept_held_the_step_before_and_failed_at_the_test_load() -> None:
    record, judgement = proof(Model(creep=0.004), extended=True)
    assert judgement.decision == "not accepted"
    found = bond_test(record, judgement)
    assert found is not None
    assert found.failed == pytest.approx(598.5, rel=1e-3)
    assert found.held == pytest.approx(1.2 * 450.0, rel=1e-3)


def test_load_lost_ahead_of_the_bond_is_not_a_failure_of_the_bond() -> None:
    record, judgement = proof(Model(friction=250.0))
    assert judgement.decision == "not accepted"
    assert [c.id for c in judgement.checks if c.verdict is Verdict.FAIL] == [
        "test.free-length-least"
    ]
    found = bond_test(record, judgement)
    assert found is not None
    assert found.failed is None


# --- lessons and their effect -----------------------------------------------------------------


def test_lessons_by_ground_and_grouting() -> None:
    tests = [bond(598.5, anchor=f"A-1-{k:03d}") for k in range(1, 9)]
    tests += [bond(400.0, 500.0, grouting="post-grouted"), bond(700.0, grouting="post-grouted")]
    sand, pressure = lessons(tests, {(("granular",), "gravity"): known()})
    assert (len(sand.tests), sand.bounds, sand.failures) == (8, 8, 0)
    assert sand.least_held == pytest.approx(158.76, rel=1e-4)
    assert sand.fit is None
    assert "lower bounds" in sand.no_fit
    assert sand.before is not None
    assert sand.after is not None
    assert sand.value is not None
    assert sand.before.median() < sand.after.median()
    assert sand.after.median(0.05) > sand.most_held
    assert sand.value == sand.most_held  # believed or not, no test has held more
    words = expand(sand.words, UnitSystem.US)
    assert "psi" in words
    assert "none failed" in words
    assert (pressure.failures, pressure.after, pressure.value) == (1, None, None)
    assert pressure.fit is not None
    assert (pressure.fit.count, pressure.fit.failures) == (2, 1)
    assert pressure.least_failed == pytest.approx(500.0 / (pi * 0.15 * 8.0))


def test_the_least_length_is_the_one_at_which_the_accepted_share_fails() -> None:
    belief = believed(known(), [(150.0, inf)] * 10)
    length = length_for_share(belief, 598.5, 0.15, 0.02)
    assert length is not None
    assert share_failing(belief, 598.5, 0.15, length) == pytest.approx(0.02, rel=1e-6)
    assert length_for_share(belief, 598.5, 0.15, 0.02) < length_for_share(  # type: ignore[operator]
        believed(known()), 598.5, 0.15, 0.02
    )
    assert length_for_share(belief, 50_000.0, 0.15, 0.02) is None


def effect(after: BondBelief, **changes: Any) -> Any:
    made = anchors(section({"bond": {"length": 8.0}}))[0]
    values: dict[str, Any] = {"remaining": 15, "value": after.median(0.05)}
    return made, effect_on(made, believed(known()), after, BASIS, **(values | changes))


def test_good_tests_leave_the_bond_as_it_is_and_bad_ones_lengthen_it() -> None:
    made, good = effect(believed(known(), [(200.0, inf)] * 30))
    assert good.check.verdict is Verdict.PASS
    assert good.share < good.share_before
    assert good.expected == pytest.approx(15 * good.share)
    assert good.by_safety == pytest.approx(
        2.0 * made.design_load / (pi * made.hole_diameter * believed(
            known(), [(200.0, inf)] * 30).median(0.05))
    )  # fmt: skip
    assert good.needed >= max(good.by_safety, 4.5)
    _, bad = effect(believed(known(), [(40.0, 60.0)] * 6))
    assert bad.check.verdict is Verdict.FAIL
    assert bad.longer > 0.0
    assert "bond length of" in bad.check.remedy


def test_the_accepted_share_on_both_sides() -> None:
    after = believed(known(), [(120.0, inf)] * 4)
    share = effect(after)[1].share
    for accepted, verdict in ((share * 1.001, Verdict.PASS), (share * 0.999, Verdict.FAIL)):
        given_share = Factor(accepted, ACCEPTED.cite)
        assert effect(after, accepted=given_share)[1].check.verdict is verdict


def test_where_bonds_failed_the_value_is_what_is_believed() -> None:
    tests = [bond(598.5)] * 3 + [bond(400.0, 500.0)] * 5
    (found,) = lessons(tests, {(("granular",), "gravity"): known()})
    assert found.after is not None
    assert found.value == pytest.approx(found.after.median(0.05))
    assert found.value < found.most_held


def test_a_record_that_is_refused_teaches_nothing() -> None:
    """Its loads are not known: a bond taken from them would be believed along the whole wall."""
    for model in (Model(), Model(creep=0.004)):
        record, _ = proof(model, extended=True)
        top = max(r.gauge or 0.0 for r in record.readings)
        certificate = replace(model.jack.calibration, points=line(most=0.8 * top))
        beyond = replace(record, jack=replace(model.jack, calibration=certificate))
        judgement = judge(beyond, US_RULES)
        assert "beyond calibration" in {f.code for f in judgement.findings}
        assert bond_test(beyond, judgement) is None


def test_the_range_of_a_lesson_is_that_of_its_tests() -> None:
    tests = [bond(598.5, bond_length=length) for length in (6.0, 8.0, 10.0)]
    (found,) = lessons(tests, {})
    assert (found.shortest, found.longest) == (6.0, 10.0)
    assert found.transfer_held == pytest.approx((59.85, 99.75))
    assert (found.least_held, found.most_held) == pytest.approx(
        tuple(598.5 / (pi * 0.15 * length) for length in (10.0, 6.0))
    )
