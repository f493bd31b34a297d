"""Troughs of settlement behind the wall, as shares of the largest settlement."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import Literal

from backstay.cite import Citation
from backstay.data import settlement_trough

TroughKind = Literal["concave", "spandrel", "sand", "stiff clay", "soft clay"]


@dataclass(frozen=True, slots=True)
class TroughShape:
    """A normalised trough: ordinate (share of the largest settlement) by d/H."""

    kind: TroughKind
    distance: tuple[float, ...]
    ratio: tuple[float, ...]
    by_root: bool
    cite: Citation

    @property
    def extent(self) -> float:
        """Return the d/H beyond which nothing settles."""
        return self.distance[-1]

    def at(self, d: float) -> float:
        """Return the ordinate at d/H."""
        if d >= self.distance[-1]:
            return self.ratio[-1]
        i = max(0, bisect_right(self.distance, d) - 1)
        d1, d2 = self.distance[i], self.distance[i + 1]
        root = self.by_root
        t = (sqrt(d) - sqrt(d1)) / (sqrt(d2) - sqrt(d1)) if root else (d - d1) / (d2 - d1)
        return self.ratio[i] + (self.ratio[i + 1] - self.ratio[i]) * t

    def marks(self, near: float, far: float) -> tuple[float, ...]:
        """Return d/H from near to far where the trough bends, and between where it is curved."""
        marks = {near, far, *(d for d in self.distance if near < d < far)}
        if self.by_root:
            pieces = 12
            marks |= {near + (far - near) * (i / pieces) ** 2 for i in range(1, pieces)}
        return tuple(sorted(marks))


@lru_cache(maxsize=8)
def trough_shape(kind: TroughKind) -> TroughShape:
    """Return a published trough by name."""
    row = settlement_trough(kind)
    return TroughShape(
        kind,
        tuple(p.distance for p in row.points),
        tuple(p.ratio for p in row.points),
        row.interpolation == "root",
        Citation(row.source, "settlement trough", row.provenance),
    )
