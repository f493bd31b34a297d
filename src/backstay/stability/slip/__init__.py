"""Slip surfaces by the method of slices: circles and polylines, with water, loads and anchors.

`SlipModel` states the ground; `analyse_circle` and `analyse_surface` give the safety of one surface
with all its slices; `analyse_batch` (circles) and `analyse_surfaces` (polylines) that of many. Methods:
ordinary slices, simplified Bishop, and Spencer and Morgenstern-Price in full equilibrium of forces and
moments. A surface without a solution is reported as such, never with a plausible number; a solution
that the ground could not hold (tension between slices, thrust outside the mass) carries flags.
`search` finds the least safe surfaces of every form, `search_circles` circles alone, `safety_map` what is
drawn over centres of circles; `SearchOptions` and `Admissibility` say what is looked for and what counts.
Numba is loaded by the first analysis, not before.
"""

from backstay.stability.slip.admissibility import Admissibility
from backstay.stability.slip.analysis import (
    analyse_batch,
    analyse_circle,
    analyse_surface,
    analyse_surfaces,
)
from backstay.stability.slip.build import build_kernel, kernel_is_built
from backstay.stability.slip.circles import search_circles
from backstay.stability.slip.model import (
    AnchorForce,
    Circle,
    PressureGrid,
    ShearForce,
    SlipModel,
)
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.result import (
    FLAGS,
    METHODS,
    SIDE_FORCES,
    STATUS,
    BatchResult,
    Cut,
    Flag,
    Method,
    SideForce,
    SliceTable,
    SlipResult,
    Status,
)
from backstay.stability.slip.safety_map import SafetyMap, safety_map
from backstay.stability.slip.search import search
from backstay.stability.slip.search_result import Kind, Minimum, SearchResult

__all__ = [
    "FLAGS",
    "METHODS",
    "SIDE_FORCES",
    "STATUS",
    "Admissibility",
    "AnchorForce",
    "BatchResult",
    "Circle",
    "Cut",
    "Flag",
    "Kind",
    "Method",
    "Minimum",
    "PressureGrid",
    "SafetyMap",
    "SearchOptions",
    "SearchResult",
    "ShearForce",
    "SideForce",
    "SliceTable",
    "SlipModel",
    "SlipResult",
    "Status",
    "analyse_batch",
    "analyse_circle",
    "analyse_surface",
    "analyse_surfaces",
    "build_kernel",
    "kernel_is_built",
    "safety_map",
    "search",
    "search_circles",
]
