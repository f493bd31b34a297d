"""How a test stands: what is recorded, the judgement of it, and what the rules allow next."""

from __future__ import annotations

from backstay.checks import Check
from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.quantity import UnitSystem
from backstay.records.anchor_file import AnchorFile
from backstay.records.facts import LockedOff
from backstay.stressing.findings import Finding
from backstay.stressing.judged_steps import loss_step
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.stays import Place, places
from backstay.workbench.jack.plots import creep, load_movement
from backstay.workbench.jack.plots_loss import load_loss
from backstay.workbench.jack.sent import Note, SentBook
from backstay.workbench.jack.shown import Json, both, capital, text, typed, words
from backstay.workbench.jack.since import load_words, remarks, since_lock_off
from backstay.workbench.jack.site import JackSite

_PRESSURES = frozenset({"go on", "pump back", "hold", "run the cycle again"})
"""What to do at a gauge pressure. A load to be left in the tendon is none: the head draws in."""


def standing(site: JackSite, anchor: str) -> Json:
    """Return how the last test of an anchor stands. Raises RefusedError, DesignError, StoreError."""
    rules = site.rules
    file = site.records.anchor(anchor)
    line = file.line
    found = list(judged_tests(site.records, rules, [line]))
    answer: Json = {"state": line.state, "test": None, "last": 0, "locked_off": _locked(file)}
    answer["remarks"] = remarks(file)
    if not found:
        return answer
    one = found[0]
    record = one.record
    notes = SentBook(site.sent).of_test(anchor, one.number)
    corrected = _revisions(site, anchor, one.number)
    placed = places(record.readings, record.procedure)
    return {
        **answer,
        "test": {
            "number": one.number, "open": not record.closed, "kind": record.procedure.kind,
            "by": record.by, "on": record.on.isoformat() if record.on else "",
            "verdict": line.verdict, "stale": line.verdict_stale,
        },
        "last": max(corrected, default=0),
        "readings": [
            _reading(r, p, notes.get(r.number), corrected.get(r.number, 0))
            for r, p in zip(record.readings, placed, strict=True)
        ],
        "in": both(lambda units: _judged(one, site, units)),
    }  # fmt: skip


def _revisions(site: JackSite, anchor: str, test: int) -> dict[int, int]:
    """Return how often each reading of a test was corrected, withdrawn ones too."""
    numbers: dict[int, int] = {}
    of: dict[int, int] = {}
    for entry in site.records.history(anchor):
        if entry.kind != "reading" or entry.test != test:
            continue
        if entry.supersedes is not None and entry.supersedes in of:
            number = of[entry.supersedes]
            numbers[number] += 1
        elif isinstance(entry.fact, Reading):
            number = entry.fact.number
            numbers[number] = 0
        else:
            continue
        of[entry.id] = number
    return numbers


def _locked(file: AnchorFile) -> bool:
    return bool(file.of(LockedOff))


def _reading(reading: Reading, place: Place, note: Note | None, corrected: int) -> Json:
    return {
        "number": reading.number, "id": note.id if note else "", "tablet": note.tablet if note else "",
        "step": place.step, "again": place.again, "minute": reading.minute,
        "at": reading.at.isoformat() if reading.at else "", "remark": reading.remark,
        "corrected": corrected,
        "in": both(
            lambda units: {
                "gauge": typed(reading.gauge, "gauge pressure", units),
                "load": typed(reading.load, "force", units),
                "dials": [typed(d, "small length", units) for d in reading.dials],
                "reference": typed(reading.reference, "small length", units),
            }
        ),
    }  # fmt: skip


def _judged(one: JudgedTest, site: JackSite, units: UnitSystem) -> Json:
    record, judgement, lift_off = one.record, one.judgement, one.lift_off
    rules = site.rules
    steps = lift_off.next if lift_off else judgement.next
    return {
        "decision": judgement.decision,
        "reason": capital(words(judgement.reason, units)),
        "checks": [_check(c, units) for c in judgement.checks],
        "waiting": [
            {"id": o.id, "words": capital(words(o.words, units)), "state": o.state}
            for o in judgement.waiting
        ],
        "findings": [finding(f, units) for f in judgement.findings],
        "next": [_next(n, record, units) for n in steps],
        "lift_off": None if lift_off is None else {
            "standing": lift_off.standing, "reason": capital(words(lift_off.reason, units)),
            "before": one.after is not None and not one.after.kept,
        },
        "load": load_words(one),
        "since": since_lock_off(one.after, units, _check, lambda n: _next(n, record, units)),
        "plots": [
            load_movement(record, judgement, rules, units),
            load_loss(record, judgement, rules, units)
            if loss_step(record.procedure) is not None
            else creep(record, judgement, rules, units),
        ],
    }  # fmt: skip


def _check(check: Check, units: UnitSystem) -> Json:
    return {
        "id": check.id, "name": check.name, "verdict": check.verdict.value,
        "found": check.quantity.text(check.demand, units),
        "limit": f"{check.sense.value} {check.quantity.text(check.capacity, units)}",
        "clause": str(check.clause), "note": words(check.note, units),
        "remedy": words(check.remedy, units),
    }  # fmt: skip


def finding(found: Finding, units: UnitSystem) -> Json:
    """Return a finding in words, with its consequence."""
    return {
        "code": found.code, "words": capital(words(found.words, units)),
        "effect": words(found.effect, units), "readings": list(found.readings), "stop": found.stop,
        "withholds": found.withholds, "refused": found.consequence == "refused",
    }  # fmt: skip


def _next(step: NextStep, record: TestRecord, units: UnitSystem) -> Json:
    paper = record.jack.calibration
    pressure = None
    if step.load is not None and step.action in _PRESSURES:
        pressure = paper.pressure(step.load)
        if not 0.0 < pressure <= paper.greatest_pressure * (1.0 + 1e-9):
            pressure = None
    return {
        "action": step.action, "words": capital(words(step.words, units)), "clause": str(step.cite),
        "until": step.minute, "step": step.step, "load": text(step.load, "force", units),
        "pressure": text(pressure, "gauge pressure", units),
    }  # fmt: skip
