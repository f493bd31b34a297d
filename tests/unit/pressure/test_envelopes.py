"""Which envelope governs, why, and how the parts of the design pressure add up."""

from typing import Any

import pytest

from backstay.basis import basis
from backstay.checks import Verdict, expand
from backstay.errors import DesignError
from backstay.expression import written
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.notation import PlainText
from backstay.pressure import DesignPressures, design_pressures
from backstay.quantity import UnitSystem
from backstay.trace import Computed, Remark, Stated
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, rock, sand, section

RULES = basis("FHWA-IF-99-015")


def pressures(s: Section, service: Service = TEMPORARY) -> DesignPressures:
    return design_pressures(s, profile(s), service, RULES)


def kinds(found: DesignPressures) -> set[str]:
    return {e.kind for e in found.candidates}


def test_uniform_level_sand() -> None:
    found = pressures(section(sand(phi=33.0)))
    assert found.envelope.kind == "sand"
    assert found.stability_number is None
    assert found.envelope.total_load == pytest.approx(344.92, abs=0.01)
    assert found.envelope.p == pytest.approx(43.569, abs=0.001)
    assert any("Uniform granular" in r for r in found.reasons)


def test_layered_and_sloping_sand_take_the_total_load() -> None:
    layered = pressures(section(sand(), sand(-5.0, phi=36.0)))
    assert layered.envelope.kind == "total load"
    assert any("Layered" in r for r in layered.reasons)
    assert "sand" in kinds(layered)  # the averages stay on view
    sloping = pressures(section(sand(), ground={"slope": 15.0}))
    assert sloping.envelope.kind == "total load"
    assert any("slopes" in r for r in sloping.reasons)


@pytest.mark.parametrize(
    ("su", "kind"), [(60.0, "stiff clay"), (46.0, "stiff clay"), (25.0, "soft clay")]
)
def test_the_stability_number_tells_stiff_from_soft(su: float, kind: str) -> None:
    found = pressures(section(clay(su=su), sand(-10.0)))
    assert found.envelope.kind == kind
    assert found.stability_number == pytest.approx(180 / su)


def test_between_four_and_six_the_larger_governs() -> None:
    for share, kind in ((0.4, "stiff clay"), (0.2, "soft clay")):
        s = section(clay(su=36.0), sand(-10.0), pressure={"stiff_clay_share": share})
        found = pressures(s)
        assert found.stability_number == pytest.approx(5.0)
        assert {"stiff clay", "soft clay"} <= kinds(found)
        assert found.envelope.kind == kind
        assert found.envelope.total_load == max(e.total_load for e in found.candidates)


def test_a_permanent_wall_in_clay_takes_the_larger_of_short_and_long_term() -> None:
    strong = clay(su=90.0, kind="stiff clay", friction_angle=22.0)
    s = section(strong, pressure={"stiff_clay_share": 0.2})
    assert pressures(s).envelope.kind == "stiff clay"
    lasting = pressures(s, PERMANENT)
    assert lasting.envelope.kind == "stiff clay, long term"
    assert any("permanent" in r for r in lasting.reasons)
    bare = section(clay(su=90.0))
    with pytest.raises(DesignError, match="angle of friction"):
        pressures(bare, PERMANENT)


def test_a_strong_clay_over_a_yielding_base_meets_henkel() -> None:
    found = pressures(section(clay(su=50.0), clay(-10.0, su=15.0), sand(-16.0)))
    assert found.stability_number == pytest.approx(3.6)
    assert found.envelope.kind == "soft clay"
    assert any("yield" in r for r in found.reasons)


def test_mixed_ground_carries_the_larger_of_clay_and_total_load() -> None:
    found = pressures(section(sand(), clay(-5.0, su=60.0, kind="stiff clay"), sand(-12.0)))
    assert {"stiff clay", "total load"} <= kinds(found)
    in_play = [e for e in found.candidates if e.kind in ("stiff clay", "total load")]
    assert found.envelope.total_load == max(e.total_load for e in in_play)
    assert any("largest governs" in r for r in found.reasons)


def test_mostly_granular_ground_with_stiff_clay_takes_the_wedge_and_shows_the_clay() -> None:
    found = pressures(section(sand(), clay(-7.0, su=90.0, kind="stiff clay")))
    assert found.envelope.kind == "total load"
    assert "stiff clay" in kinds(found)
    assert any("mostly granular" in r for r in found.reasons)


def test_soft_clay_in_mostly_granular_ground_stays_in_play() -> None:
    found = pressures(section(sand(), clay(-7.0, su=25.0, kind="soft clay"), sand(-13.0)))
    assert "soft clay" in kinds(found)
    assert found.envelope.total_load == max(e.total_load for e in found.candidates)


def test_a_little_clay_in_sand_takes_the_total_load() -> None:
    found = pressures(section(sand(), clay(-5.0, su=60.0), sand(-6.0)))
    assert found.envelope.kind == "total load"


@pytest.mark.parametrize("forced", ["sand", "total load"])
def test_the_engineer_is_obeyed_and_told_the_default(forced: str) -> None:
    s = section(sand(), sand(-5.0, phi=36.0), pressure={"envelope": forced})
    found = pressures(s)
    assert found.envelope.kind == forced
    assert any("engineer has chosen" in r for r in found.reasons)
    assert any("By default" in r for r in found.reasons)


def test_what_cannot_be_is_refused_with_a_reason() -> None:
    with pytest.raises(DesignError, match="no clay"):
        pressures(section(sand(), pressure={"envelope": "soft clay"}))
    with pytest.raises(DesignError, match="angle of friction"):
        pressures(section(clay(), sand(-10.0), pressure={"envelope": "sand"}))
    with pytest.raises(DesignError, match="no row of anchors lies in the soil"):
        pressures(section(sand(), rock(-2.0)))


def test_water_in_sand_is_a_diagram_of_its_own() -> None:
    dry = pressures(section(sand()))
    wet = pressures(section(sand(), water=4.0))
    # effective vertical force: 4 m moist, 6 m buoyant
    force = 0.5 * 72 * 4 + 72 * 6 + 0.5 * (20.0 - 9.81) * 36
    K_a = dry.envelope.total_load / (0.65 * 18 * 100)
    assert wet.envelope.total_load == pytest.approx(1.3 * K_a * force)
    assert wet.water is not None
    assert wet.water.resultant(0.0, 10.0) == pytest.approx(0.5 * 9.81 * 36)
    assert wet.design.resultant() == pytest.approx(
        wet.envelope.total_load + wet.water.resultant(0.0, 10.0)
    )


def test_water_lies_inside_the_envelopes_of_clay() -> None:
    found = pressures(section(clay(su=60.0), water=2.0))
    assert found.water is None
    assert found.design.resultant() == pytest.approx(found.envelope.total_load)
    assert any("total stresses" in r for r in found.reasons)


def test_rock_below_soil_bears_no_envelope() -> None:
    found = pressures(section(sand(), rock(-7.0)))
    assert found.envelope.height == 7.0
    assert found.design.at(8.0) == 0.0
    assert found.design.z[-1] == 10.0
    assert any("Rock below" in r for r in found.reasons)


def test_temporary_surcharges_are_named_so() -> None:
    loads: list[dict[str, Any]] = [
        {"kind": "traffic", "name": "Street", "pressure": 10.0},
        {"kind": "uniform", "name": "Yard", "pressure": 5.0},
    ]
    found = pressures(section(sand(), surcharges=loads))
    names = [d.name for d in found.surcharges]
    assert "Street" in names[0]
    assert "temporary" in names[0]
    assert "temporary" not in names[1]
    bare = pressures(section(sand()))
    added = sum(d.resultant(0.0, 10.0) for d in found.surcharges)
    assert added > 0.0
    assert found.design.resultant() == pytest.approx(bare.design.resultant() + added)


@pytest.mark.parametrize("service", [TEMPORARY, PERMANENT])
def test_earthquake_is_added_and_said(service: Service) -> None:
    quiet = pressures(section(sand()), service)
    shaken = pressures(section(sand(), earthquake={"kh": 0.15}), service)
    assert shaken.earthquake is not None
    assert shaken.earthquake.resultant() > 0.0
    assert shaken.design.resultant() == pytest.approx(
        quiet.design.resultant() + shaken.earthquake.resultant(0.0, 10.0)
    )
    said = any("temporary" in r and "arthquake" in r for r in shaken.reasons)
    assert said is (service is TEMPORARY)


def test_checks_and_steps_are_complete() -> None:
    loads = [{"kind": "strip", "name": "S", "pressure": 50.0, "distance": 2.0, "width": 2.0}]
    s = section(sand(), clay(-6.0, su=40.0), sand(-12.0), water=3.0, surcharges=loads)
    found = pressures(s)
    assert {c.id for c in found.checks} == {"pressure.area-equality"}
    assert all(c.verdict is Verdict.PASS for c in found.checks)
    for system in UnitSystem:
        for step in found.steps:
            match step:
                case Computed():
                    assert written(step, PlainText(), system)
                case Stated(method=text) | Remark(text=text):
                    assert "{" not in expand(text, system)
        for reason in found.reasons:
            assert "{" not in expand(reason, system)


LOW_CLAY = 0.2 * 18.0 * 10.0 * (10.0 - 2.5 / 3 - 3.75 / 3)
"""Total load of the low envelope of stiff clay over 10 m, rows at 2.5 and 6.25 m (kN/m)."""


@pytest.mark.parametrize("su", [100.0, 150.0, 400.0])
def test_strong_ground_low_on_the_wall_does_not_hold_the_sand_above_it(su: float) -> None:
    """8 m of sand over 2 m of stiff clay: 1.3 times Rankine's thrust of the sand, and the clay."""
    found = pressures(section(sand(phi=30.0), clay(-8.0, su=su, kind="stiff clay")))
    assert found.envelope.kind == "total load"
    of_sand = 1.3 / 3 * 18.0 * 8.0**2 / 2
    assert found.envelope.total_load == pytest.approx(of_sand + LOW_CLAY * 2.0 / 10.0, rel=1e-5)


def test_strong_ground_between_does_not_hold_the_sand_on_either_side() -> None:
    """Sand to 3 m, stiff clay to 6 m, sand to 10 m: Rankine's pressure of each sand, and the clay."""
    found = pressures(
        section(sand(phi=30.0), clay(-3.0, su=200.0, kind="stiff clay"), sand(-6.0, phi=30.0))
    )
    of_sand = 1.3 / 3 * 18.0 * (3.0**2 / 2 + (6.0 + 10.0) / 2 * 4.0)
    assert found.envelope.total_load == pytest.approx(of_sand + LOW_CLAY * 3.0 / 10.0, rel=1e-5)


def test_clay_that_pushes_more_than_its_low_envelope_is_left_as_it_is() -> None:
    """10 m of clay, forced: 1.3 times the area of gamma z - 2 su below the crack."""
    su = 25.0
    found = pressures(section(clay(su=su), pressure={"envelope": "total load"}))
    crack = 2 * su / 18.0
    assert found.envelope.total_load == pytest.approx(
        1.3 * 18.0 * (10.0 - crack) ** 2 / 2, rel=1e-5
    )


def test_cemented_ground_low_on_the_wall_does_not_either() -> None:
    found = pressures(section(sand(phi=30.0), sand(-6.0, phi=38.0, cohesion=80.0)), PERMANENT)
    assert found.envelope.total_load == pytest.approx(1.3 / 3 * 18.0 * 6.0**2 / 2, rel=1e-5)
