"""The slip model of a wall section: geometry, strength, water, loads, anchors, shear of the wall."""

from __future__ import annotations

from math import cos, hypot, radians, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from backstay.ground import profile
from backstay.stability.slip.from_section import StageOfWork, anchor_force, slip_model
from backstay.stability.slip.pile_shear import (
    shear_by_bending,
    shear_by_ground,
    wall_shear,
)
from tests.unit.anchors.example import CLAY, SAND, anchors, section

FINAL = StageOfWork(title="final", dug_to=10.0, rows=(1,), strength="drained")


def made(**more: Any) -> Any:
    s = section(**more)
    return slip_model(s, profile(s), anchors(s), FINAL)


def test_the_wall_is_a_vertical_face_between_cut_and_ground() -> None:
    model = made()
    assert model.surface[1].tolist() == [0.0, -10.0]
    assert model.surface[2].tolist() == [0.0, 0.0]
    assert model.surface[0][1] == -10.0
    assert model.surface[-1][1] == 0.0
    assert (np.diff(model.surface[:, 0]) >= 0.0).all()
    assert model.to_left


def test_a_stage_digs_less_and_has_only_its_rows() -> None:
    s = section()
    early = StageOfWork(title="stage 1", dug_to=3.1, rows=(), strength="drained")
    model = slip_model(s, profile(s), anchors(s), early)
    assert model.surface[0][1] == pytest.approx(-3.1)
    assert model.anchors == ()


def test_layers_and_their_strength() -> None:
    clay = {**CLAY, "top": 94.0, "undrained_strength": {"at_top": 60.0, "gradient": 2.0},
            "friction_angle": "25 deg", "cohesion": 5.0}  # fmt: skip
    s = section(ground={"top": 100.0, "strata": [SAND, clay]})
    undrained = StageOfWork(title="u", dug_to=10.0, rows=(1,), strength="undrained")
    model = slip_model(s, profile(s), anchors(s), undrained)
    assert model.tops[0][:, 1].tolist() == [-6.0, -6.0]
    assert model.su is not None
    assert model.su.tolist() == [0.0, 60.0]
    assert model.su_gradient is not None
    assert model.su_gradient[1] == 2.0
    assert model.su_datum is not None
    assert model.su_datum[1] == -6.0
    assert model.phi[1] == 0.0
    drained = slip_model(s, profile(s), anchors(s), FINAL)
    assert drained.su is not None
    assert drained.su.tolist() == [0.0, 0.0]
    assert drained.phi[1] == pytest.approx(radians(25.0))
    assert drained.c[1] == 5.0


def test_water_steps_down_at_the_wall() -> None:
    model = made(ground={"top": 100.0, "strata": [SAND], "water": {"retained": 96.0}})
    assert model.water is not None
    assert model.water[0][1] == -10.0
    assert model.water[-1][1] == -4.0
    assert made().water is None


def test_perched_water_is_a_grid_that_is_dry_between() -> None:
    water = {"retained": 92.0, "perched": [{"level": 98.0, "base": 96.5}]}
    model = made(ground={"top": 100.0, "strata": [SAND], "water": water})
    grid = model.grid
    assert grid is not None
    behind = grid.u[:, -1]
    assert np.interp(-3.0, grid.y, behind) == pytest.approx(9.81 * 1.0, rel=1e-3)
    assert np.interp(-5.0, grid.y, behind) == pytest.approx(0.0, abs=1e-6)
    assert np.interp(-10.0, grid.y, behind) == pytest.approx(9.81 * 2.0, rel=1e-3)
    assert np.interp(-9.0, grid.y, grid.u[:, 0]) == 0.0


def test_loads_become_strips() -> None:
    loads = [
        {"kind": "uniform", "name": "a", "pressure": 10.0},
        {"kind": "strip", "name": "b", "pressure": 50.0, "distance": 3.0, "width": 2.0},
        {"kind": "line", "name": "c", "load": 40.0, "distance": 6.0},
        {"kind": "point", "name": "d", "load": 40.0, "distance": 6.0},
    ]
    strips = made(surcharges=loads).strips
    assert len(strips) == 3
    assert strips[1].tolist() == [3.0, 5.0, 50.0]
    assert (strips[2][1] - strips[2][0]) * strips[2][2] == pytest.approx(40.0)


def test_an_anchor_square_to_the_wall_keeps_its_lengths_and_its_load_per_metre() -> None:
    s = section()
    (row,) = anchors(s)
    f = anchor_force(row)
    assert (f.x, f.y) == (0.0, -2.5)
    assert f.dx == pytest.approx(cos(radians(15)))
    assert f.dy == pytest.approx(-sin(radians(15)))
    assert f.total == pytest.approx(row.design_load / row.spacing)
    assert f.free == pytest.approx(row.unbonded_length)
    assert f.bond == pytest.approx(row.bond_length)
    lock = anchor_force(row, force="lock-off load")
    assert lock.total == pytest.approx(row.lock_off_load / row.spacing)
    assert anchor_force(row, added=1.5).free == pytest.approx(f.free + 1.5)


def test_a_skew_anchor_shows_its_projection() -> None:
    s = section(row={"skew": "20 deg"})
    (row,) = anchors(s)
    f = anchor_force(row)
    share = hypot(cos(radians(15)) * cos(radians(20)), sin(radians(15)))
    assert f.total == pytest.approx(row.design_load * share / row.spacing)
    assert f.free == pytest.approx(row.unbonded_length * share)
    # the whole bond still holds what the whole bond may carry along the anchor
    needed = next(r.length for r in row.bond_required if r.grouting == row.grouting)
    assert f.pullout * f.bond == pytest.approx(
        row.design_load / needed * row.bond_length * share / row.spacing
    )


WALL: Any = SimpleNamespace(
    toe=13.0, toe_width=0.6,
    checks=(SimpleNamespace(id="wall.pile-shear", capacity=600.0),
            SimpleNamespace(id="wall.pile-bending", capacity=400.0)),
)  # fmt: skip


def test_the_shear_of_piles_falls_to_nil_at_the_toe_and_stays_below_the_sections() -> None:
    s = section()
    forces = wall_shear(s.wall, WALL, profile(s), dug_to=10.0, strength="drained")
    assert forces[0].top == -10.0
    assert forces[-1].bottom > -13.0
    assert all(0.0 < f.capacity <= 600.0 / 2.0 for f in forces)
    assert forces[-1].capacity < max(f.capacity for f in forces)
    assert wall_shear(s.wall, WALL, profile(s), dug_to=13.0, strength="drained") == ()


def test_a_rigid_pile_that_turns_is_in_equilibrium() -> None:
    """Bearing k z on a pile of length L turns about a: moments about the surface vanish."""
    k, L = 30.0, 4.0
    z = np.linspace(0.0, L, 400_001)
    a = L * 2 ** (-1 / 3)
    p = np.where(z < a, 1.0, -1.0) * k * z
    assert np.trapezoid(p * z, z) == pytest.approx(0.0, abs=1e-3 * k * L**3)
    assert shear_by_ground(k * L / 2, L) == pytest.approx(np.trapezoid(p, z), rel=1e-4)


def test_a_long_pile_reaches_its_moment_where_the_shear_is_taken_up() -> None:
    k, L, M = 30.0, 9.0, 200.0
    H = shear_by_bending(k * L / 2, L, M)
    z0 = (2 * H / k) ** 0.5
    assert H * z0 - k * z0**3 / 6 == pytest.approx(M)
