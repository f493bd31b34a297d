"""Lift-offs that were read at the gauge of a jack, as loads by its calibration line in force.

The record keeps the pressures. What they are in loads is worked out whenever it is asked, as for the
readings of a test: a certificate that is corrected counts for what was read by it before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from backstay.records.facts import LiftedOff
from backstay.stressing.jack import Jack
from backstay.stressing.strands import strand_loads

Jacks = Mapping[tuple[str, str], Jack]
"""Jacks by name and number of the certificate."""


def in_loads(fact: LiftedOff, jacks: Jacks) -> LiftedOff:
    """Return a lift-off as if its loads had been stated (kN).

    Of readings with movements, load stays as it was found when they were recorded.
    """
    jack = jacks.get((fact.jack, fact.certificate))
    if not fact.by_gauge or jack is None:
        return fact
    paper = jack.calibration
    if fact.gauge is not None:
        return replace(fact, gauge=None, load=paper.load(fact.gauge))
    if fact.strand_gauges:
        # a strand that takes no pressure carries nothing, whatever the line says at its beginning
        strands = tuple(max(paper.load(p), 0.0) if p > 0.0 else 0.0 for p in fact.strand_gauges)
        return replace(fact, strand_gauges=(), strands=strands, load=strand_loads(strands).total)
    return replace(fact, gauges=(), loads=tuple(paper.load(p) for p in fact.gauges))
