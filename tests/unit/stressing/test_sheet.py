"""The field sheet: every number on it by hand, and no number that nobody can stand behind."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from backstay.basis import Factor
from backstay.checks import expand
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.model.testing import TestKind
from backstay.quantity import UnitSystem
from backstay.stressing.jack import Jack
from backstay.stressing.loads import tendon_limit
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.seating import draw_in_of
from backstay.stressing.sheet import FieldSheet, field_sheet
from tests.unit.stressing.invented import DAY, anchor, jack, line

NATIONAL = Factor(0.002, Citation("a national annex", "NA.4", "given"))


def sheet(
    kind: TestKind = "performance", rules: TestRules = US_RULES, *, device: Jack | None = None,
    on: date = DAY, bare: bool = False, residual: bool = True, **changes: Any,
) -> FieldSheet:  # fmt: skip
    built = anchor(**changes)
    test = procedure_of(kind, built, 1.33, rules, residual=residual)
    return field_sheet(built, test, None if bare else device or jack(), rules, on=on)


def words(made: FieldSheet, name: str, units: UnitSystem = UnitSystem.SI) -> str:
    return next(expand(x.words, units) for x in made.limits if x.name == name)


def test_every_step_has_its_gauge_pressure() -> None:
    made = sheet()
    assert len(made.lines) == len(made.procedure.steps)
    for row, step in zip(made.lines, made.procedure.steps, strict=True):
        assert row.load == step.load
        assert row.pressure == pytest.approx((step.load - 1.0) / 0.0118)
    top = max(made.lines, key=lambda row: row.load)
    assert top.pressure == pytest.approx(50635.6, rel=1e-5)


def test_movements_at_the_test_load_by_hand() -> None:
    """Hooke's law: (598.5 - 45) 6 / (420e-6 195e6) = 40.55 mm; 0.8 of it; (6 + 4) / 6 of it."""
    top = max(sheet().lines, key=lambda row: row.load)
    assert top.elastic == pytest.approx(0.04055, abs=5e-6)
    assert top.least == pytest.approx(0.8 * top.elastic)
    assert top.greatest == pytest.approx(10.0 / 6.0 * top.elastic)


def test_the_length_in_the_jack_stretches_as_well() -> None:
    made = sheet(jack_length=1.2)
    top = max(made.lines, key=lambda row: row.load)
    assert (made.least_length, made.greatest_length) == pytest.approx((6.0, 11.2))
    assert top.elastic == pytest.approx(553.5 * 7.2 / (420e-6 * 195e6))
    assert top.least == pytest.approx(553.5 * 6.0 / (420e-6 * 195e6))
    assert top.greatest == pytest.approx(553.5 * 11.2 / (420e-6 * 195e6))


def test_en_allows_a_tenth_more_than_a_long_free_length() -> None:
    """EN 1537:1999 9.10, from memory: the larger of free length plus half the bond and 1.1 of it."""
    made = sheet("acceptance", EN_RULES, free_length=50.0, jack_length=1.0, design_load=400.0)
    assert made.least_length == pytest.approx(41.0)
    assert made.greatest_length == pytest.approx(56.0)


def test_nothing_moves_at_the_alignment_load() -> None:
    for row in sheet().lines:
        if row.share == pytest.approx(0.1):
            assert (row.elastic, row.least, row.greatest) == (0.0, 0.0, 0.0)
        else:
            assert 0.0 < row.least < row.elastic < row.greatest


def test_limits_of_creep_in_words_and_numbers() -> None:
    made = sheet()
    creep = words(made, "creep")
    assert creep.startswith(
        "Movement from 1 to 10 min: at most 1.016 mm; if more, hold on to 60 min"
    )
    assert "read at 15, 20, 25, 30, 45, 60 min" in creep
    assert words(made, "creep of the longer hold", UnitSystem.US).endswith("at most 0.080 in")
    assert "straight or falling" in words(made, "creep rate")


def test_a_test_without_return_is_limited_by_its_total_movement_alone() -> None:
    made = sheet("proof", residual=False)
    assert words(made, "least movement").startswith("Total movement")
    assert "elastic movement stays unknown" in words(made, "least movement")
    assert "greatest movement" not in [x.name for x in made.limits]


def test_a_regrouted_anchor_has_the_limit_of_its_own() -> None:
    made = sheet("proof", regrouted=1)
    assert words(made, "creep after re-grouting") == "Movement from 1 to 60 min: at most 1.016 mm"
    assert "creep" not in [x.name for x in made.limits]


def test_the_extended_creep_test_is_limited_by_its_rate() -> None:
    assert "per tenfold time in each hold: at most 2.032 mm" in words(
        sheet("extended creep"), "creep rate"
    )


def test_a_limit_set_nationally_is_named_as_missing() -> None:
    made = sheet("acceptance", EN_RULES)
    assert "tests.creep_rate" in words(made, "creep rate")
    assert next(x.value for x in made.limits if x.name == "creep rate") is None
    given = sheet("acceptance", replace(EN_RULES, creep_rate=NATIONAL))
    assert "at most 2.00 mm" in words(given, "creep rate")
    stepped = sheet("acceptance", replace(EN_RULES, method="stepped load", stepped_creep=NATIONAL))
    assert "at most 2.00 mm" in words(stepped, "creep rate")


def test_a_test_that_ends_locked_off_is_limited_by_its_loss() -> None:
    made = sheet("acceptance", replace(EN_RULES, method="lock-off"))
    assert "1.00% at 5 min" in words(made, "load loss")
    assert "8.00% at 15000 min" in words(made, "load loss")
    assert words(made, "least movement").startswith("Elastic movement")


def test_what_the_heads_of_the_job_took_counts_in_the_place_of_what_was_expected() -> None:
    """5, 6 and 7 mm as measured, where the design expects 3: 420e-6 195e6 0.006 / 6 = 81.9 kN."""
    for expected in (0.003, None):
        built = anchor(draw_in=expected)
        test = procedure_of("proof", built, 1.33, US_RULES)
        measured = draw_in_of([0.005, None, 0.006, 0.007])
        made = field_sheet(built, test, jack(), US_RULES, on=DAY, draw_in=measured).lock_off
        assert (made.draw_in, made.heads, made.loss) == pytest.approx((0.006, 3, 81.9))
        assert made.jacking == pytest.approx(441.9)
        assert made.remark == ""
    assert sheet(draw_in=0.003).lock_off.heads == 0


def test_lock_off_pressure_holds_what_the_wedges_take() -> None:
    """420e-6 195e6 0.003 / 6 = 40.95 kN over the 360 kN that shall stay."""
    made = sheet(draw_in=0.003).lock_off
    assert made.loss == pytest.approx(40.95)
    assert made.jacking == pytest.approx(400.95)
    assert made.pressure == pytest.approx((400.95 - 1.0) / 0.0118)
    assert (made.lift_off_least, made.lift_off_greatest) == pytest.approx((342.0, 378.0))
    assert made.pressure_least == pytest.approx(341.0 / 0.0118)
    assert made.remark == ""


def test_an_unknown_draw_in_gives_no_lock_off_pressure() -> None:
    made = sheet().lock_off
    assert (made.loss, made.jacking, made.pressure) == (None, None, None)
    assert "measure it" in made.remark


def test_a_lock_off_that_would_overload_the_tendon_gives_no_pressure() -> None:
    made = sheet(draw_in=0.02).lock_off
    assert made.pressure is None
    assert made.jacking is None
    assert "shims" in made.remark


def test_a_lock_off_beyond_the_jack_gives_a_reason() -> None:
    made = sheet(device=jack(capacity=599.0), draw_in=0.0185).lock_off
    assert made.jacking == pytest.approx(360.0 + 420e-6 * 195e6 * 0.0185 / 6.0)
    assert made.pressure is None
    assert "can give" in made.remark


@pytest.mark.parametrize(
    ("device", "on", "said"),
    [
        (jack(), date(2026, 9, 1), "good to 2026-07-05"),
        (jack(capacity=500.0), DAY, "more than jack J-2 can give"),
        (jack(points=line(most=40e3)), DAY, "beyond the last point"),
    ],
)
def test_no_pressures_without_a_jack_that_can(device: Jack, on: date, said: str) -> None:
    with pytest.raises(DesignError, match=said) as caught:
        sheet(device=device, on=on)
    assert caught.value.where == "anchor A-1-001"


def test_a_sheet_without_a_jack_leaves_the_pressures_open() -> None:
    made = sheet(bare=True, draw_in=0.003)
    assert {row.pressure for row in made.lines} == {None}
    assert (made.tendon_pressure, made.division, made.lock_off.pressure) == (None, None, None)
    assert made.lock_off.jacking == pytest.approx(400.95)


def test_a_tendon_too_weak_for_its_test_has_no_sheet() -> None:
    with pytest.raises(DesignError, match="more than the tendon may carry"):
        sheet(strength=748.0)  # 0.80 of it is 598.4 kN
    assert sheet(strength=748.2)


def test_the_load_at_a_tenth_of_a_percent_limits_the_tendon_by_en() -> None:
    """EN 1537:1999, published: 0.80 Ptk and 0.95 Pt0.1k; 0.90 Pt0.1k in acceptance tests."""
    built = anchor(proof_load=600.0)
    assert tendon_limit(built, "suitability", EN_RULES).load == pytest.approx(570.0)
    assert tendon_limit(built, "acceptance", EN_RULES).load == pytest.approx(540.0)
    strong = tendon_limit(anchor(proof_load=700.0), "acceptance", EN_RULES)
    assert strong.load == pytest.approx(0.80 * 782.1)
    assert strong.unchecked == ""
    unknown = tendon_limit(anchor(), "acceptance", EN_RULES)
    assert "90.0%" in expand(unknown.unchecked, UnitSystem.SI)
    assert tendon_limit(built, "proof", US_RULES).load == pytest.approx(0.80 * 782.1)


def test_a_share_of_the_strength_is_published_by_en_for_investigation_tests_alone() -> None:
    """EN 1537:1999 E.2.1, published: 0.80 Ptk; in other tests that share is common practice."""
    for kind, provenance in (
        ("investigation", "published"),
        ("suitability", "common practice"),
        ("acceptance", "common practice"),
    ):
        limit = tendon_limit(anchor(), kind, EN_RULES)  # type: ignore[arg-type]
        assert limit.load == pytest.approx(0.80 * 782.1)
        assert limit.clause.provenance == provenance
    given = replace(EN_RULES, test_stress=NATIONAL, other_test_stress=None)
    assert tendon_limit(anchor(), "acceptance", given).clause is NATIONAL.cite


def test_cautions_come_first_with_people() -> None:
    made = sheet()
    said = [expand(text, UnitSystem.US) for text in made.cautions]
    assert said[0].startswith("Nobody stands behind the jack")
    assert "140.7 kip" in said[2]
    assert any("pumping leaves 1.2 of the design load" in text for text in said)
    assert said[-1].endswith("the engineer in responsible charge decide.")
    assert "{" not in "".join(said)


def test_a_short_ram_and_an_unusual_lock_off_are_told() -> None:
    said = " ".join(sheet(device=jack(stroke=0.05), lock_off_load=300.0).cautions)
    assert "The ram of jack J-2 travels" in said
    assert "usual is 0.75 at least" in said
    assert "The ram" not in " ".join(sheet().cautions)
    assert "usual is 1 at most" in " ".join(sheet(lock_off_load=480.0).cautions)


def test_the_time_counts_from_the_load_where_the_rules_say_so() -> None:
    said = " ".join(sheet("acceptance", EN_RULES).cautions)
    assert "counts from when the load is reached" in said
    assert "the load at 0.1 % strain" in said.lower()


def test_the_derivation_is_on_the_sheet() -> None:
    from backstay.trace import Computed

    names = {s.formula.id for s in sheet(draw_in=0.003).steps if isinstance(s, Computed)}
    assert {
        "anchors.lock_off.elongation", "anchors.lock_off.jacking_load",
        "stressing.free_length.least_apparent_length",
    } <= names  # fmt: skip


@pytest.mark.parametrize(("days", "late"), [(30, False), (31, True)])
def test_the_certificate_is_thirty_days_old_at_most_when_testing_begins(
    days: int, late: bool
) -> None:
    """UFGS 02490: jack and gauge calibrated as a unit within 30 days before the work."""
    made = sheet(device=jack(on=DAY - timedelta(days=days)), on=DAY)
    assert made.age == days
    said = [c for c in made.cautions if "when testing begins" in c]
    assert bool(said) is late
    if late:
        assert "31 days old" in said[0]
        assert "had begun by 2026-03-01" in said[0]
        assert "UFGS 02490" in said[0]


def test_a_certificate_is_good_as_long_as_it_says_and_the_rules_allow() -> None:
    made = sheet(device=jack(on=date(2026, 2, 20), expires=date(2027, 2, 20)))
    assert made.until == date(2026, 8, 20)
    assert sheet(device=jack(expires=date(2026, 4, 1))).until == date(2026, 4, 1)
    assert (sheet(bare=True).age, sheet(bare=True).until) == (None, None)


def test_no_caution_of_the_practice_is_left_out() -> None:
    said = [expand(text, UnitSystem.SI) for text in sheet().cautions]
    for words in (
        "Nobody stands behind the jack", "No load before grout", "Never more than",
        "The time of the hold", "Pump back to the load whenever it falls", "Dials stand on a support",
        "This sheet advises",
    ):  # fmt: skip
        assert len([text for text in said if text.startswith(words)]) == 1, words
    pumped = next(text for text in said if text.startswith("Pump back"))
    assert "within 2.00%" in pumped
    assert "10.0% at most" in pumped
