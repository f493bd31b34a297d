"""The whole search: circles, then every other form of surface, in one result."""

from __future__ import annotations

import numpy as np

from backstay.stability.slip.circles import CircleSearch, circle_minima, look, result_of
from backstay.stability.slip.ground_frame import Frame, frame
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.noncircular import search_shapes, separate_shapes, shape_minimum
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.polygons import Found
from backstay.stability.slip.search_result import Minimum, SearchResult


def search(model: SlipModel, *, options: SearchOptions | None = None) -> SearchResult:
    """Search the least safe slip surfaces of a section, of every form.

    Circles (cut by rock where there is any), planes, wedges, blocks along the bottom of layers, and
    general convex surfaces evolved from the least safe of them. With simplified Bishop and ordinary
    slices only circles are searched: those methods stand on moments about a centre.
    Raises DesignError where the ground has no slope.
    """
    given = options or SearchOptions()
    seen = frame(model, given)
    circles = look(seen)
    least = circle_minima(seen, circles)
    if given.non_circular and given.method in ("spencer", "morgenstern-price"):
        starts = [_start(seen, circles, one) for one in least]
        shapes = search_shapes(seen, circles.exits, circles.entries, starts)
        others = [shape_minimum(seen, one) for one in separate_shapes(seen, shapes)]
        both = sorted((*least, *others), key=lambda one: one.F)
        most = given.listed * both[0].F if both else 0.0
        least = tuple(one for one in both if most >= one.F)
    return result_of(seen, circles, least)


def _start(seen: Frame, circles: CircleSearch, one: Minimum) -> Found:
    """Return a circle as a start for general surfaces."""
    points = seen.turn(one.points[None])[0]
    nearest = int(np.argmin(abs(circles.minima.values - one.F)))
    ends = circles.minima.places[nearest, :2]
    return Found(one.kind, points, ends, one.F, one.last_change)
