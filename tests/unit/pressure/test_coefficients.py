"""Coefficients refuse what has no answer, and explain what they found."""

from __future__ import annotations

from math import degrees, radians, tan

import pytest

from backstay.errors import DesignError
from backstay.pressure.coulomb import coulomb_active, coulomb_passive
from backstay.pressure.earthquake import seismic_active, seismic_angle, seismic_passive
from backstay.pressure.logspiral import log_spiral_passive
from backstay.pressure.plasticity import active_coefficient, passive_coefficient, solve
from backstay.pressure.rankine import (
    rankine_active_sloping,
    rankine_passive,
    rankine_passive_sloping,
)
from backstay.pressure.weightless import (
    cohesion_passive_coefficient,
    surcharge_passive_coefficient,
)
from backstay.trace import Stated, trace

r = radians


def test_ground_steeper_than_its_friction_is_refused() -> None:
    for refused in (
        lambda: rankine_active_sloping(r(25), r(26)),
        lambda: rankine_passive_sloping(r(25), r(-26)),
        lambda: coulomb_active(r(25), 0, 0, r(26)),
        lambda: passive_coefficient(r(25), 0.0, r(26)),
        lambda: active_coefficient(r(25), 0.0, r(-26)),
    ):
        with pytest.raises(DesignError, match=r"steeper|cannot stand"):
            refused()


def test_earthquake_that_ground_cannot_stand_is_refused() -> None:
    with pytest.raises(DesignError, match="cannot stand by itself"):
        seismic_active(r(30), r(15), 0, r(20), seismic_angle(0.3, 0.0))
    with pytest.raises(DesignError, match="no plane passive wedge"):
        seismic_passive(r(45), r(45), 0, 0, 0.0)
    with pytest.raises(DesignError, match="passive"):
        seismic_passive(r(30), r(0), 0, r(-20), seismic_angle(0.3, 0.0))


def test_earthquake_of_nothing_is_coulomb() -> None:
    assert seismic_active(r(33), r(11), r(5), r(8), 0.0) == pytest.approx(
        coulomb_active(r(33), r(11), r(5), r(8)), rel=1e-12
    )
    assert seismic_passive(r(33), r(11), r(5), r(8), 0.0) == pytest.approx(
        coulomb_passive(r(33), r(11), r(5), r(8)), rel=1e-12
    )


def test_rough_plane_passive_without_solution_is_refused() -> None:
    with pytest.raises(DesignError, match="no plane passive wedge"):
        coulomb_passive(r(45), r(45), 0, 0)
    assert passive_coefficient(r(45), r(45)) > 30


@pytest.mark.parametrize(("phi", "delta"), [(30, 31), (30, -1), (61, 0), (-1, 0)])
def test_plasticity_refuses_angles_outside_its_range(phi: float, delta: float) -> None:
    with pytest.raises(DesignError):
        passive_coefficient(r(phi), r(delta))


def test_unknown_state_is_refused_with_the_choices() -> None:
    with pytest.raises(ValueError, match="active, passive"):
        solve("at rest", 0.5, 0.1)


def test_plasticity_without_friction_is_one_and_smooth_is_rankine() -> None:
    assert passive_coefficient(0.0, 0.0) == active_coefficient(0.0, 0.0) == 1.0
    for phi in (5, 20, 35, 50):
        assert passive_coefficient(r(phi), 0.0) == pytest.approx(rankine_passive(r(phi)), rel=1e-9)


@pytest.mark.parametrize("kind", ["active", "passive"])
@pytest.mark.parametrize("phi", [3, 10, 25, 40, 50])
@pytest.mark.parametrize("share", [0.0, 0.02, 0.5, 1.0])
@pytest.mark.parametrize("slope", [-0.9, -0.4, 0.0, 0.4, 0.9])
def test_plasticity_converges_over_its_whole_range(
    kind: str, phi: float, share: float, slope: float
) -> None:
    found = solve(kind, r(phi), share * r(phi), slope * r(phi))
    assert abs(found.residual) < 1e-5
    assert found.K > 0.0


def test_refining_the_integration_changes_little() -> None:
    from backstay.pressure.plasticity import _Zone

    for kind, slope, within in (
        ("passive", 0.0, 1e-4), ("passive", 0.3, 1e-4), ("active", 0.0, 5e-4),
        ("active", -0.3, 2e-3),
    ):  # fmt: skip
        phi = r(34)
        zone = _Zone.of(kind, phi, 0.6 * phi, slope * phi)
        coarse, fine = solve(kind, phi, 0.6 * phi, slope * phi), zone.solve(0.03, 0.001)
        assert fine is not None
        assert pytest.approx(fine.K, rel=within) == coarse.K


def test_rankine_of_a_slope_stands_on_a_wall_as_rough_as_the_slope() -> None:
    """On a vertical wall Rankine's thrust is parallel to the ground."""
    phi, beta = r(35), r(12)
    assert active_coefficient(phi, beta, beta) == pytest.approx(
        rankine_active_sloping(phi, beta), rel=2e-4
    )
    assert passive_coefficient(phi, beta, -beta) == pytest.approx(
        rankine_passive_sloping(phi, beta), rel=2e-3
    )


def test_a_coefficient_reports_method_and_residual() -> None:
    with trace() as t:
        K = passive_coefficient(r(30), r(15))
    (step,) = t.steps
    assert isinstance(step, Stated)
    assert step.value == K
    assert "misses it by" in step.method
    assert step.cite is not None


def test_log_spiral_refuses_and_reports() -> None:
    with pytest.raises(DesignError):
        log_spiral_passive(r(30), r(31))
    found = log_spiral_passive(r(30), r(15))
    assert found.residual < 1e-6
    assert found.pole[0] < 0.0 > found.pole[1]


def test_cohesion_by_correspondence_lies_near_twice_the_root() -> None:
    K = cohesion_passive_coefficient(r(25), surcharge_passive_coefficient(r(25), r(12), 0.0))
    assert 2 * tan(r(45) + r(12.5)) < K
    assert degrees(r(25)) == pytest.approx(25)
    with pytest.raises(DesignError):
        surcharge_passive_coefficient(r(25), r(26), 0.0)
