"""Rules of the US practice: performance, proof and extended creep tests.

Values read in a published text or a published quotation say so; those of FHWA-IF-99-015 are from
memory. Agencies differ: the project file replaces any of them with the clause of its contract.
"""

from __future__ import annotations

from backstay.anchors.load_tests import US_COUNTS
from backstay.anchors.lock_off import ALIGNMENT_SHARE
from backstay.anchors.tendon import LOCK_OFF_SHARES
from backstay.basis import Factor
from backstay.basis.gec4 import GEC4_BASIS
from backstay.cite import GEC4, Citation, Provenance, common_practice
from backstay.stressing.rules import (
    ClockStart,
    CreepLimit,
    HeldSteps,
    LoadSteps,
    TestRules,
    Times,
    UsLoading,
)

_INCH = 0.0254
_PSI = 6.894757293168361
"""kPa."""


def _caltrans(clause: str) -> Citation:
    return Citation("Caltrans Standard Specifications", f"46-2.01D(2)(b), {clause}", "published")


def _ufgs(clause: str) -> Citation:
    return Citation("UFGS 02490", clause, "published")


def _plan_sheet(clause: str) -> Citation:
    return Citation("city plan sheet of FHWA type", clause, "published")


def _gec4(clause: str, provenance: Provenance = "memory") -> Citation:
    return Citation(GEC4, clause, provenance)


_LOADING = UsLoading(
    alignment_share=Factor(ALIGNMENT_SHARE, _caltrans("AL = 0.10 T")),
    steps=(
        LoadSteps(
            factor=1.33, shares=(0.25, 0.50, 0.75, 1.00, 1.20, 1.33), hold=0.0, most=1.0,
            cite=_plan_sheet("performance and proof test schedules"),
        ),
        LoadSteps(
            factor=1.50, shares=(0.25, 0.50, 0.75, 1.00, 1.25, 1.50), hold=1.0, most=2.0,
            cite=_caltrans("loading schedules, maximum 1.50 T"),
        ),
    ),
    other_step=Factor(
        0.25,
        common_practice(
            "where no schedule is published for a factor: quarters of the design load up to it, then "
            "two or more equal steps of a quarter at most, rounded to 0.05"
        ),
    ),
    hold=Factor(10.0, _caltrans("hold of 10 or 60 minutes")),
    hold_extended=Factor(60.0, _caltrans("50 minutes more over 0.04 in")),
    readings=Times((1, 2, 3, 4, 5, 6, 10), _plan_sheet("readings at the test load")),
    readings_extended=Times((15, 20, 25, 30, 45, 60), _caltrans("readings of the longer hold")),
    creep=HeldSteps(
        steps=((0.25, 10.0), (0.50, 30.0), (0.75, 30.0), (1.00, 45.0), (1.20, 60.0), (1.33, 300.0)),
        beyond=60.0, last=300.0, cite=_gec4("section 7.4.4, extended creep test"),
    ),
    creep_readings=Times(
        (1, 2, 3, 4, 5, 6, 10, 15, 20, 25, 30, 45, 60, 75, 90, 100, 120, 150, 180, 210, 240, 270, 300),
        _gec4("section 7.4.4, extended creep test"),
    ),
    pumping=Factor(1.0, _plan_sheet("each increment in under 60 seconds")),
)  # fmt: skip

US_RULES = TestRules(
    id="US",
    title="US practice: performance, proof and extended creep tests",
    method="held load",
    loading=_LOADING,
    counts=US_COUNTS,
    clock=ClockStart(
        "pumping begins",
        _plan_sheet("the clock starts when pumping leaves the load before the last"),
    ),
    test_stress=GEC4_BASIS.tendon_test_stress,
    other_test_stress=None,
    proof_stress=None,
    acceptance_proof_stress=None,
    lock_off_stress=GEC4_BASIS.tendon_lock_off_stress,
    lock_off_least=Factor(LOCK_OFF_SHARES[0], _gec4("lock-off load", "published")),
    lock_off_greatest=Factor(LOCK_OFF_SHARES[1], _gec4("lock-off load", "published")),
    lift_off_tolerance=Factor(0.05, _ufgs("lift-off within five percent of lock-off")),
    free_length_least=Factor(0.80, _gec4("section 7.4.5, least apparent free length")),
    free_length_bond=Factor(0.50, _gec4("section 7.4.5, greatest apparent free length")),
    free_length_greatest=None,
    creep_first=CreepLimit(1.0, 10.0, 0.040 * _INCH, _ufgs("movement from 1 to 10 minutes")),
    creep_extended=CreepLimit(6.0, 60.0, 0.080 * _INCH, _ufgs("movement from 6 to 60 minutes")),
    creep_regrouted=CreepLimit(1.0, 60.0, 0.040 * _INCH, _gec4("section 7.4.5, decision tree")),
    creep_rate=Factor(0.080 * _INCH, _gec4("section 7.4.4, in the last log cycle of time")),
    stepped_creep=None,
    load_loss=None,
    load_loss_rate=None,
    load_tolerance=Factor(
        0.02, common_practice("a load is held where the gauge can tell it: to its accuracy")
    ),
    gauge_agreement=Factor(0.10, _plan_sheet("gauge and reference gauge")),
    gauge_accuracy=Factor(0.02, _ufgs("stressing equipment")),
    gauge_graduation=Factor(100.0 * _PSI, _ufgs("stressing equipment")),
    dial_graduation=Factor(0.001 * _INCH, _ufgs("dial gauges")),
    calibration_before_work=Factor(30.0, _ufgs("calibration of jack and gauge as a unit")),
    calibration_life=Factor(6.0, _ufgs("calibration of jack and gauge as a unit")),
    regroutings=Factor(1.0, _gec4("section 7.4.5, decision tree")),
    failed_lock_off=Factor(0.50, _gec4("section 7.4.5, decision tree")),
    rate_falls=_ufgs("creep rate linear or falling against log time"),
)
