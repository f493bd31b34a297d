"""Which solutions of the method of slices count, and why the others are set aside.

Equilibrium of all slices can be satisfied by forces that no ground could carry: tension between
slices in the active wedge, a thrust line outside the mass, a base that is pulled. A search without
this rule runs to such roots, because some of them give a low factor of safety (Whitman and Bailey
1967; Ching and Fredlund 1983, from memory). They are set aside and counted, not repaired.

Where the base bends sharply (12 degrees; 15 where the ground has friction), the mass moves only if it
shears through on the side above. A polyline counts there only if that side carries half of its
strength in the sense of the movement: surfaces in clay would otherwise seem less safe than any
mechanism can be (a wedge below a vertical cut 11 %, a polygon below a flat slope 4 % less than a
rigorous lower bound). A block on a layer weaker than one above is excepted, as is common and on the
safe side.

Three things must not be set aside with them, for that would be unsafe:

- Where cohesion holds the ground at the crest, a real critical circle has some tension between its
  upper slices. Moments about the centre fix its safety all the same: a circle whose only faults are
  between its slices counts where simplified Bishop, which knows no such forces, gives the same
  safety within AGREES and has no fault itself. A spurious root does not agree.
- Steep slopes with cohesion have circles without a solution in full equilibrium: the slices at the
  crest hold more than they drive on the steepest bases, and at the safety that moments give, forces stay
  out of balance in one sense whatever the inclination of the side forces. There a faultless safety by
  simplified Bishop stands in, and the result says so by its method. A crack at the crest, which takes
  those slices out, lets the method solve them.
- Where all ground is undrained, strength does not depend on any force: moments alone give the
  safety of a circle exactly, whatever becomes of the forces between and below its slices.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from backstay.stability.slip.model import Bools, Floats, SlipModel
from backstay.stability.slip.result import FLAGS, STATUS, BatchResult, Flag

TOO_THIN = "thinner than the least depth"
OTHER_STRETCH = "cuts the ground elsewhere"
STIFF_BEND = "sharp bend without shear above it"
AGREES = 0.03
"""Difference from simplified Bishop within which a circle's safety is taken for that of moments."""
BETWEEN_SLICES: tuple[Flag, ...] = (
    "tension between slices",
    "thrust line outside",
    "side shear beyond strength",
    "side shear against the movement",
)
"""Faults of forces that the moments about the centre of a circle do not contain."""
NOT_CONVERGED = STATUS.index("not converged")


@dataclass(frozen=True, slots=True, kw_only=True)
class Admissibility:
    """The rule: solutions with any flag of `refused` are set aside.

    by_moments: let circles count whose safety moments about the centre confirm (see the module).
    sheared: least share of its mobilised strength that a side above a sharp bend of a polyline carries.
    """

    refused: tuple[Flag, ...] = FLAGS
    by_moments: bool = True
    sheared: float = 0.5

    @property
    def mask(self) -> int:
        """Return the flags refused as bits."""
        return bits(self.refused)


def bits(flags: tuple[Flag, ...]) -> int:
    """Return flags as bits, as batches carry them."""
    return sum(1 << FLAGS.index(flag) for flag in flags)


def undrained(model: SlipModel) -> bool:
    """Say whether no ground that a surface may cut has friction."""
    friction = model.phi > 0.0
    if model.su is not None:
        friction = friction & ~(model.su > 0.0)
    if model.impenetrable is not None:
        friction = friction & ~model.impenetrable
    return not friction.any()


def by_moments(full: BatchResult, bishop: BatchResult, rule: Admissibility) -> Floats:
    """Return the safety (r) of circles that count by their moments, NaN for the others.

    Simplified Bishop must be faultless. Where the method found a solution with faults between slices
    alone, Bishop must agree; where it found none, Bishop's safety stands in.
    """
    sound = (bishop.status == 0) & ((bishop.flags & rule.mask) == 0)
    only = (full.flags & rule.mask & ~bits(BETWEEN_SLICES)) == 0
    with np.errstate(invalid="ignore"):
        same = (full.status == 0) & only & (abs(full.F - bishop.F) <= AGREES * bishop.F)
    found: Floats = np.where(same, full.F, np.where(full.status == NOT_CONVERGED, bishop.F, np.nan))
    return np.where(sound, found, np.nan)


FAULT = 0.1
"""Share by which a fault that is not measured puts a surface behind in the ranking of a search."""
EDGE = 0.05
"""The same for a fault whose size adds to it."""


def ranks(batch: BatchResult, rule: Admissibility, short: Floats) -> Floats:
    """Return what a search ranks polylines (r) by: their safety, and more the farther they miss the rule.

    short (r): what the shear of a side above a sharp bend lacks, as a share of its strength.
    """
    flags = batch.flags & rule.mask
    pulled = (flags & bits(("tension between slices",))) != 0
    others = sum((flags >> bit) & 1 for bit in range(len(FLAGS))) - pulled
    more = FAULT * others + np.where(pulled, EDGE + np.clip(batch.tension, 0.0, 1.0), 0.0)
    more = more + np.where(short > 0.0, EDGE + np.clip(short, 0.0, 2.0), 0.0)
    counts = (batch.status == 0) & (batch.F > 0.0)
    found: Floats = np.where(counts, batch.F * (1.0 + more), np.inf)
    return found


class Tally:
    """What became of the surfaces analysed: how many, and how many set aside for which reason.

    A surface with several flags counts under the first of them in the order of FLAGS.
    lowest_aside: the least safety among converged solutions that were set aside.
    """

    def __init__(self) -> None:
        self.analysed = 0
        self.aside: Counter[str] = Counter()
        self.lowest_aside = np.inf

    def judge(
        self, batch: BatchResult, rule: Admissibility, *, anyway: Floats | None = None
    ) -> Floats:
        """Return the factors of safety that count (r), infinite for what is set aside.

        anyway: safety (r) of surfaces that count whatever their flags, NaN for the others.
        """
        kept = np.full(len(batch.F), np.nan) if anyway is None else anyway
        counts = np.isfinite(kept)
        flags = np.where(counts, 0, batch.flags & rule.mask)
        status = np.where(counts, 0, batch.status)
        F: Floats = np.where(counts, kept, np.where((status == 0) & (flags == 0), batch.F, np.inf))
        self.analysed += len(F)
        for code, count in enumerate(np.bincount(status, minlength=1)[1:].tolist(), 1):
            if count:
                self.aside[STATUS[code]] += count
        faulty = (status == 0) & (flags != 0)
        if faulty.any():
            self.lowest_aside = min(self.lowest_aside, float(batch.F[faulty].min()))
            first = flags[faulty] & -flags[faulty]
            for bit, count in zip(*np.unique(first, return_counts=True), strict=True):
                self.aside[FLAGS[int(bit).bit_length() - 1]] += int(count)
        return F

    def add(self, reason: str, which: Bools) -> None:
        """Count the surfaces (r) that are set aside for one reason."""
        count = int(np.count_nonzero(which))
        if count:
            self.aside[reason] += count
