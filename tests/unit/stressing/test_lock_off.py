"""Lock-off, seating and lift-off: by hand, on both sides of every limit, and back from invented readings."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from backstay.basis import Factor
from backstay.checks import Check, Verdict, expand
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import UnitSystem
from backstay.stressing.lift_off import RESTRESSINGS, judge_lift_off, lift_off_of
from backstay.stressing.lift_off_fit import lift_off_fit
from backstay.stressing.lock_off import (
    DrawIn,
    LiftOff,
    LockOff,
    PlannedLockOff,
    draw_in_of_loss,
    plan_lock_off,
)
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.seating import draw_in_of, seated_load
from tests.unit.stressing.invented import anchor

HELD = anchor(jack_length=1.2)
STIFFNESS = HELD.area * HELD.modulus  # 81,900 kN


def one(checks: tuple[Check, ...], name: str) -> Check:
    return next(c for c in checks if c.id == name)


def planned(**changes: Any) -> PlannedLockOff:
    return plan_lock_off(HELD, US_RULES, **({"head": "wedges", "draw_in": 0.006} | changes))


def locked(**changes: Any) -> LockOff:
    given_values: dict[str, Any] = {
        "anchor": HELD.name, "head": "wedges", "wanted": 360.0, "jack_load": 441.9, "load": 360.0
    }  # fmt: skip
    return LockOff(**(given_values | changes))


def pulled(
    lift_off: float, *, scatter: float = 0.0, seed: int = 1, last: float = 460.0, step: float = 15.0,
    free: float = 6.0,
) -> list[tuple[float, float]]:  # fmt: skip
    """Return readings of a jack that stretches 1.2 m of tail, and the free length beyond lift-off."""
    random = Random(seed)  # noqa: S311 - a reproducible sample
    loads = np.arange(250.0, last, step)
    return [
        (
            float(P),
            float((P * 1.2 + max(P - lift_off, 0.0) * free) / STIFFNESS) + random.gauss(0, scatter),
        )
        for P in loads
    ]


def test_the_jack_goes_beyond_the_lock_off_load_by_what_the_wedges_take() -> None:
    """Hooke's law by hand: 420e-6 195e6 0.006 / 6.0 = 81.9 kN."""
    made = planned()
    assert made.loss == pytest.approx(81.9)
    assert made.jack_load == pytest.approx(441.9)
    assert (made.lift_off_least, made.lift_off_greatest) == pytest.approx((342.0, 378.0))


def test_each_head_has_its_usual_draw_in_and_the_anchor_its_own() -> None:
    usual = {h: plan_lock_off(HELD, US_RULES, head=h).draw_in for h in ("wedges", "shims", "nut")}  # type: ignore[arg-type]
    assert usual == {"wedges": 0.006, "shims": 0.001, "nut": 0.0015}
    own = replace(HELD, draw_in=0.009)
    assert plan_lock_off(own, US_RULES, head="wedges").draw_in == 0.009
    assert plan_lock_off(own, US_RULES, head="shims").draw_in == 0.001
    assert plan_lock_off(own, US_RULES, head="wedges", draw_in=0.004).draw_in == 0.004


@pytest.mark.parametrize(
    ("name", "at", "beyond"),
    [
        ("lock-off.stress", 0.70 * 782.1, 0.70 * 782.1 + 0.1),
        ("lock-off.least", 0.75 * 450.0, 0.75 * 450.0 - 0.1),
        ("lock-off.greatest", 450.0, 450.1),
        ("lock-off.jacking-stress", 0.80 * 782.1 - 81.9, 0.80 * 782.1 - 81.8),
        ("lock-off.tested-load", 598.5 - 81.9, 598.5 - 81.8),
    ],
)
def test_limits_of_the_lock_off_load_on_both_sides(name: str, at: float, beyond: float) -> None:
    for wanted, verdict in ((at, Verdict.PASS), (beyond, Verdict.FAIL)):
        check = one(planned(wanted=wanted, test_load=598.5).checks, name)
        assert check.verdict is verdict, (wanted, check)
        assert bool(check.remedy) is (verdict is Verdict.FAIL)


def test_en_keeps_the_jack_within_the_load_at_a_tenth_of_a_percent_strain() -> None:
    strained = anchor(proof_load=500.0)
    made = plan_lock_off(strained, EN_RULES, head="wedges", draw_in=0.006)
    check = one(made.checks, "lock-off.jacking-stress")
    assert check.capacity == pytest.approx(0.9 * 500.0)
    assert check.verdict is Verdict.PASS
    assert one(made.checks, "lock-off.stress").capacity == pytest.approx(0.6 * 782.1)
    assert not any(c.id in ("lock-off.least", "lock-off.greatest") for c in made.checks)


def test_no_load_is_no_lock_off() -> None:
    with pytest.raises(DesignError, match="no load"):
        planned(wanted=0.0)
    with pytest.raises(DesignError, match="not negative"):
        planned(draw_in=-0.001)


def test_measured_draw_ins_take_the_place_of_the_usual_one() -> None:
    found = draw_in_of([0.005, 0.006, 0.007, None])
    assert found is not None
    assert (found.mean, found.scatter, found.greatest, found.count) == pytest.approx(
        (0.006, 0.001, 0.007, 3)
    )
    assert found.spread == pytest.approx(4.302653 * 0.001 * (4 / 3) ** 0.5, rel=1e-6)
    made = planned(draw_in=found)
    assert made.loss == pytest.approx(81.9)
    uneven = one(made.checks, "lock-off.scatter")
    assert uneven.demand == pytest.approx(STIFFNESS * found.spread / 6.0)
    assert uneven.verdict is Verdict.FAIL
    assert draw_in_of([None]) is None
    single = draw_in_of([0.006])
    assert single is not None
    assert single.spread is None
    assert not any(c.id == "lock-off.scatter" for c in planned(draw_in=single).checks)


def test_a_long_tendon_forgives_uneven_wedges() -> None:
    long = replace(HELD, free_length=30.0)
    made = plan_lock_off(
        long, US_RULES, head="wedges",
        draw_in=DrawIn(mean=0.006, scatter=0.0005, greatest=0.007, count=10),
    )  # fmt: skip
    assert one(made.checks, "lock-off.scatter").verdict is Verdict.PASS


def test_seating_by_load_and_by_draw_in_agree() -> None:
    by_load = seated_load(locked(), HELD, US_RULES, planned())
    by_head = seated_load(locked(load=None, draw_in=0.006), HELD, US_RULES, planned())
    assert by_load.draw_in == pytest.approx(0.006)
    assert by_head.load == pytest.approx(360.0)
    assert (by_load.read, by_head.read) == (True, False)
    assert all(c.verdict is Verdict.PASS for c in (*by_load.checks, *by_head.checks))


@pytest.mark.parametrize(
    ("name", "at", "beyond"),
    [("lock-off.load-least", 342.0, 341.9), ("lock-off.load-greatest", 378.0, 378.1),
     ("lock-off.seating-loss", 342.0, 341.9)],
)  # fmt: skip
def test_limits_of_the_seated_load_on_both_sides(name: str, at: float, beyond: float) -> None:
    """5 % of 360 kN; the loss may be 81.9 + 18 kN of 441.9."""
    for load, verdict in ((at, Verdict.PASS), (beyond, Verdict.FAIL)):
        found = seated_load(locked(load=load), HELD, US_RULES, planned())
        assert one(found.checks, name).verdict is verdict


def test_a_seating_that_nobody_measured_or_that_gained_load_is_refused() -> None:
    with pytest.raises(DesignError, match="lift the anchor off"):
        seated_load(locked(load=None), HELD, US_RULES, planned())
    with pytest.raises(DesignError, match="misread"):
        seated_load(locked(load=450.0), HELD, US_RULES, planned())


def test_loads_and_movement_of_head_that_disagree_are_both_shown() -> None:
    found = seated_load(locked(load=320.0, draw_in=0.006), HELD, US_RULES, planned())
    check = one(found.checks, "lock-off.seating-loss")
    assert check.verdict is Verdict.FAIL
    assert "8.93 mm" in expand(check.note, UnitSystem.SI)


@pytest.mark.parametrize("lift_off", [300.0, 342.0, 361.3, 400.0])
def test_the_lift_off_load_is_found_exactly_where_the_lines_meet(lift_off: float) -> None:
    found = lift_off_fit(pulled(lift_off), HELD, US_RULES)
    assert found.load == pytest.approx(lift_off, rel=1e-9)
    assert found.length == pytest.approx(7.2, rel=1e-9)
    assert found.before == pytest.approx(1.2, rel=1e-9)
    assert found.movement == pytest.approx(1.2 * lift_off / STIFFNESS)


def test_the_lift_off_load_agrees_with_a_general_least_squares_fit() -> None:
    readings = pulled(361.3, scatter=0.0001)
    x, y = np.array(readings).T

    def lines(P: Any, a: float, b: float, c: float, h: float) -> Any:
        return a + b * P + c * np.maximum(P - h, 0.0)

    wanted, _ = curve_fit(lines, x, y, p0=(0.0, 1e-5, 7e-5, 350.0))
    found = lift_off_fit(readings, HELD, US_RULES)
    assert found.load == pytest.approx(wanted[3], rel=1e-6)


def test_the_interval_of_the_lift_off_load_covers_it_about_as_often_as_it_says() -> None:
    inside = 0
    for seed in range(200):
        found = lift_off_fit(pulled(360.0, scatter=0.0001, seed=seed), HELD, US_RULES)
        inside += found.least <= 360.0 <= found.greatest
    assert 176 <= inside <= 200  # 95 % of 200 is 190, four standard deviations are 12


@given(
    lift_off=st.floats(300, 420), shift=st.floats(-0.01, 0.01), free=st.floats(5.0, 9.0)
)  # fmt: skip
def test_where_the_dial_stood_does_not_matter(lift_off: float, shift: float, free: float) -> None:
    held = replace(HELD, free_length=free)
    readings = [(P, s + shift) for P, s in pulled(lift_off, free=free)]
    assert lift_off_fit(readings, held, US_RULES).load == pytest.approx(lift_off, rel=1e-5)


@pytest.mark.parametrize(
    ("readings", "why"),
    [
        (pulled(360.0)[:4], "4 readings"),
        (pulled(600.0), "one line"),
        (pulled(200.0), "one line"),
        ([(P, s) for P, s in reversed(pulled(360.0))], "rise"),
        (pulled(360.0, free=2.0), "before the head is off"),
        (pulled(360.0, free=14.0), "bond gives way"),
    ],
)
def test_readings_that_show_no_lift_off_are_refused(
    readings: list[tuple[float, float]], why: str
) -> None:
    with pytest.raises(DesignError, match=why):
        lift_off_fit(readings, HELD, US_RULES)


def judged(load: float, **changes: Any) -> Any:
    rules = changes.pop("rules", US_RULES)
    held = changes.pop("held", HELD)
    return judge_lift_off(
        LiftOff(anchor=held.name, load=load), held, rules, **({"head": "wedges"} | changes)
    )


@pytest.mark.parametrize(
    ("load", "standing", "actions"),
    [
        (360.0, "in tolerance", []), (342.0, "in tolerance", []), (378.0, "in tolerance", []),
        (341.9, "too low", ["re-stress"]), (378.1, "too high", ["let down"]),
    ],
)  # fmt: skip
def test_lift_off_on_both_sides_of_the_tolerance(
    load: float, standing: str, actions: list[str]
) -> None:
    found = judged(load)
    assert found.standing == standing
    assert [step.action for step in found.next] == actions


def test_the_projects_tolerance_counts() -> None:
    wide = replace(US_RULES, lift_off_tolerance=Factor(0.10, Citation("contract", "3.5", "given")))
    assert judged(330.0).standing == "too low"
    found = judged(330.0, rules=wide)
    assert found.standing == "in tolerance"
    assert {c.clause.document for c in found.checks[:2]} == {"contract"}


def test_shims_make_up_for_what_is_missing() -> None:
    """40 kN over 6 m of three strands: 2.93 mm, and the load of 2.93 mm is 40 kN again."""
    found = judged(320.0, draw_in=0.006)
    assert found.short == pytest.approx(40.0)
    assert found.shims == pytest.approx(40.0 * 6.0 / STIFFNESS)
    assert STIFFNESS * draw_in_of_loss(40.0, 6.0, HELD.area, HELD.modulus) / 6.0 == pytest.approx(
        40
    )
    by_shims, by_jack = found.next
    assert "2.93 mm" in expand(by_shims.words, UnitSystem.SI)
    assert by_jack.load == pytest.approx(441.9)
    assert "old marks" in by_jack.words
    assert [step.load for step in judged(320.0, head="shims", draw_in=0.006).next] == [360.0]


def test_an_anchor_that_cannot_be_jacked_higher_is_shimmed() -> None:
    short = replace(HELD, free_length=2.0)
    found = judge_lift_off(
        LiftOff(anchor="A", load=250.0), short, US_RULES, head="wedges", draw_in=0.008
    )
    assert [step.load for step in found.next] == [360.0]


def test_an_anchor_that_loses_its_load_again_is_tested_again() -> None:
    assert RESTRESSINGS.value == 2
    assert [judged(320.0, restressed=n).next[0].action for n in (0, 1, 2)] == [
        "re-stress", "re-stress", "test again"
    ]  # fmt: skip


def test_beyond_what_a_tendon_may_be_locked_off_at_it_is_let_down() -> None:
    weak = replace(HELD, strength=500.0)
    found = judged(360.0, held=weak)
    assert found.standing == "too high"
    assert found.next[0].action == "let down"


def test_scattered_readings_tell_nothing() -> None:
    wide = LiftOff(anchor=HELD.name, load=360.0, least=330.0, greatest=390.0, method="readings")
    found = judge_lift_off(wide, HELD, US_RULES, head="wedges")
    assert found.standing == "cannot be told"
    assert found.next[0].action == "lift off"
    near = replace(wide, least=345.0)
    assert judge_lift_off(near, HELD, US_RULES, head="wedges").standing == "in tolerance"


def test_a_lift_off_by_readings_keeps_its_interval() -> None:
    found = lift_off_of(pulled(360.0, scatter=0.00005), HELD, US_RULES, by="invented")
    assert found.method == "readings"
    assert found.least is not None
    assert found.greatest is not None
    assert found.least < found.load < found.greatest
    words = expand(judge_lift_off(found, HELD, US_RULES, head="nut").reason, UnitSystem.US)
    assert "kip" in words
    assert "95 %" in words


def test_tested_anchor_is_not_written_on() -> None:
    before = TestedAnchor(**{name: getattr(HELD, name) for name in HELD.__slots__})
    planned()
    assert before == HELD
