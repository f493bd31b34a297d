"""Load with time: what locked-off anchors still carry, and what is to be expected of them.

Lift-offs and load cells give load against the logarithm of time. Steel relaxes and the bond
creeps, both about straight in it, so that a line gives the loss per tenfold time, and its drawing
on gives the load at the end of service: with the interval that so few readings over so short a
time leave, and none where two readings made the line. A loss beyond what relaxation and creep
explain, or a load that grows, speaks of a wall that moves, a head that settles or a bond that gives.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, log10
from typing import Literal

from backstay.basis import Factor
from backstay.checks import Check, Sense
from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import (
    QUANTITIES,
    Force,
    Length,
    Percent,
    Ratio,
    SectionArea,
    SmallLength,
    SteelModulus,
)
from backstay.stressing.load_loss import load_loss
from backstay.stressing.lock_off import ELASTIC, greatest_in_tolerance, least_in_tolerance
from backstay.stressing.record import TestedAnchor
from backstay.stressing.regression import LineFit, line_fit, student
from backstay.stressing.rules import TestRules
from backstay.trace import Step, formula, remark, state, trace

MINUTES_OF_MONTH = 43_830.0
CHANGE = Factor(
    0.10,
    Citation("BS 8081:1989", "11.4, change of load in service that asks for no action", "memory"),
)
_RELAXES = Citation(
    "Magura, Sozen and Siess 1964",
    "relaxation against log time; 45 for low relaxation: PCI",
    "memory",
)
_YIELD = Citation("ASTM A416; ASTM A722", "yield load over guaranteed strength", "memory")
_DESIGN = Citation("design of the anchor", "design load, within the lift-off tolerance", "formula")
_EXPECTED = Citation("relaxation and creep", "loss per tenfold time, as expected", "formula")
_FORCE, _PERCENT = QUANTITIES["force"], QUANTITIES["percent"]
Steel = Literal["strand", "bar"]
YIELD_SHARE: dict[Steel, float] = {"strand": 0.90, "bar": 0.80}
"""Yield load over guaranteed strength where it is not known: low-relaxation strand, plain bar."""
SLOWNESS: dict[Steel, float] = {"strand": 45.0, "bar": 10.0}
"""Log cycles divisor of the relaxation: low-relaxation strand; a bar as stress-relieved steel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadAt:
    """A load in the tendon (kN) so many minutes after lock-off, and how it was found."""

    minute: float
    load: float
    by: Literal["lock-off", "lift-off", "load cell"] = "load cell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The load at a later time (kN): by the line, and between which it lies (95 %, one reading).

    least, greatest: None where two readings made the line, which then says nothing of itself.
    decades: of time beyond the last reading.
    """

    minute: float
    load: float
    least: float | None
    greatest: float | None
    decades: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadHistory:
    """Load with time of one anchor.

    rate: share of the lock-off load lost per tenfold time, rate_least and rate_greatest its 95 %
    interval (None from two readings); relaxation, creep: shares per tenfold time expected of steel
    and bond, creep None where the test gave no rate; forecast: at the end of service, None without
    one. fit: line of load against log10 of the minute.
    """

    anchor: str
    lock_off_load: float
    points: tuple[LoadAt, ...]
    fit: LineFit | None
    rate: float | None
    rate_least: float | None
    rate_greatest: float | None
    relaxation: float
    creep: float | None
    forecast: Forecast | None
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]

    @property
    def expected(self) -> float:
        """Return the share of load expected to be lost per tenfold time."""
        return self.relaxation + (self.creep or 0.0)


@formula("k_r", _RELAXES)
def relaxation_rate(P_lo: Force, P_y: Force, n_r: Ratio) -> Percent:
    """Share of the load that relaxation takes per tenfold time.

    P_lo: load locked off; P_y: yield load of the tendon; n_r: 45 for low-relaxation strand, 10 for
    stress-relieved steel
    """
    return max(P_lo / P_y - 0.55, 0.0) / n_r


@formula("k_c", ELASTIC)
def creep_loss_rate(
    A: SectionArea, E: SteelModulus, alpha: SmallLength, L_u: Length, P_lo: Force
) -> Percent:
    """Share of the load that creep of the bond takes per tenfold time, head and plate at rest.

    A: area of the tendon; E: modulus of elasticity of the tendon; alpha: creep rate; L_u: free
    length; P_lo: load locked off
    """
    return A * E * alpha / (L_u * P_lo)


@formula("k_e", _EXPECTED)
def expected_loss_rate(k_r: Percent, k_c: Percent) -> Percent:
    """Share of the load that is expected to be lost per tenfold time.

    k_r: by relaxation; k_c: by creep of the bond
    """
    return k_r + k_c


def load_history(
    anchor: TestedAnchor,
    lock_off_load: float,
    readings: Sequence[LoadAt],
    rules: TestRules,
    *,
    steel: Steel = "strand",
    creep_rate: float | None = None,
    service_months: float | None = None,
    change: Factor = CHANGE,
) -> LoadHistory:
    """Return what the loads of an anchor with time say.

    lock_off_load: after seating (kN); steel: of the tendon; creep_rate: of the test (m per tenfold
    time), at the test load and so more than at the lock-off load; service_months: for the forecast;
    change: of the load that asks for no action. Raises DesignError for readings without a time.
    """
    where = f"anchor {anchor.name}"
    points = tuple(sorted(readings, key=lambda p: p.minute))
    if any(p.minute <= 0.0 for p in points):
        raise DesignError("loads are read after the lock-off: the minute is more than nil", where)
    if lock_off_load <= 0.0:
        raise DesignError("the load that was locked off is not known", where)
    with trace() as t:
        relaxation, creep = _expected(anchor, lock_off_load, steel, creep_rate)
        fit = line_fit([log10(p.minute) for p in points], [p.load for p in points])
        rate = low = high = None
        if fit is not None:
            rate, low, high = _rates(fit, lock_off_load, len(points))
    forecast = None
    if fit is not None and service_months is not None:
        forecast = _forecast(fit, points[-1].minute, service_months * MINUTES_OF_MONTH)
    found = LoadHistory(
        anchor=anchor.name, lock_off_load=lock_off_load, points=points, fit=fit, rate=rate,
        rate_least=low, rate_greatest=high, relaxation=relaxation, creep=creep, forecast=forecast,
        checks=(), steps=t.steps,
    )  # fmt: skip
    return replace(found, checks=tuple(_checks(found, anchor, rules, change)))


def _expected(
    anchor: TestedAnchor, load: float, steel: Steel, alpha: float | None
) -> tuple[float, float | None]:
    """Return what relaxation and creep are expected to take per tenfold time, as shares."""
    known = anchor.proof_load
    P_y = state(
        "P_y", "Yield load of the tendon",
        known if known is not None else YIELD_SHARE[steel] * anchor.strength, "force",
        method="load at 0.1 % strain" if known is not None
        else f"{YIELD_SHARE[steel]:g} of the guaranteed strength",
        cite=None if known is not None else _YIELD,
    )  # fmt: skip
    relaxation = relaxation_rate(load, P_y, SLOWNESS[steel])
    if alpha is None:
        remark("The creep rate of the bond is not known: relaxation alone is expected.")
        return relaxation, None
    creep = creep_loss_rate(anchor.area, anchor.modulus, max(alpha, 0.0), anchor.free_length, load)
    expected_loss_rate(relaxation, creep)
    return relaxation, creep


def _rates(fit: LineFit, load: float, count: int) -> tuple[float, float | None, float | None]:
    low = high = None
    words = f"least squares of {count} readings against log10 of the minute"
    if fit.freedom >= 1:
        most, least = fit.interval()
        low, high = -least / load, -most / load
    rate = state("k_l", "Share of the load lost per tenfold time", -fit.slope / load, "percent",
                 method=words)  # fmt: skip
    return rate, low, high


def _forecast(fit: LineFit, last: float, minute: float) -> Forecast:
    x = log10(minute)
    load = max(fit.at(x), 0.0)
    least = greatest = None
    if fit.freedom >= 1:
        half = student(0.975, fit.freedom) * fit.next_error(x)
        least, greatest = max(load - half, 0.0), load + half
    return Forecast(
        minute=minute, load=load, least=least, greatest=greatest, decades=max(x - log10(last), 0.0)
    )


def _checks(
    found: LoadHistory, anchor: TestedAnchor, rules: TestRules, change: Factor
) -> list[Check]:
    checks = [_loss_check(found, minute, share, rules) for minute, share in _limits(found, rules)]
    if rules.load_loss_rate is not None and found.rate is not None:
        checks.append(
            Check(
                "load.loss-rate", "Load lost per tenfold time", found.rate,
                rules.load_loss_rate.value, _PERCENT, rules.load_loss_rate.cite,
                where=found.anchor, steps=found.steps,
                remedy="watch it, and test the anchor again" if found.rate > rules.load_loss_rate.value
                else "", note=_rate_words(found),
            )
        )  # fmt: skip
    if found.rate is not None and found.rate_least is not None:
        checks.append(_expected_check(found))
    if found.points:
        checks += _now_checks(found, anchor, rules, change)
    if found.forecast is not None:
        checks += _later_checks(found, anchor, rules, change)
    return checks


def _limits(found: LoadHistory, rules: TestRules) -> list[tuple[float, float]]:
    """Return the times of the rule that the readings enclose, with their limits."""
    if rules.load_loss is None or not found.points:
        return []
    first, last = found.points[0].minute, found.points[-1].minute
    return [(m, share) for m, share in rules.load_loss.limits if first <= m <= last]


def _loss_check(found: LoadHistory, minute: float, limit: float, rules: TestRules) -> Check:
    load = _load_at(found.points, minute)
    with trace() as t:
        state(
            "P", f"Load at {minute:g} minutes", load, "force",
            method="read, or straight in logarithmic time between the readings on both sides",
        )  # fmt: skip
        lost = load_loss(found.lock_off_load, load)
    cite = rules.load_loss.cite if rules.load_loss else _EXPECTED
    return Check(
        f"load.loss-{minute:g}", f"Load lost up to {minute:g} minutes", lost, limit, _PERCENT, cite,
        where=found.anchor, steps=t.steps,
        remedy="re-stress and read again; an anchor that loses as much again is tested anew, or "
        "locked off at a load that it keeps" if lost > limit * (1 + 1e-9) else "",
    )  # fmt: skip


def _load_at(points: Sequence[LoadAt], minute: float) -> float:
    after = next(p for p in points if p.minute >= minute * (1 - 1e-9))
    if after.minute <= minute * (1 + 1e-9):
        return after.load
    before = max((p for p in points if p.minute < minute), key=lambda p: p.minute)
    share = log10(minute / before.minute) / log10(after.minute / before.minute)
    return before.load + share * (after.load - before.load)


def _rate_words(found: LoadHistory) -> str:
    if found.rate_least is None or found.rate_greatest is None:
        return "two readings made the line: how sure it is cannot be said"
    return (
        f"95 % between {{percent:{found.rate_least:.6g}}} and {{percent:{found.rate_greatest:.6g}}} "
        f"from {len(found.points)} readings"
    )


def _expected_check(found: LoadHistory) -> Check:
    """Return whether the loss is surely more than relaxation and creep explain."""
    least = found.rate_least if found.rate_least is not None else -inf
    note = f"{_rate_words(found)}; relaxation {{percent:{found.relaxation:.6g}}}"
    note += "" if found.creep is None else f", creep of the bond {{percent:{found.creep:.6g}}}"
    return Check(
        "load.loss-expected", "Load lost per tenfold time, at least, against what is expected", least,
        found.expected, _PERCENT, _EXPECTED, where=found.anchor, steps=found.steps,
        remedy="more is lost than steel and bond explain: look at head, plate and wall, and lift off"
        if least > found.expected * (1 + 1e-9) else "", note=note,
    )  # fmt: skip


def _now_checks(
    found: LoadHistory, anchor: TestedAnchor, rules: TestRules, change: Factor
) -> list[Check]:
    last = found.points[-1]
    with trace() as t:
        low = least_in_tolerance(found.lock_off_load, change.value)
        high = greatest_in_tolerance(found.lock_off_load, change.value)
    with trace() as d:
        most = greatest_in_tolerance(anchor.design_load, rules.lift_off_tolerance.value)
    note = f"{last.by} at {last.minute:.6g} minutes"
    return [
        Check(
            "load.least", "Load of the anchor now, at least", last.load, low, _FORCE, change.cite,
            Sense.AT_LEAST, found.anchor, t.steps,
            "find where the load goes; re-stress, and watch the anchor" if last.load < low * (1 - 1e-9)
            else "", note,
        ),
        Check(
            "load.greatest", "Load of the anchor now, at most", last.load, high, _FORCE, change.cite,
            Sense.AT_MOST, found.anchor, t.steps,
            "the wall moves or is loaded beyond what was foreseen: find out why before anyone lets "
            "the anchor down" if last.load > high * (1 + 1e-9) else "", note,
        ),
        Check(
            "load.design", "Load of the anchor now, against its design load", last.load, most, _FORCE,
            _DESIGN, where=found.anchor, steps=d.steps,
            remedy="the anchor carries more than it was designed for: the engineer decides"
            if last.load > most * (1 + 1e-9) else "", note=note,
        ),
    ]  # fmt: skip


def _later_checks(
    found: LoadHistory, anchor: TestedAnchor, rules: TestRules, change: Factor
) -> list[Check]:
    """Return whether the load stays where it may at the end of service, interval included."""
    later = found.forecast
    if later is None or later.least is None or later.greatest is None:
        return []
    with trace() as t:
        low = least_in_tolerance(found.lock_off_load, change.value)
    with trace() as d:
        most = greatest_in_tolerance(anchor.design_load, rules.lift_off_tolerance.value)
    note = (
        f"by the line {{force:{later.load:.9g}}} at {later.minute:.6g} minutes, 95 % between "
        f"{{force:{later.least:.9g}}} and {{force:{later.greatest:.9g}}}; drawn on over "
        f"{later.decades:.1f} tenfolds of time beyond the last reading"
    )
    return [
        Check(
            "load.service-least", "Load at the end of service, least that may be", later.least, low,
            _FORCE, change.cite, Sense.AT_LEAST, found.anchor, t.steps,
            "read on: a longer time narrows the interval; if it stays so, re-stress"
            if later.least < low * (1 - 1e-9) else "", note,
        ),
        Check(
            "load.service-greatest", "Load at the end of service, greatest that may be",
            later.greatest, most, _FORCE, _DESIGN, where=found.anchor, steps=d.steps,
            remedy="read on: a longer time narrows the interval; if it stays so, find out why the "
            "load grows" if later.greatest > most * (1 + 1e-9) else "", note=note,
        ),
    ]  # fmt: skip
