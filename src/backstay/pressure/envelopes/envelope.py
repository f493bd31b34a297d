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
    (kN/m), found before the diagram is drawn; diagram: pressure over depth; height: of the ground
    that loads the wall (m): the height of the cut, or the soil above rock; total_stress: depths
    (from, to) over which the envelope is in total stresses, so that pore water is inside it; over
    other depths water is added to it; steps: the derivation.
    """

    kind: EnvelopeKind
    title: str
    p: float
    total_load: float
    diagram: Diagram
    height: float
    total_stress: tuple[tuple[float, float], ...]
    steps: tuple[Step, ...]

    def added_water(self, net: Diagram | None) -> Diagram | None:
        """Return the part of the net water pressure that is added to this envelope, or None."""
        if net is None or not self.total_stress:
            return net
        z: list[float] = []
        p: list[float] = []
        depth = 0.0
        for start, end in (*self.total_stress, (net.z[-1], net.z[-1])):
            part = net.clipped(depth, start)
            if part.z:
                z += [part.z[0], *part.z, part.z[-1]]
                p += [0.0, *part.p, 0.0]
            depth = max(depth, end)
        if all(value == 0.0 for value in p):
            return None
        return Diagram(net.name, tuple(z), tuple(p))
