"""Deep sliding: equilibrium of the block by a second way, combinations, water, loads, lengths."""

from __future__ import annotations

from math import atan, cos, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.stability.deep_sliding import (
    DeepSlidingDesign,
    Slide,
    Tie,
    chains,
    deep_sliding,
    rows_in_words,
)
from backstay.trace import Computed, Stated
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_toe import RULES, section

FOOT = 9.0


def tie(row: int, z: float, length: float, force: float = 100.0, slope: float = 15.0) -> Tie:
    return Tie(row, z, length, radians(slope), force, cos(radians(slope)))


def slid(*ties: Tie, strata: tuple[dict[str, Any], ...] = (), **more: Any) -> DeepSlidingDesign:
    s = section(*(strata or (sand(phi=32.5, wall_friction_ratio=2 / 3),)), H=7.0, **more)
    return deep_sliding(s, profile(s), ties, [FOOT], RULES)


def values(d: DeepSlidingDesign, check: int = 0) -> dict[str, float]:
    return {
        s.formula.symbol if isinstance(s, Computed) else s.symbol: s.value
        for s in d.checks[check].steps
        if isinstance(s, Computed | Stated)
    }


def test_the_block_is_in_equilibrium_at_the_sliding_force() -> None:
    """Solve both equations of equilibrium for the normal force and the anchor force."""
    strata = (
        sand(phi=30.0, wall_friction_ratio=0.5),
        sand(-4.0, phi=36.0, gamma=19.0, cohesion=3.0),
    )
    d = slid(tie(1, 2.0, 11.0), strata=strata, water={"retained": -5.0})
    v = values(d)
    th, eps = v["theta"], radians(15)
    # unknowns: effective normal force N on the plane, horizontal anchor force A
    a = np.array(
        [
            [-sin(th) + tan(v["phi"]) * cos(th), -1.0],
            [cos(th) + tan(v["phi"]) * sin(th), tan(eps)],
        ]
    )
    b = np.array(
        [
            v["E_1"] + v["W_1"] - v["E_ah"] - v["W_a"] + v["U"] * sin(th) - v["C"] * cos(th),
            v["G"] - v["E_av"] - v["U"] * cos(th) - v["C"] * sin(th),
        ]
    )
    N, A = np.linalg.solve(a, b)
    assert N > 0
    assert d.slides[0].sliding == pytest.approx(A, rel=1e-9)
    assert d.slides[0].safety == pytest.approx(A / 100.0, rel=1e-9)


def test_layers_and_water_add_up_by_a_fine_sum() -> None:
    strata = (sand(phi=30.0), sand(-4.0, phi=36.0, gamma=19.0))
    d = slid(tie(1, 2.0, 11.0), strata=strata, water={"retained": -5.0})
    v = values(d)
    x_m, z_m = v["x_m"], 2.0 + 11.0 * sin(radians(15))
    n = 40_000
    x = (np.arange(n) + 0.5) * x_m / n
    z = FOOT + (z_m - FOOT) * x / x_m
    weight = (
        18.0 * np.minimum(z, 4.0) + 19.0 * np.clip(z - 4.0, 0, 1) + 20.0 * np.clip(z - 5.0, 0, None)
    )
    u = 9.81 * np.clip(z - 5.0, 0, None)
    dx = x_m / n
    assert v["G"] == pytest.approx((weight * dx).sum(), rel=1e-6)
    assert v["U"] == pytest.approx((u * dx / cos(v["theta"])).sum(), rel=1e-6)
    phi = np.where(z > 4.0, radians(36.0), radians(30.0))
    mean = (np.tan(phi) * (weight - u)).sum() / (weight - u).sum()
    assert v["phi"] == pytest.approx(atan(mean), rel=1e-4)


def test_two_blocks_are_in_equilibrium_with_a_horizontal_force_between_them() -> None:
    """Solve both blocks at once: two normal forces, the force between, and the safety."""
    d = slid(tie(1, 2.0, 15.0, 120.0), tie(2, 5.5, 9.0, 150.0))
    both = next(s for s in d.slides if s.rows == (1, 2))
    assert both.corners == (2, 1)
    at = d.slides.index(both)
    steps = [s for s in d.checks[at].steps if isinstance(s, Computed | Stated)]

    def each(symbol: str) -> list[float]:
        found = [
            s.value for s in steps
            if (s.formula.symbol if isinstance(s, Computed) else s.symbol) == symbol
        ]  # fmt: skip
        return found if len(found) == 2 else found * 2  # a step alike is recorded once

    th, G, phi = each("theta"), each("G"), each("phi")
    v = values(d, at)
    eps = tan(radians(15))
    a, b = np.zeros((4, 4)), np.zeros(4)  # N1, N2, X, eta
    for i, force in enumerate((150.0, 120.0)):
        a[2 * i, i] = -sin(th[i]) + tan(phi[i]) * cos(th[i])
        a[2 * i, 2] = -1.0 if i == 0 else 1.0
        a[2 * i, 3] = -force
        a[2 * i + 1, i] = cos(th[i]) + tan(phi[i]) * sin(th[i])
        a[2 * i + 1, 3] = force * eps
        b[2 * i] = -v["E_ah"] if i == 0 else v["E_1"]
        b[2 * i + 1] = G[i] - (v["E_av"] if i == 0 else 0.0)
    N1, N2, X, eta = np.linalg.solve(a, b)
    assert min(N1, N2, X) > 0
    assert both.safety == pytest.approx(eta, rel=1e-9)


def test_a_bond_below_the_plane_does_not_pull_and_one_within_does() -> None:
    far_above = slid(tie(1, 2.0, 20.0), tie(2, 4.5, 8.0))
    sets = {s.rows for s in far_above.slides}
    assert (2,) in sets
    assert (1, 2) in sets  # by the hollow surface over the bond of row 2
    inside = slid(tie(1, 2.0, 8.0), tie(2, 4.5, 14.0))
    assert {s.rows for s in inside.slides} == {(1,), (1, 2)}


def test_chains_are_hollow_upward() -> None:
    three = [tie(1, 2.0, 16.0), tie(2, 4.0, 12.0), tie(3, 6.0, 8.0)]
    found = set(chains(three, FOOT))
    assert found == {(1,), (2,), (3,), (2, 1), (3, 1), (3, 2), (3, 2, 1)}
    assert set(chains([tie(1, 2.0, 8.0), tie(2, 4.0, 12.0)], FOOT)) == {(1,), (2,)}


def test_a_longer_anchor_is_safer_and_more_force_less_so() -> None:
    safety = [slid(tie(1, 2.0, length)).slides[0].safety for length in (7.0, 9.0, 11.0, 14.0)]
    assert safety == sorted(safety)
    base = slid(tie(1, 2.0, 11.0, 100.0)).slides[0]
    double = slid(tie(1, 2.0, 11.0, 200.0)).slides[0]
    assert double.safety == pytest.approx(base.safety / 2)


def test_the_least_added_lengths_reach_the_target_and_no_row_could_do_with_less() -> None:
    rows = [tie(1, 2.0, 6.0, 160.0), tie(2, 4.5, 6.0, 160.0)]
    short = slid(*rows)
    assert all(c.verdict is Verdict.FAIL for c in short.checks)
    assert short.lengthened is not None
    added = short.lengthened.added
    for row, extra in added.items():
        assert f"row {row} by {{length:{extra:g}}}" in short.checks[0].remedy
    reached = slid(*(t.longer(added[t.row]) for t in rows))
    assert min(s.safety for s in reached.slides) >= 1.5
    assert short.lengthened.safety == pytest.approx(min(s.safety for s in reached.slides))
    for row in added:
        less = slid(*(t.longer(added[t.row] - (0.011 if t.row == row else 0.0)) for t in rows))
        assert min(s.safety for s in less.slides) < 1.5


def test_where_no_length_is_enough_it_says_so() -> None:
    d = slid(tie(1, 2.0, 6.0, 1e5))
    assert d.lengthened is None
    assert "no length" in d.checks[0].remedy


def test_absent_loads_are_tried_on_the_block_and_off() -> None:
    traffic = [{"kind": "traffic", "name": "T", "pressure": 30.0}]
    bare = slid(tie(1, 2.0, 11.0)).slides[0]
    loaded = slid(tie(1, 2.0, 11.0), surcharges=traffic).slides[0]
    assert loaded.safety < bare.safety
    assert not loaded.loaded  # friction exceeds the plane's angle: the load would help
    always = slid(tie(1, 2.0, 11.0), surcharges=[{**traffic[0], "acts": "permanent"}]).slides[0]
    assert loaded.safety < always.safety


def test_undrained_ground_by_hand() -> None:
    """phi nil: A (1 - tan 15 tan theta) = E_a - E_1 + s_u L cos - (G - s_u L sin) tan(theta)."""
    d = slid(tie(1, 2.0, 11.0), strata=(clay(su=40.0, gamma=18.0),))
    x, z = 11.0 * cos(radians(15)), 2.0 + 11.0 * sin(radians(15))
    th = atan((FOOT - z) / x)
    C = 40.0 * x / cos(th)
    G = 18.0 * x * (FOOT + z) / 2
    E = 0.5 * 18.0 * (FOOT - 80.0 / 18.0) ** 2
    E_1 = 0.5 * 18.0 * (z - 80.0 / 18.0) ** 2
    A = (E - E_1 + C * cos(th) - (G - C * sin(th)) * tan(th)) / (1 - tan(radians(15)) * tan(th))
    assert d.slides[0].safety == pytest.approx(A / 100.0, rel=1e-9)


def test_sloping_ground_adds_weight_and_push() -> None:
    level = values(slid(tie(1, 2.0, 11.0)))
    s = section(sand(phi=32.5, wall_friction_ratio=2 / 3), H=7.0)
    sloped = s.model_copy(update={"ground": s.ground.model_copy(update={"slope": radians(10.0)})})
    d = deep_sliding(sloped, profile(sloped), [tie(1, 2.0, 11.0)], [FOOT], RULES)
    v = values(d)
    x = 11.0 * cos(radians(15))
    assert v["G"] == pytest.approx(level["G"] + 18.0 * 0.5 * x * x * tan(radians(10.0)))
    assert v["E_1"] > level["E_1"]


def test_a_surveyed_surface_gives_the_same_as_the_same_slope() -> None:
    ground = {
        "profile": [{"distance": 0.0, "elevation": 0.0}, {"distance": 100.0, "elevation": 10.0}]
    }
    s = section(sand(phi=32.5), H=7.0)
    slope = s.model_copy(update={"ground": s.ground.model_copy(update={"slope": atan(0.1)})})
    data = s.model_dump()
    surveyed = type(s).model_validate(
        {**data, "ground": {**data["ground"], **ground,
                            "strata": [sand(phi=32.5)]}, "wall": {"kind": "soldier piles",
         "section": "auto", "spacing": 2.4, "hole_diameter": 0.6}, "anchors": [{"elevation": -2.0}],
         "earthquake": None}
    )  # fmt: skip
    both: list[Slide] = [
        deep_sliding(made, profile(made), [tie(1, 2.0, 11.0)], [FOOT], RULES).slides[0]
        for made in (slope, surveyed)
    ]
    assert both[1].safety == pytest.approx(both[0].safety, rel=2e-3)


def test_rows_in_words() -> None:
    assert rows_in_words([1]) == "row 1"
    assert rows_in_words([1, 2]) == "rows 1 and 2"
    assert rows_in_words([1, 2, 3]) == "rows 1, 2 and 3"
