"""The tendon."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class TendonChoice:
    """A tendon: product of the catalogue and number of strands (1 for a bar).

    area (m2), strength (kN) and mass (kg/m) are of the whole tendon; diameter (m) is that of one
    strand or of the bar; E in kPa.
    """

    kind: Literal["strand", "bar"]
    product: str
    strands: int
    area: float
    strength: float
    E: float
    mass: float
    diameter: float
    title: str
