"""What a search found: separate minima, everything it looked at, and what it set aside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from backstay.stability.slip.model import Circle, Floats
from backstay.stability.slip.result import Method, SlipResult

Kind = Literal["circle", "composite", "plane", "wedge", "block", "general"]
"""Form of a surface: composite is a circle cut by rock; block slides along a layer."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Minimum:
    """A slip surface with the least safety of its neighbourhood.

    F: factor of safety; circle: centre and radius where the surface is one; points: the surface
    (n, 2) from left to right, m; out, start: where the slide comes out and starts, (x, y) m;
    thickness: greatest across the chord, m; last_change: relative change of F in the last step of
    the search that improved it or was tried; at_edge: lies at a limit that was set, so that a lower
    one may lie beyond; result: the analysis with its slices; by simplified Bishop where the
    method has no solution (see admissibility).
    """

    F: float
    kind: Kind
    circle: Circle | None
    points: Floats
    out: tuple[float, float]
    start: tuple[float, float]
    thickness: float
    last_change: float
    at_edge: bool
    result: SlipResult


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SearchResult:
    """Minima in order of safety, and the search that found them.

    minima: separate ones, the lowest first; empty where no surface counts. circles (n, 3), safety
    (n): every circle analysed that counts, for drawing; exits, entries: x from and to (m) of the
    first grid; least_depth: thickness (m) below which slides were ignored; analysed: surfaces
    analysed; set_aside: how many for which reason, thin ones included;
    lowest_aside: the least safety among converged solutions set aside, None without; method: of the analysis.
    """

    minima: tuple[Minimum, ...]
    circles: Floats
    safety: Floats
    exits: tuple[float, float]
    entries: tuple[float, float]
    least_depth: float
    analysed: int
    set_aside: Mapping[str, int]
    lowest_aside: float | None
    method: Method

    @property
    def critical(self) -> Minimum | None:
        """Return the minimum with the least safety, or None where no surface counts."""
        return self.minima[0] if self.minima else None

    def of(self, *kinds: Kind) -> Minimum | None:
        """Return the least safe minimum of some forms, or None."""
        return next((m for m in self.minima if m.kind in kinds), None)
