"""Laws of design envelopes and of what is added to them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from backstay.anchors.loads import row_loads
from backstay.basis import basis
from backstay.checks import Verdict
from backstay.errors import DesignError
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.pressure import DesignPressures, design_pressures
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, sand, section

RULES = basis("FHWA-IF-99-015")


def pressures(s: Section, service: Service = TEMPORARY) -> DesignPressures:
    return design_pressures(s, profile(s), service, RULES)


@st.composite
def sections(draw: st.DrawFn) -> Section:
    H = draw(st.floats(5.0, 14.0))
    n = draw(st.integers(1, 3))
    rows = tuple(H * (i + draw(st.floats(0.25, 0.75))) / (n + 0.6) for i in range(n))
    strata: list[dict[str, Any]] = []
    tops = [0.0, *sorted(draw(st.lists(st.floats(0.5, 2.0 * H), max_size=3, unique=True)))]
    for top in tops:
        if draw(st.booleans()):
            phi, gamma = draw(st.floats(25.0, 40.0)), draw(st.floats(16.0, 19.9))
            strata.append(sand(-top, phi=phi, gamma=gamma))
        else:
            su, gamma = draw(st.floats(15.0, 90.0)), draw(st.floats(16.0, 20.0))
            kind = "soft clay" if su < 50 else "stiff clay"
            strata.append(clay(-top, su=su, gamma=gamma, kind=kind, friction_angle=25.0))
    loads = [{"kind": "uniform", "name": "q", "pressure": draw(st.floats(0.0, 20.0))}]
    return section(
        *strata,
        H=H,
        rows=rows,
        width=draw(st.floats(5.0, 40.0)),
        water=draw(st.none() | st.floats(0.5, 20.0)),
        surcharges=loads,
    )


@settings(max_examples=60, deadline=None)
@given(sections(), st.sampled_from([TEMPORARY, PERMANENT]))
def test_areas_equal_totals_and_parts_make_the_whole(s: Section, service: Service) -> None:
    try:
        found = pressures(s, service)
    except DesignError:
        return
    for envelope in found.candidates:
        assert_allclose(envelope.diagram.resultant(), envelope.total_load, rtol=1e-9)
        assert max(envelope.diagram.p) == pytest.approx(envelope.p)
    H = s.height
    parts = [found.envelope.diagram, *found.surcharges, found.water, found.earthquake]
    area = sum(d.resultant(0.0, H) for d in parts if d is not None)
    assert_allclose(found.design.resultant(), area, rtol=1e-9)
    assert found.design.z[0] == 0.0
    assert found.design.z[-1] == pytest.approx(H)
    assert all(check.verdict is Verdict.PASS for check in found.checks)
    assert found.reasons
    loads = row_loads([s.depth(r.elevation) for r in s.anchors], H, found.design)
    assert_allclose(sum(r.hinge for r in loads.rows) + loads.reaction_hinge, area, rtol=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.floats(24.0, 38.0), st.floats(0.5, 4.0), st.none() | st.floats(0.5, 9.0))
def test_a_stronger_sand_never_loads_the_wall_more(
    phi: float, more: float, water: float | None
) -> None:
    weak = pressures(section(sand(phi=phi), water=water))
    strong = pressures(section(sand(phi=phi + more), water=water))
    assert strong.envelope.total_load < weak.envelope.total_load


@settings(max_examples=40, deadline=None)
@given(st.floats(15.0, 60.0), st.floats(1.0, 30.0))
def test_a_stronger_clay_never_has_a_higher_ordinate_within_an_envelope(
    su: float, more: float
) -> None:
    forced = {"envelope": "soft clay"}
    weak = pressures(section(clay(su=su), sand(-12.0), pressure=forced))
    strong = pressures(section(clay(su=su + more), sand(-12.0), pressure=forced))
    assert strong.envelope.p <= weak.envelope.p * (1 + 1e-12)


@settings(max_examples=20, deadline=None)
@given(st.floats(26.0, 40.0), st.floats(0.0, 20.0))
def test_cohesion_never_raises_the_total_load(phi: float, c: float) -> None:
    forced = {"envelope": "total load"}
    without = pressures(section(sand(phi=phi), pressure=forced))
    try:
        given_c = pressures(section(sand(phi=phi, cohesion=c), pressure=forced))
    except DesignError:
        return
    assert given_c.envelope.total_load <= without.envelope.total_load * (1 + 1e-6)


@settings(max_examples=20, deadline=None)
@given(st.floats(26.0, 40.0), st.none() | st.floats(0.5, 9.5))
def test_in_uniform_level_sand_the_wedge_finds_the_sand_envelope(
    phi: float, water: float | None
) -> None:
    s = section(sand(phi=phi, gamma=18.0), water=water)
    by_formula = pressures(s).envelope
    wedge = pressures(section(sand(phi=phi), water=water, pressure={"envelope": "total load"}))
    assert by_formula.kind == "sand"
    assert_allclose(wedge.envelope.total_load, by_formula.total_load, rtol=1e-4)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 12.0), st.floats(0.5, 8.0))
def test_a_steeper_slope_never_loads_the_wall_less(slope: float, more: float) -> None:
    flat = pressures(section(sand(), ground={"slope": slope}))
    steep = pressures(section(sand(), ground={"slope": slope + more}))
    assert steep.envelope.total_load > flat.envelope.total_load * (1 - 1e-6)
