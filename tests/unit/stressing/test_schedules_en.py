"""Procedures of EN 1537 and EN ISO 22477-5.

EN 1537:1999, E.2.1 and E.2.2 and 9.6 to 9.8 were read in a published transcription; the rest of
annex E is from memory.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Literal, get_args

import pytest

from backstay.errors import DesignError
from backstay.model.testing import TestMethod
from backstay.stressing.procedure import Procedure
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_en import (
    acceptance_test,
    bond_ground,
    investigation_test,
    suitability_test,
)
from tests.unit.stressing.invented import anchor

BUILDERS = {
    "investigation": investigation_test, "suitability": suitability_test,
    "acceptance": acceptance_test,
}  # fmt: skip


def by(method: TestMethod) -> TestRules:
    return replace(EN_RULES, method=method)


def made(
    kind: str,
    method: TestMethod = "held load",
    ground: Literal["granular", "cohesive"] = "granular",
) -> Procedure:
    return BUILDERS[kind](400.0, 1.25, by(method), ground=ground, lock_off_load=400.0)


def at_proof(procedure: Procedure) -> list[float]:
    top = [s for s in procedure.steps if s.load == pytest.approx(procedure.test_load)]
    return [top[0].hold]


@pytest.mark.parametrize(("ground", "minutes"), [("granular", 60.0), ("cohesive", 180.0)])
def test_investigation_by_method_1(ground: Literal["granular", "cohesive"], minutes: float) -> None:
    """E.2.1, published: at least six cycles, 15 min below the proof load, 60 or 180 min at it."""
    test = made("investigation", ground=ground)
    peaks = [max(s.share for s in test.steps if s.cycle == c) for c in range(1, test.cycles + 1)]
    assert test.cycles >= 6
    assert peaks[-1] == pytest.approx(1.25)
    below = [s for s in test.steps if s.hold > 1.0 and s.load < test.test_load - 1e-6]
    assert len(below) == test.cycles - 1
    assert all(s.hold >= 15.0 for s in below)
    assert at_proof(test) == [minutes]
    assert test.clause.provenance == "published"
    top = max(test.steps, key=lambda s: s.load)
    assert top.extended[-1] == 2 * minutes  # "extended until the rate is about constant"


def test_cycles_pass_the_peak_before_on_both_ways() -> None:
    test = made("suitability")
    third = [(round(s.share / 1.25, 4), s.up) for s in test.steps if s.cycle == 3]
    assert third == [(0.55, True), (0.70, True), (0.55, False), (0.10, False)]


def test_acceptance_by_method_1_is_one_cycle_in_even_steps() -> None:
    test = made("acceptance")
    assert test.cycles == 1
    assert [s.share / 1.25 for s in test.steps] == pytest.approx([0.1, 0.4, 0.7, 1.0, 0.1])
    assert at_proof(test) == [15.0]


@pytest.mark.parametrize("kind", list(BUILDERS))
def test_method_2_ends_locked_off_with_its_load_read(kind: str) -> None:
    """Times of the BS 8081:1989 table, from memory."""
    test = made(kind, "lock-off")
    last = test.steps[-1]
    assert last.load == 400.0
    assert last.readings == (5, 15, 50)
    assert last.extended == (150, 500, 1500, 5000, 15000)
    assert test.steps[-2].load == pytest.approx(test.alignment_load)


def test_method_2_accepts_after_two_cycles() -> None:
    test = made("acceptance", "lock-off")
    proved = [s for s in test.steps if s.load == pytest.approx(test.test_load)]
    assert [s.cycle for s in proved] == [1, 2]


@pytest.mark.parametrize("kind", list(BUILDERS))
def test_method_3_goes_up_once_and_holds_every_step(kind: str) -> None:
    test = made(kind, "stepped load")
    assert test.cycles == 1
    rising = [s for s in test.steps if s.up and s.load > test.alignment_load * 1.001]
    assert all(s.hold >= 5.0 for s in rising)
    steps = [b.load - a.load for a, b in pairwise(rising)]
    assert steps == pytest.approx([steps[0]] * len(steps))
    assert all(len(s.readings) >= 3 for s in rising)


@pytest.mark.parametrize("method", get_args(TestMethod))
@pytest.mark.parametrize("kind", list(BUILDERS))
def test_the_datum_load_is_a_share_of_the_proof_load(kind: str, method: TestMethod) -> None:
    test = made(kind, method)
    assert test.alignment_load == pytest.approx(0.10 * test.test_load)
    assert test.steps[0].load == pytest.approx(test.alignment_load)


def test_a_proof_load_too_near_the_lock_off_load_is_refused() -> None:
    """E.2.2, published: the proof load is 1.25 times the lock-off load at least."""
    with pytest.raises(DesignError, match="times the lock-off load"):
        suitability_test(400.0, 1.25, EN_RULES, ground="granular", lock_off_load=400.5)
    assert suitability_test(400.0, 1.25, EN_RULES, ground="granular", lock_off_load=400.0)


def test_the_ground_of_the_bond_decides_the_hold() -> None:
    assert bond_ground(("granular",)) == "granular"
    assert bond_ground(("rock",)) == "granular"
    assert bond_ground(("granular", "stiff clay")) == "cohesive"
    clay = procedure_of("investigation", anchor(ground=("soft clay",)), 1.33, EN_RULES)
    assert at_proof(clay) == [180.0]


def test_another_practice_has_none_of_these() -> None:
    with pytest.raises(DesignError, match="practice US"):
        acceptance_test(400.0, 1.25, US_RULES, ground="granular", lock_off_load=300.0)
