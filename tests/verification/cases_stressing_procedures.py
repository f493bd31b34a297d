"""Procedures of load tests: the schedules, times, counts and limits that standards and agencies print."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from backstay.anchors.load_tests import planned_tests
from backstay.cite import Provenance
from backstay.model.testing import TestKind
from backstay.stressing.loads import tendon_limit
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.sheet import FieldSheet, field_sheet
from tests.unit.anchors.example import anchors, section
from tests.unit.stressing.invented import DAY, anchor
from tests.verification.catalogue import Case

_INCH = 0.0254
_CALTRANS = "Caltrans, special provision to 46-2.01D(2)(b), loading schedules"
_PLAN = "city plan sheet of FHWA type, test schedules"
_UFGS = "UFGS 02490, field tests"
_EN = "EN 1537:1999 (published transcription)"
_GEC4 = "FHWA-IF-99-015 (1999), section 7.4"
_SAME = "a printed schedule is met or it is not"

AL = 0.10
PERFORMANCE_150 = (
    AL, 0.25, AL, 0.25, 0.50, AL, 0.25, 0.50, 0.75, AL, 0.25, 0.50, 0.75, 1.00, AL,
    0.25, 0.50, 0.75, 1.00, 1.25, AL, 0.25, 0.50, 0.75, 1.00, 1.25, 1.50, AL,
)  # fmt: skip
PROOF_150 = (AL, 0.25, 0.50, 0.75, 1.00, 1.25, 1.50)
PEAKS_133 = (0.25, 0.50, 0.75, 1.00, 1.20, 1.33)


@cache
def _test(
    kind: TestKind, factor: float, rules: TestRules = US_RULES, *, residual: bool = True,
    clay: bool = False,
) -> Procedure:  # fmt: skip
    ground = ("stiff clay",) if clay else ("granular",)
    return procedure_of(kind, anchor(ground=ground), factor, rules, residual=residual)


def _top(test: Procedure) -> TestStep:
    return max(test.steps, key=lambda step: step.load)


def _off(found: Sequence[float], wanted: Sequence[float]) -> float:
    """Return the greatest difference of two lists, or the difference of their lengths."""
    if len(found) != len(wanted):
        return float(abs(len(found) - len(wanted)))
    return max(abs(a - b) for a, b in zip(found, wanted, strict=True))


def _shares(test: Procedure) -> list[float]:
    return [step.share for step in test.steps]


def _peaks(test: Procedure) -> list[float]:
    return [max(s.share for s in test.steps if s.cycle == c) for c in range(1, test.cycles + 1)]


def _performance_tests(number: int) -> float:
    made = section(wall_length=2.0 * number)
    return float(sum(row.performance for row in planned_tests(made.wall_length, anchors(made))))


def _sheet(kind: TestKind, rules: TestRules, **changes: float) -> FieldSheet:
    built = anchor(**changes)
    return field_sheet(built, procedure_of(kind, built, 1.33, rules), None, rules, on=DAY)


def _limit(name: str) -> float:
    made = _sheet("performance", US_RULES)
    return next(x.value for x in made.limits if x.name == name and x.value is not None) / _INCH


def _same(
    name: str, title: str, source: str, compute: Callable[[], float],
    provenance: Provenance = "published", inputs: str = "maximum test load 1.50 T, AL = 0.10 T",
) -> Case:  # fmt: skip
    return Case(
        f"stressing.{name}", "stressing", title, source, provenance, inputs, compute, 0.0, 1e-9,
        "share of design load", _SAME, absolute=True,
    )  # fmt: skip


def _value(
    name: str, title: str, source: str, compute: Callable[[], float], expected: float, unit: str,
    inputs: str, provenance: Provenance = "published", tolerance: float = 1e-9, note: str = "",
) -> Case:  # fmt: skip
    return Case(
        f"stressing.{name}", "stressing", title, source, provenance, inputs, compute, expected,
        tolerance, unit, note=note,
    )  # fmt: skip


def _below(kind: TestKind) -> float:
    """Return the shortest hold at a peak below the proof load."""
    test = _test(kind, 1.33, EN_RULES)
    peaks = [s for s in test.steps if s.hold > 1.0 and s.load < test.test_load * 0.999]
    return min(s.hold for s in peaks)


_ANY = "any anchor"
CASES: tuple[Case, ...] = (
    _same("caltrans-150-performance", "Performance test, all 28 lines: greatest difference", _CALTRANS,
          lambda: _off(_shares(_test("performance", 1.50)), PERFORMANCE_150)),
    _same("caltrans-150-proof", "Proof test, all 7 lines: greatest difference", _CALTRANS,
          lambda: _off(_shares(_test("proof", 1.50, residual=False)), PROOF_150)),
    _value("caltrans-hold", "Hold at the maximum test load", _CALTRANS,
           lambda: _top(_test("performance", 1.50)).hold, 10.0, "min", "10 or 60 minutes"),
    _value("caltrans-longer-hold", "Hold where 1 to 10 min move more than 0.04 in", _CALTRANS,
           lambda: _top(_test("proof", 1.50)).extended[-1], 60.0, "min", "50 minutes more"),
    _same("caltrans-longer-readings", "Readings of the longer hold: greatest difference (min)", _CALTRANS,
          lambda: _off(_top(_test("proof", 1.50)).extended, (15, 20, 25, 30, 45, 60)),
          inputs="15, 20, 25, 30, 45 and 60 minutes"),
    _value("caltrans-other-hold", "Hold at every other load, at most", _CALTRANS,
           lambda: max(s.most or 0.0 for s in _test("performance", 1.50).steps), 2.0, "min",
           "1 to 2 minutes"),
    _same("plan-sheet-133-peaks", "Performance test, peaks of its six cycles: greatest difference", _PLAN,
          lambda: _off(_peaks(_test("performance", 1.33)), PEAKS_133),
          inputs="0.25, 0.50, 0.75, 1.00, 1.20, 1.33 of the design load"),
    _same("plan-sheet-133-readings", "Readings at the test load: greatest difference (min)", _PLAN,
          lambda: _off(_top(_test("performance", 1.33)).readings, (1, 2, 3, 4, 5, 6, 10)),
          inputs="1, 2, 3, 4, 5, 6 and 10 minutes"),
    _value("plan-sheet-133-other-hold", "Hold at every other load, at most", _PLAN,
           lambda: max(s.most or 0.0 for s in _test("performance", 1.33).steps), 1.0, "min",
           "steps other than the last"),
    _value("extended-creep-minutes", "Extended creep test, minutes of all its holds", _GEC4,
           lambda: _test("extended creep", 1.33).least_minutes, 475.0, "min",
           "10, 30, 30, 45, 60 and 300 minutes", "memory"),
    _value("ufgs-performance-tests", "Performance tests of 100 anchors in one row", _UFGS,
           lambda: _performance_tests(100), 5.0, "tests",
           "the first three, and 2 percent of the other 97"),
    _value("ufgs-performance-tests-few", "Performance tests of two anchors", _UFGS,
           lambda: _performance_tests(2), 2.0, "tests", "the first three of two"),
    _value("ufgs-creep", "Greatest movement from 1 to 10 minutes", "UFGS 02490; city specifications",
           lambda: _limit("creep"), 0.040, "in", _ANY),
    _value("ufgs-longer-creep", "Greatest movement from 6 to 60 minutes",
           "UFGS 02490; city specifications", lambda: _limit("creep of the longer hold"), 0.080, "in",
           _ANY),
    _value("ufgs-lift-off", "Lift-off load at least, over a lock-off load of 100 kN", _UFGS,
           lambda: _sheet("proof", US_RULES, lock_off_load=100.0).lock_off.lift_off_least, 95.0, "kN",
           "within five percent of lock-off"),
    _value("en-investigation-cycles", "Investigation test by method 1, cycles", f"{_EN}, E.2.1",
           lambda: float(_test("investigation", 1.33, EN_RULES).cycles), 6.0, "cycles",
           "at least six"),
    _value("en-investigation-hold-below", "Hold below the proof load", f"{_EN}, E.2.1",
           lambda: _below("investigation"), 15.0, "min", "at least 15 minutes"),
    _value("en-investigation-hold-granular", "Hold at the proof load, granular ground", f"{_EN}, E.2.1",
           lambda: _top(_test("investigation", 1.33, EN_RULES)).hold, 60.0, "min",
           "non-cohesive soil"),
    _value("en-investigation-hold-cohesive", "Hold at the proof load, cohesive ground", f"{_EN}, E.2.1",
           lambda: _top(_test("investigation", 1.33, EN_RULES, clay=True)).hold, 180.0, "min",
           "cohesive soil"),
    _value("en-investigation-strength", "Greatest load on the tendon by its strength", f"{_EN}, E.2.1",
           lambda: tendon_limit(anchor(strength=1000.0, proof_load=900.0), "investigation", EN_RULES).load,
           800.0, "kN", "Ptk 1000 kN, Pt0.1k 900 kN: the lower of 0.80 Ptk and 0.95 Pt0.1k"),
    _value("en-suitability-proof-strength", "Greatest load on the tendon by its proof load",
           f"{_EN}, E.2.2",
           lambda: tendon_limit(anchor(strength=1000.0, proof_load=800.0), "suitability", EN_RULES).load,
           760.0, "kN", "Ptk 1000 kN, Pt0.1k 800 kN: 0.95 Pt0.1k"),
    _value("en-acceptance-proof-strength", "Greatest load on the tendon in an acceptance test",
           f"{_EN}, E.2.3",
           lambda: tendon_limit(anchor(strength=1000.0, proof_load=800.0), "acceptance", EN_RULES).load,
           720.0, "kN", "Ptk 1000 kN, Pt0.1k 800 kN: 0.90 Pt0.1k"),
    _value("en-suitability-tests", "Suitability tests, least number", f"{_EN}, 9.6",
           lambda: EN_RULES.counts.suitability.value, 3.0, "tests", "in each ground"),
    _value("en-lock-off", "Greatest lock-off load over the strength of the tendon", f"{_EN}, 9.8",
           lambda: EN_RULES.lock_off_stress.value, 0.60, "share of Ptk", _ANY),
    _value("en-least-free-length", "Least apparent free length", "EN 1537:1999, 9.10",
           lambda: _sheet("acceptance", EN_RULES, free_length=10.0, jack_length=1.0).least_length, 9.0,
           "m", "Ltf 10 m, Le 1 m: 0.8 Ltf + Le", "memory"),
    _value("en-greatest-free-length", "Greatest apparent free length, short bond", "EN 1537:1999, 9.10",
           lambda: _sheet("acceptance", EN_RULES, free_length=50.0, jack_length=1.0).greatest_length,
           56.0, "m", "Ltf 50 m, Ltb 8 m, Le 1 m: the larger of Ltf + Ltb/2 + Le, 1.1 Ltf + Le", "memory"),
    _value("gec4-greatest-free-length", "Greatest apparent free length", f"{_GEC4}.5",
           lambda: _sheet("performance", US_RULES, free_length=10.0, jack_length=1.0).greatest_length,
           15.0, "m", "free length 10 m, bond 8 m, jack 1 m: free + half the bond + jack", "memory"),
    _value("sheet-elongation", "Elastic movement at the test load on the field sheet", "Hooke's law",
           lambda: 1e3 * max(_sheet("performance", US_RULES).lines, key=lambda x: x.load).elastic, 40.55,
           "mm", "3 strands of 140 mm2, free length 6 m, 598.5 kN, alignment 45 kN, E 195 GPa",
           "formula", 2e-4),
)  # fmt: skip
