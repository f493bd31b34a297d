"""The bond zone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.cite import Citation
from backstay.model.anchors import Grouting


@dataclass(frozen=True, slots=True)
class BondPart:
    """The part of a bond zone in one stratum.

    length: along the anchor (m); transfer: ultimate, kN per m; safety: factor on it; source:
    where the value comes from, in words.
    """

    stratum: str
    length: float
    transfer: float
    safety: float
    source: str
    cite: Citation


@dataclass(frozen=True, slots=True)
class BondRequirement:
    """The bond length that one grouting method needs, from the start of the bond zone.

    length: required (m; inf where the strata cannot give it within a sensible length); transfer:
    average ultimate over that length (kN per m); source: of the values, in words; governing:
    what sets the length.
    """

    grouting: Grouting
    length: float
    transfer: float
    source: str
    parts: tuple[BondPart, ...]
    governing: Literal["ground", "tendon in grout", "least length"]
