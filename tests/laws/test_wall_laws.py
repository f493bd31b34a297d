"""Laws of the wall: equilibrium, symmetry, superposition, monotony."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.anchors.spans import hinge_reactions
from backstay.pressure.diagram import Diagram, total
from backstay.wall.actions import Actions, continuous_actions, hinge_actions
from backstay.wall.member import Member, member_strength
from backstay.wall.pile import MomentView, PileDemand, PileRules, verify_pile
from tests.unit.wall.members import GRADE_50, HP12X53, HP14X73, HP14X117, W14X99, W18X50

SIZES = st.floats(0.3, 4.0)
PRESSURES = st.floats(0.0, 200.0)


@st.composite
def walls(draw: st.DrawFn) -> tuple[Diagram, tuple[float, ...], float]:
    """Return a diagram with jumps, rows and the height of a wall."""
    gaps = draw(st.lists(SIZES, min_size=2, max_size=7))
    supports = [sum(gaps[: i + 1]) for i in range(len(gaps))]
    H = supports[-1]
    cuts = sorted(draw(st.lists(st.floats(0.05, 0.95), min_size=0, max_size=5, unique=True)))
    z = [0.0]
    for cut in cuts:
        z += [cut * H, cut * H]
    z.append(H)
    p = [draw(PRESSURES) for _ in z]
    return Diagram("drawn", tuple(z), tuple(p)), tuple(supports[:-1]), H


def both(load: Diagram, depths: tuple[float, ...], H: float) -> tuple[Actions, Actions]:
    hinge = hinge_reactions([*depths, H], load, top=0.0, bottom=H)
    return hinge_actions(load, depths, hinge, H), continuous_actions(load, depths, H)


@settings(max_examples=60, deadline=None)
@given(walls())
def test_reactions_balance_force_and_moment(wall: tuple[Diagram, tuple[float, ...], float]) -> None:
    load, depths, H = wall
    scale = load.resultant() + 1.0
    for actions in both(load, depths, H):
        assert sum(actions.reactions) == pytest.approx(load.resultant(), abs=1e-9 * scale)
        turning = sum(r * z for r, z in zip(actions.reactions, actions.supports, strict=True))
        assert turning == pytest.approx(load.moment_about(0.0), abs=1e-8 * scale * H)
        assert abs(actions.residual) <= 1e-6 * (actions.greatest_moment + 1e-3)


@settings(max_examples=60, deadline=None)
@given(walls())
def test_shear_falls_by_the_load_and_jumps_by_the_reactions(
    wall: tuple[Diagram, tuple[float, ...], float],
) -> None:
    load, depths, H = wall
    for actions in both(load, depths, H):
        jumps = dict(zip(actions.supports, actions.reactions, strict=True))
        points = list(zip(actions.z, actions.shear, actions.moment, strict=True))
        for (z1, v1, m1), (z2, v2, m2) in pairwise(points):
            if z1 == z2:
                assert v2 - v1 == pytest.approx(jumps[z1], abs=1e-6)
                assert m2 == m1
            else:
                assert v1 - v2 == pytest.approx(load.resultant(z1, z2), abs=1e-6)
                low, high = min(v1, v2), max(v1, v2)
                assert low * (z2 - z1) - 1e-6 <= m2 - m1 <= high * (z2 - z1) + 1e-6


@settings(max_examples=40, deadline=None)
@given(walls(), walls(), st.floats(0.1, 5.0))
def test_continuous_beam_superposes(
    wall: tuple[Diagram, tuple[float, ...], float],
    other: tuple[Diagram, tuple[float, ...], float],
    factor: float,
) -> None:
    load, depths, H = wall
    stretched = Diagram("", tuple(z * H / other[2] for z in other[0].z), other[0].p)
    first, second = continuous_actions(load, depths, H), continuous_actions(stretched, depths, H)
    scaled = continuous_actions(load.scaled(factor), depths, H)
    assert scaled.reactions == pytest.approx([factor * r for r in first.reactions], abs=1e-6)
    together = continuous_actions(total("", [load, stretched]), depths, H)
    added = [a + b for a, b in zip(first.reactions, second.reactions, strict=True)]
    assert together.reactions == pytest.approx(added, rel=1e-6, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.lists(SIZES, min_size=1, max_size=3), PRESSURES)
def test_a_symmetric_beam_has_symmetric_reactions(half: list[float], p: float) -> None:
    gaps = [*half, *reversed(half)]
    supports = [sum(gaps[:i]) for i in range(len(gaps) + 1)]
    H = supports[-1]
    actions = continuous_actions(Diagram("even", (0.0, H), (p, p)), tuple(supports[:-1]), H)
    assert actions.reactions == pytest.approx(actions.reactions[::-1], abs=1e-6)


SECTIONS = (HP12X53, HP14X73, HP14X117, W14X99, W18X50)
DEMAND = PileDemand((MomentView("x", 200.0),), 200.0, (100.0,), 50.0, 1.0, 3.0, 2.0, 8.0)
RULES = PileRules(GRADE_50, "bracket", None, None)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SECTIONS), st.floats(1.0, 600.0), st.floats(1.001, 2.0))
def test_more_moment_never_lowers_a_utilisation(member: Member, M: float, more: float) -> None:
    low, high = (
        verify_pile(member, replace(DEMAND, views=(MomentView("x", value),)), RULES).checks
        for value in (M, M * more)
    )
    assert all(b.utilisation >= a.utilisation for a, b in zip(low, high, strict=True))


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SECTIONS), st.floats(0.5, 8.0), st.floats(1.0, 1.5))
def test_more_yield_stress_never_weakens_a_short_pile(
    member: Member, L: float, more: float
) -> None:
    stronger = replace(GRADE_50, F_y=more * GRADE_50.F_y)
    weak, strong = member_strength(member, GRADE_50, L), member_strength(member, stronger, L)
    assert strong.moment >= weak.moment * (1 - 1e-9)
    assert strong.shear >= weak.shear * (1 - 1e-9)
