"""A pressure diagram: pressure against depth, piecewise linear, with jumps where a depth repeats."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Diagram:
    """Pressure p (kPa) at depths z (m, not falling); two points at one depth make a jump.

    Outside its depths the pressure is nil. Positive pressure pushes the wall into the cut.
    """

    name: str
    z: tuple[float, ...]
    p: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.z) != len(self.p):
            raise ValueError(
                f"diagram {self.name!r}: {len(self.z)} depths, {len(self.p)} pressures"
            )
        if any(b < a for a, b in zip(self.z, self.z[1:], strict=False)):
            raise ValueError(f"diagram {self.name!r}: depths fall")

    @classmethod
    def sampled(cls, name: str, f: Callable[[float], float], depths: Sequence[float]) -> Diagram:
        """Return the diagram of a smooth function sampled at depths."""
        return cls(name, tuple(depths), tuple(f(z) for z in depths))

    def segments(self) -> Iterable[tuple[float, float, float, float]]:
        """Yield (z1, z2, p1, p2) of each piece with length."""
        for i in range(len(self.z) - 1):
            if self.z[i + 1] > self.z[i]:
                yield self.z[i], self.z[i + 1], self.p[i], self.p[i + 1]

    def at(self, depth: float, *, below: bool = True) -> float:
        """Return the pressure at a depth; at a jump the value just below it (or just above)."""
        z, p = self.z, self.p
        if not z or depth < z[0] or depth > z[-1]:
            return 0.0
        i = bisect_right(z, depth) if below else bisect_left(z, depth)
        if i == 0:
            return p[0]
        if i == len(z):
            return p[-1]
        return p[i - 1] + (p[i] - p[i - 1]) * (depth - z[i - 1]) / (z[i] - z[i - 1])

    def resultant(self, z1: float | None = None, z2: float | None = None) -> float:
        """Return the area between two depths (kN/m), by default of the whole diagram."""
        return sum(0.5 * (pa + pb) * (b - a) for a, b, pa, pb in self._clipped(z1, z2))

    def moment_about(self, z0: float, z1: float | None = None, z2: float | None = None) -> float:
        """Return the moment of the area between z1 and z2 about depth z0 (kNm/m).

        Positive where the area lies below z0.
        """
        return sum(
            (b - a) / 6 * (pa * (2 * a + b - 3 * z0) + pb * (a + 2 * b - 3 * z0))
            for a, b, pa, pb in self._clipped(z1, z2)
        )

    def centroid(self) -> float:
        """Return the depth of the resultant (m); raise ValueError if the area is nil."""
        area = self.resultant()
        if area == 0.0:
            raise ValueError(f"diagram {self.name!r} has no resultant")
        return self.moment_about(0.0) / area

    def clipped(self, z1: float, z2: float) -> Diagram:
        """Return the part between two depths."""
        z: list[float] = []
        p: list[float] = []
        for a, b, pa, pb in self._clipped(z1, z2):
            if not z or z[-1] != a or p[-1] != pa:
                z.append(a)
                p.append(pa)
            z.append(b)
            p.append(pb)
        return Diagram(self.name, tuple(z), tuple(p))

    def scaled(self, factor: float, name: str | None = None) -> Diagram:
        """Return the diagram with all pressures multiplied."""
        return Diagram(name or self.name, self.z, tuple(factor * p for p in self.p))

    def _clipped(
        self, z1: float | None, z2: float | None
    ) -> Iterable[tuple[float, float, float, float]]:
        for a, b, pa, pb in self.segments():
            low = a if z1 is None else max(a, z1)
            high = b if z2 is None else min(b, z2)
            if high > low:
                slope = (pb - pa) / (b - a)
                yield low, high, pa + slope * (low - a), pa + slope * (high - a)


def total(name: str, diagrams: Sequence[Diagram]) -> Diagram:
    """Return the sum of diagrams, with every jump of every part kept."""
    depths = sorted({z for d in diagrams for z in d.z})
    z: list[float] = []
    p: list[float] = []
    for depth in depths:
        above = sum(d.at(depth, below=False) if d.z and depth > d.z[0] else 0.0 for d in diagrams)
        under = sum(d.at(depth) if d.z and depth < d.z[-1] else 0.0 for d in diagrams)
        if depth != depths[0]:
            z.append(depth)
            p.append(above)
        if depth != depths[-1] and (depth == depths[0] or abs(under - above) > 1e-12):
            z.append(depth)
            p.append(under)
    return Diagram(name, tuple(z), tuple(p))
