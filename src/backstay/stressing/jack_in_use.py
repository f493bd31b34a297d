"""Whether a jack and its gauge can make a load on a day, and at which gauge pressure.

A gauge pressure is written on a field sheet only where the certificate covers it: within its
points, within its time, and within the capacity of the jack. Else there is a reason and no number.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from backstay.errors import DesignError
from backstay.stressing.jack import Jack
from backstay.stressing.rules import TestRules


def reasons_against(
    jack: Jack, loads: Sequence[float], rules: TestRules, on: date
) -> tuple[str, ...]:
    """Return why a jack cannot make these loads (kN) on a day; nothing where it can."""
    paper = jack.calibration
    name = f"certificate {paper.certificate} of jack {jack.name} with gauge {jack.gauge}"
    found: list[str] = []
    if on < paper.on:
        found.append(f"{name} was issued on {paper.on}, after the day of the test, {on}")
    until = paper.good_to(rules.calibration_life.value)
    if on > until:
        found.append(
            f"{name} was good to {until}, and the test is on {on} ({rules.calibration_life.cite})"
        )
    most = max(loads)
    if most > jack.capacity * (1.0 + 1e-9):
        found.append(
            f"{{force:{most:.6g}}} is more than jack {jack.name} can give, "
            f"{{force:{jack.capacity:.6g}}}"
        )
    if paper.pressure(most) > paper.greatest_pressure * (1.0 + 1e-9):
        found.append(
            f"{{force:{most:.6g}}} needs {{gauge pressure:{paper.pressure(most):.6g}}}, beyond the last "
            f"point of {name}, {{gauge pressure:{paper.greatest_pressure:.6g}}}"
        )
    if paper.pressure(min(loads)) <= 0.0:
        found.append(
            f"{{force:{min(loads):.6g}}} is less than the line of {name} gives at no pressure"
        )
    if paper.scatter > rules.gauge_accuracy.value:
        found.append(
            f"the points of {name} lie {{percent:{paper.scatter:.4g}}} off their line, more than "
            f"{{percent:{rules.gauge_accuracy.value:g}}} ({rules.gauge_accuracy.cite})"
        )
    return tuple(found)


def require(
    jack: Jack, loads: Sequence[float], rules: TestRules, on: date, where: str = ""
) -> None:
    """Raise DesignError with every reason why a jack cannot make these loads on a day."""
    reasons = reasons_against(jack, loads, rules, on)
    if reasons:
        raise DesignError("no gauge pressures: " + "; ".join(reasons), where)


def load_read(jack: Jack, pressure: float, called: str = "gauge") -> float:
    """Return the load (kN) that a gauge pressure (kPa) tells. Raises DesignError where it tells none."""
    paper = jack.calibration
    load = paper.load(pressure)
    most = paper.greatest_pressure
    if pressure > most * (1.0 + 1e-9):
        raise DesignError(
            f"{called} {{gauge pressure:{pressure:.9g}}}: certificate {paper.certificate} of jack "
            f"{jack.name} says nothing beyond {{gauge pressure:{most:.9g}}}, its last point", "",
        )  # fmt: skip
    if load <= 0.0:
        raise DesignError(
            f"{called} {{gauge pressure:{pressure:.9g}}}: by certificate {paper.certificate} of jack "
            f"{jack.name} this is no load", "",
        )  # fmt: skip
    return load


def not_covered(jack: Jack, rules: TestRules, on: date) -> str:
    """Return why what was read on a day waits for a calibration, "" where the certificate covers it."""
    paper = jack.calibration
    name = f"certificate {paper.certificate} of jack {jack.name}"
    until = paper.good_to(rules.calibration_life.value)
    if on < paper.on:
        return f"{name} was issued on {paper.on}, after it was read by it, on {on}"
    if on > until:
        return (
            f"{name} was good to {until}, and it was read on {on} ({rules.calibration_life.cite})"
        )
    return ""


def steepness(jack: Jack, rules: TestRules) -> float:
    """Return the load (kN) of one division of the gauge: finer than that nobody reads it."""
    return jack.calibration.line[1] * rules.gauge_graduation.value
