"""Invented tests, registers and sheets for the papers: passed, failed, incomplete, faulty, every method."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from functools import cache

from backstay.basis import Factor
from backstay.cite import Citation
from backstay.records.entries import RegisterLine, State
from backstay.records.facts import (
    DesignValues,
    Drilled,
    Grouted,
    GroutStrength,
    LiftedOff,
    LockedOff,
    TendonPlaced,
    VerdictIssued,
)
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from tests.unit.stressing.invented import anchor, jack
from tests.unit.stressing.synthetic import Model, altered, record_of, set_back
from tests.unit.stressing.test_load_loss import locked

ANNEX = Citation("invented annex", "3.2", "given")
EN = replace(
    EN_RULES, creep_rate=Factor(0.001, ANNEX), stepped_creep=Factor(0.001, ANNEX),
    load_loss_rate=Factor(0.01, ANNEX),
)  # fmt: skip
BEGAN = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
TYPED = '=1+1 <b>#panic("x")</b> $x$ {foo:1} & "_*'
"""What a person might type, and what no paper may take for anything but text."""
STATES: tuple[State, ...] = (
    "planned", "submittal", "drilled", "grouted", "stressed", "accepted", "not accepted",
    "locked off", "lifted off", "repaired", "replaced",
)  # fmt: skip


def us(kind: str = "performance", *, extended: bool = False, **changes: float) -> TestRecord:
    model = Model(scatter=1e-5, friction=15.0, jack_friction=0.03, **changes)  # type: ignore[arg-type]
    procedure = procedure_of(kind, model.anchor, 1.33, US_RULES)  # type: ignore[arg-type]
    return record_of(model, procedure, extended=extended)


def en(method: str, kind: str, **changes: float) -> tuple[TestRecord, TestRules]:
    rules = replace(EN, method=method)
    model = Model(scatter=1e-5, **changes)  # type: ignore[arg-type]
    return record_of(model, procedure_of(kind, model.anchor, 1.33, rules)), rules  # type: ignore[arg-type]


def _faulty() -> TestRecord:
    record = set_back(us(), 20, 0.004)
    gauge = record.readings[8].gauge or 0.0
    record = altered(record, 9, gauge=gauge * 0.7, remark=TYPED)
    return replace(record, jack=jack(name="J {foo:2}", expires=date(2026, 2, 1)), by=TYPED)


@cache
def trials() -> dict[str, tuple[TestRecord, TestRules]]:
    """Return every kind of test, by name."""
    whole = us()
    short = record_of(
        Model(friction=150.0, scatter=1e-5), procedure_of("performance", anchor(), 1.33, US_RULES)
    )
    lock = replace(EN, method="lock-off")
    return {
        "performance": (whole, US_RULES),
        "proof": (us("proof"), US_RULES),
        "extended creep": (us("extended creep"), US_RULES),
        "failed": (us(extended=True, creep=0.0035, bend=0.0005), US_RULES),
        "free length too short": (short, US_RULES),
        "incomplete": (replace(whole, readings=whole.readings[:15]), US_RULES),
        "goes on": (replace(whole, readings=whole.readings[:29], closed=False), US_RULES),
        "faulty": (_faulty(), US_RULES),
        "no readings": (replace(whole, readings=()), US_RULES),
        "EN method 1": en("held load", "suitability"),
        "EN acceptance": en("held load", "acceptance"),
        "EN method 2": (locked(0.004, lock), lock),
        "EN method 2, failed": (locked(0.03, lock), lock),
        "EN method 3": en("stepped load", "investigation", critical=400.0, steep=1e-5),
        "EN method 3, straight": en("stepped load", "suitability"),
    }


@cache
def judged(name: str) -> Judgement:
    record, rules = trials()[name]
    return judge(record, rules)


def design_values(**changes: object) -> DesignValues:
    values: dict[str, object] = {
        "service": "temporary", "design_load": 450.0, "lock_off_load": 360.0, "test_load": 598.5,
        "area": 420e-6, "modulus": 195e6, "strength": 782.1, "free_length": 6.0,
        "bond_length": 8.0, "hole_diameter": 0.15, "inclination": 0.2618, "depth": 2.0,
        "station": 1.25, "tendon": "3 × 15.24 mm strand", "ground": ("granular",),
        "grouting": "gravity", "tests": ("performance",),
    }  # fmt: skip
    return DesignValues(**(values | changes))  # type: ignore[arg-type]


def line(row: int, number: int, state: State, **changes: object) -> RegisterLine:
    """Return a line of the register; anchors stand 2.5 m apart, rows as well."""
    done = state in ("accepted", "locked off", "lifted off", "replaced")
    tested = done or state in ("stressed", "not accepted", "repaired")
    values: dict[str, object] = {
        "anchor": f"A-{row}-{number:03d}", "part": "A", "row": row, "number": number, "pile": number,
        "trial": False, "state": state, "since": BEGAN, "tests": int(tested),
        "design": design_values(
            station=1.25 + 2.5 * (number - 1), depth=2.0 + 2.5 * (row - 1),
            tests=("performance",) if number == 1 else ("proof",),
        ),
        "test": 1 if tested else None, "test_open": state == "stressed",
        "test_kind": ("performance" if number == 1 else "proof") if tested else None,
        "verdict": "accepted" if done else "not accepted" if state == "not accepted" else None,
        "accepted_load": 450.0 if done else None, "readings": 34 if tested else 0,
        "greatest_load": 598.5 if tested else None,
        "lock_off_load": 361.0 if state in ("locked off", "lifted off") else None,
        "lift_off_load": 355.0 if state == "lifted off" else None,
    }  # fmt: skip
    return RegisterLine(**(values | changes))  # type: ignore[arg-type]


def wall(number: int = 24, rows: int = 3) -> tuple[RegisterLine, ...]:
    """Return a register in which every state stands."""
    return tuple(
        line(r, n, STATES[(7 * r + n * n) % len(STATES)])
        for r in range(1, rows + 1)
        for n in range(1, number + 1)
    )


def paper(name: str, *, full: bool = False, anchor_name: str = "A-1-001") -> AnchorPaper:
    """Return the paper of a test; full: with everything that can be recorded about an anchor."""
    record, rules = trials()[name]
    record = replace(record, anchor=replace(record.anchor, name=anchor_name))
    judgement = judge(record, rules)
    if not full:
        return AnchorPaper(record=record, judgement=judgement, number=1)
    return AnchorPaper(
        record=record, judgement=judgement, number=2, design=design_values(),
        line=line(1, 1, "lifted off"),
        drilled=Drilled(anchor=anchor_name, diameter=0.152, length=14.2),
        tendon=TendonPlaced(
            anchor=anchor_name, certificate="M-77", area=421e-6, modulus=195.2e6, guaranteed=782.1,
            free_length=6.1, bond_length=8.1,
        ),
        grouted=(Grouted(anchor=anchor_name, water_cement=0.45, volume=0.31),),
        strengths=(
            GroutStrength(
                anchor=anchor_name, sample="G1", age=7.0, strengths=(31e3, 33e3, 32.5e3)
            ),
        ),
        locked_off=LockedOff(anchor=anchor_name, jack_load=410.0, load=361.0, seating=0.006),
        lifted_off=LiftedOff(anchor=anchor_name, load=355.0),
        verdict=VerdictIssued(
            anchor=anchor_name, test=2, decision="accepted", design_load=450.0, rules="US",
            signed_by="A. Engineer", licence="PE 1234",
        ),
        remarks=(TYPED,),
    )  # fmt: skip
