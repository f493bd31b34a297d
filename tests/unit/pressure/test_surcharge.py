"""Diagrams of surcharges: where they start, jump and end."""

from __future__ import annotations

from math import radians
from typing import Any

import pytest

from backstay.ground import profile
from backstay.pressure.diagram import Diagram
from backstay.pressure.rankine import rankine_active
from backstay.pressure.surcharge import strip_pressure, surcharge_diagram
from backstay.trace import Remark, Stated, trace
from tests.unit.pressure.grounds import clay, rock, sand, section


def diagram(load: dict[str, Any], *strata: dict[str, Any], **more: Any) -> Diagram:
    s = section(*(strata or (sand(),)), surcharges=[{"name": "load", **load}], **more)
    return surcharge_diagram(s.surcharges[0], s, profile(s))


STRIP = {"kind": "strip", "pressure": 100.0, "distance": 1.0, "width": 2.0}


def test_uniform_load_jumps_where_the_coefficient_does() -> None:
    d = diagram(
        {"kind": "uniform", "pressure": 20.0}, sand(), clay(-4), rock(-8, friction_angle=40)
    )
    assert d.at(2.0) == pytest.approx(20 * rankine_active(radians(32)))
    assert d.at(4.0, below=False) < d.at(4.0) == 20.0
    assert d.at(9.0) == pytest.approx(20 * rankine_active(radians(40)))


def test_stiff_clay_with_friction_passes_its_active_share() -> None:
    d = diagram({"kind": "traffic", "pressure": 12.0}, clay(kind="stiff clay", friction_angle=25))
    assert d.at(1.0) == pytest.approx(12 * rankine_active(radians(25)))


def test_a_strip_at_the_wall_presses_with_its_load_at_the_top() -> None:
    d = diagram({**STRIP, "distance": 0.0})
    assert d.at(0.0) == pytest.approx(100.0, rel=1e-6)


def test_a_load_founded_below_the_surface_starts_at_its_level() -> None:
    d = diagram({**STRIP, "elevation": -3.0})
    assert d.at(2.9) == 0.0
    assert d.at(4.0) == pytest.approx(strip_pressure(100, 1.0, 1, 3), rel=0.01)


def test_a_line_founded_below_the_surface_sees_the_height_below_it() -> None:
    surface = diagram({"kind": "line", "load": 50.0, "distance": 5.0}, H=7.0)
    deep = diagram({"kind": "line", "load": 50.0, "distance": 5.0, "elevation": -3.0})
    assert deep.resultant() == pytest.approx(surface.resultant(), rel=1e-9)
    assert deep.centroid() == pytest.approx(surface.centroid() + 3.0, rel=1e-9)


def test_a_load_on_ground_below_the_top_of_wall_starts_there() -> None:
    falling = {"profile": [{"distance": 0, "elevation": 0}, {"distance": 1, "elevation": -1}]}
    assert diagram(STRIP, ground=falling).at(0.9) == 0.0
    rising = {"slope": "15 deg"}
    assert diagram(STRIP, ground=rising) == diagram(STRIP)


def test_no_load_is_no_pressure() -> None:
    assert diagram({**STRIP, "pressure": 0.0}).resultant() == 0.0


def test_a_load_below_the_cut_is_said_not_to_press() -> None:
    s = section(sand(), surcharges=[{"name": "deep", **STRIP, "elevation": -12.0}])
    with trace() as t:
        d = surcharge_diagram(s.surcharges[0], s, profile(s), to=15.0)
    assert d.resultant() == 0.0
    assert any(isinstance(x, Remark) and "does not press" in x.text for x in t.steps)


def test_the_peak_is_derived_and_its_depth_stated() -> None:
    s = section(sand(), surcharges=[{"name": "strip", **STRIP}])
    with trace() as t:
        d = surcharge_diagram(s.surcharges[0], s, profile(s))
    (depth,) = (x for x in t.steps if isinstance(x, Stated))
    assert depth.value == d.z[max(range(len(d.p)), key=d.p.__getitem__)]
    assert depth.value == pytest.approx(0.98, abs=0.1)


def test_few_points_suffice() -> None:
    assert len(diagram(STRIP).z) < 60
