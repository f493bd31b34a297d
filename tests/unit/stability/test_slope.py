"""Slopes tied back: strength that explains a slide, force for a target, inclination, layout, pads."""

from __future__ import annotations

from dataclasses import replace
from math import cos, degrees, pi, radians, sin, tan

import numpy as np
import pytest

from backstay.basis import basis
from backstay.checks import Verdict
from backstay.errors import DesignError
from backstay.stability.pads import (
    Pad,
    Under,
    check_pad,
    cohesion_factor,
    pad_bearing,
    surcharge_factor,
    weight_factor,
)
from backstay.stability.plane_slope import best_inclination, plane_force
from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slope import (
    back_analysis,
    friction_at,
    friction_of,
    safety,
    with_strength,
)
from backstay.stability.slope_force import (
    anchored,
    force_by_inclination,
    least_of,
    required_force,
    rising_root,
)

RULES = basis("FHWA-IF-99-015")
PSI = radians(30)
# a face at 50 degrees, 10 m high; a plane at 30 degrees from its toe to level ground
FACE = 10.0 / tan(radians(50))
MODEL = SlipModel(
    surface=np.array([(-20.0, 0.0), (0.0, 0.0), (FACE, 10.0), (60.0, 10.0)]),
    gamma=np.array([20.0]), phi=np.array([radians(28)]), c=np.array([4.0]),
)  # fmt: skip
PLANE = np.array([(0.0, 0.0), (10.0 / tan(PSI), 10.0)])
LENGTH = 10.0 / sin(PSI)
WEIGHT = 20.0 / 2 * 10.0**2 * (1 / tan(PSI) - 1 / tan(radians(50)))
HEADS = [(0.3 * FACE, 3.0), (0.6 * FACE, 6.0)]
CIRCLE = Circle(6.0, 18.0, 373.0**0.5)
SLOPE = SlipModel(
    surface=np.array([(-20.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)]),
    gamma=np.array([18.0]), phi=np.array([radians(30)]), c=np.array([10.0]),
)  # fmt: skip


def test_every_pair_on_the_locus_of_a_plane_is_that_of_statics() -> None:
    """c L + W cos tan(phi) = F W sin."""
    (best,) = back_analysis(MODEL, PLANE, uncertainty=0.0)
    for pair in best.pairs:
        held = pair.c * LENGTH + WEIGHT * cos(PSI) * tan(pair.phi)
        assert held == pytest.approx(WEIGHT * sin(PSI), rel=2e-4)
    assert best.pairs[0].c == 0.0
    assert best.pairs[0].phi == pytest.approx(PSI, rel=1e-3)
    assert best.pairs[-1].phi == 0.0


def test_every_pair_on_the_locus_of_a_circle_gives_the_safety_back() -> None:
    found = back_analysis(SLOPE, CIRCLE, safety_now=1.05, uncertainty=0.05, points=4)
    assert [x.title for x in found] == ["best estimate", "safety lower", "safety higher"]
    for locus in found:
        for pair in locus.pairs:
            model = replace(SLOPE, c=np.array([pair.c]), phi=np.array([pair.phi]))
            assert safety(model, CIRCLE).F == pytest.approx(locus.safety, abs=1e-6)
        assert all(b.phi < a.phi for a, b in zip(locus.pairs, locus.pairs[1:], strict=False))
    # a higher safety asks for more strength at any cohesion
    c = 0.5 * found[0].pairs[-1].c
    assert friction_of(found[1], c) < friction_of(found[0], c) < friction_of(found[2], c)


def test_water_that_stood_higher_means_more_strength() -> None:
    wet = replace(SLOPE, water=np.array([(-20.0, -1.0), (0.0, -1.0), (15.0, 5.0), (50.0, 6.0)]))
    found = {
        x.title: x for x in back_analysis(wet, CIRCLE, uncertainty=0.0, water_change=0.8, points=3)
    }
    at = [friction_of(found[t], 3.0) for t in ("water lower", "best estimate", "water higher")]
    assert at == sorted(at)
    assert at[0] < at[2]


def test_the_force_for_a_target_on_a_plane_is_the_closed_form() -> None:
    made = required_force(MODEL, PLANE, HEADS, radians(15), 1.5)
    expected = plane_force(1.5, 4.0, LENGTH, WEIGHT, 0.0, 0.0, radians(28), PSI, radians(15))
    assert made.force == pytest.approx(expected, rel=1e-3)
    assert made.residual < 1e-4


@pytest.mark.parametrize("degrees_", [-5.0, 10.0, 30.0])
def test_the_closed_form_of_the_force_gives_the_safety_back_with_water(degrees_: float) -> None:
    """Block of 900 kN/m on 16 m of plane, water in its crack and below (equilibrium)."""
    i, phi = radians(degrees_), radians(32)
    T = plane_force(1.6, 7.0, 16.0, 900.0, 150.0, 44.0, phi, PSI, i)
    assert T > 0.0
    normal = 900.0 * cos(PSI) - 150.0 - 44.0 * sin(PSI) + T * sin(PSI + i)
    along = 900.0 * sin(PSI) + 44.0 * cos(PSI) - T * cos(PSI + i)
    assert (7.0 * 16.0 + normal * tan(phi)) / along == pytest.approx(1.6, rel=1e-12)


def test_the_force_found_gives_the_target_when_put_back() -> None:
    made = required_force(SLOPE, CIRCLE, [(7.5, 5.0)], radians(15), 2.4)
    again = safety(anchored(SLOPE, [(7.5, 5.0)], radians(15), made.force), CIRCLE)
    assert again.F == pytest.approx(2.4, abs=1e-4)
    assert required_force(SLOPE, CIRCLE, [(7.5, 5.0)], radians(15), 1.1).force == 0.0


def test_the_best_inclination_on_a_plane_is_the_closed_form() -> None:
    """To the whole degree that holes are set out to; the force there is that of the closed form."""
    steep = replace(MODEL, phi=np.array([radians(38)]), c=np.array([0.0]))
    psi, face = radians(25), 10.0 / tan(radians(50))
    plane = np.array([(0.0, 0.0), (10.0 / tan(psi), 10.0)])
    weight = 20.0 / 2 * 10.0**2 * (1 / tan(psi) - face / 10.0)

    def required(i: float, guess: float):  # type: ignore[no-untyped-def]
        return required_force(steep, plane, HEADS, i, 1.8, guess=guess)

    # on a plane this flat the slope stands: ask for more
    found = force_by_inclination(required, least=radians(-10), greatest=radians(40))
    best = least_of(found)
    expected = best_inclination(radians(38), psi, 1.8)
    assert degrees(best.inclination) == pytest.approx(degrees(expected), abs=0.6)
    for one in found:
        closed = plane_force(
            1.8, 0.0, 10.0 / sin(psi), weight, 0.0, 0.0, radians(38), psi, one.inclination
        )
        assert one.force == pytest.approx(closed, rel=2e-3)
    assert [f.inclination for f in found] == sorted(f.inclination for f in found)


@pytest.mark.parametrize("power", [0.3, 1.0, 3.0])
def test_a_root_is_found_from_above(power: float) -> None:
    x, left = rising_root(lambda x: x**power - 2.0, 0.0, -2.0, 100.0, 100.0**power - 2.0)
    assert x == pytest.approx(2.0 ** (1 / power), rel=1e-5)
    assert x >= 2.0 ** (1 / power) * (1 - 1e-12)
    assert 0.0 <= left < 1e-6


def test_a_root_is_found_beside_values_without_a_number() -> None:
    def f(x: float) -> float:
        return float("-inf") if x < 1.0 else (float("inf") if x > 5.0 else x - 3.0)

    x, _ = rising_root(f, 0.0, float("-inf"), 10.0, float("inf"))
    assert x == pytest.approx(3.0, abs=1e-6)


def test_the_friction_at_a_cohesion_gives_the_safety_back_exactly() -> None:
    (best,) = back_analysis(SLOPE, CIRCLE, safety_now=1.1, uncertainty=0.0)
    for share in (0.0, 0.3, 0.8):
        c = share * best.most
        pair = friction_at(SLOPE, CIRCLE, best, c)
        assert safety(with_strength(SLOPE, c, pair.phi), CIRCLE).F == pytest.approx(1.1, abs=1e-8)
        assert pair.phi == pytest.approx(friction_of(best, c), rel=5e-3)


def test_more_cohesion_than_the_movement_allows_is_refused() -> None:
    (best,) = back_analysis(SLOPE, CIRCLE, uncertainty=0.0)
    with pytest.raises(DesignError, match="alone gives more than the safety"):
        friction_of(best, 1.1 * best.most)


def test_strength_in_proportion_is_safety_in_proportion() -> None:
    """c/F and tan(phi)/F alone stand in the equilibrium of slices (back analysis rests on it)."""
    wet = replace(SLOPE, water=np.array([(-20.0, 0.0), (15.0, 6.0), (50.0, 7.0)]), kh=0.08)
    for method in ("spencer", "bishop", "morgenstern-price", "ordinary"):
        one = safety(with_strength(wet, 6.0, np.arctan(0.35)), CIRCLE, method).F  # type: ignore[arg-type]
        more = safety(with_strength(wet, 9.0, np.arctan(0.525)), CIRCLE, method).F  # type: ignore[arg-type]
        assert more == pytest.approx(1.5 * one, rel=1e-6)


def test_a_surface_that_cannot_be_analysed_is_refused() -> None:
    with pytest.raises(DesignError, match="cannot be analysed"):
        safety(MODEL, Circle(0.0, 50.0, 10.0))


@pytest.mark.parametrize(
    ("phi", "n_c", "n_q", "n_gamma"),
    [(0.0, 5.14, 1.0, 0.0), (20.0, 14.83, 6.40, 5.39), (30.0, 30.14, 18.40, 22.40)],
)
def test_bearing_factors_are_those_of_the_tables(
    phi: float, n_c: float, n_q: float, n_gamma: float
) -> None:
    """Vesic 1973, table of bearing capacity factors (from memory)."""
    p = radians(phi)
    assert cohesion_factor(p) == pytest.approx(n_c, abs=0.01)
    assert surcharge_factor(p) == pytest.approx(n_q, abs=0.01)
    assert weight_factor(p) == pytest.approx(n_gamma, abs=0.01)


def test_a_pad_on_level_clay_carries_six_times_the_strength() -> None:
    assert pad_bearing(50.0, 18.0, 2.0, 0.0, 0.0, 0.0) == pytest.approx(50.0 * (pi + 2 + 1))


def test_the_weight_helps_less_the_steeper_the_slope_and_not_at_its_limit() -> None:
    phi = radians(32)
    carried = [pad_bearing(0.0, 19.0, 1.5, phi, radians(b), 0.0) for b in (0, 10, 20, 32)]
    assert carried == sorted(carried, reverse=True)
    assert carried[0] == pytest.approx(0.6 * 19.0 * 0.75 * weight_factor(phi))
    assert carried[-1] == pytest.approx(0.0, abs=1e-9)


def test_a_load_off_the_normal_carries_less() -> None:
    square = pad_bearing(20.0, 19.0, 1.5, radians(32), radians(20), 0.0)
    assert pad_bearing(20.0, 19.0, 1.5, radians(32), radians(20), radians(15)) < square


PAD = Pad(side=1.5, thickness=0.4, depth=0.32, plate=0.3, concrete=30e3, reinforcement=1.6e-3,
          yield_stress=420e3)  # fmt: skip
GROUND = Under(c=5.0, phi=radians(32), gamma=19.0, slope=radians(25))


def test_the_side_that_the_ground_asks_for_is_enough() -> None:
    weak = replace(PAD, side=0.8)
    bearing = check_pad(weak, GROUND, design_load=300.0, test_load=400.0, inclination=radians(60))[
        0
    ]
    assert bearing.verdict is Verdict.FAIL
    side = float(bearing.remedy.split("{length:")[1].split("}")[0])
    assert side > 0.8
    larger = check_pad(
        replace(PAD, side=side), GROUND, design_load=300.0, test_load=400.0, inclination=radians(60)
    )[0]
    assert larger.verdict is Verdict.PASS


def test_punching_and_bending_of_a_pad_by_hand() -> None:
    _, _, punching, bending = check_pad(
        PAD, GROUND, design_load=300.0, test_load=400.0, inclination=radians(60)
    )
    P = 1.6 * 400.0
    assert punching.demand == pytest.approx(P * (1 - (0.62 / 1.5) ** 2))
    assert punching.capacity == pytest.approx(0.75 * 0.33 * 30**0.5 * 1000 * 4 * 0.62 * 0.32)
    assert bending.demand == pytest.approx(P / 1.5**2 * 0.6**2 / 2)
    a = 1.6e-3 * 420e3 / (0.85 * 30e3)
    assert bending.capacity == pytest.approx(0.9 * 1.6e-3 * 420e3 * (0.32 - a / 2))


def test_an_anchor_far_off_the_normal_slides_its_pad() -> None:
    square = check_pad(PAD, GROUND, design_load=100.0, test_load=133.0, inclination=radians(65))[1]
    flat = check_pad(PAD, GROUND, design_load=100.0, test_load=133.0, inclination=radians(10))[1]
    assert square.demand == pytest.approx(0.0, abs=1e-12)
    assert square.verdict is Verdict.PASS
    assert flat.demand == pytest.approx(radians(55))
    assert flat.verdict is Verdict.FAIL


def test_a_pad_square_to_its_anchor_does_not_slide_and_counts_the_ground_beside_it() -> None:
    checks = check_pad(
        PAD, GROUND, design_load=100.0, test_load=133.0, inclination=radians(10),
        seat="square to the anchor",
    )  # fmt: skip
    assert [c.id for c in checks] == [
        "slope.pad-bearing", "slope.pad-punching", "slope.pad-bending",
    ]  # fmt: skip
    q = 100.0 / 1.5**2
    off = radians(90 - 25 - 10)
    assert checks[0].demand == pytest.approx(
        pad_bearing(GROUND.c, GROUND.gamma, 1.5, GROUND.phi, off, 0.0) / q
    )
