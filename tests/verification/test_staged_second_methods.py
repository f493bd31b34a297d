"""Walls on elastic-plastic ground, stage by stage, against second solutions: within 0.5 %."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.unit.wall.staged.arrays import HOLDING, STRESSING, Layer, Outcome, Row, Stage, Wall, run
from tests.verification.staged_ground import side
from tests.verification.staged_second import Second, by_collocation, by_elements

WITHIN = 0.005

SAND = Layer(Ka=0.28, Kp=5.0, K0=0.45, kh=2000.0, kh_gradient=6000.0)
PILES = (
    SAND,
    Layer(5.0, 19.0, 20.5, 0.26, 5.5, 2.0, K0=0.42, kh=4000.0, kh_gradient=5000.0, arching=2.5),
)
FILL = Layer(0.0, 17.0, 19.0, 0.33, 3.3, kh=8000.0)
CLAY = Layer(2.0, 18.0, 19.0, 0.4, 2.5, 5.0, su=36.0, su_gradient=2.0, K0=0.6, kh=12000.0)
GRAVEL = Layer(8.0, 19.0, 20.5, 0.25, 5.0, kh=30000.0, K0=0.42)
TWO_ROWS = (Row(2.44, 8000.0, 420.0), Row(6.1, 9000.0, 400.0))
S, G = STRESSING, HOLDING

STAGED = {
    "cantilever": Wall(9.0, (Stage(2.0), Stage(3.5), Stage(3.5, load=10.0)), (SAND,), EI=60000.0),
    "one anchor": Wall(
        10.0,
        (Stage(2.5), Stage(2.5, rows=(S,)), Stage(5.0, rows=(G,)), Stage(7.0, rows=(G,))),
        (SAND,), (Row(2.0, 9000.0, 110.0),), EI=45000.0,
    ),
    "a row that yields, a row that slackens": Wall(
        13.5,
        tuple(
            Stage(dig, rows=rows, load=12.0)
            for dig, rows in (
                (3.0, (0, 0)), (3.0, (S, 0)), (3.0, (G, S)), (6.0, (G, G)), (7.5, (G, G)),
            )
        ),
        (replace(SAND, arching=1.4),), (Row(2.0, 8000.0, 12.0), Row(2.8, 9000.0, 150.0, 165.0)),
        EI=42000.0,
    ),
    "two anchors, soldier piles": Wall(
        13.5,
        tuple(
            Stage(dig, rows=rows, load=12.0)
            for dig, rows in (
                (3.0, (0, 0)), (3.0, (S, 0)), (5.0, (G, 0)), (6.7, (G, 0)), (6.7, (G, S)),
                (8.0, (G, G)), (9.75, (G, G)),
            )
        ),
        PILES, TWO_ROWS, EI=42000.0, spacing=2.44, pile_width=0.76,
    ),
    "layers, water, clay undrained": Wall(
        12.0,
        (
            Stage(3.0, 3.0, 3.0), Stage(3.0, 3.0, 3.0, rows=(S,)),
            Stage(6.0, 3.0, 6.0, rows=(G,), undrained=True),
            Stage(7.0, 4.0, 7.0, rows=(G,), undrained=True, seepage=0.1),
            Stage(7.0, 4.0, 6.2, rows=(G,), seepage=0.2),
        ),
        (FILL, CLAY, GRAVEL), (Row(2.5, 12000.0, 150.0),), EI=80000.0,
    ),
}  # fmt: skip

AT_ONCE = {
    "cantilever": Wall(9.0, (Stage(3.5, load=10.0),), (SAND,), EI=60000.0),
    "one row, layers, water": Wall(
        12.0, (Stage(6.0, 3.0, 6.0, rows=(G,), seepage=0.1),), (FILL, CLAY, GRAVEL),
        (Row(2.5, 12000.0, 150.0),), EI=80000.0,
    ),
    "two rows, soldier piles": Wall(
        13.5, (Stage(9.75, rows=(G, G), load=12.0),), PILES, TWO_ROWS,
        EI=42000.0, spacing=2.44, pile_width=0.76,
    ),
}  # fmt: skip


def compare(found: Outcome, stage: int, second: Second) -> None:
    """Hold deflection and moment along the wall, and the supports, against a second solution."""
    w = np.interp(second.z, found.z, found.w[stage])
    M = np.interp(second.z_moment, found.z, found.M[stage])
    for name, ours, theirs in (("deflection", w, second.w), ("moment", M, second.M)):
        scale = np.abs(theirs).max()
        off = np.abs(ours - theirs).max() / scale
        assert off <= WITHIN, f"{name} off by {off:.2%} of {scale:.4g} in stage {stage}"
        assert abs(ours.max() - theirs.max()) <= WITHIN * scale
        assert abs(ours.min() - theirs.min()) <= WITHIN * scale
    assert found.T[stage] == pytest.approx(second.T, rel=WITHIN)


@pytest.mark.parametrize("name", STAGED)
def test_stages_agree_with_general_finite_elements(name: str) -> None:
    wall = STAGED[name]
    found = run(wall)
    assert found.stands
    for stage, second in enumerate(by_elements(wall)):
        compare(found, stage, second)


@pytest.mark.parametrize("name", AT_ONCE)
def test_one_cut_agrees_with_a_boundary_value_solver(name: str) -> None:
    wall = AT_ONCE[name]
    found = run(wall)
    assert found.stands
    compare(found, 0, by_collocation(wall))


@pytest.mark.parametrize("name", STAGED)
def test_limits_are_those_of_first_principles(name: str) -> None:
    """Least and greatest pressures at every point of both sides, in every stage."""
    wall = STAGED[name]
    found = run(wall)
    for s, stage in enumerate(wall.stages):
        behind, front = (side(wall, stage, found.gauss, back) for back in (True, False))
        assert found.low_r[s] == pytest.approx(behind.low, rel=1e-9, abs=1e-9)
        assert found.high_r[s] == pytest.approx(behind.high, rel=1e-9, abs=1e-9)
        assert found.low_c[s] == pytest.approx(front.low, rel=1e-9, abs=1e-9)
        assert found.high_c[s] == pytest.approx(front.high, rel=1e-9, abs=1e-9)


def test_rows_compared_reach_both_their_limits() -> None:
    wall = STAGED["a row that yields, a row that slackens"]
    found = run(wall)
    assert (found.T[2:, 0] == 0.0).any()
    assert (found.T[:, 1] == wall.rows[1].cap).any()


def test_walls_compared_are_plastic_on_both_sides() -> None:
    """The comparison means little for springs that stay elastic, or are plastic throughout."""
    for wall in (*STAGED.values(), *AT_ONCE.values()):
        found = run(wall)
        dug = found.z[:-1] >= wall.stages[-1].dig
        active = found.p_r[-1] <= found.low_r[-1]
        passive = (found.p_c[-1] >= found.high_c[-1])[dug]
        assert 0.05 < active.mean() < 0.95
        assert passive.any()
        assert not passive.all()


def test_ground_that_cannot_pull_agrees_with_one_way_supports() -> None:
    """Pull a wall into weightless ground behind it: PyNiteFEA's supports that only push.

    Elastic ground behind, none in front: where the wall lifts off, the pressure is nil.
    """
    from Pynite import FEModel3D

    length, k, EI, force, step = 6.0, 8000.0, 2000.0, 100.0, 0.05
    ground = Layer(gamma=0.0, gamma_sat=0.0, Ka=0.0, Kp=1.0, c=1e6, K0=0.0, kh=k)
    wall = Wall(
        length, (Stage(length, rows=(S,)),), (ground,), (Row(1.5, lock=force),), EI=EI, mesh=step
    )
    found = run(wall)
    assert found.stands
    lifted = found.p_r[0] == 0.0
    assert 0.1 < lifted.mean() < 0.7

    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 1.0)
    model.add_section("s", 1.0, EI, EI, 1.0)
    names = []
    for i, z in enumerate(np.arange(0, length + step / 2, step)):
        names.append(f"N{i}")
        model.add_node(names[-1], float(z), 0.0, 0.0)
        model.def_support(names[-1], True, False, True, True, True, False)
        share = 0.5 if z == 0 or z > length - step / 2 else 1.0
        model.def_support_spring(names[-1], "DY", k * step * share, "-")
    for i in range(len(names) - 1):
        model.add_member(f"M{i}", names[i], names[i + 1], "m", "s")
    model.add_node_load(names[30], "FY", -force)
    model.analyze(max_iter=100)
    theirs = np.array([model.nodes[name].DY["Combo 1"] for name in names])
    assert found.w[0] == pytest.approx(theirs, abs=WITHIN * np.abs(theirs).max())
    moments = np.array(
        [abs(model.members[f"M{i}"].moment("Mz", 0.0)) for i in range(len(names) - 1)]
    )
    assert np.abs(found.M[0]).max() == pytest.approx(moments.max(), rel=WITHIN)
