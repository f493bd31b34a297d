"""Laws of the staged kernel: balance, memory, monotony, energy."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tests.unit.wall.staged.arrays import (
    DRY,
    HOLDING,
    STRESSING,
    Layer,
    Outcome,
    Row,
    Stage,
    Wall,
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
