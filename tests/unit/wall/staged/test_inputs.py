"""The arrays that a section becomes: widths, strengths, water, loads and springs."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians

import numpy as np
import pytest

from backstay.ground import GAMMA_W, profile
from backstay.pressure import coulomb_active, passive_coefficient
from backstay.wall.staged import with_stiffness
from backstay.wall.staged.inputs import DRY
from tests.unit.anchors.example import anchors as anchors_of
from tests.unit.wall.staged.site import CLAY, PERMANENT, ROW, SAND, SHEETS, arrays, section

SUBMERGED = {"ground": {"top": 100.0, "water": {"retained": 96.0}}}


def test_piles_bear_on_their_width_below_and_on_the_spacing_above() -> None:
    given = arrays(section())
    assert (given.spacing, given.pile_width, given.per_pile) == (2.5, 0.75, True)
    # HP14x89: I 904 in4, E 29,000 ksi (AISC Manual, from memory)
    assert given.EI[0] == pytest.approx(29000 * 6894.757 * 904 * 0.0254**4, rel=2e-3)
    assert given.arching[0] == pytest.approx(0.08 * 33)


def test_arching_never_reaches_beyond_the_next_pile() -> None:
    close = section(wall={"spacing": 1.2, "hole_diameter": 0.75})
    assert arrays(close).arching[0] == pytest.approx(1.2 / 0.75)
    told = section(wall={"arching": 1.4})
    assert arrays(told).arching[0] == 1.4


def test_a_continuous_wall_goes_by_the_metre() -> None:
    wall = section(
        wall=SHEETS, anchors=[{**ROW, "spacing": 2.0}, {**ROW, "elevation": 95.0, "spacing": 2.0}]
    )
    given = arrays(wall)
    assert (given.spacing, given.pile_width, given.per_pile) == (1.0, 1.0, False)
    assert (given.EI == 50000.0).all()
    assert given.arching[0] == 1.0


def test_strengths_are_horizontal_coefficients() -> None:
    given = arrays(section(ground={"strata": [{**SAND, "wall_friction_ratio": 2 / 3}]}))
    phi = radians(33)
    assert given.Ka[0] == pytest.approx(
        coulomb_active(phi, phi * 2 / 3, 0.0, 0.0) * cos(phi * 2 / 3)
    )
    # passive wall friction is held to half of phi
    assert given.Kp[0] == pytest.approx(passive_coefficient(phi, phi / 2) * cos(phi / 2))
    assert given.K0[0] == pytest.approx(1 - np.sin(phi))


def test_the_spring_of_an_anchor() -> None:
    """k = A E cos2(i) / (free length + a third of the bond), worked from the anchor's own numbers."""
    made = section(anchors=[ROW, {**ROW, "elevation": 95.0, "every": 2}])
    given = arrays(made)
    one = anchors_of(made)[0]
    area_e = one.tendon.area / one.tendon.strands * one.tendon.E  # of one strand
    k = area_e * cos(radians(15)) ** 2 / (one.unbonded_length + 9.0 / 3)
    strands = given.a_k[0, 0] / k
    assert strands == pytest.approx(round(strands), rel=1e-6)
    # a row at every second pile: each pile gets half an anchor
    ratio = given.anchor_share[1] / given.anchor_share[0]
    assert ratio == pytest.approx(2.0)
    assert given.anchor_share[0] == pytest.approx(1 / cos(radians(15)))


def test_water_follows_the_dig_and_dry_is_deep() -> None:
    assert (arrays(section()).water_r == DRY).all()
    given = arrays(section(**SUBMERGED))
    assert (given.water_r == 4.0).all()
    assert given.water_c.tolist() == pytest.approx(np.maximum(given.dig, 4.0))
    assert set(given.zone_names) == {"Sand"}
    moist, wet = given.kh_gradient  # sand is softer under water
    assert moist / wet == pytest.approx(6600 / 4400)


def test_seepage_has_the_mean_gradient() -> None:
    wall = section(
        wall=SHEETS,
        anchors=[{**ROW, "spacing": 2.0}, {**ROW, "elevation": 95.0, "spacing": 2.0}],
        ground={"water": {"retained": 96.0, "flow": "seepage"}},
    )
    given = arrays(wall, embedment=5.0)
    # head 4 m over a path of 9 + 5 m: water 4 m below the top, toe 13 m, cut 8 m
    assert given.seepage[-1] == pytest.approx(4.0 / (2 * 13.0 - 4.0 - 8.0))


def test_loads_of_the_surface_and_local_loads() -> None:
    loaded = section(
        surcharges=[
            {"kind": "uniform", "name": "yard", "pressure": 10.0},
            {"kind": "strip", "name": "store", "pressure": 40.0, "distance": 2.0, "width": 3.0},
        ]
    )
    given = arrays(loaded)
    assert (given.load == 10.0).all()
    width = np.where(given.z[:-1] < given.dig[-1] - 1e-9, 2.5, 0.75)
    pushed = (0.5 * given.h[:, None] * given.external[-1] / width[:, None]).sum()
    from backstay.pressure import surcharge_diagram

    strip = surcharge_diagram(loaded.surcharges[1], loaded, profile(loaded), to=12.0)
    assert pushed == pytest.approx(strip.resultant(), rel=5e-3)


def test_perched_water_presses_from_behind() -> None:
    given = arrays(section(ground={"water": {"perched": [{"level": 98.0, "base": 95.0}]}}))
    width = np.where(given.z[:-1] < given.dig[-1] - 1e-9, 2.5, 0.75)
    pushed = (0.5 * given.h[:, None] * given.external[-1] / width[:, None]).sum()
    assert pushed == pytest.approx(GAMMA_W * 3.0**2 / 2)


def test_ground_that_rises_behind_is_a_load() -> None:
    rising = [{"distance": 0.0, "elevation": 100.0}, {"distance": 8.0, "elevation": 102.0}]
    assert arrays(section(ground={"profile": rising})).load[0] == pytest.approx(18.0, rel=1e-6)


def test_clay_is_divided_where_its_strength_changes() -> None:
    given = arrays(section(ground={"strata": [CLAY]}))
    assert len(given.layer_top) > 4
    assert given.su == pytest.approx(80 + 2 * given.layer_top)
    assert (np.diff(given.kh) > 0).all()
    assert given.undrained.all()
    assert given.arching == pytest.approx(np.full(len(given.su), 2.0), abs=0.3)


def test_clay_behind_a_permanent_wall_drains_at_the_end() -> None:
    given = arrays(section(ground={"strata": [CLAY]}), service=PERMANENT)
    assert given.stage_titles[-1] == "in the long term, clay drained"
    assert given.undrained[:-1].all()
    assert not given.undrained[-1].any()


def test_the_earthquake_comes_last_and_presses_more() -> None:
    given = arrays(section(earthquake={"kh": 0.1}), service=PERMANENT)
    assert given.stage_titles[-1] == "earthquake"
    assert (given.external[-1] > 0.0).any()
    assert not given.external[:-1].any()


def test_softer_ground_by_a_factor() -> None:
    base = arrays(section())
    again = arrays(section(), stiffness_factor=0.5)
    assert np.array_equal(again.kh_gradient, 0.5 * base.kh_gradient)
    assert np.array_equal(with_stiffness(base, 0.5).kh_gradient, again.kh_gradient)


def test_nodes_stand_at_rows_digs_strata_and_water() -> None:
    given = arrays(section(**SUBMERGED))
    for depth in (2.5, 5.0, 8.0, 4.0, *given.dig):
        assert np.abs(given.z - depth).min() < 2e-3
    assert 150 <= len(given.z) <= 200
    assert given.z[given.node] == pytest.approx([2.5, 5.0])


def test_arrays_are_what_the_kernel_wants() -> None:
    given = arrays(section())
    m, s, n, a = len(given.layer_top), given.stages, len(given.z), len(given.node)
    for name in ("gamma", "gamma_sat", "Ka", "Kp", "c", "su", "su_gradient", "K0", "kh", "arching"):
        assert getattr(given, name).shape == (m,)
    for name in ("dig", "water_r", "water_c", "load", "seepage", "stiffness"):
        assert getattr(given, name).shape == (s,)
    for name in ("a_state", "a_k", "a_lock", "a_cap"):
        assert getattr(given, name).shape == (s, a)
    assert given.external.shape == (s, n - 1, 2)
    assert all(np.isfinite(v).all() for v in given.arguments() if isinstance(v, np.ndarray))
    assert replace(given, bound=1.0).bound == 1.0
