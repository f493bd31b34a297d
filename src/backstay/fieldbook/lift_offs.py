"""Lift-offs as read: in loads or at the gauge of a jack, in one reading or on both sides of it.

The load at which the head came off is found when the reading is entered, and again whenever it is
judged: by the calibration line of jack and gauge, and where the line of load and movement turns.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from backstay.checks import expand
from backstay.errors import DesignError, Fault, ProjectError
from backstay.fieldbook.book import BookedLiftOff
from backstay.fieldbook.book_reading import BookText
from backstay.model.document import Path
from backstay.records.facts import LiftedOff, TestBegun
from backstay.records.gauge_read import in_loads
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.jack import Jack
from backstay.stressing.jack_in_use import load_read, not_covered
from backstay.stressing.lift_off import LiftOffJudgement, again, judge_lift_off, lift_off_of
from backstay.stressing.lock_off import Head, LiftOff
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules

_NO_RULES = "a lift-off is found from readings by the rules of the project, which are not at hand"


@dataclass(frozen=True, slots=True)
class FoundLiftOff:
    """What is found of a lift-off as read: its load (kN), and the jack and certificate in use."""

    load: float
    jack: str
    certificate: str


def lift_offs_as_read(
    text: BookText, names: Mapping[Path, str], records: Records, rules: TestRules | None,
    jacks: Sequence[Jack], now: datetime,
) -> dict[int, FoundLiftOff]:  # fmt: skip
    """Return what is found of each lift-off of a book that states no load, by its place.

    rules: of the project, None where they are not at hand: then readings with movements are refused;
    jacks: on record, and of the book. Raises ProjectError with every fault, where a gauge or readings
    tell no load of this anchor.
    """
    found: dict[int, FoundLiftOff] = {}
    faults: list[Fault] = []
    for i, one in enumerate(text.book.lifted_off):
        if not (one.by_gauge or one.movements):
            continue
        key = next(k for k in ("loads", "gauges", "strand_gauges", "gauge") if getattr(one, k))
        anchor = names["lifted_off", i, "anchor"]
        try:
            on = one.on.at(text.book.zone, late=True, now=now)
            jack = _jack_in_use(one, anchor, on, records, jacks) if one.by_gauge else None
            fact = LiftedOff(
                anchor=anchor, load=1.0, jack=jack.name if jack else one.jack,
                certificate=jack.calibration.certificate if jack else one.certificate,
                loads=one.loads, movements=one.movements, gauge=one.gauge,
                strand_gauges=one.strand_gauges, gauges=one.gauges,
            )  # fmt: skip
            load = load_as_read(fact, records, rules, jack)
            found[i] = FoundLiftOff(load, fact.jack, fact.certificate)
        except DesignError as error:
            words = expand(error.reason, text.book.units)
            faults.append(text.fault(("lifted_off", i, key), words))
        except RefusedError as error:
            faults.append(text.fault(("lifted_off", i, key), str(error)))
    if faults:
        raise ProjectError(faults, text.name)
    return found


def load_as_read(
    fact: LiftedOff, records: Records, rules: TestRules | None, jack: Jack | None
) -> float:
    """Return the load (kN) that a lift-off tells, which states none but by what was read.

    jack: in use, None where loads were read. Raises DesignError where what was read tells no load,
    RefusedError where the anchor was never tested.
    """
    if jack is not None:
        _require_told(fact, jack)
        fact = in_loads(fact, {(fact.jack, fact.certificate): jack})
    if not fact.movements:
        return fact.load
    if rules is None:
        raise DesignError(_NO_RULES, "")
    pairs = tuple(zip(fact.loads, fact.movements, strict=True))
    return lift_off_of(pairs, records.test_record(fact.anchor).anchor, rules).load


def _require_told(fact: LiftedOff, jack: Jack) -> None:
    """Require that a certificate tells what was read. Raises DesignError."""
    if fact.gauge is not None:
        load_read(jack, fact.gauge)
    for k, pressure in enumerate(fact.strand_gauges, start=1):
        if pressure > 0.0:
            load_read(jack, pressure, f"strand {k}")
    for pressure in fact.gauges:
        load_read(jack, pressure)


def _jack_in_use(
    one: BookedLiftOff, anchor: str, on: datetime, records: Records, jacks: Sequence[Jack]
) -> Jack:
    """Return the jack whose gauge was read: as named, else that of the test before.

    Where no certificate is named it is the one issued last by that day. Raises RefusedError.
    """
    name = one.jack
    if not name:
        tests = [
            e.fact for e in records.anchor(anchor).of(TestBegun)
            if e.fact is not None and (e.happened is None or e.happened <= on)
        ]  # fmt: skip
        if not tests:
            raise RefusedError("a gauge tells a load by its jack alone: name the jack")
        name = tests[-1].jack
    mine = [jack for jack in jacks if jack.name == name]
    if not mine:
        known = ", ".join(sorted({jack.name for jack in jacks})) or "none is recorded yet"
        raise RefusedError(f"there is no jack {name!r}; there are: {known}")
    papers = [
        jack for jack in mine
        if one.certificate in ("", jack.calibration.certificate)
        and (one.certificate or jack.calibration.on <= on.date())
    ]  # fmt: skip
    if not papers:
        known = ", ".join(jack.calibration.certificate for jack in mine)
        wanted = one.certificate or f"that was issued by {on.date()}"
        raise RefusedError(f"jack {name} has no certificate {wanted}; there are: {known}")
    return max(papers, key=lambda jack: jack.calibration.on)


def lift_off_load(fact: LiftedOff, anchor: TestedAnchor, rules: TestRules) -> float:
    """Return the load (kN) of a lift-off in loads, by its readings where it has any that show one."""
    if not fact.movements:
        return fact.load
    try:
        pairs = tuple(zip(fact.loads, fact.movements, strict=True))
        return lift_off_of(pairs, anchor, rules).load
    except DesignError:
        return fact.load


def judged_lift_off(
    lifted: LiftOff, fact: LiftedOff, anchor: TestedAnchor, rules: TestRules, *, head: Head,
    draw_in: float | None, restressed: int, strands: int | None, jack: Jack | None = None,
) -> LiftOffJudgement:  # fmt: skip
    """Return a lift-off judged, by its readings where it has any.

    fact: in loads; jack: whose gauge was read, None where loads were. Readings that show no lift-off
    any more, because the anchor or the certificate was corrected since, tell nothing; nor does a
    gauge whose certificate does not cover it.
    """
    why, words = "", ""
    if jack is not None:
        words = (
            f"; read at the gauge of jack {jack.name}, certificate {jack.calibration.certificate}"
        )
        why = _not_told(fact, jack, rules, lifted.on)
    next_step = again(rules) if not why else _calibrate(rules)
    if fact.movements and not why:
        pairs = tuple(zip(fact.loads, fact.movements, strict=True))
        try:
            lifted = lift_off_of(pairs, anchor, rules, on=lifted.on, by=lifted.by)
        except DesignError as error:
            why = error.reason
    made = judge_lift_off(
        lifted, anchor, rules, head=head, draw_in=draw_in, restressed=restressed, strands=strands
    )
    if not why:
        return replace(made, reason=f"{made.reason}{words}")
    reason = f"cannot be told: {why}"
    return replace(made, standing="cannot be told", reason=reason, next=(next_step,))


def _not_told(fact: LiftedOff, jack: Jack, rules: TestRules, on: datetime | None) -> str:
    """Return why a certificate does not tell the loads (kN) that were read by it, "" where it does."""
    paper = jack.calibration
    most = paper.load(paper.greatest_pressure)
    if max(fact.strands or fact.loads or (fact.load,)) > most * (1.0 + 1e-9):
        return (
            f"the gauge of jack {jack.name} was read beyond {{force:{most:.9g}}}, the last point of "
            f"certificate {paper.certificate}"
        )
    return "" if on is None else not_covered(jack, rules, on.date())


def _calibrate(rules: TestRules) -> NextStep:
    """Return that jack and gauge are to be calibrated before the reading counts."""
    return NextStep(
        action="lift off", words="have jack and gauge calibrated: where the line is the same, name the "
        "new certificate with the reading; else lift off again with a jack whose certificate covers it",
        cite=rules.calibration_life.cite,
    )  # fmt: skip
