"""The field sheet of one test: what the crew does, step by step, with every number worked out.

For each step the load, the gauge pressure of the jack in use, how long it is held and when to
read; the stretch that theory expects, and the least and greatest that the limits of the apparent
free length allow; the limits of creep; the pressure at which to lock off so that the load is right
after the wedges have drawn in; and what keeps people from harm. There is room to write beside it
(`backstay.report`): this is its data.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from backstay.anchors.lock_off import draw_in_loss, elongation, jacking_load
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.stressing.free_length import FreeLengthLimits, free_length_limits
from backstay.stressing.jack import Jack
from backstay.stressing.jack_in_use import reasons_against, require, steepness
from backstay.stressing.loads import TendonLimit, tendon_limit
from backstay.stressing.lock_off import DrawIn
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.stressing.sheet_words import SheetLimit, cautions_of, limits_of
from backstay.trace import Step, trace

TRAVEL = 1.5
"""Travel that dials need, over the greatest elastic movement: the residual comes on top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLine:
    """One step on the sheet.

    number: from 1; load kN; pressure: of the gauge (kPa), None without a jack; elastic: stretch by
    theory from the alignment load, least and greatest: by the limits of the apparent free length
    (m). readings, extended: minutes; most: minutes of hold at most.
    """

    number: int
    cycle: int
    share: float
    load: float
    up: bool
    pressure: float | None
    hold: float
    most: float | None
    readings: tuple[float, ...]
    extended: tuple[float, ...]
    elastic: float
    least: float
    greatest: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LockOffLine:
    """How to lock off.

    load: to be left in the tendon; heads: at which the draw-in was measured, nil where it is that of
    the design; loss: that the draw-in takes; jacking: load at the jack before it; pressure: of that (kPa); lift_off_least, lift_off_greatest: between which the lift-off load
    must lie, all kN. None where it is not known or cannot be reached; remark says why.
    """

    load: float
    draw_in: float | None
    heads: int
    loss: float | None
    jacking: float | None
    pressure: float | None
    lift_off_least: float
    lift_off_greatest: float
    pressure_least: float | None
    pressure_greatest: float | None
    clause: Citation
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSheet:
    """The data of a field sheet. Loads kN, lengths m, pressures kPa, times minutes.

    tendon: greatest load that may ever be on it, with its pressure; least_length,
    greatest_length: of the apparent free length, jack length included; travel: that dials and ram
    need; division: load of one division of the gauge; minutes: least time of the holds; age: days
    of the certificate on the day of the test, until: its last day by the rules; None without a jack.
    """

    anchor: TestedAnchor
    procedure: Procedure
    rules: TestRules
    jack: Jack | None
    on: date
    lines: tuple[SheetLine, ...]
    least_length: float
    greatest_length: float
    tendon: TendonLimit
    tendon_pressure: float | None
    travel: float
    division: float | None
    minutes: float
    age: int | None
    until: date | None
    limits: tuple[SheetLimit, ...]
    lock_off: LockOffLine
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]


def field_sheet(
    anchor: TestedAnchor,
    procedure: Procedure,
    jack: Jack | None,
    rules: TestRules,
    *,
    on: date,
    draw_in: DrawIn | None = None,
) -> FieldSheet:
    """Return the field sheet of a test.

    jack: the one in use, None for a sheet whose pressures are filled in on site; on: day of the
    test; draw_in: as measured at such heads of the job, which then counts in the place of what the
    design expects. Raises DesignError, with every reason, where the jack cannot make the loads of the test on
    that day, or where the tendon may not carry them.
    """
    where = f"anchor {anchor.name}"
    limit = tendon_limit(anchor, procedure.kind, rules)
    if procedure.test_load > limit.load * (1.0 + 1e-9):
        raise DesignError(
            f"the test load {{force:{procedure.test_load:.6g}}} is more than the tendon may carry under "
            f"test, {{force:{limit.load:.6g}}} ({limit.clause})", where,
        )  # fmt: skip
    if jack is not None:
        require(jack, [step.load for step in procedure.steps], rules, on, where)
    with trace() as t:
        lengths = free_length_limits(anchor, rules)
        top = _movements(anchor, procedure, procedure.test_load, lengths)
    lines = tuple(
        SheetLine(
            number=k, cycle=step.cycle, share=step.share, load=step.load, up=step.up,
            pressure=None if jack is None else jack.calibration.pressure(step.load),
            hold=step.hold, most=step.most, readings=step.readings, extended=step.extended,
            **_movements(anchor, procedure, step.load, lengths),
        )
        for k, step in enumerate(procedure.steps, start=1)
    )  # fmt: skip
    travel = TRAVEL * top["greatest"]
    with trace() as lock:
        lock_off = _lock_off(anchor, jack, rules, limit, on, draw_in)
    return FieldSheet(
        anchor=anchor, procedure=procedure, rules=rules, jack=jack, on=on, lines=lines,
        least_length=lengths.least, greatest_length=lengths.greatest, tendon=limit,
        tendon_pressure=_pressure(jack, limit.load, rules, on), travel=travel,
        division=None if jack is None else steepness(jack, rules),
        minutes=procedure.least_minutes,
        age=None if jack is None else jack.calibration.age(on),
        until=None if jack is None else jack.calibration.good_to(rules.calibration_life.value),
        limits=limits_of(anchor, procedure, rules, top["least"], top["greatest"]),
        lock_off=lock_off,
        cautions=cautions_of(anchor, procedure, rules, jack, limit, travel=travel, on=on),
        steps=(*t.steps, *lock.steps),
    )  # fmt: skip


def _movements(
    anchor: TestedAnchor, procedure: Procedure, load: float, lengths: FreeLengthLimits
) -> dict[str, float]:
    """Return the elastic movement at a load: by theory, and by the two limits of length."""
    P_al, A, E, L_j = procedure.alignment_load, anchor.area, anchor.modulus, anchor.jack_length
    load = max(load, P_al)
    return {
        "elastic": elongation(load, P_al, anchor.free_length, L_j, A, E),
        "least": elongation(load, P_al, lengths.least - L_j, L_j, A, E),
        "greatest": elongation(load, P_al, lengths.greatest - L_j, L_j, A, E),
    }


def _pressure(jack: Jack | None, load: float, rules: TestRules, on: date) -> float | None:
    if jack is None or reasons_against(jack, [load], rules, on):
        return None
    return jack.calibration.pressure(load)


def _lock_off(
    anchor: TestedAnchor,
    jack: Jack | None,
    rules: TestRules,
    limit: TendonLimit,
    on: date,
    measured: DrawIn | None,
) -> LockOffLine:
    P_lo, off = anchor.lock_off_load, rules.lift_off_tolerance
    low, high = P_lo * (1.0 - off.value), P_lo * (1.0 + off.value)
    loss = jacking = None
    remark = ""
    draw_in = anchor.draw_in if measured is None else measured.mean
    if draw_in is None:
        remark = (
            "the draw-in is not known: measure it at the first anchors, and add what it takes to "
            "the lock-off load"
        )
    else:
        loss = draw_in_loss(anchor.area, anchor.modulus, draw_in, anchor.free_length)
        jacking = jacking_load(P_lo, loss)
        if jacking > limit.load * (1.0 + 1e-9):
            remark = (
                f"the load at the jack that would leave the lock-off load, {{force:{jacking:.6g}}}, is "
                f"more than the tendon may carry, {{force:{limit.load:.6g}}}: lock off on shims, or seat "
                "the wedges by power"
            )
            jacking = None
    pressure = None if jacking is None else _pressure(jack, jacking, rules, on)
    if jack is not None and jacking is not None and pressure is None:
        remark = "; ".join(reasons_against(jack, [jacking], rules, on))
    return LockOffLine(
        load=P_lo, draw_in=draw_in, heads=0 if measured is None else measured.count, loss=loss,
        jacking=jacking, pressure=pressure, lift_off_least=low, lift_off_greatest=high,
        pressure_least=_pressure(jack, low, rules, on),
        pressure_greatest=_pressure(jack, high, rules, on), clause=off.cite, remark=remark,
    )  # fmt: skip
