"""Heave of the base by slip circles: against closed forms and the method of slices."""

from __future__ import annotations

from math import cos, pi, sin, tan

import numpy as np
import pytest
from scipy.optimize import brentq

from backstay.ground import Profile, profile
from backstay.stability import base_at
from backstay.stability.heave_circle import HeaveCircle, circle_heave, least_circle
from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.model import Circle, SlipModel
from backstay.trace import Computed
from tests.unit.pressure.grounds import TEMPORARY, clay, sand
from tests.unit.wall.test_toe import RULES, section

Q = 102.0
"""Vertical stress behind beyond that in front (kPa)."""


def ground(*strata: dict[str, object], H: float = 6.0) -> Profile:
    return profile(section(*strata, H=H, cut={"subgrade": -H, "width": 10.0}))


def growing(top: float, gradient: float) -> dict[str, object]:
    """Return clay with strength that grows with depth."""
    return clay() | {"undrained_strength": {"at_top": top, "gradient": gradient}}


def least(
    g: Profile, *, s_us: float = 0.0, width: float = 10.0, beneath: float = 0.0
) -> HeaveCircle:
    found = least_circle(g, g.H, Q, s_us, g.H, width, beneath=beneath)
    assert found is not None
    return found


def test_even_clay_gives_the_bearing_factor_of_the_least_circle() -> None:
    """Nc of circles is 4 theta / sin^2 theta, least where tan theta = 2 theta: 5.52 (Fellenius 1927)."""
    theta = brentq(lambda t: tan(t) - 2 * t, 1.0, 1.4)
    found = least(ground(clay(su=25.0)))
    assert found.safety * Q / 25.0 == pytest.approx(4 * theta / sin(theta) ** 2, rel=1e-7)
    assert found.half_angle == pytest.approx(theta, abs=1e-4)
    assert found.safety * Q / 25.0 == pytest.approx(5.52, abs=0.005)


def test_a_stiff_layer_flattens_the_circle_until_it_touches() -> None:
    g = ground(clay(su=25.0), sand(top=-8.0))
    found = least(g, s_us=25.0)
    assert found.deepest == pytest.approx(2.0, rel=1e-6)

    def closed(theta: float) -> float:  # front and back alike, touching the stiff layer
        a = 2.0 * sin(theta) / (1 - cos(theta))
        return float((4 * theta / sin(theta) ** 2 + 2 * g.H / a) * 25.0 / Q)

    thetas = np.linspace(0.4, pi / 2, 20001)
    within = [t for t in thetas if 2.0 * sin(t) / (1 - cos(t)) <= 10.0]
    assert found.safety == pytest.approx(min(closed(t) for t in within), rel=1e-5)


@pytest.mark.parametrize("beneath", [0.0, 3.0])
def test_slices_find_the_same_safety_on_the_circle(beneath: float) -> None:
    """Ground as deep as the base with the load behind: moments by slices, strength with depth."""
    g = ground(growing(14.0, 2.0))
    found = least(g, s_us=0.0, beneath=beneath)
    R = (found.front + found.back) / (2 * sin(found.half_angle))
    su = g.layer_at(g.H).su_at(g.H)
    model = SlipModel(
        surface=np.array([(-60.0, 0.0), (60.0, 0.0)]), gamma=np.array([18.0]), phi=np.zeros(1),
        c=np.zeros(1), su=np.array([su]), su_gradient=np.array([2.0]), su_datum=np.zeros(1),
        strips=np.array([(0.0, 60.0, Q)]), slides="left",
    )  # fmt: skip
    circle = Circle((found.back - found.front) / 2, R * cos(found.half_angle), R)
    assert analyse_circle(model, circle, "bishop", 800).F == pytest.approx(found.safety, rel=2e-3)


def test_no_other_circle_is_less_safe() -> None:
    g = ground(growing(10.0, 1.5), clay(top=-9.0, su=12.0), sand(top=-13.0))
    found = least(g, s_us=15.0)
    rng = np.random.default_rng(4)
    for _ in range(3000):
        a, b = rng.uniform(0.2, 10.0), rng.uniform(0.2, 12.0)
        theta = rng.uniform(0.3, pi / 2)
        R = (a + b) / (2 * sin(theta))
        if R * (1 - cos(theta)) > 7.0:
            continue
        turned = (np.arange(400) + 0.5) / 400 * theta
        z = g.H + R * (np.cos(turned) - cos(theta))
        mean = np.mean([g.layer_at(v).su_at(v) for v in z])
        F = (2 * mean * R**2 * theta + 15.0 * g.H * (a + b) / 2) / (Q * a * b / 2)
        assert found.safety * (1 - 2e-3) <= F


def test_beneath_a_deep_toe_is_never_less_safe_and_may_not_exist() -> None:
    even = ground(growing(10.0, 1.5))
    assert least(even, beneath=4.0).safety > least(even).safety
    over = ground(clay(su=25.0), sand(top=-8.0))
    assert least_circle(over, over.H, Q, 25.0, 6.0, 10.0, beneath=2.5) is None


def test_a_narrow_cut_holds_better_by_its_sides() -> None:
    g = ground(clay(su=25.0))
    assert least(g, s_us=25.0, width=4.0).safety > least(g, s_us=25.0, width=12.0).safety
    assert least(g, width=4.0).safety == pytest.approx(least(g, width=12.0).safety, rel=1e-6)


def test_the_base_carries_it_beside_the_closed_forms() -> None:
    s = section(clay(su=25.0, gamma=17.0), H=6.0, cut={"subgrade": -6.0, "width": 10.0})
    d = base_at(s, profile(s), 9.0, TEMPORARY, RULES)
    forms = [x.value for x in d.steps if isinstance(x, Computed) and x.formula is circle_heave]
    found = least_circle(profile(s), 6.0, 102.0, 25.0, 6.0, 10.0)
    assert found is not None
    assert forms == [pytest.approx(found.safety, rel=1e-9)]


def test_a_circle_beneath_a_deep_toe_in_a_narrow_cut_passes_just_beneath_it() -> None:
    """The wall stands off the centre by half the difference of both widths (geometry)."""
    found = least(ground(clay(su=25.0)), width=4.0, beneath=5.0)
    assert found.front < 0.9 * found.back
    R = (found.front + found.back) / (2 * sin(found.half_angle))
    beside = found.front - R * sin(found.half_angle)  # the wall from the centre
    depth = np.sqrt(R**2 - beside**2) - R * cos(found.half_angle)
    assert depth == pytest.approx(5.0, rel=0.01)
    assert depth >= 5.0 * (1 - 1e-9)
