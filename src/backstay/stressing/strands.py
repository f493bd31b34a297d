"""A tendon lifted off, or locked off, strand by strand with a jack for one strand.

The load of the anchor is the sum of what its strands carry. The sum says nothing of how they share
it: strands that were stressed first lose load while the others are stressed, and one that carries
far more than its share is nearer its limit than the anchor is. So the spread is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from backstay.cite import STATICS, Citation
from backstay.errors import DesignError
from backstay.quantity import Count, Force, Percent
from backstay.trace import Step, formula, state, trace

SAME_LOAD = 0.001
"""Share by which a sum that a person wrote may be off that of the strands."""


@formula("P_l", STATICS)
def load_of_strands(n: Count, P_m: Force) -> Force:
    """Load of an anchor whose strands were read one by one.

    n: number of strands; P_m: their mean load
    """
    return n * P_m


@formula("r_s", Citation("definition", "spread over the mean", "formula"))
def spread_of(P_max: Force, P_min: Force, P_m: Force) -> Percent:
    """Spread of the loads of the strands.

    P_max: greatest load of a strand; P_min: least; P_m: mean
    """
    return (P_max - P_min) / P_m


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandLoads:
    """Loads of the strands of one anchor (kN), in the order read.

    total: of the anchor; mean, least, greatest: of a strand; weakest, fullest: number of the strand
    that carries least and most, from 1; spread: greatest less least, over the mean.
    """

    loads: tuple[float, ...]
    total: float
    mean: float
    least: float
    greatest: float
    weakest: int
    fullest: int
    spread: float
    steps: tuple[Step, ...]

    @property
    def words(self) -> str:
        """Return how the strands share the load, with placeholders."""
        if len(self.loads) == 1:
            return "one strand"
        return (
            f"{len(self.loads)} strands carry between {{force:{self.least:.9g}}} (strand "
            f"{self.weakest}) and {{force:{self.greatest:.9g}}} (strand {self.fullest}), a spread of "
            f"{{percent:{self.spread:.4g}}} of their mean"
        )


def strand_loads(loads: Sequence[float], where: str = "") -> StrandLoads:
    """Return what strands carry together and how they share it; loads in kN, in the order read.

    A strand may carry nothing. Raises DesignError for no strands, a load that is none, and strands
    that carry nothing together.
    """
    if not loads or any(not isfinite(p) or p < 0.0 for p in loads):
        raise DesignError("each strand has a load, nought or more", where)
    mean = sum(loads) / len(loads)
    if mean <= 0.0:
        raise DesignError("the strands carry nothing together", where)
    least, greatest = min(loads), max(loads)
    with trace() as t:
        state(
            "P_m", "Mean load of a strand", mean, "force", method=f"of {len(loads)} read one by one"
        )
        total = load_of_strands(float(len(loads)), mean)
        spread = spread_of(greatest, least, mean)
    return StrandLoads(
        loads=tuple(loads), total=total, mean=mean, least=least, greatest=greatest,
        weakest=loads.index(least) + 1, fullest=loads.index(greatest) + 1, spread=spread,
        steps=t.steps,
    )  # fmt: skip


def require_sum(found: StrandLoads, load: float, where: str = "") -> None:
    """Require that strands carry a load (kN) together, to how finely it is written. Raises DesignError."""
    if abs(found.total - load) > SAME_LOAD * found.total:
        raise DesignError(
            f"the strands carry {{force:{found.total:.6g}}} together, not {{force:{load:.6g}}}",
            where,
        )
