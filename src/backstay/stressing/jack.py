"""Jack and gauge: load from gauge pressure by the calibration line of their certificate."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import MAXYEAR, date
from math import sqrt

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import Force, GaugePressure, Ratio, SectionArea
from backstay.trace import formula

LEAST_SQUARES = Citation("least squares", "line through the points of the certificate", "formula")


@formula("P", LEAST_SQUARES)
def calibrated_load(P_0: Force, A_j: SectionArea, p: GaugePressure) -> Force:
    """Load of the jack by its calibration line.

    P_0: load of the line at no pressure; A_j: its slope, the area that acts; p: gauge pressure
    """
    return P_0 + A_j * p


@formula("p", LEAST_SQUARES)
def gauge_pressure(P: Force, P_0: Force, A_j: SectionArea) -> GaugePressure:
    """Gauge pressure at which the jack gives a load, by its calibration line.

    P: load; P_0: load of the line at no pressure; A_j: its slope, the area that acts
    """
    return (P - P_0) / A_j


@formula(
    "a_j", Citation("statics", "slope of the calibration line over the area of the ram", "formula")
)
def efficiency(A_j: SectionArea, A_r: SectionArea) -> Ratio:
    """Efficiency of the jack: below one by friction.

    A_j: area that acts, by calibration; A_r: area of the ram
    """
    return A_j / A_r


@dataclass(frozen=True, slots=True)
class CalibrationPoint:
    """One line of the certificate: gauge pressure (kPa) and load of the testing machine (kN)."""

    pressure: float
    load: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """A certificate of jack and gauge together: number, day, last day of use, and its points."""

    certificate: str
    on: date
    expires: date
    points: tuple[CalibrationPoint, ...]

    def __post_init__(self) -> None:
        """Refuse a certificate that no line can stand on. Raises DesignError."""
        where = f"calibration {self.certificate}"
        if len({p.pressure for p in self.points}) < 2:
            raise DesignError(
                "a calibration needs two points or more at different pressures", where
            )
        if any(p.pressure < 0.0 or p.load < 0.0 for p in self.points):
            raise DesignError("pressures and loads of a calibration are not negative", where)
        if self.expires < self.on:
            raise DesignError("the certificate expires before it was issued", where)
        if self.line[1] <= 0.0:
            raise DesignError("the load must grow with the pressure", where)

    @property
    def line(self) -> tuple[float, float]:
        """Return load at no pressure (kN) and slope (m2) of the least-squares line."""
        n = len(self.points)
        mean_p = sum(q.pressure for q in self.points) / n
        mean_P = sum(q.load for q in self.points) / n
        spread = sum((q.pressure - mean_p) ** 2 for q in self.points)
        slope = sum((q.pressure - mean_p) * (q.load - mean_P) for q in self.points) / spread
        return mean_P - slope * mean_p, slope

    def good_to(self, months: float) -> date:
        """Return its last day: its own, or whole months after its issue where that is sooner."""
        whole = self.on.month - 1 + int(months)
        year, month = self.on.year + whole // 12, whole % 12 + 1
        if year > MAXYEAR:
            return self.expires
        day = min(self.on.day, monthrange(year, month)[1])
        return min(self.expires, date(year, month, day))

    def age(self, day: date) -> int:
        """Return the days from its issue to a day; nil before it was issued."""
        return max((day - self.on).days, 0)

    @property
    def scatter(self) -> float:
        """Return the root mean square of loads off the line over the greatest load."""
        most = max(q.load for q in self.points)
        if most <= 0.0:
            return 0.0
        a, b = self.line
        off = [(q.load - (a + b * q.pressure)) ** 2 for q in self.points]
        return sqrt(sum(off) / len(off)) / most

    @property
    def least_pressure(self) -> float:
        """Return the pressure (kPa) below which the line is drawn on beyond the points."""
        return min(q.pressure for q in self.points)

    @property
    def greatest_pressure(self) -> float:
        """Return the pressure (kPa) beyond which the certificate says nothing."""
        return max(q.pressure for q in self.points)

    def load(self, pressure: float) -> float:
        """Return the load (kN) at a gauge pressure (kPa)."""
        return calibrated_load(*self.line, pressure)

    def pressure(self, load: float) -> float:
        """Return the gauge pressure (kPa) that gives a load (kN)."""
        return gauge_pressure(load, *self.line)


@dataclass(frozen=True, slots=True, kw_only=True)
class Jack:
    """A jack with its gauge: names, area of the ram (m2), greatest load and stroke, certificate."""

    name: str
    gauge: str
    ram_area: float
    capacity: float
    stroke: float
    calibration: Calibration
