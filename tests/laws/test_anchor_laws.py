"""Laws that every design of anchors obeys: equilibrium, monotony, symmetry, any unit system."""

from __future__ import annotations

from math import cos, degrees, isclose, radians, sin, tan
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.anchors import AnchorDesign
from backstay.anchors.bond import GroundAlong
from backstay.anchors.geometry import Axis, segments_distance
from backstay.anchors.schedule import planned_tests
from backstay.ground import profile
from backstay.model.project import Section
from backstay.quantity import QUANTITIES, UnitSystem
from tests.unit.anchors.example import BASE, BASIS, ROW, SAND, anchors, merged, section

angles = st.floats(10, 45)
skews = st.floats(-40, 40)
points = st.tuples(*[st.floats(-9, 9)] * 3)


def one(
    horizontal: float = 120.0, row: dict[str, Any] | None = None, **changes: Any
) -> AnchorDesign:
    return anchors(section(row or {}, **changes), horizontal)[0]


@settings(max_examples=60, deadline=None)
@given(T=st.floats(20, 400), i=angles, psi=skews, spacing=st.floats(1.5, 4))
def test_anchors_hold_the_load_of_their_row(T: float, i: float, psi: float, spacing: float) -> None:
    row = {"inclination": f"{i} deg", "skew": f"{psi} deg"}
    anchor = one(T, row, wall={"spacing": spacing})
    held = anchor.design_load * cos(anchor.inclination) * cos(anchor.skew) / anchor.spacing
    assert isclose(held, T, rel_tol=1e-12)
    assert isclose(
        anchor.vertical,
        anchor.design_load * sin(anchor.inclination) / anchor.spacing,
        rel_tol=1e-12,
    )
    assert anchor.test_load <= 0.8 * anchor.tendon.strength * (1 + 1e-9)
    assert anchor.design_load <= 0.6 * anchor.tendon.strength * (1 + 1e-9)


@settings(max_examples=60, deadline=None)
@given(i=angles, psi=skews, phi=st.floats(25, 40), z=st.floats(1, 8))
def test_the_bond_zone_starts_behind_the_critical_plane(
    i: float, psi: float, phi: float, z: float
) -> None:
    row = {"inclination": f"{i} deg", "skew": f"{psi} deg", "elevation": 100 - z}
    anchor = one(100.0, row, ground={"strata": [merged(SAND, {"friction_angle": f"{phi} deg"})]})
    x, depth = anchor.free_end
    plane = x * tan(radians(45 + phi / 2))
    assert 10.0 - depth < plane
    assert anchor.unbonded_length >= anchor.surface_length + 2.0 - 1e-9
    assert isclose(anchor.unbonded_length, max(r.length for r in anchor.unbonded_rules))


@settings(max_examples=40, deadline=None)
@given(phi=st.floats(25, 39), more=st.floats(0.1, 5))
def test_stronger_ground_never_asks_for_a_longer_free_length(phi: float, more: float) -> None:
    weak, strong = (
        one(ground={"strata": [merged(SAND, {"friction_angle": f"{p} deg"})]}).surface_length
        for p in (phi, phi + more)
    )
    assert strong <= weak + 1e-12


@settings(max_examples=60, deadline=None)
@given(
    load=st.floats(50, 2000), start=st.floats(3, 12), i=st.floats(0, 45),
    transfers=st.lists(st.floats(20, 400), min_size=1, max_size=5),
)  # fmt: skip
def test_required_bond_length_carries_the_load_exactly(
    load: float, start: float, i: float, transfers: list[float]
) -> None:
    strata = [
        merged(
            SAND, {"name": f"S{k}", "top": 100.0 - 2.5 * k, "bond": {"transfer": t, "source": "x"}}
        )
        for k, t in enumerate(transfers)
    ]
    ground = profile(section(ground={"strata": strata}))
    along = GroundAlong(Axis(2.0, radians(i)), ground, start, 0.15, BASIS)
    length = along.length_for("gravity", load)
    parts = along.parts("gravity", length)
    assert isclose(sum(p.length for p in parts), length, rel_tol=1e-9)
    assert isclose(sum(p.transfer * p.length / p.safety for p in parts), load, rel_tol=1e-9)
    more = along.parts("gravity", 1.1 * length)
    assert sum(p.transfer * p.length for p in more) > sum(p.transfer * p.length for p in parts)


@settings(max_examples=100, deadline=None)
@given(points, points, points, points, points)
def test_distance_of_segments_is_symmetric_and_moves_with_them(
    p: Any, q: Any, r: Any, s: Any, shift: Any
) -> None:
    def moved(a: Any) -> Any:
        return tuple(x + y for x, y in zip(a, shift, strict=True))

    d = segments_distance(p, q, r, s)
    assert isclose(d, segments_distance(r, s, q, p), rel_tol=1e-6, abs_tol=1e-6)
    assert isclose(
        d, segments_distance(moved(p), moved(q), moved(r), moved(s)), rel_tol=1e-6, abs_tol=1e-6
    )


@settings(max_examples=60, deadline=None)
@given(length=st.floats(2, 900), spacing=st.floats(1.2, 4), rows=st.integers(1, 5))
def test_every_anchor_is_tested_once_and_enough_are_performance_tested(
    length: float, spacing: float, rows: int
) -> None:
    made = section(
        wall_length=length, wall={"spacing": spacing},
        anchors=[merged(ROW, {"elevation": 98.5 - 1.5 * k}) for k in range(rows)],
    )  # fmt: skip
    plan = planned_tests(made.wall_length, anchors(made))
    total = sum(t.number for t in plan)
    performance = sum(t.performance for t in plan)
    assert all(t.performance + t.extended_creep + t.proof == t.number for t in plan)
    assert all(t.number * spacing >= length * (1 - 1e-5) for t in plan)
    assert performance >= min(3, total) + 0.02 * max(0, total - 3) - 1e-9


def test_the_same_project_in_si_and_us_is_the_same_design() -> None:
    """Write the section out in bare US numbers and read it back."""

    def us(value: float, name: str) -> float:
        return QUANTITIES[name].shown(value, UnitSystem.US)

    data = merged(BASE, {})
    stratum = data["ground"]["strata"][0]
    stratum["top"] = us(100.0, "length")
    for key in ("moist_unit_weight", "saturated_unit_weight"):
        stratum[key] = us(stratum[key], "unit weight")
    data["ground"]["top"], data["cut"]["subgrade"] = us(100.0, "length"), us(90.0, "length")
    data["wall_length"] = us(40.0, "length")
    data["wall"]["spacing"] = us(2.0, "length")
    row = data["anchors"][0]
    row["elevation"] = us(97.5, "length")
    row["bond"]["length"] = us(8.0, "length")
    made = Section.model_validate(data, context={"units": UnitSystem.US})
    read = anchors(made)[0]
    want = one()
    for name in (
        "required_load", "unbonded_length", "surface_length", "bond_length", "total_length",
        "elongation", "lock_off_loss", "vertical",
    ):  # fmt: skip
        assert getattr(read, name) == pytest.approx(getattr(want, name), rel=1e-9), name
    assert read.tendon == want.tendon
    assert [c.id for c in read.checks] == [c.id for c in want.checks]
    for a, b in zip(read.checks, want.checks, strict=True):
        assert a.utilisation == pytest.approx(b.utilisation, rel=1e-9), a.id
        assert a.verdict is b.verdict
    assert planned_tests(made.wall_length, (read,)) == planned_tests(section().wall_length, (want,))
    assert degrees(read.inclination) == pytest.approx(15.0)
