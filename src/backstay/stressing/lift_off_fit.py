"""The lift-off load from readings: where the load against movement turns to the tendon's stiffness.

While the head still sits, the jack stretches no more than the tendon between plate and grip, and
the readings rise steeply. Once the head is off its seat the whole free length stretches and the
line turns. Two straight lines that meet are laid through the readings by least squares (Hudson
1966: the best meeting point of every split in turn), and the load at which they meet is that of
the lift-off. The line beyond must have the stiffness of the tendon: else the head never came off.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from backstay.errors import DesignError
from backstay.stressing.free_length import free_length_limits
from backstay.stressing.movement import apparent_free_length
from backstay.stressing.record import TestedAnchor
from backstay.stressing.regression import line_fit, student
from backstay.stressing.rules import TestRules

LEAST_READINGS = 5
"""Two lines that meet have four unknowns: a fifth reading tells how well they fit."""
_WIDE = 200
"""Steps of the search for the ends of the interval, over the range of the readings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftOffFit:
    """The lift-off load by readings.

    load: at which the lines meet (kN); least, greatest: 95 % interval of it; movement: there (m);
    length: of tendon that stretches beyond it, before: ahead of it (m, the tendon in the jack and
    what gives beneath it); residual: root mean square of the movements off the lines (m).
    """

    load: float
    least: float
    greatest: float
    movement: float
    length: float
    before: float
    residual: float
    readings: int

    @property
    def method(self) -> str:
        """Return how it was found, in words."""
        return (
            f"two lines that meet, least squares of {self.readings} readings, "
            f"{{small length:{self.residual:.3g}}} off them"
        )


def lift_off_fit(
    readings: Sequence[tuple[float, float]], anchor: TestedAnchor, rules: TestRules
) -> LiftOffFit:
    """Return the lift-off load of readings (load kN, movement m), in the order read, loads rising.

    Raises DesignError, with the reason, where these readings do not show a lift-off.
    """
    where = f"anchor {anchor.name}"
    if len(readings) < LEAST_READINGS:
        raise DesignError(
            f"{len(readings)} readings do not show a lift-off: read load and movement at "
            f"{LEAST_READINGS} loads or more, on both sides of it", where,
        )  # fmt: skip
    if any(b[0] <= a[0] for a, b in pairwise(readings)):
        raise DesignError("the loads of a lift-off rise from reading to reading", where)
    x, y = [load for load, _ in readings], [movement for _, movement in readings]
    best = _hinge(x, y, rules.dial_graduation.value)
    if best is None:
        raise DesignError(
            "the readings lie on one line, or bend the other way: the head did not come off its "
            "seat, or had come off before the first of them", where,
        )  # fmt: skip
    load, off = best
    first, rise, turn = _lines(x, y, load)
    A, E = anchor.area, anchor.modulus
    length = apparent_free_length(A, E, rise + turn, 1.0, 0.0)
    _as_stiff_as_the_tendon(length, anchor, rules, where)
    low, high = _interval(x, y, load, off, rules.dial_graduation.value)
    return LiftOffFit(
        load=load, least=low, greatest=high, movement=first + rise * load, length=length,
        before=apparent_free_length(A, E, rise, 1.0, 0.0), residual=(off / len(x)) ** 0.5, readings=len(x),
    )  # fmt: skip


def _as_stiff_as_the_tendon(
    length: float, anchor: TestedAnchor, rules: TestRules, where: str
) -> None:
    """Require that the readings beyond the turn stretch the free length. Raises DesignError."""
    limits = free_length_limits(anchor, rules)
    least = limits.least - anchor.jack_length
    if least * (1 - 1e-9) <= length <= limits.greatest * (1 + 1e-9):
        return
    found = (
        f"beyond the turn {{length:{length:.9g}}} of tendon stretches, and a free tendon is between "
        f"{{length:{least:.9g}}} and {{length:{limits.greatest:.9g}}} long"
    )
    if length < least:
        raise DesignError(
            f"{found}: the readings end before the head is off its seat, or friction holds the "
            "tendon; go on to a higher load within what the tendon may carry", where,
        )  # fmt: skip
    raise DesignError(
        f"{found}: the bond gives way, or the movement is not that of the tendon alone", where
    )


def _lines(x: Sequence[float], y: Sequence[float], h: float) -> tuple[float, float, float]:
    """Return a, b, c of y = a + b x + c max(x - h, 0) by least squares."""
    n = float(len(x))
    z = [max(v - h, 0.0) for v in x]
    mx, mz, my = sum(x) / n, sum(z) / n, sum(y) / n
    dx, dz, dy = [v - mx for v in x], [v - mz for v in z], [v - my for v in y]
    xx, zz = sum(v * v for v in dx), sum(v * v for v in dz)
    xz = sum(p * q for p, q in zip(dx, dz, strict=True))
    xy = sum(p * q for p, q in zip(dx, dy, strict=True))
    zy = sum(p * q for p, q in zip(dz, dy, strict=True))
    det = xx * zz - xz * xz
    if det <= 1e-12 * xx * zz:
        b = xy / xx
        return my - b * mx, b, 0.0
    b, c = (xy * zz - zy * xz) / det, (zy * xx - xy * xz) / det
    return my - b * mx - c * mz, b, c


def _off(x: Sequence[float], y: Sequence[float], h: float) -> float:
    """Return the sum of squares off the best two lines that meet at h."""
    a, b, c = _lines(x, y, h)
    return sum((v - a - b * u - c * max(u - h, 0.0)) ** 2 for u, v in zip(x, y, strict=True))


def _hinge(x: Sequence[float], y: Sequence[float], graduation: float) -> tuple[float, float] | None:
    """Return where the two lines meet that fit best, and their sum of squares.

    None where one line fits as well, as far as the division of the dial (m) can show.
    """
    n = len(x)
    found: list[tuple[float, float]] = []
    for k in range(2, n - 1):
        first, second = line_fit(x[:k], y[:k]), line_fit(x[k:], y[k:])
        if first is not None and second is not None and second.slope > first.slope:
            meet = (first.intercept - second.intercept) / (second.slope - first.slope)
            if x[k - 1] <= meet <= x[k]:
                found.append((_off(x, y, meet), meet))
    found += [(_off(x, y, h), h) for h in x[1:-1] if _lines(x, y, h)[2] > 0.0]
    if not found:
        return None
    off, meet = min(found)
    seen = len(x) * graduation**2 / 12.0
    if _lines(x, y, meet)[2] <= 0.0 or _off(x, y, inf) <= off + seen:
        return None
    return meet, off


def _interval(
    x: Sequence[float], y: Sequence[float], load: float, off: float, graduation: float
) -> tuple[float, float]:
    """Return the 95 % interval of the load: where the sum of squares rises as chance would let it.

    The scatter is taken as no less than the division of the dial gives.
    """
    freedom = len(x) - 4
    variance = max(off / freedom, graduation**2 / 12.0)
    most = off + variance * student(0.975, freedom) ** 2
    step = (x[-1] - x[0]) / _WIDE

    def within(h: float) -> bool:
        return _off(x, y, h) <= most

    return (_end(load, -step, x[0], within), _end(load, step, x[-1], within))


def _end(start: float, step: float, last: float, within: Callable[[float], bool]) -> float:
    """Return how far from start a condition holds, up to the last value."""
    inner = start
    while True:
        outer = inner + step
        if (outer - last) * step >= 0.0:
            return last
        if not within(outer):
            break
        inner = outer
    for _ in range(50):
        middle = 0.5 * (inner + outer)
        if within(middle):
            inner = middle
        else:
            outer = middle
    return inner
