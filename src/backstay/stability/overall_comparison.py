"""One slip surface by every method that suits it, the least safe circle, and the map of circles.

For the eye of a reviewer: none of it changes what the search found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backstay.stability.overall import OverallDesign, StageSafety
from backstay.stability.slip.analysis import SLICES, analyse_circle, analyse_surface
from backstay.stability.slip.arcs import arc_points, thickness
from backstay.stability.slip.ground_frame import frame
from backstay.stability.slip.model import Circle, Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.result import METHODS, Method, SlipResult
from backstay.stability.slip.search_result import Minimum, SearchResult

if TYPE_CHECKING:
    from backstay.stability.slip.safety_map import SafetyMap

ANY_FORM: tuple[Method, ...] = ("spencer", "morgenstern-price")
"""Methods that suit every form of surface; the others stand on moments about a centre."""


@dataclass(frozen=True, slots=True, eq=False)
class Compared:
    """A slip surface, and its analysis by each method that suits its form."""

    minimum: Minimum
    results: Mapping[Method, SlipResult]

    def safety(self, method: Method) -> float | None:
        """Return F by a method; None where the method does not suit the form or has no solution."""
        result = self.results.get(method)
        return result.F if result is not None and result.converged else None


@dataclass(frozen=True, slots=True, eq=False)
class MappedCircles:
    """The map of safety over circle centres around the least safe circle of a search.

    lowest: least F on the map, and its centre (x, y), m: less than that of `least` where the map's
    radii found a circle that the search did not look at, or has outside its limits.
    """

    least: Minimum
    map: SafetyMap
    lowest: float
    lowest_at: tuple[float, float]


def compare_methods(model: SlipModel, minimum: Minimum, *, slices: int = SLICES) -> Compared:
    """Return a surface by every method that suits it; Morgenstern-Price with the half-sine."""
    if minimum.circle is not None:
        circle = minimum.circle
        return Compared(
            minimum, {m: analyse_circle(model, circle, m, slices) for m in METHODS}
        )  # fmt: skip
    return Compared(
        minimum, {m: analyse_surface(model, minimum.points, m, slices) for m in ANY_FORM}
    )


def compare_search(
    model: SlipModel, found: SearchResult, options: SearchOptions | None = None
) -> tuple[Compared, ...]:
    """Return the critical surface of a search and, where it is no circle, the least safe circle.

    Empty where no surface counts. options: of the search.
    """
    least, round_one = found.critical, least_circle(model, found, options)
    shown = [m for m in (least, round_one) if m is not None]
    if len(shown) == 2 and shown[0] is shown[1]:
        shown = shown[:1]
    return tuple(compare_methods(model, m) for m in shown)


def least_circle(
    model: SlipModel, found: SearchResult, options: SearchOptions | None = None
) -> Minimum | None:
    """Return the least safe circle of a search, listed among its minima or not; None without any."""
    listed = found.of("circle", "composite")
    if listed is not None or not len(found.safety):
        return listed
    given = options or SearchOptions(method=found.method)
    circle = Circle(*(float(v) for v in found.circles[int(np.argmin(found.safety))]))
    result = analyse_circle(model, circle, found.method, given.slices, side_force=given.side_force)
    if not result.converged:
        result = analyse_circle(model, circle, "bishop", given.slices)
    if not result.converged:
        return None
    seen = frame(model, given)
    turned = np.array([[seen.sign * circle.x, circle.y, circle.radius]])
    ends = np.sort(seen.sign * np.array([[result.left, result.right]]), axis=1)
    first, last = (
        (float(x), float(y)) for x, y in (result.surface[0], result.surface[-1])
    )  # fmt: skip
    low, high = (first, last) if model.to_left else (last, first)
    return Minimum(
        F=result.F, kind="circle", circle=circle,
        points=seen.turn(arc_points(turned, ends, 41)[0]), out=low, start=high,
        thickness=float(thickness(seen.ground, turned, ends, seen.rock)[0]),
        last_change=0.0, at_edge=False, result=result,
    )  # fmt: skip


def map_circles(
    model: SlipModel, found: SearchResult, options: SearchOptions | None = None
) -> MappedCircles | None:
    """Return the map of safety over centres around the least safe circle; None without a circle.

    It takes thousands of analyses. options: of the search, its limits above all.
    """
    from backstay.stability.slip.safety_map import safety_map

    least = least_circle(model, found, options)
    if least is None:
        return None
    made = safety_map(model, replace(found, minima=(least,)), options=options)
    if made is None or not np.isfinite(made.F).any():
        return None
    i, j = np.unravel_index(int(np.nanargmin(made.F)), made.F.shape)
    return MappedCircles(
        least, made, float(made.F[i, j]), (float(made.x[j]), float(made.y[i]))
    )  # fmt: skip


def least_final(design: OverallDesign) -> StageSafety | None:
    """Return the least safe state of the finished cut; None where nothing slides in any."""
    found = [s for s in design.stages if s.stage.title.startswith("final") and s.found.minima]
    return min(found, key=lambda s: s.safety, default=None)


def whole_surface(one: Minimum) -> Floats:
    """Return the surface as it slides (n, 2): along rock where rock cuts it, with its open crack."""
    result = one.result
    if one.kind != "composite" and result.crack <= 0.0:
        return one.points
    line = result.surface
    if result.crack <= 0.0:
        return line
    if one.start[0] >= one.out[0]:
        return np.vstack((line, line[-1] + (0.0, result.crack)))
    return np.vstack((line[0] + (0.0, result.crack), line))
