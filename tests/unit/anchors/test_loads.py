"""Loads of rows: closed forms, equilibrium, and rows that are refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from backstay.anchors.loads import RowLoads, row_loads
from backstay.anchors.spans import hinge_reactions, simple_spans
from backstay.errors import DesignError
from backstay.pressure.diagram import Diagram
from backstay.pressure.envelopes.trapezoid import trapezoid
from backstay.trace import Computed, Remark


def symbols(loads: RowLoads) -> set[str]:
    return {s.formula.id.split(".")[-1] for s in loads.steps if isinstance(s, Computed)}


def test_the_closed_forms_are_shown_for_the_pure_envelope_only() -> None:
    rows, H = [2.5, 6.25], 10.0
    envelope = trapezoid("e", 40.0, H, rows)
    assert "hinge_first" in symbols(row_loads(rows, H, envelope))
    with_water = Diagram("d", (*envelope.z[:-1], H), (*envelope.p[:-1], 5.0))
    assert "hinge_first" not in symbols(row_loads(rows, H, with_water))


def test_one_row_is_moment_about_subgrade() -> None:
    loads = row_loads([2.0], 8.0, Diagram("triangle", (0.0, 8.0), (0.0, 48.0)))
    # 192 kN/m at 2/3 of 8 m: about subgrade 192 * 8/3 = T * 6
    assert loads.rows[0].horizontal == pytest.approx(192 * (8 / 3) / 6)
    assert loads.rows[0].tributary == loads.rows[0].hinge
    assert loads.reaction == pytest.approx(192 - 192 * (8 / 3) / 6)


def test_larger_of_both_methods_is_carried() -> None:
    rows, H = [2.5, 6.25], 10.0
    loads = row_loads(rows, H, trapezoid("e", 43.569, H, rows))
    for row in loads.rows:
        assert row.horizontal == max(row.tributary, row.hinge)
    assert loads.rows[0].horizontal == loads.rows[0].hinge
    assert loads.rows[1].horizontal == loads.rows[1].tributary
    assert loads.reaction == loads.reaction_hinge > loads.reaction_tributary


@pytest.mark.parametrize(
    ("depths", "reason"),
    [
        ([], "no row"),
        ([0.0], "not between"),
        ([-1.0], "not between"),
        ([10.0], "not between"),
        ([3.0, 12.0], "row 2"),
        ([4.0, 3.0], "not below row 1"),
        ([4.0, 4.0], "not below row 1"),
        ([float("nan")], "not between"),
    ],
)
def test_rows_out_of_place_are_refused(depths: list[float], reason: str) -> None:
    with pytest.raises(DesignError, match=reason):
        row_loads(depths, 10.0, Diagram("d", (0.0, 10.0), (10.0, 10.0)))


def test_a_row_without_load_is_refused() -> None:
    with pytest.raises(DesignError, match="no load toward the cut"):
        row_loads([3.0], 10.0, Diagram("d", (0.0, 10.0), (0.0, 0.0)))


def test_pressure_below_subgrade_is_left_to_the_toe() -> None:
    short = row_loads([3.0], 10.0, Diagram("d", (0.0, 10.0), (10.0, 10.0)))
    long = row_loads([3.0], 10.0, Diagram("d", (0.0, 14.0), (10.0, 10.0)))
    assert long.rows == short.rows
    assert long.reaction == short.reaction


def test_hinged_spans_need_two_supports() -> None:
    with pytest.raises(ValueError, match="two supports"):
        simple_spans([1.0], Diagram("d", (0.0, 1.0), (0.0, 1.0)), top=0.0, bottom=1.0)


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[float], float, Diagram]:
    H = draw(st.floats(4.0, 20.0))
    shares = draw(st.lists(st.floats(0.08, 1.0), min_size=2, max_size=6))
    whole = sum(shares)
    depths, z = [], 0.0
    for share in shares[:-1]:
        z += share / whole * H
        depths.append(z)
    n = draw(st.integers(2, 6))
    corners = sorted(draw(st.lists(st.floats(0.0, 1.0), min_size=n, max_size=n)))
    pressures = draw(st.lists(st.floats(1.0, 90.0), min_size=n + 2, max_size=n + 2))
    return depths, H, Diagram("d", (0.0, *(c * H for c in corners), H), tuple(pressures))


@given(cases())
def test_each_method_is_in_horizontal_equilibrium(case: tuple[list[float], float, Diagram]) -> None:
    depths, H, diagram = case
    try:
        loads = row_loads(depths, H, diagram)
    except DesignError:
        return
    area = diagram.resultant()
    assert_allclose(sum(r.tributary for r in loads.rows) + loads.reaction_tributary, area)
    assert_allclose(sum(r.hinge for r in loads.rows) + loads.reaction_hinge, area)
    assert sum(r.horizontal for r in loads.rows) + loads.reaction >= area * (1 - 1e-12)


@given(cases())
def test_the_hinge_method_is_in_moment_equilibrium(
    case: tuple[list[float], float, Diagram],
) -> None:
    depths, H, diagram = case
    supports = [*depths, H]
    reactions = hinge_reactions(supports, diagram, top=0.0, bottom=H)
    for about in (0.0, depths[0], H):
        held = sum(r * (z - about) for r, z in zip(reactions, supports, strict=True))
        assert_allclose(held, diagram.moment_about(about), rtol=1e-9, atol=1e-7)
    for i, hinge in enumerate(depths[1:], start=1):
        # no moment at a hinge: what hangs above it is in equilibrium about it
        above = sum(r * (z - hinge) for r, z in zip(reactions[:i], supports[:i], strict=True))
        assert_allclose(above, diagram.moment_about(hinge, 0.0, hinge), rtol=1e-9, atol=1e-7)


@pytest.mark.parametrize(("depth", "back"), [(3.0, False), (4.9, False), (5.1, True), (7.0, True)])
def test_a_single_row_below_the_middle_of_its_envelope_makes_the_foot_bear_back(
    depth: float, back: bool
) -> None:
    """23 H^2 - 10 H H1 over 54 (H - H1) is 2/3 H at the middle: then nothing is left at subgrade."""
    loads = row_loads([depth], 10.0, trapezoid("e", 40.0, 10.0, [depth]))
    assert (loads.reaction < 0.0) is back
    said = any(isinstance(s, Remark) and "bears back" in s.text for s in loads.steps)
    assert said is back
