"""The batch form: equal to the single analysis, in any order and number; shapes refused by name."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from typing import Any

import numpy as np
import pytest

from backstay.cores import at_most
from backstay.errors import DesignError
from backstay.pressure.coulomb import coulomb_active
from backstay.pressure.lateral import horizontal
from backstay.pressure.plasticity import passive_coefficient
from backstay.trace import untraced
from backstay.wall.staged import analyse
from backstay.wall.staged.batch import CHUNK, BatchResult, analyse_batch
from backstay.wall.staged.build import kernel
from backstay.wall.staged.coefficients import ERROR, coefficient_table
from backstay.wall.staged.example import smallest
from backstay.wall.staged.result import StagedInput

FIELDS = ("moment_max", "moment_min", "shear_max", "deflection_max", "toe_use", "support_load")


def wall() -> StagedInput:
    """Two strata, one row, four stages."""
    z = np.linspace(0.0, 9.0, 61)
    two = np.ones(2)
    stages = 4
    return replace(
        smallest(),
        z=z, h=np.diff(z), layer=(z[:-1] >= 3.0 - 1e-9).astype(np.int64), EI=np.full(60, 3e4),
        gamma=18.0 * two, gamma_sat=20.0 * two, Ka=np.array([0.33, 0.28]), Kp=np.array([4.0, 5.0]),
        c=np.array([0.0, 2.0]), su=0.0 * two, su_gradient=0.0 * two, K0=0.5 * two,
        kh=np.array([3000.0, 5000.0]), kh_gradient=np.array([1000.0, 1500.0]),
        layer_top=np.array([0.0, 3.0]), dig=np.array([2.1, 2.1, 2.1, 4.5]),
        water_r=np.full(stages, 6.0), water_c=np.full(stages, 6.0), load=np.full(stages, 10.0),
        seepage=np.zeros(stages), undrained=np.zeros((stages, 2), np.bool_),
        stiffness=np.ones(stages), arching=two, external=np.zeros((stages, 60, 2)),
        node=np.array([10], np.int64), a_state=np.array([[0], [1], [2], [2]], np.int64),
        a_k=np.full((stages, 1), 6000.0), a_lock=np.full((stages, 1), 60.0),
        a_cap=np.full((stages, 1), 1e9), stage_titles=("dig", "stress", "lock off", "dig"),
        zone_names=("fill", "sand"), H=4.5,
    )  # fmt: skip


def random(number: int, seed: int = 3) -> dict[str, Any]:
    """Return arrays of every parameter that varies."""
    rng = np.random.default_rng(seed)

    def about(value: Any, *shape: int) -> Any:
        return value * rng.uniform(0.9, 1.1, (number, *shape))

    base = wall()
    return {
        "Ka": about(base.Ka, 2), "Kp": about(base.Kp, 2), "c": about(base.c, 2),
        "gamma": about(base.gamma, 2), "gamma_sat": about(base.gamma_sat, 2),
        "K0": about(base.K0, 2), "kh": about(base.kh, 2), "kh_gradient": about(base.kh_gradient, 2),
        "EI_factor": about(1.0), "water_r": about(base.water_r, 4), "water_c": about(base.water_c, 4),
        "load": about(base.load, 4), "a_k": about(base.a_k, 4, 1), "a_lock": about(base.a_lock, 4, 1),
    }  # fmt: skip


def single(base: StagedInput, arrays: dict[str, Any], r: int) -> StagedInput:
    """Return realisation r as an input of its own."""
    changes = {
        name: np.ascontiguousarray(a[r]) for name, a in arrays.items() if name != "EI_factor"
    }
    if "EI_factor" in arrays:
        changes["stiffness"] = base.stiffness * arrays["EI_factor"][r]
    return replace(base, **changes)


def same(a: BatchResult, b: BatchResult) -> None:
    np.testing.assert_array_equal(a.status, b.status)
    for name in FIELDS:
        np.testing.assert_array_equal(getattr(a, name), getattr(b, name), err_msg=name)


def test_single_analysis_is_the_batch_of_one() -> None:
    base = wall()
    many, alone = analyse_batch(base), analyse(base, mesh_error="left out")
    assert many.stands.all()
    for s, stage in enumerate(alone.stages):
        assert many.moment_max[0, s] == pytest.approx(max(stage.M.max(), 0.0), rel=1e-12)
        assert many.moment_min[0, s] == pytest.approx(min(stage.M.min(), 0.0), rel=1e-12)
        assert many.shear_max[0, s] == pytest.approx(abs(stage.V).max(), rel=1e-12)
        assert many.deflection_max[0, s] == pytest.approx(abs(stage.w).max(), rel=1e-12)
        assert many.toe_use[0, s] == pytest.approx(stage.toe_use, rel=1e-12)
        assert tuple(many.support_load[0, s]) == pytest.approx(stage.T, rel=1e-12)


def test_every_realisation_is_its_own_single_analysis() -> None:
    base, arrays = wall(), random(12)
    many = analyse_batch(base, **arrays)
    for r in range(12):
        alone = analyse(single(base, arrays, r), mesh_error="left out")
        assert many.moment_min[r, -1] == pytest.approx(min(alone.stages[-1].M), rel=1e-12)
        assert tuple(many.support_load[r, -1]) == pytest.approx(alone.stages[-1].T, rel=1e-12)
        assert many.deflection_max[r, 0] == pytest.approx(abs(alone.stages[0].w).max(), rel=1e-12)
    assert len(np.unique(many.moment_min[:, -1])) == 12


def test_results_do_not_depend_on_cores_order_or_chunks() -> None:
    base, arrays = wall(), random(CHUNK + 5)
    whole = analyse_batch(base, **arrays)
    with at_most(1):
        same(whole, analyse_batch(base, **arrays))
    backward = analyse_batch(base, **{name: a[::-1] for name, a in arrays.items()})
    np.testing.assert_array_equal(whole.moment_max, backward.moment_max[::-1])


@pytest.mark.parametrize(
    ("name", "value", "full"),
    [
        ("Kp", [4.0, 5.0, 6.0], [[4.0, 4.0], [5.0, 5.0], [6.0, 6.0]]),
        ("load", [[5.0], [8.0], [9.0]], [[5.0] * 4, [8.0] * 4, [9.0] * 4]),
        ("water_r", [5.0, 5.5, 6.0], [[5.0] * 4, [5.5] * 4, [6.0] * 4]),
        ("a_lock", [[50.0], [60.0], [70.0]], [[[50.0]] * 4, [[60.0]] * 4, [[70.0]] * 4]),
        ("EI_factor", [0.8, 1.0, 1.2], [0.8, 1.0, 1.2]),
    ],
)
def test_short_shapes_are_spread_out(name: str, value: Any, full: Any) -> None:
    base: Any = wall()
    short: dict[str, Any] = {name: value}
    spread: dict[str, Any] = {name: full}
    found = analyse_batch(base, **short)
    same(found, analyse_batch(base, **spread))
    assert len(np.unique(found.moment_min[:, -1])) == 3


def test_friction_angles_give_the_coefficients_of_the_design_path() -> None:
    base = wall()
    phi = np.radians([[28.0, 33.0], [30.0, 35.0]])
    by_angle = analyse_batch(base, phi=phi, wall_friction_ratio=[0.5, 2 / 3])
    Ka, Kp = np.empty((2, 2)), np.empty((2, 2))
    with untraced():
        for r in range(2):
            for zone, ratio in enumerate((0.5, 2 / 3)):
                angle = float(phi[r, zone])
                delta = ratio * angle
                Ka[r, zone] = horizontal(coulomb_active(angle, delta, 0.0, 0.0), delta)
                held = 0.5 * angle
                Kp[r, zone] = horizontal(passive_coefficient(angle, held), held)
    direct = analyse_batch(base, Ka=Ka, Kp=Kp)
    for name in FIELDS:
        np.testing.assert_allclose(
            getattr(by_angle, name), getattr(direct, name), rtol=3 * ERROR, atol=1e-9, err_msg=name
        )


@pytest.mark.parametrize("ratio", [0.0, 1 / 3, 0.5, 2 / 3, 1.0])
@pytest.mark.parametrize("slope", [0.0, 10.0, 25.0])
def test_interpolated_coefficients_stray_less_than_stated(ratio: float, slope: float) -> None:
    beta = radians(slope)
    table = coefficient_table(ratio, beta)
    angles = np.linspace(max(beta, 1e-4), radians(59.9), 241)
    with untraced():
        for found, exact in (
            (
                table.active(angles),
                lambda a: horizontal(coulomb_active(a, ratio * a, 0.0, beta), ratio * a),
            ),
            (
                table.passive(angles),
                lambda a: horizontal(
                    passive_coefficient(a, min(ratio, 0.5) * a), min(ratio, 0.5) * a
                ),
            ),
        ):
            wanted = np.array([exact(float(a)) for a in angles])
            assert abs(found / wanted - 1).max() < ERROR
            nodes = table.phi[2:-2:20]
            at_nodes = table.active(nodes) if found[5] < 1 else table.passive(nodes)
            np.testing.assert_allclose(at_nodes, [exact(float(a)) for a in nodes], rtol=1e-13)


def test_a_wall_that_falls_is_marked_where_it_falls() -> None:
    base = wall()
    found = analyse_batch(base, load=[10.0, 2000.0])
    assert found.stands.tolist() == [True, False]
    done = int(found.stages_done[1])
    assert done < base.stages
    assert np.isnan(found.moment_max[1, done:]).all()
    assert np.isfinite(found.moment_max[0]).all()
    alone = analyse(replace(base, load=np.full(4, 2000.0)), mesh_error="left out")
    assert alone.failed is not None
    assert alone.failed.stage == done + 1


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (
            {"Kp": np.ones((3, 5))},
            r"shape \(3, 5\) was read of Kp; it must be \(realisations, 2 zones\)",
        ),
        ({"load": np.ones((3, 2))}, r"shape \(3, 2\) was read of load; .*4 stages"),
        ({"a_k": np.ones((3, 2, 1))}, r"a_k; it must be \(realisations, 4 stages, 1 supports\)"),
        ({"EI_factor": np.ones((3, 2))}, r"EI_factor; it must be \(realisations\)"),
        ({"load": 5.0}, "load; it must be"),
        ({"c": [1.0, np.nan]}, r"c is not a finite number at \(1, 0\)"),
        ({"kh": [np.inf]}, "kh is not a finite number"),
        ({"gamma": [18.0, -1.0]}, r"gamma is negative at \(1, 0\): -1 was read"),
        ({"EI_factor": [0.0]}, "EI_factor is nil"),
        ({"Ka": [0.3, 6.0]}, "Ka 6 is above Kp 4 in realisation 1, zone 'fill'"),
        ({"load": [1.0, 2.0], "c": [1.0, 2.0, 3.0]}, "2 realisations were read of load, but 3"),
        ({"load": np.ones((0, 4))}, "no realisation was read of load"),
        ({"phi": [0.5], "Ka": [0.3]}, "phi was read together with Ka or Kp"),
        ({"phi": [0.5]}, "phi needs a wall friction ratio"),
        ({"wall_friction_ratio": 0.5}, "without phi has no effect"),
        ({"phi": [0.5], "wall_friction_ratio": [0.1, 0.2, 0.3]}, r"it must be \(2 zones\)"),
        ({"phi": [0.5], "wall_friction_ratio": 1.5}, "share of phi from 0 to 1"),
        ({"phi": [1.5], "wall_friction_ratio": 0.5}, "the table runs from 0 to 60"),
        ({"phi": [0.3], "wall_friction_ratio": 0.5, "slope": 0.4}, "the table runs from 22.92"),
        ({"phi": [0.3], "wall_friction_ratio": 0.5, "slope": -0.1}, "between 0 and 60"),
    ],
)
def test_what_does_not_fit_is_refused_by_name(given: dict[str, Any], says: str) -> None:
    with pytest.raises(DesignError, match=says):
        analyse_batch(wall(), **given)


def test_no_shape_makes_the_kernel_compile_again() -> None:
    base = wall()
    analyse_batch(base)
    before = len(kernel().run_batch.signatures)
    analyse_batch(
        base, load=np.broadcast_to(9.0, (3, 4)), Kp=np.asfortranarray(np.full((3, 2), 5.0))
    )
    analyse_batch(base, a_lock=np.full((3, 4, 1), 55), EI_factor=np.ones(6)[::2])
    assert len(kernel().run_batch.signatures) == before
