"""Laws of the staged kernel: order of convergence, and what stands and what does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from tests.laws.test_staged_laws import closing
from tests.unit.wall.staged.arrays import (
    ABSENT,
    CONVERGED,
    DRY,
    EVER,
    HOLDING,
    MECHANISM,
    STRESSING,
    Floats,
    Layer,
    Outcome,
    Row,
    Stage,
    Wall,
    nodes,
    run,
)
from tests.verification.test_staged_second_methods import AT_ONCE, STAGED

WALLS = {**STAGED, **{f"{name}, at once": wall for name, wall in AT_ONCE.items()}}
G, S = HOLDING, STRESSING


# convergence


def errors(wall: Wall, meshes: list[float]) -> Floats:
    """Return the greatest errors of deflection and moment at the nodes, against a fine mesh."""
    fine = run(replace(wall, mesh=meshes[-1] / 8))
    out = []
    for mesh in meshes:
        found = run(replace(wall, mesh=mesh))
        assert found.stands
        at = [fine.at(z) for z in found.z]
        out.append(
            [
                np.abs(a - b[at]).max() / np.abs(b).max()
                for a, b in ((found.w[-1], fine.w[-1]), (found.M[-1], fine.M[-1]))
            ]
        )
    return np.array(out)


def test_elastic_ground_converges_at_the_fourth_order() -> None:
    ground = Layer(
        gamma=10.0, gamma_sat=10.0, su=1e5, K0=0.0, kh=3000.0, kh_gradient=1500.0
    )  # fmt: skip
    stage = Stage(0.0, -20.0, -20.0, undrained=True, rows=(S,), pressure=(0.0, 8.0, 30.0))
    wall = Wall(8.0, (stage,), (ground,), (Row(2.0, lock=100.0),), EI=20000.0, tolerance=1e-13)
    off = errors(wall, [2.0, 1.0, 0.5, 0.25])
    order = np.log2(off[:-1] / off[1:])
    assert (order[:, 0] > 3.9).all(), order
    assert (order[:, 1] > 3.4).all(), order
    assert order[-1] == pytest.approx([4.0, 4.0], abs=0.1)


@pytest.mark.parametrize("name", ["cantilever", "one anchor"])
def test_yielding_ground_converges_at_the_second_order(name: str) -> None:
    """Where ground begins to yield between two points the integrand has a kink."""
    meshes = [0.5, 0.25, 0.125, 0.0625]
    off = errors(STAGED[name], meshes)
    for column in off.T:
        order = np.polyfit(np.log(meshes), np.log(column), 1)[0]
        assert order > 1.7
    assert (off[-1] < 2e-4).all()


# what stands and what does not


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    """Return a wall with any ground, water, rows and sequence."""
    real = st.floats
    length = draw(real(4.0, 20.0))
    tops = sorted(
        {0.0, *(round(length * x, 2) for x in draw(st.lists(real(0.1, 0.9), max_size=3)))}
    )
    layers = []
    for top in tops:
        phi = draw(real(0.0, 0.75))
        Ka = np.tan(np.pi / 4 - phi / 2) ** 2
        layers.append(
            Layer(
                top, draw(real(14.0, 20.0)), draw(real(17.0, 22.0)), Ka,
                draw(real(1.0, 1.6)) / Ka, draw(st.just(0.0) | real(0.0, 30.0)),
                draw(st.just(0.0) | real(5.0, 150.0)), draw(real(0.0, 3.0)),
                draw(real(0.3, 1.2)), 10 ** draw(real(2.5, 5.5)),
                draw(st.just(0.0) | real(300.0, 3e4)), draw(real(1.0, 3.0)),
            )
        )  # fmt: skip
    count = draw(st.integers(0, 3))
    digs = sorted(round(length * draw(real(0.1, 0.85)), 2) for _ in range(count + 1))
    rows = tuple(
        Row(
            round(digs[a] * draw(real(0.3, 0.98)), 2), 10 ** draw(real(3.0, 5.0)),
            draw(real(0.0, 800.0)), draw(st.sampled_from([EVER, 1500.0])),
        )
        for a in range(count)
    )  # fmt: skip
    water = draw(st.just(DRY) | real(0.0, length))
    lowered = draw(st.booleans())
    undrained = draw(st.booleans())
    load, seepage = draw(real(0.0, 30.0)), draw(st.sampled_from([0.0, 0.2]))
    stages: list[Stage] = []
    state = [ABSENT] * count

    def add(dig: float) -> None:
        front = max(water, dig) if lowered else water
        stages.append(
            Stage(dig, water, front, load, seepage, tuple(state), undrained=undrained)
        )  # fmt: skip

    for a in range(count + 1):
        add(digs[a])
        if a < count:
            state[a] = STRESSING
            add(digs[a])
            state[a] = HOLDING
    if draw(st.booleans()):
        stages.append(replace(stages[-1], load=load + draw(real(0.0, 40.0))))
    if count and draw(st.booleans()):
        stages.append(replace(stages[-1], rows=(ABSENT, *stages[-1].rows[1:])))
    spacing, width = draw(st.sampled_from([(1.0, 1.0), (2.4, 0.6)]))
    return Wall(
        length, tuple(stages), tuple(layers), rows, EI=10 ** draw(real(3.5, 6.0)),
        spacing=spacing, pile_width=width, mesh=length / draw(st.integers(40, 150)),
    )  # fmt: skip


def missing(found: Outcome, s: int) -> float:
    """Return what pressures and supports within their limits leave unbalanced, over the load.

    A linear programme: nil where some state within the limits is in equilibrium.
    """
    behind, front = found.widths(s)
    half = np.repeat(found.h / 2, 2)
    z = found.gauss.ravel()
    stage, rows = found.wall.stages[s], found.wall.rows
    limits = [(0.0, 0.0)] * len(rows)
    for a, state in enumerate(stage.rows):
        if state != ABSENT:
            limits[a] = (rows[a].lock,) * 2 if state == STRESSING else (0.0, rows[a].cap)
    push = [np.repeat(behind, 2) * half, -np.repeat(front, 2) * half, -np.ones(len(rows))]
    depth = np.concatenate([z, z, [row.depth for row in rows]])
    scale = float((push[0] * found.high_r[s].ravel()).sum())
    force = np.concatenate([*push, [scale, -scale, 0.0, 0.0]])
    moment = np.concatenate([np.concatenate(push) * depth, [0.0, 0.0, scale, -scale]])
    bounds = [
        *zip(found.low_r[s].ravel(), found.high_r[s].ravel(), strict=True),
        *zip(found.low_c[s].ravel(), found.high_c[s].ravel(), strict=True),
        *limits,
        *[(0.0, None)] * 4,
    ]
    cost = np.zeros(len(force))
    cost[-4:] = 1.0
    result = linprog(cost, A_eq=np.array([force, moment]) / scale, b_eq=[0.0, 0.0], bounds=bounds)
    assert result.success
    return float(result.fun)


@given(walls())
@settings(max_examples=150, deadline=None)
def test_any_wall_stands_within_its_limits_or_cannot_stand(wall: Wall) -> None:
    found = run(wall)
    assert found.status in (CONVERGED, MECHANISM)
    assert found.completed == (len(wall.stages) if found.stands else found.completed)
    for s in range(found.completed):
        assert found.residual[s] <= 1e-6  # of one node; of the whole wall below
        force, moment, load = closing(found, s)
        assert abs(force) <= 1e-8 * load
        assert abs(moment) <= 1e-8 * load * wall.length
        assert np.abs(found.w[s]).max() <= wall.bound
        assert (found.p_r[s] >= found.low_r[s]).all()
        assert (found.p_r[s] <= found.high_r[s]).all()
        met = found.widths(s)[1] > 0.0
        assert (found.p_c[s][met] >= found.low_c[s][met]).all()
        assert (found.p_c[s][met] <= found.high_c[s][met]).all()
        for a, state in enumerate(wall.stages[s].rows):
            T, row = found.T[s, a], wall.rows[a]
            assert {ABSENT: T == 0.0, S: row.lock == T, G: 0.0 <= T <= row.cap}[state]
    if not found.stands:
        assert cannot_stand(found)


def cannot_stand(found: Outcome) -> bool:
    """Say whether statics let no wall stand, or the deflection is really beyond the bound."""
    s = found.completed
    if missing(found, s) > 1e-9:
        return True
    free = run(replace(found.wall, bound=1e4))
    return bool(free.completed > s and np.abs(free.w[s]).max() > found.wall.bound)


def test_beyond_the_limit_of_statics_a_wall_is_a_mechanism() -> None:
    """One per cent beyond the deepest cut the answer is no equilibrium, whatever the wall."""
    from tests.verification.cases_staged_limits import STIFF, cantilever_cut

    for EI in (2e4, 5e6):
        for kh in (5e3, 3e5):
            layer = replace(STIFF.layers[0], kh=kh)
            base = replace(STIFF, EI=EI, layers=(layer,), bound=50.0)
            inside = run(replace(base, stages=(Stage(0.95 * cantilever_cut()),)))
            beyond = run(replace(base, stages=(Stage(1.01 * cantilever_cut()),)))
            assert inside.status == CONVERGED
            assert beyond.status == MECHANISM


def test_the_same_wall_gives_the_same_bits_whatever_memory_holds() -> None:
    """Results depend on the arguments alone, not on what freed memory happens to contain."""
    wall = STAGED["two anchors, soldier piles"]
    n = len(nodes(wall))
    first = run(wall)
    for junk in (np.nan, 1e300, -3.0):
        spoilt = [np.full(k, junk) for k in (2 * n, 8 * n, n - 1, 2 * n - 2) for _ in range(8)]
        del spoilt
        again = run(wall)
        assert again.status == first.status
        assert again.w.tobytes() == first.w.tobytes()
        assert again.M.tobytes() == first.M.tobytes()


def test_an_iteration_that_overshoots_is_not_a_mechanism() -> None:
    """An iteration runs metres beyond the bound on its way to a deflection of a tenth of one."""
    layer = Layer(
        0.0, 19.3636, 19.0613, 0.51047, 2.054589, K0=0.416417, kh=31580.5, kh_gradient=1169.6,
        arching=2.146624,
    )  # fmt: skip
    water = 5.581223
    stages = (Stage(2.25, water, water, 8.03998, seepage=0.2),)
    wall = Wall(
        7.0302, stages, (layer,), EI=148398.0, spacing=2.5, pile_width=0.6, mesh=0.159777,
        marks=(1.76, 2.27),
    )  # fmt: skip
    found = run(wall)
    assert missing(found, 0) < 1e-9
    assert found.stands
    assert 0.05 < np.abs(found.w[0]).max() < 0.2
