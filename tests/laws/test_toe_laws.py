"""Laws of the ground in front of the wall: equilibrium, monotony, scale."""

from __future__ import annotations

from math import inf, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.wall.limits import Sums, first_at_least
from backstay.wall.toe_isolated import flow_sand, wedge_clay, wedge_sand
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_cantilever import stage
from tests.unit.wall.test_toe import section, toe

PHI = st.floats(26.0, 42.0)
DEPTH = st.floats(0.5, 6.0)
REACTION = st.floats(5.0, 120.0)


@settings(max_examples=40, deadline=None)
@given(phi=PHI, R=REACTION, more=st.floats(0.1, 3.0))
def test_stronger_sand_and_smaller_reaction_need_no_deeper_toe(
    phi: float, R: float, more: float
) -> None:
    here = toe(section(sand(phi=phi)), R).by_force
    assert toe(section(sand(phi=phi + more)), R).by_force <= here + 1e-4
    assert toe(section(sand(phi=phi)), R * (1 + more)).by_force >= here - 1e-4


@settings(max_examples=40, deadline=None)
@given(su=st.floats(60.0, 200.0), R=REACTION, more=st.floats(1.0, 50.0))
def test_stronger_clay_needs_no_deeper_toe(su: float, R: float, more: float) -> None:
    weak = toe(section(clay(su=su, kind="stiff clay")), R).by_force
    strong = toe(section(clay(su=su + more, kind="stiff clay")), R).by_force
    assert strong <= weak + 1e-4


@settings(max_examples=40, deadline=None)
@given(phi=PHI, R=REACTION)
def test_the_required_embedment_is_where_the_safety_is_met(phi: float, R: float) -> None:
    s = section(sand(phi=phi))
    d = toe(s, R)
    assert d.embedment_required < inf
    assert toe(s, R, 9.0 + d.by_force).safety == pytest.approx(1.5, rel=5e-3)
    assert d.embedment >= d.embedment_required - 1e-9


@settings(max_examples=40, deadline=None)
@given(phi=PHI, D=DEPTH, width=st.floats(0.3, 0.9), spacing=st.floats(1.0, 3.0))
def test_piles_never_hold_more_than_the_wall_they_stand_for(
    phi: float, D: float, width: float, spacing: float
) -> None:
    s = section(sand(phi=phi))
    pile = toe(s, 10.0, 9.0 + D, pile_width=width, spacing=spacing)
    wall = toe(s, 10.0, 9.0 + D, pile_width=1.0, spacing=1.0, isolated=False)
    whole = wall.resistances[0][1] * spacing
    assert max(v for _, v in pile.resistances) <= whole * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(x=DEPTH, b=st.floats(0.3, 1.0), phi=PHI, scale=st.floats(1.5, 20.0))
def test_pile_formulas_scale_with_length(x: float, b: float, phi: float, scale: float) -> None:
    """Twice the geometry at the same unit weight: four times the force per length."""
    angle = radians(phi)
    small = wedge_sand(18 * x, x, b, angle, 0.4)
    assert wedge_sand(18 * scale * x, scale * x, scale * b, angle, 0.4) == pytest.approx(
        scale**2 * small
    )
    assert flow_sand(18 * scale * x, scale * b, angle, 0.4) == pytest.approx(
        scale**2 * flow_sand(18 * x, b, angle, 0.4)
    )
    assert wedge_clay(18 * x, x, b, 50.0) > 2 * 50.0 * b


@settings(max_examples=30, deadline=None)
@given(phi=PHI, dig=st.floats(1.5, 4.0))
def test_the_cantilever_is_in_moment_equilibrium(phi: float, dig: float) -> None:
    c = stage(section(sand(phi=phi)), dig)
    bottom = dig + c.embedment_zero
    about_toe = c.pressure.moment_about(bottom, 0.0, bottom)
    assert abs(about_toe) < 2e-3 * max(c.moment, 1.0)
    assert c.moment_z < bottom


@settings(max_examples=30, deadline=None)
@given(dig=st.floats(1.5, 4.0), scale=st.floats(1.2, 3.0))
def test_the_cantilever_scales(dig: float, scale: float) -> None:
    """Uniform sand has no length of its own: embedment scales with the dig, moment with its cube."""
    wall = {"pile_width": 1.0, "spacing": 1.0, "isolated": False}
    s = section(sand(phi=32.0))
    small, large = stage(s, dig, **wall), stage(s, dig * scale, **wall)
    assert large.embedment_zero == pytest.approx(scale * small.embedment_zero, rel=1e-3)
    assert large.moment == pytest.approx(scale**3 * small.moment, rel=5e-3)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(-50.0, 50.0), min_size=3, max_size=12), st.floats(0.0, 1.0))
def test_running_sums_agree_with_a_fine_integration(p: list[float], at: float) -> None:
    z = [0.5 * i for i in range(len(p))]
    depth = at * z[-1]
    area, moment = Sums.of(z, p).to(depth)
    pieces = 4000
    h = depth / pieces
    points = [(k + 0.5) * h for k in range(pieces)]

    def ordinate(x: float) -> float:
        i = min(int(x / 0.5), len(p) - 2)
        return p[i] + (p[i + 1] - p[i]) * (x / 0.5 - i)

    assert area == pytest.approx(sum(map(ordinate, points)) * h, abs=2e-2)
    assert moment == pytest.approx(sum(x * ordinate(x) for x in points) * h, abs=0.1)


def test_a_search_that_finds_nothing_says_so() -> None:
    x, residual, _ = first_at_least(lambda x: x, 10.0, 0.0, 5.0, 1.0)
    assert x == inf
    assert residual == pytest.approx(-5.0)
