"""A design envelope: the apparent earth pressure that every row of anchors is designed for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.pressure.diagram import Diagram
from backstay.trace import Step

EnvelopeKind = Literal["sand", "stiff clay", "stiff clay, long term", "soft clay", "total load"]


@dataclass(frozen=True, slots=True)
class Envelope:
    """An apparent earth pressure envelope.

    title: in trade words; p: largest ordinate (kPa); total_load: horizontal, over its height
    (kN/m), found before the diagram is drawn; diagram: pressure over depth; stresses: total
    (water is inside the envelope) or effective (water is added to it); height: of the ground that
    loads the wall (m): the height of the cut, or the soil above rock; steps: the derivation.
    """

    kind: EnvelopeKind
    title: str
    p: float
    total_load: float
    diagram: Diagram
    stresses: Literal["total", "effective"]
    height: float
    steps: tuple[Step, ...]
