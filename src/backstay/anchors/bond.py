"""The bond zone: what the ground and the grout can hold, through the strata really crossed.

The zone starts at the end of the unbonded length and runs on along the inclined anchor. In each
stratum it crosses, the ultimate load transfer divided by the factor of safety counts over the
length in that stratum. A length or a grouting method that the contractor has chosen is checked;
what is left open is answered by the length each method would need.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import inf, pi
from typing import Literal

from backstay.anchors.geometry import Axis
from backstay.anchors.presumptive import GroundBond, ground_bond
from backstay.anchors.tendon import TendonChoice
from backstay.basis import Basis
from backstay.cite import STATICS, Citation
from backstay.ground.profile import Layer, Profile
from backstay.model.anchors import Grouting
from backstay.quantity import BondStress as BondStressQuantity
from backstay.quantity import (
    Count,
    Force,
    ForcePerLength,
    Length,
    Ratio,
    SmallLength,
)
from backstay.trace import formula, remark, state

METHODS: tuple[Grouting, ...] = ("gravity", "low pressure", "high pressure", "post-grouted")


def grouting_words(method: Grouting) -> str:
    """Return a grouting method as it stands in a sentence."""
    return "post-grouting" if method == "post-grouted" else f"{method} grouting"


@dataclass(frozen=True, slots=True)
class BondPart:
    """The part of a bond zone in one stratum.

    length: along the anchor (m); transfer: ultimate, kN per m; safety: factor on it; source:
    where the value comes from, in words.
    """

    stratum: str
    kind: str
    length: float
    transfer: float
    safety: float
    source: str
    cite: Citation


@dataclass(frozen=True, slots=True)
class BondRequirement:
    """The bond length that one grouting method needs, from the start of the bond zone.

    length: required (m); transfer: average ultimate over that length (kN per m); source: of the
    values, in words; governing: what sets the length.
    """

    grouting: Grouting
    length: float
    transfer: float
    source: str
    parts: tuple[BondPart, ...]
    governing: Literal["ground", "tendon in grout", "least length"]


@formula("T_all", STATICS)
def part_allowable(t: ForcePerLength, L: Length, FS: Ratio) -> Force:
    """Load allowed on the bond zone in one stratum.

    t: ultimate load transfer; L: length of the bond zone in the stratum; FS: factor of safety
    """
    return t * L / FS


@formula("T_g", STATICS)
def tendon_in_grout(
    n: Count, d_t: SmallLength, tau_g: BondStressQuantity, L_b: Length, FS_g: Ratio
) -> Force:
    """Load allowed between tendon and grout.

    n: number of strands or bars; d_t: nominal diameter of one; tau_g: ultimate bond of tendon in
    grout; L_b: bond length; FS_g: factor of safety
    """
    return n * pi * d_t * tau_g * L_b / FS_g


@formula("L_g", STATICS)
def length_in_grout(
    P: Force, n: Count, d_t: SmallLength, tau_g: BondStressQuantity, FS_g: Ratio
) -> Length:
    """Bond length that the tendon needs in the grout.

    P: design load; n: number of strands or bars; d_t: nominal diameter of one; tau_g: ultimate
    bond of tendon in grout; FS_g: factor of safety
    """
    return P * FS_g / (n * pi * d_t * tau_g)


@dataclass(slots=True)
class GroundAlong:
    """The ground along one anchor beyond its unbonded length: bond values are found once."""

    axis: Axis
    ground: Profile
    start: float
    hole: float
    basis: Basis

    def pieces(self) -> Iterator[tuple[Layer, float]]:
        """Yield (layer, length along the anchor in it) from the start of the bond zone on."""
        z = self.axis.at(self.start)[1]
        layer = self.ground.layer_at(z)
        if self.axis.down <= 1e-12:
            yield layer, inf
            return
        for layer in self.ground.layers:
            if layer.bottom > z + 1e-9:
                yield layer, (layer.bottom - max(layer.top, z)) / self.axis.down

    def safety(self, layer: Layer) -> float:
        """Return the factor of safety on bond in a layer."""
        factor = (
            self.basis.bond_safety_rock if layer.kind == "rock" else self.basis.bond_safety_soil
        )
        return factor.value

    def part(self, layer: Layer, length: float, bond: GroundBond) -> BondPart:
        """Return one part of a bond zone."""
        return BondPart(
            layer.name,
            layer.kind,
            length,
            bond.transfer,
            self.safety(layer),
            bond.source,
            bond.cite,
        )

    def parts(self, grouting: Grouting, length: float) -> tuple[BondPart, ...]:
        """Return the parts of a bond zone of a given length (m)."""
        found = []
        left = length
        for layer, available in self.pieces():
            taken = min(left, available)
            if taken > 1e-9:
                found.append(self.part(layer, taken, ground_bond(layer, grouting, self.hole)))
            left -= taken
            if left <= 1e-9:
                break
        return tuple(found)

    def length_for(self, grouting: Grouting, load: float) -> float:
        """Return the bond length whose allowable load is `load` (kN), solved exactly by strata."""
        length, left = 0.0, load
        for layer, available in self.pieces():
            per_length = ground_bond(layer, grouting, self.hole).transfer / self.safety(layer)
            if per_length * available >= left:
                return length + left / per_length
            length += available
            left -= per_length * available
        return inf

    def least_length(self, length: float) -> float:
        """Return the least bond length: that of rock where the whole zone lies in rock."""
        rock = all(layer.kind == "rock" for layer in self.crossed(length))
        factor = self.basis.bond_length_least_rock if rock else self.basis.bond_length_least_soil
        return factor.value

    def crossed(self, length: float) -> list[Layer]:
        """Return the layers that a bond zone of a length crosses."""
        layers = []
        for layer, available in self.pieces():
            layers.append(layer)
            length -= available
            if length <= 1e-9:
                break
        return layers


def required(
    along: GroundAlong, grouting: Grouting, design_load: float, tendon: TendonChoice
) -> BondRequirement:
    """Return the bond length that a grouting method needs for the design load (kN)."""
    basis = along.basis
    in_ground = state(
        "L_b", f"Bond length in the ground, {grouting_words(grouting)}",
        along.length_for(grouting, design_load), "length",
        method="allowable transfer added up stratum by stratum along the anchor until the design "
        "load is reached, solved exactly in the last",
        cite=basis.bond_safety_soil.cite,
    )  # fmt: skip
    in_grout = length_in_grout(
        design_load, tendon.strands, tendon.diameter, basis.grout_bond_tendon.value,
        basis.grout_bond_safety.value,
    )  # fmt: skip
    least = along.least_length(max(in_ground, in_grout))
    length = max(in_ground, in_grout, least)
    governing: Literal["ground", "tendon in grout", "least length"] = (
        "ground" if length == in_ground else "tendon in grout" if length == in_grout
        else "least length"
    )  # fmt: skip
    parts = along.parts(grouting, length)
    average = sum(p.transfer * p.length for p in parts) / length
    source = "; ".join(f"{p.stratum}: {p.source}" for p in parts)
    state(
        "L_b", f"Bond length required, {grouting_words(grouting)}", length, "length",
        method=f"the largest of ground, tendon in grout and least length; governing: {governing}",
    )  # fmt: skip
    remark(f"Bond in {grouting_words(grouting)}: {source}.")
    return BondRequirement(grouting, length, average, source, parts, governing)


def requirements(
    along: GroundAlong,
    grouting: Grouting | Literal["open"],
    design_load: float,
    tendon: TendonChoice,
) -> tuple[BondRequirement, ...]:
    """Return what the given grouting method needs, or, left open, what each method needs.

    The tables do not tell the methods under pressure apart, so these share one length.
    """
    if grouting != "open":
        return (required(along, grouting, design_load, tendon),)
    gravity = required(along, "gravity", design_load, tendon)
    pressure = required(along, "low pressure", design_load, tendon)
    return (gravity, *(replace(pressure, grouting=method) for method in METHODS[1:]))
