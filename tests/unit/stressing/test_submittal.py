"""The review of a submittal: accepted as it stands, and every line on both sides of its limit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from backstay.checks import Check, Verdict
from backstay.design import design
from backstay.errors import DesignError
from backstay.model.reading import read_project
from backstay.quantity import UnitSystem
from backstay.stressing.project_rules import rules_of
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.submittal import (
    SubmittalReview,
    anchors_covered,
    review_submittal,
    to_revise,
)
from tests.unit.stressing.submittals import design_of, submittal

EXAMPLES = Path(__file__).parents[3] / "examples"


def review(
    changes: dict[str, Any] | None = None, *without: str, on: date | None = None
) -> SubmittalReview:
    return review_submittal(submittal(changes, *without), design_of(), US_RULES, on=on)


def one(found: SubmittalReview, name: str) -> Check:
    return next(c for c in found.checks if c.id == name)


def failing(found: SubmittalReview) -> list[str]:
    return [item.check.id for item in found.items if item.failed]


def test_a_sound_submittal_is_accepted() -> None:
    found = review()
    assert (found.decision, found.reasons(UnitSystem.SI)) == ("accept", ())
    assert len(found.statement(UnitSystem.US)) == len(found.checks) > 40
    assert all(all(part for part in line) for line in found.statement(UnitSystem.SI))
    assert len({(c.id, c.where) for c in found.checks}) == len(found.checks)


def test_the_bond_is_computed_as_the_design_computes_it() -> None:
    """145 kN/m in medium dense sand (table), 8 m, safety 2: 580 kN."""
    check = one(review(), "anchor.bond-ground")
    assert (check.demand, check.capacity) == (
        pytest.approx(design_of().sections[0].anchors[0].design_load), pytest.approx(580.0)
    )  # fmt: skip


DESIGN_LOAD = design_of().sections[0].anchors[0].design_load
TEST_LOAD = design_of().sections[0].anchors[0].test_load
NEED = 2.0 * DESIGN_LOAD / 145.0
SHARE = TEST_LOAD / 0.0121


@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("anchor.bond-ground", {"bond": {"length": NEED + 1e-6}}, {"bond": {"length": NEED - 1e-3}}),
        ("anchor.hole-diameter", {"bond": {"hole_diameter": 102}}, {"bond": {"hole_diameter": 101}}),
        ("anchor.tendon-test-stress", {"tendon": {"strands": 3}}, {"tendon": {"strands": 2}}),
        ("anchor.unbonded-length", {"free_length": 4.65}, {"free_length": 4.6}),
        ("submittal.test-load", {"test": {"factor": 1.33}}, {"test": {"factor": 1.32}}),
        ("submittal.tendon-strength", {"tendon": {"certificate": {"strength": 260.71}}},
         {"tendon": {"certificate": {"strength": 260.5}}}),
        ("submittal.grout-strength", {"grout": {"strength": 21}}, {"grout": {"strength": 20.9}}),
        ("submittal.jack-capacity", {"jack": {"capacity": TEST_LOAD + 1e-6}},
         {"jack": {"capacity": TEST_LOAD - 0.1}}),
        ("submittal.gauge-range", {"jack": {"gauge_range": f"{SHARE / 0.8999} kPa"}},
         {"jack": {"gauge_range": f"{SHARE / 0.9001} kPa"}}),
        ("submittal.gauge-graduation", {"jack": {"gauge_graduation": "100 psi"}},
         {"jack": {"gauge_graduation": "101 psi"}}),
        ("submittal.dial-graduation", {"test": {"dial_graduation": "0.001 in"}},
         {"test": {"dial_graduation": "0.0011 in"}}),
        ("submittal.reference", {}, {"test": {"reference": "on the wall"}}),
        ("submittal.dig-below", {}, {"sequence": {"dig_below": "before acceptance"}}),
        ("submittal.calibration-age", {"test": {"first_test": "2026-03-12"}},
         {"test": {"first_test": "2026-03-13"}}),
        ("submittal.calibration-issued", {"test": {"first_test": "2026-02-10"}},
         {"test": {"first_test": "2026-02-09"}}),
        ("submittal.calibration-life", {"jack": {"calibration": {"expires": "2026-03-02"}}},
         {"jack": {"calibration": {"expires": "2026-03-01"}}}),
        ("submittal.calibration-range",
         {"jack": {"calibration": {"points": [{"pressure": 100, "load": 118},
                                              {"pressure": 600, "load": 708}]}}},
         {"jack": {"calibration": {"points": [{"pressure": 100, "load": 118},
                                              {"pressure": 500, "load": 590}]}}}),
        ("submittal.grout-cover", {"tendon": {"sheath_diameter": 124.5}},
         {"tendon": {"sheath_diameter": 125}}),
    ],
)  # fmt: skip
def test_lines_that_are_to_be_revised_on_both_sides(
    name: str, good: dict[str, Any], bad: dict[str, Any]
) -> None:
    accepted, revised = review(good), review(bad)
    assert one(accepted, name).verdict is Verdict.PASS
    assert one(revised, name).verdict is Verdict.FAIL
    assert revised.decision == "revise"
    assert name in [c.id for c in to_revise(revised)]
    assert one(revised, name).remedy
    assert any(line.startswith("revise: ") for line in revised.reasons(UnitSystem.SI))


@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("submittal.tendon-area", {"tendon": {"certificate": {"area": 145.59}}},
         {"tendon": {"certificate": {"area": 145.61}}}),
        ("submittal.tendon-modulus", {"tendon": {"certificate": {"modulus": 185.3}}},
         {"tendon": {"certificate": {"modulus": 185.2}}}),
        ("submittal.grout-bond", {"grout": {"strength": 30}}, {"grout": {"strength": 29.9}}),
        ("submittal.water-cement", {}, {"grout": {"water_cement": 0.46}}),
        ("submittal.grout-age", {"grout": {"age": 3}}, {"grout": {"age": 2}}),
        ("submittal.fresh-grout", {}, {"sequence": {"fresh_distance": 2.9}}),
        ("submittal.gauge-scale", {"jack": {"gauge_range": f"{SHARE / 0.501} kPa"}},
         {"jack": {"gauge_range": f"{SHARE / 0.499} kPa"}}),
        ("submittal.alignment", {}, {"test": {"alignment_share": 0.11}}),
        ("anchor.lock-off-loss", {"head": {"draw_in": 5}}, {"head": {"draw_in": 6}}),
    ],
)  # fmt: skip
def test_lines_that_are_noted_on_both_sides(
    name: str, good: dict[str, Any], bad: dict[str, Any]
) -> None:
    accepted, noted = review(good), review(bad)
    assert (accepted.decision, one(accepted, name).verdict) == ("accept", Verdict.PASS)
    assert (noted.decision, failing(noted)) == ("accept as noted", [name])
    assert noted.reasons(UnitSystem.US)[0].startswith("note: ")


def test_stroke_and_dials_by_hand() -> None:
    """Hooke's law over the whole tendon, from 0.1 of the design load, by area and modulus certified."""
    movement = (TEST_LOAD - 0.1 * DESIGN_LOAD) * (7.0 + 8.0 + 1.2) / (3 * 140.6e-6 * 196e6)
    found = review()
    assert one(found, "submittal.dial-travel").capacity == pytest.approx(movement)
    assert one(found, "submittal.jack-stroke").capacity == pytest.approx(movement + 0.025)
    for stroke, verdict in ((1e-6, Verdict.PASS), (-1e-4, Verdict.FAIL)):
        length = f"{movement + 0.025 + stroke} m"
        again = review({"jack": {"stroke": length}})
        assert one(again, "submittal.jack-stroke").verdict is verdict


@pytest.mark.parametrize(
    ("without", "asked"),
    [
        ("tendon.certificate", "before the tendon is placed: mill certificate"),
        ("grout", "before drilling: grout"),
        ("jack", "before the first test: jack and gauge"),
        ("jack.calibration", "before the first test: certificate that calibrates"),
        ("test", "before the first test: test set-up"),
        ("sequence", "before drilling: sequence"),
    ],
)
def test_what_is_missing_is_asked_for_by_when_it_is_needed(without: str, asked: str) -> None:
    found = review(None, without)
    assert found.decision == "accept as noted"
    assert any(asked in line for line in found.reasons(UnitSystem.SI)), found.reasons(UnitSystem.SI)


def test_class_one_protection_needs_the_size_of_its_sheath() -> None:
    found = review({"protection": "class I", "bond": {"hole_diameter": 165}})
    assert found.decision == "accept as noted"
    assert "encapsulation" in found.missing[0].what
    assert (
        review(
            {
                "protection": "class I", "bond": {"hole_diameter": 165},
                "tendon": {"sheath_diameter": 110},
            }
        ).decision == "accept"
    )  # fmt: skip


def test_the_day_counts_from_outside_where_no_test_is_submitted() -> None:
    found = review(None, "test", on=date(2026, 4, 1))
    assert one(found, "submittal.calibration-age").verdict is Verdict.FAIL
    unknown = review(None, "test")
    assert [m.what for m in unknown.missing if "30 days after it" in m.what] == [
        "day on which testing begins: by certificate C-17 no later than 2026-03-12, 30 days after it"
    ]
    assert not [m for m in found.missing if "day on which" in m.what]
    assert not [c for c in review(None, "test").checks if c.id == "submittal.calibration-age"]


def test_a_certificate_whose_load_falls_is_revised() -> None:
    points = [{"pressure": 100, "load": 700}, {"pressure": 600, "load": 100}]
    found = review({"jack": {"calibration": {"points": points}}})
    assert found.decision == "revise"
    assert "grow with the pressure" in one(found, "submittal.calibration").remedy


def test_a_bond_value_of_the_contractors_own_is_noted_and_must_do_by_itself() -> None:
    """6.0 m is too short by the table; by 152 kN/m it carries 456 kN, by 150 kN/m 450 kN."""
    claim = {"length": 6.0, "source": "tests next door", "transfer": 152.0}
    noted = review({"bond": claim})
    assert noted.decision == "accept as noted"
    assert failing(noted) == ["anchor.bond-ground"]
    assert one(noted, "submittal.bond-claimed").capacity == pytest.approx(456.0)
    assert review({"bond": {**claim, "transfer": 150.0}}).decision == "revise"


def test_an_unknown_product_is_a_reason_to_revise_and_not_a_crash() -> None:
    found = review({"tendon": {"product": "wire rope"}})
    assert found.decision == "revise"
    assert "wire rope" in found.reasons(UnitSystem.SI)[0]
    assert found.offered == ()
    assert "submittal.grout-strength" in {c.id for c in found.checks}


def test_an_unknown_part_or_row_is_refused_with_the_choices() -> None:
    with pytest.raises(DesignError, match="there are: A"):
        review({"part": "B"})
    with pytest.raises(DesignError, match="rows are 1 to 1"):
        review({"rows": [2]})


def test_what_the_design_fails_as_well_is_said() -> None:
    found = review({"free_length": 5.5, "head": {"draw_in": 6}})
    item = next(i for i in found.items if i.check.id == "anchor.lock-off-loss")
    assert item.ours
    assert "the engineer settles it" in item.words(UnitSystem.SI)


def test_the_engineers_own_bond_length_and_protection_are_held() -> None:
    bond = {"by": "engineer", "length": 9.0, "grouting": "gravity"}
    made = design_of({"bond": bond, "protection": "class I"})
    for length, shield, missed in (
        (9.0, "class I", []), (8.9, "class I", ["submittal.bond-length"]),
        (9.0, "class II", ["submittal.protection"]),
    ):  # fmt: skip
        offered = submittal(
            {
                "bond": {"length": length, "hole_diameter": 165}, "protection": shield,
                "tendon": {"sheath_diameter": 110},
            }
        )  # fmt: skip
        found = review_submittal(offered, made, US_RULES)
        assert failing(found) == missed


def test_en_holds_the_test_load_against_the_load_at_a_tenth_of_a_percent_strain() -> None:
    rules = replace(EN_RULES, calibration_before_work=US_RULES.calibration_before_work)
    for proof, verdict in ((TEST_LOAD / 0.9 / 3 + 0.01, Verdict.PASS), (220.0, Verdict.FAIL)):
        found = review_submittal(
            submittal({"tendon": {"certificate": {"proof_load": proof}}}), design_of(), rules
        )
        assert one(found, "submittal.tendon-limit").verdict is verdict
    assert "submittal.tendon-limit" not in {c.id for c in review().checks}


def test_a_slope_is_reviewed_by_its_own_design() -> None:
    project = read_project(EXAMPLES / "slopes" / "landslide-three-rows.yaml")
    made = design(project, slip_surfaces="leave out")
    anchor = made.slopes[0].rows[0].anchor
    good = {
        "part": "Mill Hill", "rows": [1, 2, 3], "free_length": anchor.unbonded_length + 6.0,
        "tendon": {"strands": 4}, "protection": "class I",
        "bond": {"length": anchor.bond_length + 6.0, "hole_diameter": 165, "grouting": "gravity"},
        "head": {"draw_in": 3},
    }  # fmt: skip
    found = review_submittal(submittal(good), made, rules_of(project))
    by_row = {c.where for c in found.checks if c.id == "anchor.bond-ground"}
    assert by_row == {"row 1", "row 2", "row 3"}
    assert all(
        c.verdict is Verdict.PASS for c in found.checks if c.id.startswith("anchor.bond-ground")
    )
    short = review_submittal(submittal({**good, "free_length": 6.0}), made, rules_of(project))
    assert "anchor.bond-behind-surface" in failing(short)


def test_it_covers_every_anchor_of_its_rows() -> None:
    names = anchors_covered(submittal(), design_of(), US_RULES)
    assert (names[0], names[-1], len(names)) == ("A-1-001", "A-1-020", 20)
    assert anchors_covered(submittal({"rows": [2]}), design_of(), US_RULES) == ()


def test_a_slope_is_held_to_the_anchor_of_the_row_submitted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A submittal for row 3 is laid over what is designed in row 3."""
    from backstay.stressing import submittal_anchors

    project = read_project(EXAMPLES / "slopes" / "landslide-three-rows.yaml")
    made = design(project, slip_surfaces="leave out")
    rows = made.slopes[0].rows
    laid = []

    def noted(row: Any, anchor: Any, offered: Any) -> Any:
        laid.append(anchor)
        return as_offered(row, anchor, offered)

    as_offered = submittal_anchors._as_offered
    monkeypatch.setattr(submittal_anchors, "_as_offered", noted)
    anchor = rows[2].anchor
    offered = {
        "part": "Mill Hill", "rows": [3], "free_length": anchor.unbonded_length + 6.0,
        "tendon": {"strands": 4}, "protection": "class I",
        "bond": {"length": anchor.bond_length + 6.0, "hole_diameter": 165, "grouting": "gravity"},
        "head": {"draw_in": 3},
    }  # fmt: skip
    review_submittal(submittal(offered), made, rules_of(project))
    assert laid
    assert all(one is anchor for one in laid)


def test_a_claimed_bond_has_the_greatest_safety_of_the_ground_it_crosses() -> None:
    """300 kN/m over 8 m: with 2 for the soil alone 1200 kN, with 3 for a part of it 800 kN."""
    from dataclasses import replace

    from backstay.stressing.submittal_anchors import _with_claim

    offered = submittal({"bond": {"length": 8.0, "source": "tests next door", "transfer": 300.0}})
    anchor = design_of().sections[0].anchors[0]
    need = anchor.bond_required[0]
    for safeties, load in (((2.0,), 1200.0), ((2.0, 3.0), 800.0), ((3.0, 2.0), 800.0)):
        parts = tuple(replace(need.parts[0], safety=s) for s in safeties)
        one = replace(anchor, bond_length=8.0, bond_required=(replace(need, parts=parts),))
        items = _with_claim(offered, one, [])
        claimed = next(i.check for i in items if i.check.id == "submittal.bond-claimed")
        assert claimed.capacity == pytest.approx(load)
