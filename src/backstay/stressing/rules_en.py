"""Rules of the European practice: investigation, suitability and acceptance tests, methods 1 to 3.

EN 1537:1999 was read in a published transcription where marked so; its annex E beyond that and EN
ISO 22477-5 are from memory. The limits of creep and of load loss, and the size of the proof load,
are set nationally (EN 1997-1:2004/A1:2013 and its national annexes): they are None here, and the
project file gives them with the clause of the annex.
"""

from __future__ import annotations

from typing import Literal

from backstay.anchors.load_tests import EN_COUNTS
from backstay.basis import Factor
from backstay.cite import Citation, Provenance, common_practice
from backstay.model.testing import TestKind, TestMethod
from backstay.stressing.rules import (
    ClockStart,
    EnLoading,
    LossByTime,
    ProofSteps,
    TestRules,
    Times,
)

_ISO = "EN ISO 22477-5:2018"


def _en1537(clause: str, provenance: Provenance = "published") -> Citation:
    return Citation("EN 1537:1999", clause, provenance)


def _iso(clause: str) -> Citation:
    return Citation(_ISO, clause, "memory")


_CYCLES = (0.25, 0.40, 0.55, 0.70, 0.85, 1.00)


def _test(
    kind: TestKind,
    method: TestMethod,
    form: Literal["cycles", "steps"],
    shares: tuple[float, ...],
    holds: tuple[float, float, float],
    cite: Citation,
    times: int = 1,
) -> ProofSteps:
    """Return loads and holds: below the proof load, at it in granular and in cohesive ground."""
    return ProofSteps(
        kind=kind, method=method, shares=shares, form=form, times=times, hold=holds[0],
        granular=holds[1], cohesive=holds[2], between=1.0, cite=cite,
    )  # fmt: skip


def _even(number: int) -> tuple[float, ...]:
    """Return equal steps from the datum load, a tenth of the proof load, to the proof load."""
    return tuple(round(0.10 + 0.90 * (k + 1) / number, 4) for k in range(number))


_THIRDS = (0.40, 0.70, 1.00)
_TESTS = (
    _test("investigation", "held load", "cycles", _CYCLES, (15, 60, 180), _en1537("E.2.1")),
    _test("suitability", "held load", "cycles", _CYCLES[1:], (15, 30, 60), _en1537("E.2.2", "memory")),
    _test("acceptance", "held load", "steps", _THIRDS, (1, 15, 15), _en1537("E.2.3", "memory")),
    _test("investigation", "lock-off", "cycles", _CYCLES, (15, 50, 50), _en1537("E.3.1", "memory")),
    _test("suitability", "lock-off", "cycles", _CYCLES[1:], (15, 50, 50), _en1537("E.3.2", "memory")),
    _test("acceptance", "lock-off", "steps", _THIRDS, (1, 1, 1), _en1537("E.3.3", "memory"), 2),
    _test("investigation", "stepped load", "steps", _even(6), (60, 60, 60), _en1537("E.4.1", "memory")),
    _test("suitability", "stepped load", "steps", _even(5), (30, 60, 60), _en1537("E.4.2", "memory")),
    _test("acceptance", "stepped load", "steps", _even(4), (5, 15, 15), _en1537("E.4.3", "memory")),
)  # fmt: skip

_LOADING = EnLoading(
    alignment_share=Factor(
        0.10, _en1537("annex E, datum load of a tenth of the proof load", "memory")
    ),
    tests=_TESTS,
    readings=Times(
        (1, 2, 3, 4, 5, 7, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 300, 360),
        _iso("readings of movement"),
    ),
    loss_readings=Times(
        (5, 15, 50, 150, 500, 1500, 5000, 15000),
        Citation("BS 8081:1989", "11.4, load loss", "memory"),
    ),
    loss_hold=Factor(50.0, Citation("BS 8081:1989", "11.4, on-site acceptance", "memory")),
    prolonged=Factor(
        2.0,
        common_practice("a hold goes on to twice its least time where the rate is not constant"),
    ),
    least_over_lock_off=Factor(1.25, _en1537("E.2.2")),
)

EN_RULES = TestRules(
    id="EN",
    title="EN 1537 and EN ISO 22477-5: investigation, suitability and acceptance tests",
    method="held load",
    loading=_LOADING,
    counts=EN_COUNTS,
    clock=ClockStart("load reached", _iso("time from the load reached")),
    test_stress=Factor(0.80, _en1537("E.2.1, investigation tests")),
    other_test_stress=Factor(
        0.80,
        common_practice(
            "0.80 of the guaranteed strength in suitability and acceptance tests too: EN 1537:1999 gives "
            "it for investigation tests, and limits these by the load at 0.1 % strain alone"
        ),
    ),
    proof_stress=Factor(0.95, _en1537("E.2.1, E.2.2")),
    acceptance_proof_stress=Factor(0.90, _en1537("E.2.3")),
    lock_off_stress=Factor(0.60, _en1537("9.8")),
    lock_off_least=None,
    lock_off_greatest=None,
    lift_off_tolerance=Factor(
        0.05, common_practice("lift-off within 5 % of lock-off; 10 % in some")
    ),
    free_length_least=Factor(0.80, _en1537("9.10, apparent free length", "memory")),
    free_length_bond=Factor(0.50, _en1537("9.10, apparent free length", "memory")),
    free_length_greatest=Factor(1.10, _en1537("9.10, apparent free length", "memory")),
    creep_first=None,
    creep_extended=None,
    creep_regrouted=None,
    creep_rate=None,
    stepped_creep=None,
    load_loss=LossByTime(
        tuple(
            (minutes, 0.01 * (k + 1))
            for k, minutes in enumerate((5.0, 15.0, 50.0, 150.0, 500.0, 1500.0, 5000.0, 15000.0))
        ),
        Citation("BS 8081:1989", "table 24, load loss with time", "memory"),
    ),
    load_loss_rate=None,
    load_tolerance=Factor(
        0.02, common_practice("a load is held where the gauge can tell it: to its accuracy")
    ),
    gauge_agreement=Factor(0.10, common_practice("gauge and reference gauge within 10 %")),
    gauge_accuracy=Factor(0.02, common_practice("gauge accurate to 2 %")),
    gauge_graduation=Factor(1000.0, common_practice("gauge divided to 10 bar")),
    dial_graduation=Factor(1e-5, _iso("dials read to 0.01 mm")),
    calibration_before_work=Factor(180.0, _iso("calibration within six months")),
    calibration_life=Factor(6.0, _iso("calibration within six months")),
    regroutings=Factor(1.0, common_practice("re-grouted once, then tested again")),
    failed_lock_off=Factor(0.50, common_practice("lock-off at half the highest load that passed")),
    rate_falls=_iso("creep against log time"),
)
