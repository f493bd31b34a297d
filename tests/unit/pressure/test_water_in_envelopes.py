"""Water and the envelopes: seepage, perched water, and strata in total stresses."""

from typing import Any

import pytest

from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.pressure import DesignPressures, design_pressures
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, sand, section

RULES = basis("FHWA-IF-99-015")
SHEETS: dict[str, Any] = {
    "kind": "continuous", "name": "Sheets", "stiffness": 30000.0, "section_modulus": 1600.0,
    "width": 0.4, "allowable_stress": 165.0,
}  # fmt: skip


def pressures(s: Section, service: Service = TEMPORARY) -> DesignPressures:
    return design_pressures(s, profile(s), service, RULES)


def seeping(toe: float | str, envelope: str = "sand", flow: str = "seepage") -> DesignPressures:
    water = {"retained": -4.0, "cut": -10.0, "flow": flow}
    s = section(
        sand(), ground={"water": water}, wall={**SHEETS, "toe": toe},
        pressure={"envelope": envelope},
    )  # fmt: skip
    return pressures(s)


def test_seepage_takes_water_off_and_presses_the_ground_down() -> None:
    still, moving = seeping(-14.0, flow="hydrostatic"), seeping(-14.0)
    assert still.water is not None
    assert moving.water is not None
    # mean gradient 6 / (2 * 14 - 4 - 10) = 3/7
    assert moving.water.resultant() == pytest.approx(still.water.resultant() * (1 - 3 / 7))
    K_a = 1.3 * 0.30725852
    added = K_a * 3 / 7 * 9.81 * 36 / 2
    assert moving.envelope.total_load == pytest.approx(still.envelope.total_load + added)


def test_the_wedge_feels_the_same_seepage_as_the_formula() -> None:
    formula, wedge = seeping(-14.0), seeping(-14.0, "total load")
    assert wedge.envelope.total_load == pytest.approx(formula.envelope.total_load, rel=1e-5)


def test_seepage_with_an_open_toe_is_taken_at_rest_and_said() -> None:
    found, still = seeping("auto"), seeping("auto", flow="hydrostatic")
    assert found.design.resultant() == pytest.approx(still.design.resultant())
    assert any("toe is not fixed" in r for r in found.reasons)
    assert not any("toe is not fixed" in r for r in still.reasons)


def test_perched_water_adds_its_own_triangle_and_buoys_its_ground() -> None:
    perched = {"perched": [{"level": -2.0, "base": -5.0}]}
    dry = pressures(section(sand()))
    found = pressures(section(sand(), ground={"water": perched}))
    assert found.water is not None
    assert found.water.resultant() == pytest.approx(9.81 * 9 / 2, rel=1e-6)
    # effective stress: 36 kPa at 2 m, + 3 * 10.19 just above 5 m, 36 + 60 just below, + 5 * 18
    force = 36 + (36 + 36 + 30.57) / 2 * 3 + (96 + 96 + 90) / 2 * 5
    assert found.envelope.total_load / dry.envelope.total_load == pytest.approx(force / 900)


def test_water_is_not_added_where_the_wedge_is_undrained() -> None:
    s = section(sand(), clay(-6.0, su=30.0, friction_angle=25.0), sand(-10.0), water=2.0)
    forced = s.model_copy(
        update={"pressure": s.pressure.model_copy(update={"envelope": "total load"})}
    )
    short = pressures(forced)
    assert short.envelope.total_stress == ((6.0, 10.0),)
    assert short.water is not None
    assert short.water.resultant() == pytest.approx(9.81 * 16 / 2)
    assert short.design.at(8.0) == pytest.approx(short.envelope.diagram.at(8.0))
    lasting = pressures(forced, PERMANENT)
    assert lasting.envelope.total_load >= short.envelope.total_load


def test_surcharge_that_lifts_the_number_over_a_limit_is_said() -> None:
    load = [{"kind": "uniform", "name": "q", "pressure": 20.0}]
    near = pressures(section(clay(su=46.0), sand(-10.0), surcharges=load))
    assert any("lift the number above 4" in r for r in near.reasons)
    far = pressures(section(clay(su=90.0), sand(-10.0), surcharges=load))
    assert not any("lift the number" in r for r in far.reasons)
