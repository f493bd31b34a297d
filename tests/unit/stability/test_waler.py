"""Beams along rows of a slope: actions in equilibrium, ground under them, strength of either kind."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.basis import basis
from backstay.checks import Check, Verdict
from backstay.errors import DesignError
from backstay.stability.slope_design import SlopeDesign, design_slope
from backstay.stability.waler import continuous_beam, equal_anchors
from tests.unit.slopes import CONCRETE, STEEL, changed, read

RULES = basis("FHWA-IF-99-015")


def designed(waler: dict[str, Any], life: str = "permanent", **changes: Any) -> SlopeDesign:
    data = changed(pad=None, waler=waler, earthquake=None, **changes)
    data["service"] = {"life": life, **({"months": 12} if life == "temporary" else {})}
    project = read(data)
    return design_slope(project.slopes[0], project.service, RULES)


def the(done: SlopeDesign, id: str, where: str = "row 1") -> Check:
    return next(c for c in done.checks if c.id == id and c.where == where)


@settings(max_examples=60, deadline=None)
@given(n=st.integers(1, 12), s=st.floats(1.0, 5.0), a=st.floats(0.1, 3.0), w=st.floats(10, 500))
def test_beams_are_in_equilibrium_and_scale(n: int, s: float, a: float, w: float) -> None:
    for beam in (continuous_beam, equal_anchors):
        one, twice = beam(n, s, a, w), beam(n, s, a, 2 * w)
        assert one.residual < 1e-9
        assert twice.over == pytest.approx(2 * one.over)
        assert twice.shear == pytest.approx(2 * one.shear)
        assert one.over >= 0.5 * w * a * a * (1 - 1e-9)
        assert one.shear >= w * a * (1 - 1e-9)


@settings(max_examples=30, deadline=None)
@given(n=st.integers(2, 9), s=st.floats(1.0, 4.0), a=st.floats(0.0, 2.0))
def test_equal_anchors_against_sums_over_the_beam(n: int, s: float, a: float) -> None:
    """The moment at any place is that of all that lies to its left."""
    w = 100.0
    P = w * ((n - 1) * s + 2 * a) / n
    x = np.linspace(0.0, (n - 1) * s + 2 * a, 4001)
    at = a + s * np.arange(n)
    moment = 0.5 * w * x**2 - P * np.clip(x[:, None] - at, 0.0, None).sum(axis=1)
    found = equal_anchors(n, s, a, w)
    assert found.over == pytest.approx(max(0.0, moment.max()), rel=1e-3, abs=1e-3 * w * s * s)
    assert found.between == pytest.approx(max(0.0, -moment.min()), rel=1e-3, abs=1e-3 * w * s * s)


def test_a_concrete_beam_by_hand() -> None:
    done = designed(CONCRETE)
    anchor = done.rows[0].anchor
    n, s = 12, anchor.spacing  # more anchors change nothing
    a = 0.4 * s
    w = n * 1.6 * anchor.test_load / ((n - 1) * s + 2 * a)
    moment = max(
        max(f.over, f.between) for f in (continuous_beam(n, s, a, w), equal_anchors(n, s, a, w))
    )
    shear = max(f.shear for f in (continuous_beam(n, s, a, w), equal_anchors(n, s, a, w)))
    bending = the(done, "slope.waler-bending")
    assert bending.demand == pytest.approx(moment)
    block = 3200e-6 * 500e3 / (0.85 * 35e3 * 1.4)
    assert bending.capacity == pytest.approx(0.9 * 3200e-6 * 500e3 * (0.62 - block / 2))
    sheared = the(done, "slope.waler-shear")
    assert sheared.demand == pytest.approx(shear - w * 0.62)
    concrete = 0.17 * 35**0.5 * 1000 * 1.4 * 0.62
    assert sheared.capacity == pytest.approx(0.75 * (concrete + 16e-4 * 500e3 * 0.62))
    assert "slope.waler-sliding" not in {c.id for c in done.checks}


def test_the_ground_under_a_beam_by_hand() -> None:
    done = designed({**CONCRETE, "seat": "on the face"}, anchors={"inclination": 45})
    anchor = done.rows[0].anchor
    n, s = 12, anchor.spacing
    q = n * anchor.design_load / ((n - 1) * s + 0.8 * s) / 1.4
    bearing = the(done, "slope.waler-bearing")
    steps = {getattr(x, "symbol", getattr(getattr(x, "formula", None), "symbol", "")): x.value
             for x in bearing.steps if hasattr(x, "value")}  # fmt: skip
    assert steps["q"] == pytest.approx(q)
    assert bearing.demand == pytest.approx(steps["q_ult"] / q)
    assert "slope.waler-sliding" in {c.id for c in done.checks}


def test_a_wider_beam_that_is_named_is_enough() -> None:
    narrow = designed({**CONCRETE, "width": 0.5})
    check = the(narrow, "slope.waler-bearing")
    assert check.verdict is Verdict.FAIL
    width = float(check.remedy.split("{length:")[1].split("}")[0])
    assert 0.5 < width < 5.0
    assert (
        the(designed({**CONCRETE, "width": width}), "slope.waler-bearing").verdict is Verdict.PASS
    )
    assert (
        "no beam is wide enough"
        in the(
            designed({**CONCRETE, "seat": "on the face", "width": 0.5}), "slope.waler-bearing"
        ).remedy
    )


def test_a_steel_beam_carries_what_a_pile_of_it_carries() -> None:
    permanent, temporary = designed(STEEL), designed(STEEL, life="temporary")
    a, b = (the(d, "slope.waler-bending") for d in (permanent, temporary))
    assert a.capacity == pytest.approx(b.capacity * 0.55 / 0.66, rel=0.02)
    single = the(designed({**STEEL, "arrangement": "single"}), "slope.waler-bending")
    assert single.capacity == pytest.approx(a.capacity / 2, rel=0.05)
    assert a.note.startswith("2 x HEB240")
    w = a.demand
    assert w > 0.0


def test_more_of_everything_helps() -> None:
    plain = designed(CONCRETE)
    bars = designed({**CONCRETE, "reinforcement": "5000 mm**2"})
    links = designed({**CONCRETE, "links": "40 cm**2/m"})
    ends = designed({**CONCRETE, "end": 3.0})
    assert (
        the(bars, "slope.waler-bending").utilisation < the(plain, "slope.waler-bending").utilisation
    )
    assert the(links, "slope.waler-shear").utilisation < the(plain, "slope.waler-shear").utilisation
    assert the(ends, "slope.waler-bending").demand > the(plain, "slope.waler-bending").demand


def test_a_beam_on_one_anchor_needs_an_end() -> None:
    with pytest.raises(DesignError, match="state its end"):
        designed({**CONCRETE, "end": 0}, run=1.5)
    assert the(designed({**CONCRETE, "end": 0.8}, run=1.5), "slope.waler-bending").demand > 0.0


def test_a_steel_beam_by_hand() -> None:
    """Test load at ordinary allowable stress: 0.4 f_y on webs of 2 HEB240, 10 mm by 240 mm.

    f_y 345 MPa for S355 of more than 16 mm, as the flange is (EN 10025-2; both from memory).
    """
    done = designed(STEEL)
    anchor = done.rows[0].anchor
    n, s = 12, anchor.spacing
    a = 0.4 * s
    w = n * anchor.test_load / ((n - 1) * s + 2 * a)
    both = continuous_beam(n, s, a, w), equal_anchors(n, s, a, w)
    bending, shear = the(done, "slope.waler-bending"), the(done, "slope.waler-shear")
    assert bending.demand == pytest.approx(max(max(b.over, b.between) for b in both))
    assert shear.demand == pytest.approx(max(b.shear for b in both))
    assert shear.capacity == pytest.approx(2 * 0.4 * 345e3 * 0.24 * 0.01, rel=1e-3)


def test_a_beam_far_beyond_its_last_anchor_is_held_over_that_length() -> None:
    """The length without bracing is the longer of spacing and end."""
    weak = {**STEEL, "section": "HEB240", "arrangement": "single"}
    near, far = (the(designed({**weak, "end": e}), "slope.waler-bending") for e in (0.5, 12.0))
    assert far.capacity < 0.8 * near.capacity


@pytest.mark.parametrize(
    "waler",
    [
        CONCRETE,
        {**CONCRETE, "reinforcement": "400 mm**2", "links": "0 cm**2/m", "effective_depth": 0.2},
        STEEL,
        {**STEEL, "section": "HEB100", "arrangement": "single"},
    ],
    ids=["strong concrete", "weak concrete", "strong steel", "weak steel"],
)
def test_what_would_help_is_told_where_it_fails_and_only_there(waler: dict[str, Any]) -> None:
    checks = [c for c in designed(waler).checks if c.id.startswith("slope.waler")]
    assert len(checks) >= 6
    for check in checks:
        assert bool(check.remedy) is (check.verdict is Verdict.FAIL), check.id
    weak = {c.id for c in checks if c.verdict is Verdict.FAIL}
    if waler not in (CONCRETE, STEEL):
        assert {"slope.waler-bending", "slope.waler-shear"} <= weak
    else:
        assert "slope.waler-shear" not in weak


def test_pads_carry_the_design_load_on_ground_and_the_test_load_in_concrete() -> None:
    project = read(changed())
    (slope,) = project.slopes
    done = design_slope(slope, project.service, RULES)
    assert slope.pad is not None
    for row in done.rows:
        steps = {
            getattr(x, "symbol", getattr(getattr(x, "formula", None), "symbol", "")): x.value
            for name in ("bearing", "punching")
            for x in the(done, f"slope.pad-{name}", f"row {row.row}").steps if hasattr(x, "value")
        }  # fmt: skip
        assert steps["q"] == pytest.approx(row.anchor.design_load / slope.pad.side**2)
        assert steps["P_u"] == pytest.approx(1.6 * row.anchor.test_load)
