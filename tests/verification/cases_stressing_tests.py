"""Evaluation of load tests: published criteria and numbers, closed forms of a tendon and its bond.

No complete record of a load test, with its readings and its verdict, was found in published text
that could be read. What is published of criteria and single results stands here; whole records are
made by a mechanical model whose closed forms are independent of the evaluation.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import log10

from backstay.anchors.lock_off import elongation
from backstay.basis import Factor
from backstay.cite import Citation, Provenance
from backstay.stressing.creep import creep_rate
from backstay.stressing.free_length import free_length_limits
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.loads import tendon_limit
from backstay.stressing.mobilised import mobilised_bond, mobilised_transfer
from backstay.stressing.movement import apparent_free_length
from backstay.stressing.record import TestRecord
from backstay.stressing.regression import student
from backstay.stressing.rules import EnLoading, TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_us import extended_creep_test, performance_test, proof_test
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model, record_of
from tests.verification.catalogue import Case

KIP, FT, IN = 4.4482216152605, 0.3048, 0.0254
PSI = KIP / 1000.0 / IN**2
ISO = "EN ISO 22477-5, creep rate"
LAKE_LYNN = "Lake Lynn Dam, pre-production anchor test (published abstract)"
UFGS = "UFGS 02490 and city specifications, creep of load tests"
CALTRANS = "Caltrans, special provision to 46-2.01D(2)(b), item 5"
EC7 = (
    "worked example of anchorages to EN 1997-1 and EN 1537 (published transcription of a textbook)"
)
GEC4 = "FHWA-IF-99-015 (1999), section 7.4.5"
EN1537 = "EN 1537:1999, apparent tendon free length"
RIGID_PLASTIC = "closed form of an elastic tendon in a rigid and plastic bond"
TABLE_T = "Abramowitz and Stegun (1964), table 26.10"
ACCEPTED = {"accepted": 1.0, "not accepted": 0.0}
_GIVEN = Citation("invented annex", "", "given")
_AE = 420e-6 * 195e6
TOOK = "three strands of 140 mm2, 195 GPa, free length 6 m, bond 8 m; "


@cache
def _judged(model: Model, kind: str = "performance", *, extended: bool = False) -> Judgement:
    make = {
        "performance": performance_test,
        "proof": proof_test,
        "extended creep": extended_creep_test,
    }
    return judge(record_of(model, make[kind](450.0, 1.33, US_RULES), extended=extended), US_RULES)


def _check(judged: Judgement, name: str) -> float:
    return next(c.demand for c in judged.checks if c.id == name)


def _decided(model: Model, kind: str = "performance", *, extended: bool = False) -> float:
    return ACCEPTED.get(_judged(model, kind, extended=extended).decision, -1.0)


def _live(minutes: float) -> TestRecord:
    """Return a proof test whose hold has been read up to a minute, creeping 1.2 mm a log cycle."""
    record = record_of(
        Model(creep=0.0012), proof_test(450.0, 1.33, US_RULES), extended=True, closed=False
    )
    return replace(
        record,
        readings=tuple(
            r for r in record.readings if r.phase != "unloading" and r.minute <= minutes
        ),
    )


def _asked(minutes: float) -> float:
    return judge(_live(minutes), US_RULES).next[0].minute or 0.0


def _rate(kind: str, rate: float) -> float:
    rules: TestRules = replace(EN_RULES, creep_rate=Factor(0.002, _GIVEN))
    procedure = procedure_of(kind, anchor(), 1.33, rules)  # type: ignore[arg-type]
    judged = judge(record_of(Model(creep=rate), procedure), rules)
    return 1e3 * _check(judged, "test.creep-rate")


def _critical(meet: float) -> float:
    rules = replace(EN_RULES, method="stepped load", stepped_creep=Factor(0.002, _GIVEN))
    procedure = procedure_of("investigation", anchor(), 1.33, rules)
    model = Model(creep=0.0004, critical=meet, steep=1e-5)
    critical = judge(record_of(model, procedure), rules).evaluation.critical
    return critical.meet or 0.0 if critical else 0.0


def _least_over_lock_off() -> float:
    loading = EN_RULES.loading
    assert isinstance(loading, EnLoading)
    return loading.least_over_lock_off.value * 150.0


def case(
    name: str,
    title: str,
    source: str,
    provenance: Provenance,
    inputs: str,
    compute: Callable[[], float],
    expected: float,
    tolerance: float,
    unit: str,
    why: str,
    *,
    absolute: bool = False,
    note: str = "",
) -> Case:
    """Return a case of this file."""
    return Case(
        f"stressing.{name}", "stressing", title, source, provenance, inputs, compute, expected,
        tolerance, unit, why, note, absolute,
    )  # fmt: skip


FORMULAS = (
    case(
        "creep-rate-2-5", "Creep rate", ISO, "formula", "0.2 mm from 2 to 5 min",
        lambda: creep_rate(0.0, 0.2, 2.0, 5.0), 0.503, 5e-4, "mm", "rounded to 0.001 mm", absolute=True,
    ),
    case(
        "creep-rate-5-15", "Creep rate", ISO, "formula", "0.25 mm from 5 to 15 min",
        lambda: creep_rate(0.0, 0.25, 5.0, 15.0), 0.524, 5e-4, "mm", "rounded to 0.001 mm", absolute=True,
    ),
    case(
        "length-of-elongation", "Apparent free length of a known elongation", "Hooke's law", "formula",
        "3 strands of 140 mm2, 598.5 kN from 45 kN, 195 GPa, elastic movement 40.55 mm",
        lambda: apparent_free_length(3 * 140e-6, 195e6, 0.04055, 598.5, 45.0), 6.0, 8e-4, "m",
        "the elongation is rounded to 0.01 mm", absolute=True,
    ),
    case(
        "elongation-of-length", "Elastic movement of a tendon free to its bond", "Hooke's law", "formula",
        "the same, free length 6 m, by the design's formula",
        lambda: 1e3 * elongation(598.5, 45.0, 6.0, 0.0, 3 * 140e-6, 195e6), 40.55, 0.006, "mm",
        "rounded to 0.01 mm", absolute=True,
    ),
    case(
        "lake-lynn-bond", "Average bond stress at the greatest load", LAKE_LYNN, "published",
        "831.8 kip, hole 7-3/8 in, bond 9.7 ft",
        lambda: mobilised_bond(831.8 * KIP, 7.375 * IN, 9.7 * FT) / PSI, 308.0, 0.5, "psi",
        "printed to 1 psi", absolute=True,
    ),
    case(
        "lake-lynn-transfer", "Average load transfer at the greatest load", LAKE_LYNN, "published",
        "831.8 kip, bond 9.7 ft", lambda: mobilised_transfer(831.8 * KIP, 9.7 * FT) * FT / KIP, 85.8,
        0.06, "kip/ft", "printed to 0.1 kip/ft", absolute=True,
    ),
    *(
        case(
            f"student-{freedom}-{str(p)[2:]}", f"Student's t, {freedom} degrees of freedom, {p:g}",
            TABLE_T, "memory", "quantile for the confidence of the creep rate",
            lambda p=p, f=freedom: student(p, f), value, 5.1e-4, "–", "printed to 0.001", absolute=True,
        )
        for freedom, p, value in (
            (1, 0.975, 12.706), (2, 0.975, 4.303), (5, 0.975, 2.571), (10, 0.975, 2.228),
            (5, 0.95, 2.015), (30, 0.95, 1.697),
        )
    ),
)  # fmt: skip

LIMITS = (
    case(
        "least-free-length", "Least apparent free length", GEC4, "memory",
        "free length 10 m, jack length 0.5 m", lambda: free_length_limits(
            anchor(free_length=10.0, bond_length=6.0, jack_length=0.5), US_RULES).least,
        8.5, 1e-9, "m", "80 % of the free length and the jack length",
    ),
    case(
        "greatest-free-length", "Greatest apparent free length", GEC4, "memory",
        "free length 10 m, bond 6 m, jack length 0.5 m", lambda: free_length_limits(
            anchor(free_length=10.0, bond_length=6.0, jack_length=0.5), US_RULES).greatest,
        13.5, 1e-9, "m", "free length, half the bond and the jack length",
    ),
    case(
        "greatest-free-length-en", "Greatest apparent free length of a long anchor", EN1537, "memory",
        "free length 40 m, bond 6 m, jack length 0.5 m", lambda: free_length_limits(
            anchor(free_length=40.0, bond_length=6.0, jack_length=0.5), EN_RULES).greatest,
        44.5, 1e-9, "m", "1.1 times the free length, the larger of two",
    ),
    case(
        "lift-off", "Lift-off off the lock-off load", "UFGS 02490", "published", "tolerance of the rules",
        lambda: 100 * US_RULES.lift_off_tolerance.value, 5.0, 1e-9, "%", "a stated limit",
    ),
    case(
        "acceptance-load-limit", "Greatest proof load of an acceptance test", EC7, "published",
        "tendon of 165 mm2, 1820 MPa, 1547 MPa at 0.1 % strain", lambda: tendon_limit(
            anchor(strength=1820e3 * 165e-6, proof_load=1547e3 * 165e-6), "acceptance", EN_RULES).load,
        229.7, 0.06, "kN", "printed to 0.1 kN", absolute=True,
    ),
    case(
        "lock-off-limit", "Greatest lock-off load", EC7, "published", "the same tendon",
        lambda: EN_RULES.lock_off_stress.value * 1820e3 * 165e-6, 180.2, 0.06, "kN",
        "printed to 0.1 kN", absolute=True,
    ),
    case(
        "suitability-load-least", "Least proof load of a suitability test", EC7, "published",
        "lock-off load 150 kN", _least_over_lock_off, 187.5, 1e-9, "kN", "a printed value",
    ),
)  # fmt: skip

VERDICTS = (
    *(
        case(
            f"verdict-{slug}", f"Accepted (1) or not (0): {words}", source, provenance,
            TOOK + words, lambda m=model, k=kind, x=extended: _decided(m, k, extended=x), verdict, 1e-9, "–",
            "a verdict is met or it is not", absolute=True,
        )
        for slug, words, source, provenance, model, kind, extended, verdict in (
            ("first-below", "creep 1.01 mm from 1 to 10 min", UFGS, "published",
             Model(creep=0.00101), "proof", False, 1.0),
            ("longer-below", "creep 2.02 mm from 6 to 60 min", UFGS, "published",
             Model(creep=0.00202), "proof", True, 1.0),
            ("longer-above", "creep 2.05 mm from 6 to 60 min", UFGS, "published",
             Model(creep=0.00205), "proof", True, 0.0),
            ("rising", "creep within its limits at a rate that grows", UFGS, "published",
             Model(creep=0.0004, bend=0.0003), "proof", True, 0.0),
            ("falling", "creep within its limits at a rate that falls", UFGS, "published",
             Model(creep=0.0012, bend=-0.0003), "proof", True, 1.0),
            ("extended-below", "extended creep test, 2.02 mm in the last log cycle", GEC4, "memory",
             Model(creep=0.00202), "extended creep", False, 1.0),
            ("extended-above", "extended creep test, 2.05 mm in the last log cycle", GEC4, "memory",
             Model(creep=0.00205), "extended creep", False, 0.0),
            ("regrouted-below", "re-grouted, 1.0 mm from 1 to 60 min", GEC4, "memory",
             Model(creep=0.001 / log10(60.0), anchor=anchor(regrouted=1)), "proof", True, 1.0),
            ("regrouted-above", "re-grouted, 1.1 mm from 1 to 60 min", GEC4, "memory",
             Model(creep=0.0011 / log10(60.0), anchor=anchor(regrouted=1)), "proof", True, 0.0),
        )
    ),
    case(
        "hold-asked-at-first", "Minute to hold to, creep not yet known", CALTRANS, "published",
        "proof test read to minute 6", lambda: _asked(6.0), 10.0, 1e-9, "min", "a stated time",
    ),
    case(
        "hold-asked-beyond", "Minute to hold to, over 0.04 in from 1 to 10 min", CALTRANS, "published",
        "proof test read to minute 10, 1.2 mm", lambda: _asked(10.0), 60.0, 1e-9, "min", "a stated time",
    ),
)  # fmt: skip


def _forms(bond: float) -> tuple[Case, ...]:
    """Return movements of an anchor whose bond yields at a constant transfer, against closed forms."""
    model = Model(bond=bond, creep=0.0)
    P, al = 598.5, 45.0
    D = P - al
    back = D * 6.0 / _AE + D**2 / (4.0 * bond * _AE)
    total = D * 6.0 / _AE + (P**2 - al**2) / (2.0 * bond * _AE)
    took = f"{TOOK}bond yields at {bond:g} kN/m, 598.5 kN from 45 kN"
    return (
        case(
            f"elastic-{bond:g}", "Elastic movement of an anchor whose bond yields", RIGID_PLASTIC,
            "formula", took, lambda: 1e3 * (_judged(model).evaluation.cycles[-1].elastic or 0.0),
            1e3 * back, 2e-3, "mm", "the model is cut into 2000 pieces",
        ),
        case(
            f"residual-{bond:g}", "Residual movement of an anchor whose bond yields", RIGID_PLASTIC,
            "formula", took, lambda: 1e3 * (_judged(model).evaluation.cycles[-1].residual or 0.0),
            1e3 * (total - back), 5e-3, "mm", "the model is cut into 2000 pieces",
        ),
        case(
            f"apparent-{bond:g}", "Apparent free length of an anchor whose bond yields", RIGID_PLASTIC,
            "formula", took, lambda: _check(_judged(model), "test.free-length-least"),
            6.0 + D / (4.0 * bond), 2e-3, "m", "free length and D/(4 t) of the bond",
        ),
    )  # fmt: skip


MODELS = (
    *(part for bond in (120.0, 250.0, 800.0) for part in _forms(bond)),
    case(
        "friction-shortens", "Apparent free length where friction takes 40 kN", RIGID_PLASTIC, "formula",
        TOOK + "bond rigid, friction 40 kN over the free length",
        lambda: _check(_judged(Model(bond=1e7, creep=0.0, friction=40.0)), "test.free-length-least"),
        6.0 * (1.0 - 40.0 / 553.5), 1e-3, "m", "L (1 - F / (P - P_al)): friction turns round",
    ),
    case(
        "friction-found", "Friction by reloading and elastic movement", RIGID_PLASTIC, "formula",
        "the same", lambda: _friction(), 40.0, 0.02, "kN",
        "the first loads of the reloading still turn friction round",
    ),
    case(
        "reloading-found", "Free length by the slope of reloading", RIGID_PLASTIC, "formula", "the same",
        lambda: _reloaded(), 6.0, 2e-3, "m", "friction does not change the slope",
    ),
    *(
        case(
            f"rate-{kind}", f"Creep rate of a {kind} test by method 1", ISO, "formula",
            "movement 0.7 mm per log cycle at the proof load", lambda k=kind: _rate(k, 0.0007), 0.7, 1e-6,
            "mm", "readings without scatter",
        )
        for kind in ("investigation", "suitability", "acceptance")
    ),
    *(
        case(
            f"critical-{meet:g}", "Load where the creep rates of method 3 break",
            "two straight lines, EN 1537:1999 annex E.4", "formula",
            f"rate grows by 0.01 mm per kN beyond {meet:g} kN", lambda m=meet: _critical(m), meet, 1e-3,
            "kN", "rates without scatter",
        )
        for meet in (350.0, 380.0, 410.0)
    ),
)  # fmt: skip


def _friction() -> float:
    found = _judged(Model(bond=1e7, creep=0.0, friction=40.0)).evaluation.reloading
    return found.friction if found else 0.0


def _reloaded() -> float:
    found = _judged(Model(bond=1e7, creep=0.0, friction=40.0)).evaluation.reloading
    return found.length if found else 0.0


CASES: tuple[Case, ...] = (*FORMULAS, *LIMITS, *VERDICTS, *MODELS)
