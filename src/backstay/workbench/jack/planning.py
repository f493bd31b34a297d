"""The plan of a test as a tablet needs it: every step with its pressures, times and limits.

All of it is worked out here and kept on the tablet, so that a test once begun goes on without a
server. What a tablet itself compares a number with before it takes it are bounds of doubt: outside
them the person is asked to look again. No verdict rests on them.
"""

from __future__ import annotations

from datetime import datetime

from backstay.cite import common_practice
from backstay.fieldbook.at_hand import Asked, beginning, going_on, next_kind
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.fault_pumping import pumping_rule
from backstay.stressing.judged_steps import loss_step, top_step
from backstay.stressing.lock_off import DrawIn
from backstay.stressing.procedure import TestKind, TestStep
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.sheet import FieldSheet, SheetLine, field_sheet
from backstay.workbench.jack.shown import Json, both, capital, labels, number, text, typed, words

ON_TIME = 0.25
"""Minutes by which a reading may be off its minute and still be written down as of it."""
DOUBT = common_practice(
    "a reading far from what theory expects is looked at again before it is taken"
)
_FEW, _MANY, _SLACK = 0.4, 1.6, 0.005
"""Share of the least and of the greatest elastic movement, and m, beyond which there is doubt."""


def record_at_hand(
    line: RegisterLine, records: Records, rules: TestRules, asked: Asked
) -> TestRecord:
    """Return the test that goes on, else the one that would begin. Raises RefusedError, DesignError."""
    if line.test_open:
        return going_on(line, records).record
    return beginning(line, asked, records, rules).record


def plan(
    record: TestRecord, rules: TestRules, day: datetime, draw_in: DrawIn | None = None
) -> Json:
    """Return the plan of a test in both systems of units. Raises DesignError.

    day: of the test, where it has not begun; draw_in: as measured at such heads of the job.
    """
    sheet = field_sheet(
        record.anchor, record.procedure, record.jack, rules, on=(record.on or day).date(),
        draw_in=draw_in,
    )  # fmt: skip
    return {
        "kind": record.procedure.kind,
        "jack": {
            "name": record.jack.name, "gauge": record.jack.gauge,
            "certificate": record.jack.calibration.certificate,
        },
        "on_time": ON_TIME,
        "first_rise": _first_rise(record),
        "in": both(lambda units: _written(sheet, units)),
    }  # fmt: skip


def _first_rise(record: TestRecord) -> int:
    """Return the step at which a cycle that is run again begins."""
    procedure = record.procedure
    rising = [
        i for i, s in enumerate(procedure.steps)
        if s.cycle == procedure.cycles and s.up and s.load > procedure.alignment_load * (1 + 1e-6)
    ]  # fmt: skip
    return rising[0] if rising else 0


def _written(sheet: FieldSheet, units: UnitSystem) -> Json:
    procedure, lock = sheet.procedure, sheet.lock_off
    lines = zip(sheet.lines, procedure.steps, strict=True)
    return {
        "labels": labels(units),
        "design_load": text(procedure.design_load, "force", units),
        "test_load": text(procedure.test_load, "force", units),
        "never": {
            "load": text(sheet.tendon.load, "force", units),
            "pressure": text(sheet.tendon_pressure, "gauge pressure", units),
            "gauge": None if sheet.tendon_pressure is None
            else number(sheet.tendon_pressure, "gauge pressure", units),
        },
        "steps": [_step(sheet, line, step, i, units) for i, (line, step) in enumerate(lines)],
        "limits": [{"words": words(x.words, units), "clause": str(x.clause)} for x in sheet.limits],
        "cautions": [words(c, units) for c in sheet.cautions],
        "jack_length": text(sheet.anchor.jack_length, "length", units),
        "lock_off": {
            "load": text(lock.load, "force", units),
            "jacking": text(lock.jacking, "force", units),
            "pressure": text(lock.pressure, "gauge pressure", units),
            "least": text(lock.pressure_least, "gauge pressure", units),
            "greatest": text(lock.pressure_greatest, "gauge pressure", units),
            "least_load": text(lock.lift_off_least, "force", units),
            "greatest_load": text(lock.lift_off_greatest, "force", units),
            "remark": capital(words(lock.remark, units)),
        },
    }  # fmt: skip


def _step(
    sheet: FieldSheet, line: SheetLine, step: TestStep, index: int, units: UnitSystem
) -> Json:
    """Return a step: what it keeps is the load, or by method 2 the length, or the head locked off."""
    locked = loss_step(sheet.procedure)
    lock = sheet.lock_off
    if index == locked:  # the jack goes higher by what the head takes as it is seated
        return {
            **_as_pumped(sheet, line, step, index, units), "keeps": "locked",
            "pressure": text(lock.pressure, "gauge pressure", units),
            "jacking": text(lock.jacking, "force", units),
            "pressures": " to ".join(
                text(p, "gauge pressure", units)
                for p in (lock.pressure_least, lock.pressure_greatest) if p is not None
            ),
        }  # fmt: skip
    keeps = "load" if locked is None else "length"
    return {**_as_pumped(sheet, line, step, index, units), "keeps": keeps}


def _as_pumped(
    sheet: FieldSheet, line: SheetLine, step: TestStep, index: int, units: UnitSystem
) -> Json:
    """Return a step whose load the jack brings and holds."""
    tolerance = sheet.rules.load_tolerance.value
    low, high = ((1.0 - tolerance) * step.load, (1.0 + tolerance) * step.load)
    paper = sheet.jack.calibration if sheet.jack else None
    lost = most_lost(sheet.rules) if loss_step(sheet.procedure) is not None else 0.0
    gauge = None if paper is None else [
        number(paper.pressure(load), "gauge pressure", units)
        for load in (low - lost * step.load, high)
    ]  # fmt: skip
    timed = sheet.rules.clock.value == "pumping begins" and index == top_step(sheet.procedure)
    pumping = pumping_rule(sheet.rules)
    return {
        "number": line.number, "cycle": line.cycle, "share": f"{line.share:.3g}", "up": line.up,
        "load": text(line.load, "force", units),
        "pressure": text(line.pressure, "gauge pressure", units),
        "pressures": "" if paper is None else " to ".join(
            text(paper.pressure(load), "gauge pressure", units) for load in (low, high)
        ),
        "hold": line.hold, "most": line.most,
        "minutes": [0.0, *(m for m in line.readings if m > 0.0)],
        "extended": list(line.extended),
        "counts_pumping": timed,
        "pumping": None if pumping is None or not line.up else pumping.value,
        "stretch": text(line.elastic, "small length", units),
        "doubt": {"gauge": gauge, "moved": _doubt(sheet, line, units)},
    }  # fmt: skip


def most_lost(rules: TestRules) -> float:
    """Return the greatest share of the load that may be lost while it is read, by the rules."""
    return (
        max((share for _, share in rules.load_loss.limits), default=0.0) if rules.load_loss else 0.0
    )


def _doubt(sheet: FieldSheet, line: SheetLine, units: UnitSystem) -> list[float]:
    """Return the least and the greatest movement from the first reading that raise no question."""
    most = max(other.greatest for other in sheet.lines)
    low = _FEW * line.least - _SLACK
    high = (_MANY * line.greatest if line.up else most) + _SLACK
    return [number(x, "small length", units) for x in (low, high)]


def choices(line: RegisterLine, records: Records, rules: TestRules) -> Json:
    """Return what may be chosen before a test begins: kind, jack and length of tendon in it."""
    kinds: tuple[TestKind, ...] = ("performance", "proof", "extended creep")
    if rules.id == EN_RULES.id:
        kinds = ("investigation", "suitability", "acceptance")
    try:
        planned: TestKind | None = next_kind(line)
    except RefusedError:
        planned = None
    return {
        "kinds": list(kinds), "planned": planned,
        "jacks": [
            {
                "name": j.name, "gauge": j.gauge, "certificate": j.calibration.certificate,
                "until": j.calibration.good_to(rules.calibration_life.value).isoformat(),
            }
            for j in records.jacks()
        ],
        "jack_length": both(lambda u: typed(line.design.jack_length, "length", u)),
        "labels": both(labels),
    }  # fmt: skip
