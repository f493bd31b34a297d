"""Movement: residual and elastic by cycle, apparent free length, friction, from a known tendon."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.stressing.free_length import free_length_limits
from backstay.stressing.judge import Evaluation, judge
from backstay.stressing.movement import (
    apparent_free_length,
    elastic_movement,
    elastic_movement_for,
    friction_along,
)
from backstay.stressing.procedure import Procedure
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Crew, Model, record_of

PERFORMANCE = performance_test(450.0, 1.33, US_RULES)
STIFF = 1e7
"""Bond (kN/m) so strong that the load ends at its near end."""


def evaluated(model: Model, procedure: Procedure = PERFORMANCE) -> Evaluation:
    return judge(record_of(model, procedure), US_RULES).evaluation


def length_of(found: Evaluation, model: Model) -> float:
    last = found.cycles[-1]
    assert last.elastic is not None
    assert last.back is not None
    a = model.anchor
    return apparent_free_length(a.area, a.modulus, last.elastic, last.load, last.back)


def test_formulas_by_hand() -> None:
    assert elastic_movement(0.05, 0.008) == pytest.approx(0.042)
    assert apparent_free_length(420e-6, 195e6, 0.04055, 598.5, 45.0) == pytest.approx(6.0, abs=1e-3)
    assert elastic_movement_for(6.0, 598.5, 45.0, 420e-6, 195e6) == pytest.approx(0.04055, abs=5e-6)


@given(
    L=st.floats(2.0, 60.0), P_t=st.floats(200.0, 3000.0), share=st.floats(0.01, 0.5),
    A=st.floats(1e-4, 5e-3), E=st.floats(1.9e8, 2.1e8),
)  # fmt: skip
def test_length_and_movement_are_each_other_turned_round(
    L: float, P_t: float, share: float, A: float, E: float
) -> None:
    delta = elastic_movement_for(L, P_t, share * P_t, A, E)
    assert apparent_free_length(A, E, delta, P_t, share * P_t) == pytest.approx(L, rel=1e-12)


def test_a_tendon_held_at_the_near_end_of_its_bond_shows_its_free_length() -> None:
    model = Model(bond=STIFF, creep=0.0)
    found = evaluated(model)
    assert length_of(found, model) == pytest.approx(6.0, rel=2e-4)
    for cycle in found.cycles:
        assert cycle.residual == pytest.approx(0.0, abs=1e-7)


def test_every_cycle_of_the_schedule_is_found() -> None:
    found = evaluated(Model())
    assert [c.share for c in found.cycles] == [0.25, 0.50, 0.75, 1.00, 1.20, 1.33]
    assert [c.load for c in found.cycles] == pytest.approx([450.0 * c.share for c in found.cycles])
    residual = [c.residual for c in found.cycles]
    assert residual == sorted(residual, key=lambda r: r or 0.0)


@pytest.mark.parametrize("bond", [150.0, 250.0, 600.0])
def test_yielding_bond_stretches_and_keeps_what_theory_says(bond: float) -> None:
    """Closed form of a rigid and plastic bond: P^2/(2 t A E) going up, half of it stays.

    On the way down by D from P the bond slides back by D^2/(4 t A E).
    """
    model = Model(bond=bond, creep=0.0)
    last = evaluated(model).cycles[-1]
    stiffness = 420e-6 * 195e6
    P, D, al = 598.5, 598.5 - 45.0, 45.0
    total = P * 6.0 / stiffness + P**2 / (2 * bond * stiffness)
    start = al * 6.0 / stiffness + al**2 / (2 * bond * stiffness)
    back = D * 6.0 / stiffness + D**2 / (4 * bond * stiffness)
    assert last.total == pytest.approx(total - start, rel=1e-3)
    assert last.elastic == pytest.approx(back, rel=1e-3)


@settings(max_examples=25, deadline=None)
@given(
    friction=st.floats(0.0, 60.0), free=st.floats(4.5, 20.0), jack=st.floats(0.0, 1.0)
)  # fmt: skip
def test_reloading_recovers_free_length_and_friction(
    friction: float, free: float, jack: float
) -> None:
    """Friction that turns round between alignment and first load, bond that does not yield."""
    model = Model(
        anchor=anchor(free_length=free, jack_length=jack), bond=STIFF, creep=0.0, friction=friction
    )
    found = evaluated(model)
    assert found.reloading is not None
    assert found.reloading.length == pytest.approx(free + jack, rel=2e-3)
    spread = 1.0 if jack == 0.0 else (free + jack) / free
    assert found.reloading.friction * spread == pytest.approx(friction, abs=0.5 + 0.02 * friction)


def test_elastic_movement_is_short_by_friction_alone() -> None:
    """A E d = (P - P_al) L - F L, because friction turns round over the whole free length."""
    model = Model(bond=STIFF, creep=0.0, friction=40.0)
    found = evaluated(model)
    assert length_of(found, model) == pytest.approx(6.0 * (1.0 - 40.0 / 553.5), rel=1e-3)
    last = found.cycles[-1]
    assert last.elastic is not None
    assert friction_along(420e-6, 195e6, last.elastic, 6.0, 598.5, 45.0) == pytest.approx(
        40.0, rel=5e-3
    )


def test_jack_friction_on_the_way_down_is_small_beside_the_load() -> None:
    plain, rubbing = Model(), Model(jack_friction=0.03)
    a, b = length_of(evaluated(plain), plain), length_of(evaluated(rubbing), rubbing)
    assert b == pytest.approx(a, rel=0.005)


def test_creep_is_no_elastic_movement() -> None:
    still, creeping = Model(creep=0.0), Model(creep=0.0009)
    a, b = evaluated(still), evaluated(creeping)
    assert b.cycles[-1].elastic == pytest.approx(a.cycles[-1].elastic or 0.0, abs=1e-12)
    assert (b.cycles[-1].residual or 0.0) - (a.cycles[-1].residual or 0.0) == pytest.approx(0.0009)


def proof(returns: bool) -> Procedure:
    return proof_test(450.0, 1.33, US_RULES, residual=returns)


def test_proof_test_with_return_gives_the_same_as_the_performance_test() -> None:
    model = Model()
    assert length_of(evaluated(model, proof(True)), model) == pytest.approx(
        length_of(evaluated(model), model), rel=2e-3
    )


def test_proof_test_without_return_says_that_slip_counts_as_stretch() -> None:
    record = record_of(Model(), proof(False))
    judged = judge(record, US_RULES)
    codes = [f.code for f in judged.findings]
    assert "no return" in codes
    check = next(c for c in judged.checks if c.id == "test.free-length-least")
    whole = judged.evaluation.cycles[-1].total
    assert check.demand == pytest.approx(420e-6 * 195e6 * whole / 553.5)
    assert "not measured" in check.note


def test_residual_of_anchors_alike_takes_the_place_of_the_one_not_measured() -> None:
    residual = evaluated(Model()).cycles[-1].residual
    record = record_of(Model(), proof(False))
    judged = judge(record, US_RULES, residual=residual)
    check = next(c for c in judged.checks if c.id == "test.free-length-least")
    assert check.demand == pytest.approx(length_of(evaluated(Model()), Model()), rel=5e-3)
    assert any("anchors alike" in f.effect for f in judged.findings)


def test_limits_of_the_practices_by_hand() -> None:
    one = anchor(free_length=10.0, bond_length=6.0, jack_length=0.5)
    us, en = free_length_limits(one, US_RULES), free_length_limits(one, EN_RULES)
    assert (us.least, us.greatest) == pytest.approx((8.5, 13.5))
    assert (en.least, en.greatest) == pytest.approx((8.5, 13.5))
    long = replace(one, free_length=40.0)
    assert free_length_limits(long, US_RULES).greatest == pytest.approx(43.5)
    assert free_length_limits(long, EN_RULES).greatest == pytest.approx(44.5)


@pytest.mark.parametrize("method", ["held load", "stepped load", "lock-off"])
@pytest.mark.parametrize("kind", ["investigation", "suitability", "acceptance"])
def test_european_tests_give_the_free_length_too(method: str, kind: str) -> None:
    rules = replace(EN_RULES, method=method)  # type: ignore[arg-type]
    model = Model(bond=STIFF, creep=0.0)
    procedure = procedure_of(kind, model.anchor, 1.33, rules)  # type: ignore[arg-type]
    judged = judge(record_of(model, procedure), rules)
    check = next(c for c in judged.checks if c.id == "test.free-length-least")
    assert check.demand == pytest.approx(6.0, rel=1e-3)


def test_a_cycle_run_again_is_a_cycle_of_its_own_after_the_last() -> None:
    """The plots and tables number it on: six cycles of the schedule, then a seventh and an eighth."""
    crew = Crew(Model(), PERFORMANCE)
    last = [s for s in PERFORMANCE.steps if s.cycle == 6]
    for step in PERFORMANCE.steps:
        crew.arrive(step)
        for minute in step.readings:
            if minute > 0.0:
                crew.wait(step, minute)
        crew.leave()
    for number in (7, 8):
        for step in last:
            crew.arrive(step, number)
    cycles = judge(crew.record(), US_RULES).evaluation.cycles
    assert [(c.cycle, c.again) for c in cycles] == [
        *((k, 0) for k in range(1, 7)), (7, 1), (8, 2)
    ]  # fmt: skip
    assert [c.load for c in cycles[-3:]] == pytest.approx([598.5] * 3)
