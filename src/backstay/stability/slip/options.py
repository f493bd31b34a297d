"""What may be chosen about the search; the defaults need no tuning."""

from __future__ import annotations

from dataclasses import dataclass, field

from backstay.errors import DesignError
from backstay.stability.slip.admissibility import Admissibility
from backstay.stability.slip.result import Method, SideForce


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchOptions:
    """Choices of a search.

    method, side_force: of the analysis; slices: of the refined surfaces; grid_slices: of the first
    look over the ground; density: multiplies the number of trial places in each direction of the
    first grid (1 gives about 24 ends, 24 starts and 10 curvatures). least_depth: least thickness
    (m) of a slide across its chord; None takes LEAST_DEPTH of the slope's height. exits, entries:
    limits (x from, x to, m) of where slides come out and start; deepest: elevation (m) that is not
    passed; beneath: points (x, y) that surfaces must pass below where they pass them, such as the
    foot of a wall. minima: separate minima kept; apart: difference in an end or in thickness, as a
    share of the height, that makes two slides separate; listed: minima safer than this many times the
    least one are left out. non_circular: whether planes, wedges,
    blocks along layers and general surfaces are searched too. generations, seed: of the trials that
    general surfaces are evolved by.
    """

    method: Method = "spencer"
    side_force: SideForce = "half-sine"
    slices: int = 50
    grid_slices: int = 20
    density: float = 1.0
    least_depth: float | None = None
    exits: tuple[float, float] | None = None
    entries: tuple[float, float] | None = None
    deepest: float | None = None
    beneath: tuple[tuple[float, float], ...] = ()
    minima: int = 6
    apart: float = 0.1
    listed: float = 2.0
    non_circular: bool = True
    generations: int = 60
    seed: int = 1
    admissibility: Admissibility = field(default_factory=Admissibility)

    def __post_init__(self) -> None:
        """Refuse what cannot be searched. Raises DesignError."""
        if not 0.2 <= self.density <= 10.0:
            raise DesignError("the density of the search must lie between 0.2 and 10", "search")
        if self.minima < 1 or self.slices < 5 or self.grid_slices < 5:
            raise DesignError("a search needs a minimum to keep and 5 slices or more", "search")
        if self.least_depth is not None and self.least_depth < 0.0:
            raise DesignError("the least depth of slides cannot be negative", "search")


LEAST_DEPTH = 0.05
"""Least thickness of slides as a share of the height of the slope (common practice, no source)."""
