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


def steepness(jack: Jack, rules: TestRules) -> float:
    """Return the load (kN) of one division of the gauge: finer than that nobody reads it."""
    return jack.calibration.line[1] * rules.gauge_graduation.value
