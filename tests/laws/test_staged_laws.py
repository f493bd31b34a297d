"""Laws of the staged kernel: balance, memory, monotony, energy, convergence, and what stands."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

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


@pytest.fixture(params=WALLS)
def wall(request: pytest.FixtureRequest) -> Wall:
    return WALLS[request.param]


def closing(found: Outcome, s: int) -> tuple[float, float, float]:
    """Return what is left of force and of moment about the toe (kN, kNm), and the load (kN).

    Added up here from the pressures, their widths and the supports; nothing of the beam is used.
    """
    behind, front = found.widths(s)
    share = found.h[:, None] / 2
    load = np.concatenate(
        [
            (found.p_r[s] * behind[:, None] * share).ravel(),
            (-found.p_c[s] * front[:, None] * share).ravel(),
            (found.arguments["external"][s] * share).ravel(),
            -found.T[s],
        ]
    )
    g = found.gauss.ravel()
    depth = np.concatenate([g, g, g, [row.depth for row in found.wall.rows]])
    arm = found.z[-1] - depth
    return float(load.sum()), float((load * arm).sum()), float(np.abs(load).sum())


def test_forces_and_moments_close_in_every_stage(wall: Wall) -> None:
    found = run(wall)
    assert found.stands
    for s in range(len(wall.stages)):
        force, moment, load = closing(found, s)
        assert abs(force) <= 1e-8 * load
        assert abs(moment) <= 1e-8 * load * wall.length
        assert abs(found.V[s, -1, 0]) <= 1e-8 * load
        assert abs(found.M[s, -1]) <= 1e-8 * load * wall.length


@pytest.mark.parametrize("EI", [4e4, 5e6])
@pytest.mark.parametrize("mesh", [0.2, 0.01])
def test_fine_meshes_and_stiff_walls_close_as_well(EI: float, mesh: float) -> None:
    found = run(replace(STAGED["one anchor"], EI=EI, mesh=mesh))
    assert found.stands
    for s in range(len(found.wall.stages)):
        force, moment, load = closing(found, s)
        assert abs(force) <= 1e-8 * load
        assert abs(moment) <= 1e-8 * load * found.wall.length


def test_moment_in_the_beam_is_that_of_the_loads(wall: Wall) -> None:
    """The moment of statics is EI times the curvature of the deflected beam, kinks left aside."""
    found = run(wall)
    s = 0  # no moment is left from another EI
    lower = found.theta[s, 1:] - (found.w[s, 1:] - found.w[s, :-1]) / found.h
    upper = found.theta[s, :-1] - (found.w[s, 1:] - found.w[s, :-1]) / found.h
    bent = -wall.EI * 2 / found.h * (-upper * 2 - lower)
    assert bent[1:] == pytest.approx(found.M[s, 1:-1], abs=2e-3 * np.abs(found.M[s]).max())


# memory


def parts(wall: Wall, s: int, n: int) -> Wall:
    """Return the wall with stage s made in n equal steps, on the same mesh."""
    a, b = wall.stages[s - 1 : s + 1]

    def between(name: str, share: float) -> float:
        old, new = getattr(a, name), getattr(b, name)
        return float(old + (new - old) * share) if DRY not in (old, new) else float(new)

    steps = [
        replace(b, **{name: between(name, j / n) for name in ("dig", "load", "water_r", "water_c")})
        for j in range(1, n)
    ]
    return replace(wall, stages=(*wall.stages[:s], *steps, *wall.stages[s:]))


@pytest.mark.parametrize("n", [2, 3])
@pytest.mark.parametrize("name", STAGED)
def test_a_stage_in_parts_ends_the_same(name: str, n: int) -> None:
    """Lifts, water and loads that come step by step, where nothing turns back on the way."""
    wall = STAGED[name]
    for s in range(1, len(wall.stages)):
        if wall.stages[s].water_c < wall.stages[s - 1].water_c:
            continue  # water that comes back pushes the other way
        cut = parts(wall, s, n)
        marks = tuple(stage.dig for stage in cut.stages)
        once, often = run(replace(wall, marks=marks)), run(replace(cut, marks=marks))
        assert once.stands
        assert often.stands
        for quantity in ("w", "M", "T"):
            a, b = getattr(once, quantity)[-1], getattr(often, quantity)[-1]
            assert b == pytest.approx(a, abs=1e-7 * np.abs(a).max(initial=0.0)), (s, quantity)


def test_a_stage_that_changes_nothing_changes_nothing(wall: Wall) -> None:
    found = run(replace(wall, stages=wall.stages + wall.stages[-1:] * 2))
    for quantity in (found.w, found.M, found.T, found.p_r, found.p_c):
        assert quantity[-1] == pytest.approx(quantity[-3], rel=1e-12, abs=1e-12)


SU, K_GROUND, K_ROW = 30.0, 4000.0, 2000.0


def translating(*pressures: float) -> list[float]:
    """Push a stiff wall straight into uniform clay under water; return its movement per stage (m).

    Both sides are at rest at the same pressure and can gain and lose 2 su; two equal rows hold it.
    """
    hold = 1e4
    ground = Layer(gamma=10.0, gamma_sat=10.0, su=SU, K0=0.0, kh=K_GROUND)
    rows = tuple(Row(z, K_ROW, hold, 2 * hold) for z in (1.0, 3.0))
    rows += tuple(Row(z, lock=-hold) for z in (1.0, 3.0))
    stages = tuple(
        Stage(water_r=-50.0, water_c=-50.0, undrained=True, rows=(G, G, S, S), pressure=(0, 4.0, p))
        for p in (0.0, *pressures)
    )
    found = run(Wall(4.0, stages, (ground,), rows, EI=1e9, mesh=0.25))
    assert found.stands
    assert np.ptp(found.w, axis=1) == pytest.approx(0.0, abs=1e-6)
    return [float(w) for w in found.w[1:, 0]]


def test_plastic_movement_is_remembered_as_worked_by_hand() -> None:
    """Ground yields at 4 su; then the rows alone resist; unloading follows ground and rows."""
    per_area = 2 * K_ROW / 4.0  # rows over the height, kN/m3
    elastic = 2 * K_GROUND + per_area
    first, q = 100.0, 180.0
    yields = 4 * SU * elastic / (2 * K_GROUND)
    set_left = (q - 4 * SU) / per_area - q / elastic
    w = translating(first, 0.0, q, 0.0, q, 0.5 * q, q, 0.0)
    assert first < yields < q
    assert w[0] == pytest.approx(first / elastic, rel=1e-4)
    assert w[1] == pytest.approx(0.0, abs=1e-9)
    assert w[2] == pytest.approx((q - 4 * SU) / per_area, rel=1e-4)
    assert w[3] == pytest.approx(set_left, rel=1e-4)
    assert w[4] == pytest.approx(w[2], rel=1e-6)
    assert w[5] == pytest.approx(w[2] - 0.5 * q / elastic, rel=1e-4)
    assert w[6] == pytest.approx(w[2], rel=1e-6)
    assert w[7] == pytest.approx(w[3], rel=1e-6)


def test_ground_that_yields_both_ways_settles_into_a_loop() -> None:
    """Beyond twice the elastic range unloading yields too: the loop repeats from the first turn."""
    q = 400.0
    w = translating(q, 0.0, q, 0.0, q)
    per_area = 2 * K_ROW / 4.0
    assert w[0] == pytest.approx((q - 4 * SU) / per_area, rel=1e-4)
    assert w[1] == pytest.approx(4 * SU / per_area, rel=1e-4)
    assert w[2:] == pytest.approx([w[0], w[1], w[0]], rel=1e-6)


@pytest.mark.parametrize(
    "change",
    [
        {"load": 25.0},
        {"pressure": (0.0, 2.0, 8.0)},
        {"water_r": 2.0},
    ],
    ids=["load", "pressure", "water"],
)
@pytest.mark.parametrize("name", STAGED)
def test_stages_undone_again_and_again_come_to_rest(name: str, change: dict[str, float]) -> None:
    """What the first round leaves is the plastic set; further rounds add less and less."""
    wall = STAGED[name]
    last = replace(wall.stages[-1], water_r=min(wall.stages[-1].water_r, wall.length))
    rounds = 30
    stages = (*wall.stages, last, *(replace(last, **change), last) * rounds)
    found = run(replace(wall, stages=stages, marks=(2.0,)))
    assert found.stands
    off = found.w[len(wall.stages) :: 2]
    moved = np.abs(found.w[len(wall.stages) + 1] - off[0]).max()
    added = np.abs(np.diff(off, axis=0)).max(axis=1)
    assert added[-1] <= 1e-3 * moved
    assert added[-1] <= 0.1 * added[0] + 1e-12
    assert all(b <= 1.001 * a + 1e-8 for a, b in pairwise(added[1:]))


def test_an_anchor_slackened_and_stressed_again_comes_back() -> None:
    """Within the elastic range of strong ground, the load of a row can go down and up again."""
    ground = Layer(gamma=10.0, gamma_sat=10.0, su=1e5, K0=0.0, kh=4000.0)
    loads = (0.0, 100.0, 30.0, 100.0, 0.0)
    stages = tuple(Stage(0.0, -20.0, -20.0, undrained=True, rows=(S,), lock=(T,)) for T in loads)
    found = run(Wall(8.0, stages, (ground,), (Row(2.0),)))
    assert found.stands
    scale = np.abs(found.w[1]).max()
    assert found.w[2] == pytest.approx(0.3 * found.w[1], abs=1e-8 * scale)
    assert found.w[3] == pytest.approx(found.w[1], abs=1e-8 * scale)
    assert found.w[4] == pytest.approx(found.w[0], abs=1e-8 * scale)


def test_stiffness_that_changes_leaves_deflection_and_moment(wall: Wall) -> None:
    """A wall that cracks or gains bending stiffness under load stays where it is."""
    last = wall.stages[-1]
    found = run(replace(wall, stages=(*wall.stages, replace(last, stiffness=0.4), last)))
    assert found.stands
    for s in (-2, -1):
        assert found.w[s] == pytest.approx(found.w[-3], abs=1e-9 * np.abs(found.w[-3]).max())
        assert found.M[s] == pytest.approx(found.M[-3], abs=1e-7 * np.abs(found.M[-3]).max())


def test_a_softer_stage_bends_by_its_own_stiffness() -> None:
    """After the change only what is added bends the softer beam: a cantilever without ground."""
    air = Layer(gamma=0.0, gamma_sat=0.0, Ka=0.0, Kp=0.0, K0=0.0, kh=0.0)
    hold, L, q, EI = 1e5, 4.0, 10.0, 20000.0
    rows = (
        *(Row(z, 1e9, hold, 2 * hold) for z in (L, 6.0)),
        *(Row(z, lock=-hold) for z in (L, 6.0)),
    )
    one = Stage(6.0, rows=(G, G, S, S), pressure=(0.0, L, q))
    stages = (one, replace(one, pressure=(0.0, L, 2 * q), stiffness=0.5))
    found = run(Wall(6.0, stages, (air,), rows, EI=EI, EI_below=(L, EI * 1e5)))
    first, second = found.w[:, 0]
    assert first == pytest.approx(q * L**4 / (8 * EI), rel=1e-3)
    assert second - first == pytest.approx(q * L**4 / (8 * 0.5 * EI), rel=1e-3)


# stability of the material


@pytest.mark.parametrize("name", STAGED)
def test_ground_gives_work_to_no_load(name: str) -> None:
    """Where only the load on the wall changes, no point of the ground moves with its own push."""
    wall = STAGED[name]
    last = wall.stages[-1]
    turns = (10.0, -5.0, 12.0, 0.0, 15.0)
    more = tuple(replace(last, pressure=(0.0, 2.0, p)) for p in turns)
    found = run(replace(wall, stages=(*wall.stages, *more), marks=(2.0,)))
    assert found.stands
    x = 0.5 + 0.5 / np.sqrt(3) * np.array([-1.0, 1.0])
    shapes = 1 - 3 * x**2 + 2 * x**3, x - 2 * x**2 + x**3, 3 * x**2 - 2 * x**3, x**3 - x**2
    h = found.h[:, None]
    n = len(wall.stages)
    for s in range(n, n + len(turns)):
        w, t = found.w[s] - found.w[s - 1], found.theta[s] - found.theta[s - 1]
        moved = (
            shapes[0] * w[:-1, None] + shapes[1] * h * t[:-1, None]
            + shapes[2] * w[1:, None] + shapes[3] * h * t[1:, None]
        )  # fmt: skip
        work_r = (found.p_r[s] - found.p_r[s - 1]) * moved
        work_c = (found.p_c[s] - found.p_c[s - 1]) * moved
        small = 1e-9 * max(np.abs(work_r).max(), np.abs(work_c).max())
        assert (work_r <= small).all()
        assert (work_c >= -small).all()
        push = (turns[s - n] - (turns[s - n - 1] if s > n else 0.0)) * w[found.z <= 2.0]
        assert push.sum() >= 0.0


@pytest.mark.parametrize("stronger", [{"Kp": 1.15}, {"Ka": 0.85}], ids=["passive", "active"])
@pytest.mark.parametrize("name", WALLS)
def test_stronger_ground_lets_the_wall_move_less(name: str, stronger: dict[str, float]) -> None:
    first, second = run(WALLS[name]), run(improved(WALLS[name], stronger))
    assert second.w[-1].max() <= first.w[-1].max() * (1 + 1e-9)


@pytest.mark.parametrize("name", AT_ONCE)
def test_stiffer_ground_lets_the_wall_move_less(name: str) -> None:
    """Of one cut: where anchors pull a wall back, stiffer ground gives them less to pull back."""
    stiffer = {"kh": 1.5, "kh_gradient": 1.5}
    first, second = run(AT_ONCE[name]), run(improved(AT_ONCE[name], stiffer))
    assert second.w[-1].max() < first.w[-1].max()


def improved(wall: Wall, by: dict[str, float]) -> Wall:
    """Return the wall with properties of all its strata multiplied."""
    layers = (
        replace(layer, **{key: getattr(layer, key) * times for key, times in by.items()})
        for layer in wall.layers
    )
    return replace(wall, layers=tuple(layers))


def test_cohesion_helps(wall: Wall) -> None:
    better = tuple(replace(layer, c=layer.c + 3.0) for layer in wall.layers)
    assert run(replace(wall, layers=better)).w[-1].max() <= run(wall).w[-1].max() * (1 + 1e-9)


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
