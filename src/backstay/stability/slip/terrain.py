"""The surface of the ground as the search sees it: positions along it, and where slides may begin and end.

Positions are lengths along the polyline, so that points on vertical faces are positions like any
other. Slides to the right are searched in the mirrored ground.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from backstay.errors import DesignError
from backstay.stability.slip.model import Floats

STEEP = np.tan(np.radians(4.0))
"""Ground steeper than this is taken for part of a slope."""
IN_FRONT = 3.0
"""Heights in front of the slope within which slides come out, in the first grid."""
BEHIND = 3.0
"""Heights behind the slope, or behind the last anchor, within which slides start."""


@dataclass(frozen=True, slots=True, eq=False)
class Terrain:
    """The ground from left to right: points (n, 2) m, position s (n) of each along it, m.

    height: of the slopes that rise to the right, m; low, high: positions where they begin and
    end; reach: least x (m) up to which entries are looked for.
    """

    points: Floats
    s: Floats
    height: float
    low: float
    high: float
    reach: float

    def at(self, s: Floats) -> Floats:
        """Return the points (..., 2) at positions s, which are kept within the ground."""
        inside = np.clip(s, 0.0, self.s[-1])
        x = np.interp(inside, self.s, self.points[:, 0])
        y = np.interp(inside, self.s, self.points[:, 1])
        return np.stack((x, y), axis=-1)

    def y(self, x: Floats) -> Floats:
        """Return the elevation (m) above x; at a vertical face that of its top."""
        found: Floats = np.interp(x, self.rising_x(), self.points[:, 1])
        return found

    def positions(self, x: Floats) -> Floats:
        """Return the positions of the ground above x, m."""
        found: Floats = np.interp(x, self.rising_x(), self.s)
        return found

    def rising_x(self) -> Floats:
        """Return x with vertical faces leant by next to nothing, so that it rises everywhere."""
        found: Floats = self.points[:, 0] + 1e-9 * np.arange(len(self.s))
        return found

    def exits(self, count: int) -> Floats:
        """Return about `count` positions where slides to the left may come out."""
        front = max(0.0, self.low - IN_FRONT * self.height)
        ahead = self.low - (self.low - front) * np.linspace(1.0, 0.0, count // 3 + 2)[:-1] ** 1.5
        return np.unique(np.concatenate((ahead, self._slope(count - count // 3))))

    def entries(self, count: int) -> Floats:
        """Return about `count` positions where slides to the left may start."""
        last = float(self.positions(np.array(self.reach))) + BEHIND * self.height
        back = min(float(self.s[-1]), max(self.high + BEHIND * self.height, last))
        share = 2 * count // 3
        behind = self.high + (back - self.high) * np.linspace(0.0, 1.0, share + 1)[1:] ** 1.5
        return np.unique(np.concatenate((self._slope(count - share), behind)))

    def _slope(self, count: int) -> Floats:
        """Return positions along the slope: evenly spread, moved to corners that are near."""
        even = np.linspace(self.low, self.high, max(count, 3))
        corners = self.s[(self.s >= self.low) & (self.s <= self.high)]
        spacing = even[1] - even[0]
        for corner in corners[: len(even) * 4]:
            nearest = int(np.argmin(abs(even - corner)))
            if abs(even[nearest] - corner) <= 0.5 * spacing:
                even[nearest] = corner
        return np.unique(even)


def terrain(points: Floats, *, reach: float = -np.inf) -> Terrain | None:
    """Return the ground as seen by slides to the left, or None where nothing rises to the right.

    points: (n, 2), x not decreasing, m; reach: x of the last bond end (m), if there are anchors.
    Raises DesignError where x runs backwards.
    """
    points = np.asarray(points, dtype=float)
    step = np.diff(points, axis=0)
    if len(points) < 2 or (step[:, 0] < 0.0).any():
        raise DesignError("the surface of the ground must run from left to right", "slip surfaces")
    length = np.hypot(step[:, 0], step[:, 1])
    keep = np.concatenate(([True], length > 0.0))
    points, step, length = points[keep], step[length > 0.0], length[length > 0.0]
    s = np.concatenate(([0.0], np.cumsum(length)))
    rising = np.flatnonzero(step[:, 1] > STEEP * step[:, 0])
    if not len(rising):
        return None
    first, last = rising[0], rising[-1] + 1
    zone = points[first : last + 1, 1]
    height = float(np.max(zone - np.minimum.accumulate(zone)))
    return Terrain(points, s, height, float(s[first]), float(s[last]), reach)


def mirrored(points: Floats) -> Floats:
    """Return points (..., k, 2) with left and right exchanged, again from left to right."""
    turned: Floats = np.ascontiguousarray(points[..., ::-1, :] * np.array([-1.0, 1.0]))
    return turned
