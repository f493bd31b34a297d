"""Creep: movement under a load that is held, against the logarithm of time.

A rule limits the movement from one minute to another, or the movement per tenfold time. Minutes
that were read are used as read; a minute that was missed is found on the straight line in
logarithmic time between the readings on both sides of it, and that is said. Nothing is found
beyond the readings. A regression over all readings gives the rate with its confidence, and tells
whether the rate falls, stays or grows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log10
from typing import Literal

from backstay.cite import Citation
from backstay.quantity import Force, Length, Minutes, SectionArea, SmallLength, SteelModulus
from backstay.stressing.regression import Bow, LineFit, bow, line_fit, student
from backstay.stressing.stays import Point, Stay
from backstay.trace import formula

CREEP = Citation("EN ISO 22477-5:2018", "creep rate alpha", "formula")
SAME_MINUTE = 1e-6
WIDEST_GAP = 3.2
"""Readings on both sides of a missed minute are at most this ratio of time apart (half a log
cycle): further apart, the line between them is no reading."""

Trend = Literal["falling", "straight", "rising", "not known"]


@formula("s_c", Citation("definition", "creep movement", "formula"))
def creep_movement(s_1: SmallLength, s_2: SmallLength) -> SmallLength:
    """Movement from one minute of a hold to another.

    s_1: movement of the head at the earlier minute; s_2: at the later
    """
    return s_2 - s_1


@formula("alpha", CREEP)
def creep_rate(s_1: SmallLength, s_2: SmallLength, t_1: Minutes, t_2: Minutes) -> SmallLength:
    """Creep rate: movement per tenfold time (one cycle of the logarithm).

    s_1: movement of the head at the earlier minute; s_2: at the later; t_1: earlier minute;
    t_2: later minute
    """
    return (s_2 - s_1) / log10(t_2 / t_1)


@formula(
    "s_p", Citation("creep straight in log time", "counted from when pumping began", "formula")
)
def creep_from_pumping(s_c: SmallLength, t_1: Minutes, t_2: Minutes, t_p: Minutes) -> SmallLength:
    """Creep of a hold whose load was reached late, had its minutes counted from when pumping began.

    s_c: creep movement that was read; t_1: minute of the hold it counts from; t_2: minute it counts
    to; t_p: minutes that the load was on its way
    """
    return s_c * log10(t_2 / t_1) / log10((t_2 + t_p) / (t_1 + t_p))


@formula("s_h", Citation("Hooke's law", "", "formula"))
def hidden_movement(
    P_1: Force, P_2: Force, L_u: Length, L_j: Length, A: SectionArea, E: SteelModulus
) -> SmallLength:
    """Creep that a fall of the load hides: the tendon shortens while the bond gives.

    P_1: load at the earlier minute; P_2: at the later; L_u: free length; L_j: tendon from plate to
    jack grip; A: area of the tendon; E: modulus of elasticity of the tendon
    """
    return (P_1 - P_2) * (L_u + L_j) / (A * E)


@dataclass(frozen=True, slots=True, kw_only=True)
class AtMinute:
    """Movement (m) and load (kN) at a minute; read: whether that very minute was read."""

    minute: float
    movement: float
    load: float
    read: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """Creep between two minutes of a hold."""

    start: AtMinute
    end: AtMinute

    @property
    def movement(self) -> float:
        """Return the movement (m)."""
        return creep_movement(self.start.movement, self.end.movement)

    @property
    def rate(self) -> float:
        """Return the movement per tenfold time (m)."""
        return creep_rate(
            self.start.movement, self.end.movement, self.start.minute, self.end.minute
        )

    @property
    def note(self) -> str:
        """Say which minutes were found between readings; empty where both were read."""
        missed = [f"{at.minute:g}" for at in (self.start, self.end) if not at.read]
        if not missed:
            return ""
        return (
            f"minute {' and '.join(missed)} was not read: found between the readings on both "
            "sides, straight in logarithmic time"
        )


def at_minute(points: Sequence[Point], minute: float) -> AtMinute | None:
    """Return movement and load at a minute, nil where the readings do not enclose it closely.

    points: of one hold, by rising minutes.
    """
    before: Point | None = None
    for point in points:
        if point.minute <= 0.0:
            continue
        if abs(point.minute - minute) <= SAME_MINUTE * max(1.0, minute):
            return AtMinute(minute=minute, movement=point.movement, load=point.load, read=True)
        if point.minute > minute:
            if before is None or point.minute > WIDEST_GAP * before.minute:
                return None
            share = log10(minute / before.minute) / log10(point.minute / before.minute)
            return AtMinute(
                minute=minute, read=False,
                movement=before.movement + share * (point.movement - before.movement),
                load=before.load + share * (point.load - before.load),
            )  # fmt: skip
        before = point
    return None


def interval(points: Sequence[Point], start: float, end: float) -> Interval | None:
    """Return the creep from one minute to another, nil where either cannot be had."""
    first, last = at_minute(points, start), at_minute(points, end)
    return None if first is None or last is None else Interval(start=first, end=last)


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldCreep:
    """The creep of one hold.

    points: (minute, movement in m) for plots, by rising minutes; fit: line of movement against
    log10 of the minute, its slope the movement per tenfold time; bow: how far the readings bow
    below their chord; late: by how much the last reading lies above the line of those before it,
    at least (one-sided confidence); resolution: what dials can show (m).
    """

    index: int
    cycle: int
    share: float
    load: float
    points: tuple[tuple[float, float], ...]
    fit: LineFit | None
    bow: Bow | None
    late: float
    resolution: float

    @property
    def rate(self) -> float | None:
        """Return the movement per tenfold time by regression (m)."""
        return None if self.fit is None else self.fit.slope

    @property
    def growth(self) -> float | None:
        """Return how much the rate surely grows, as a movement (m); nil where not known."""
        return None if self.bow is None else max(self.bow.least, self.late)

    @property
    def trend(self) -> Trend:
        """Return whether the rate falls, stays or grows, beyond what dials and scatter explain."""
        if self.bow is None or self.growth is None:
            return "not known"
        if self.growth > self.resolution * (1.0 + 1e-9):
            return "rising"
        return "falling" if self.bow.greatest < -self.resolution else "straight"


def hold_creep(stay: Stay, resolution: float) -> HoldCreep:
    """Return the creep of a stay. resolution: graduation of the dials (m)."""
    points = tuple((p.minute, p.movement) for p in stay.timed)
    x, y = [log10(t) for t, _ in points], [s for _, s in points]
    bowed = bow(x, y)
    return HoldCreep(
        index=stay.index, cycle=stay.step.cycle + stay.again, share=stay.step.share,
        load=stay.last.load, points=points, fit=line_fit(x, y), bow=bowed,
        late=_late(x, y) if bowed else -inf, resolution=resolution,
    )  # fmt: skip


def _late(x: Sequence[float], y: Sequence[float]) -> float:
    """Return how far the last reading surely lies above the line of the readings before it."""
    before = line_fit(x[:-1], y[:-1])
    if before is None or before.freedom < 2:
        return -inf
    error = student(0.95, before.freedom) * before.next_error(x[-1])
    return y[-1] - before.at(x[-1]) - error
