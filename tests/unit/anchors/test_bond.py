"""The bond zone: strata crossed, what is given, what is open."""

from __future__ import annotations

from math import pi, radians, sin

import pytest

from backstay.checks import Verdict
from backstay.errors import DesignError
from tests.unit.anchors.example import CLAY, SAND, anchors, check, merged, section

OPEN = {"bond": {"length": None, "grouting": "open", "hole_diameter": None}}


def test_a_given_bond_is_checked_and_not_overwritten() -> None:
    anchor = anchors(section({"bond": {"length": 3.0}}))[0]
    assert anchor.bond_length == 3.0
    assert not anchor.bond_open
    found = check(anchor, "bond-ground")
    assert found.capacity == pytest.approx(145 * 3.0 / 2)
    assert found.verdict is Verdict.FAIL
    assert f"needs {{length:{anchor.bond_required[0].length:.6g}}}" in found.remedy
    assert check(anchor, "bond-length-least").verdict is Verdict.FAIL


def test_an_open_bond_says_what_the_contractor_must_show() -> None:
    anchor = anchors(section(OPEN), 240.0)[0]
    assert anchor.bond_open
    assert anchor.grouting == "gravity"
    assert [need.grouting for need in anchor.bond_required] == [
        "gravity", "low pressure", "high pressure", "post-grouted",
    ]  # fmt: skip
    found = check(anchor, "bond-ground")
    assert found.verdict is Verdict.SHOW
    assert f"{{force:{anchor.test_load:.6g}}}" in found.open_choice
    assert (
        f"{{length:{anchor.bond_length:.4g}}} in gravity or pressure grouting" in found.open_choice
    )


def test_the_engineer_may_require_what_the_contractor_need_not_show() -> None:
    anchor = anchors(section(merged(OPEN, {"bond": {"by": "engineer"}})), 240.0)[0]
    assert not anchor.bond_open
    found = check(anchor, "bond-ground")
    assert found.verdict is Verdict.PASS
    assert found.utilisation == pytest.approx(1.0)


def test_a_stated_value_stands_before_the_tables() -> None:
    stress = merged(SAND, {"bond": {"stress": 100.0, "source": "tests at the site"}})
    anchor = anchors(section(ground={"strata": [stress]}))[0]
    assert anchor.bond_required[0].transfer == pytest.approx(100 * pi * 0.15)
    transfer = merged(SAND, {"bond": {"transfer": 77.0, "source": "tests at the site"}})
    anchor = anchors(section(ground={"strata": [transfer]}))[0]
    assert anchor.bond_required[0].transfer == 77.0
    assert "tests at the site" in anchor.bond_required[0].source


def test_pressure_is_not_taken_as_worse_than_gravity() -> None:
    for density in ("loose", "medium", "dense"):
        ground = {"strata": [merged(SAND, {"density": density})]}
        lengths = [n.length for n in anchors(section(OPEN, ground=ground), 400.0)[0].bond_required]
        assert lengths[1] <= lengths[0]
    clay = {"strata": [merged(CLAY, {"bond_class": "very stiff clay medium plasticity"})]}
    lengths = [n.length for n in anchors(section(OPEN, ground=clay), 240.0)[0].bond_required]
    assert lengths[1] < lengths[0]
    assert lengths[1:] == [lengths[1]] * 3


def test_parts_follow_the_strata_the_anchor_really_crosses() -> None:
    below = merged(SAND, {"name": "Below", "top": 95.0, "density": "dense"})
    row = {"unbonded_length": 6.0, "skew": "20 deg"}
    anchor = anchors(section(row, ground={"strata": [SAND, below]}))[0]
    parts = anchor.bond_required[0].parts
    first = 2.5 / sin(radians(15)) - 6.0
    assert [p.stratum for p in parts] == ["Sand", "Below"][: len(parts)]
    assert parts[0].length == pytest.approx(min(first, anchor.bond_required[0].length))


def test_a_level_anchor_stays_in_its_stratum() -> None:
    below = merged(SAND, {"name": "Below", "top": 97.0, "density": "dense"})
    anchor = anchors(section({"inclination": 0.0}, ground={"strata": [SAND, below]}))[0]
    assert [p.stratum for p in anchor.bond_required[0].parts] == ["Sand"]


def test_least_length_of_rock_counts_only_wholly_in_rock() -> None:
    rock = merged(SAND, {"kind": "rock", "name": "Granite", "top": 95.0, "density": None})
    made = section({"bond": {"length": None}}, ground={"strata": [SAND, rock]})
    into = anchors(made, 40.0)[0]
    assert into.bond_length == pytest.approx(4.5)
    deep = {"unbonded_length": 12.0, "bond": {"length": None}}
    wholly = anchors(section(deep, ground={"strata": [SAND, rock]}), 40.0)[0]
    assert wholly.bond_required[0].parts[0].safety == 3.0
    assert check(wholly, "bond-length-least").capacity == 3.0


def test_useless_length_is_noted() -> None:
    anchor = anchors(section({"bond": {"length": 15.0}}))[0]
    assert "adds little" in check(anchor, "bond-ground").note


def test_unknown_rock_and_unknown_class_are_errors() -> None:
    rock = merged(SAND, {"kind": "rock", "name": "Bedrock", "density": None})
    with pytest.raises(DesignError, match="kind of rock is not known"):
        anchors(section(ground={"strata": [rock]}))
    with pytest.raises(DesignError, match="there are: chalk"):
        anchors(section(ground={"strata": [merged(SAND, {"bond_class": "peat"})]}))


def test_words_may_lower_a_value_never_raise_it() -> None:
    def transfer(description: str) -> float:
        ground = {"strata": [merged(SAND, {"description": description})]}
        return anchors(section(ground=ground))[0].bond_required[0].transfer

    plain = transfer("SAND")
    assert transfer("silty SAND") < plain
    assert transfer("SAND with gravel") == plain
    assert transfer("SAND, trace silt") == plain


def test_plastic_clay_falls_back_on_the_low_end_of_stress() -> None:
    ground = {"strata": [merged(CLAY, {"description": "fat clay (CH)"})]}
    anchor = anchors(section(ground=ground))[0]
    assert anchor.bond_required[0].transfer == pytest.approx(30 * pi * 0.15)
    assert "{bond stress:30} to {bond stress:70}" in anchor.bond_required[0].source


def test_a_hole_too_small_for_the_tendon_fails() -> None:
    anchor = anchors(section({"bond": {"hole_diameter": "90 mm"}}))[0]
    assert check(anchor, "hole-diameter").verdict is Verdict.FAIL


def test_bond_of_the_tendon_in_grout_is_checked() -> None:
    strong = merged(SAND, {"bond": {"transfer": 2000.0, "source": "tests"}})
    made = section({"bond": {"length": None}}, ground={"strata": [strong]})
    anchor = anchors(made, 700.0)[0]
    assert anchor.bond_required[0].governing == "tendon in grout"
    assert check(anchor, "bond-tendon").capacity == pytest.approx(anchor.design_load)
