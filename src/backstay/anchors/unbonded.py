"""The least unbonded length, by every rule that applies.

- A tendon must be long enough to stretch, so that small movements do not cost its load.
- The bond zone starts beyond the critical failure surface by the larger of a length and a share
  of the height of the cut; the set-back is measured along the anchor.
- Enough ground lies over the middle of the bond zone. Where the bond length is left open, the
  shortest that is allowed stands in for it, which asks for the longest unbonded length.

A boundary, a pipe or a basement never lengthens an anchor: those are checks.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sin

from backstay.anchors.geometry import Axis, length_for_cover, length_to_line, length_to_plane
from backstay.anchors.surface import CriticalSurface
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import GEOMETRY, Citation
from backstay.errors import DesignError
from backstay.ground.profile import Profile
from backstay.quantity import QUANTITIES, Angle, Length, Ratio
from backstay.trace import Step, formula, remark, state, trace

BY_TENDON = {"strand": "least for a strand tendon", "bar": "least for a bar tendon"}
BEYOND_SURFACE = "beyond the critical surface"
OVERBURDEN = "ground over the bond zone"


@dataclass(frozen=True, slots=True)
class UnbondedRule:
    """One rule: what it is for, the length it asks for along the anchor (m), and its clause."""

    name: str
    length: float
    cite: Citation


@dataclass(frozen=True, slots=True)
class Unbonded:
    """The unbonded length of one anchor (m).

    length: given, or the least; least: the largest of the rules; governing: its name;
    to_surface: from head to the critical surface, along the anchor.
    """

    length: float
    least: float
    to_surface: float
    governing: str
    rules: tuple[UnbondedRule, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("b", GEOMETRY)
def set_back(b_least: Length, r: Ratio, H: Length) -> Length:
    """Least distance of the bond zone beyond the critical surface, along the anchor.

    b_least: least length; r: share of the height; H: height of the cut, or of the slope
    """
    return max(b_least, r * H)


@formula("L_u", GEOMETRY)
def beyond_surface(L_s: Length, b: Length) -> Length:
    """Unbonded length that puts the bond zone behind the critical surface.

    L_s: length along the anchor to the critical surface; b: set-back
    """
    return L_s + b


@formula("L_u", GEOMETRY)
def under_cover(c: Length, z: Length, i: Angle, L_b: Length) -> Length:
    """Unbonded length at which enough ground lies over the middle of the bond zone, level ground.

    c: least cover; z: depth of the anchor head; i: inclination below horizontal; L_b: bond length
    """
    return max((c - z) / sin(i) - L_b / 2, 0)


def to_surface(axis: Axis, surface: CriticalSurface, ground: Profile, where: str) -> float:
    """Return the length along the anchor to the critical surface (m).

    Raises DesignError where the anchor never meets it.
    """
    if axis.z >= ground.H:
        raise DesignError(
            f"the anchor head is {{length:{axis.z:.6g}}} deep, at or below the bottom of the cut",
            where,
        )
    if len(surface.points) == 2:
        return length_to_plane(ground.H, axis.z, axis.inclination, axis.skew, surface.angle)
    length = length_to_line(axis, surface.points)
    if length is None:
        raise DesignError("the anchor does not meet the critical failure surface", where)
    return state(
        "L_s", "Length along the anchor to the critical surface", length, "length",
        method="crossing of the anchor with the pieces of the surface, solved exactly",
        cite=GEOMETRY,
    )  # fmt: skip


def unbonded(
    given: float | None,
    *,
    kind: str,
    axis: Axis,
    surface: CriticalSurface,
    ground: Profile,
    bond_length: float,
    basis: Basis,
    where: str,
) -> Unbonded:
    """Return the unbonded length by every rule, or check the one given.

    kind: "strand" or "bar"; bond_length: given, or the least allowed, for the cover (m).
    """
    with trace() as t:
        by_kind = basis.free_length_strand if kind == "strand" else basis.free_length_bar
        rules = [UnbondedRule(BY_TENDON[kind], by_kind.value, by_kind.cite)]
        state(
            "L_u", f"Unbonded length, {BY_TENDON[kind]}", by_kind.value, "length", cite=by_kind.cite
        )
        L_s = to_surface(axis, surface, ground, where)
        b = set_back(basis.beyond_surface_length.value, basis.beyond_surface_share.value, ground.H)
        rules.append(
            UnbondedRule(BEYOND_SURFACE, beyond_surface(L_s, b), basis.beyond_surface_length.cite)
        )
        cover_length = _cover_rule(axis, ground, bond_length, basis)
        if cover_length is not None:
            rules.append(UnbondedRule(OVERBURDEN, cover_length, basis.bond_overburden_least.cite))
        governing = max(rules, key=lambda rule: rule.length)
        least = state(
            "L_u_least", "Least unbonded length", governing.length, "length",
            method=f"the largest of the rules; governing: {governing.name}", cite=governing.cite,
        )  # fmt: skip
        length = least
        if given is not None:
            length = state("L_u", "Unbonded length", given, "length", method="given")
    listed = "; ".join(f"{rule.name} {{length:{rule.length:.6g}}}" for rule in rules)
    check = Check(
        "anchor.unbonded-length", "Unbonded length", length, least, QUANTITIES["length"],
        governing.cite, Sense.AT_LEAST, where, t.steps,
        remedy="" if length >= least * (1 - 1e-9) else
        f"unbonded length {{length:{length:.6g}}}, needs {{length:{least:.6g}}} "
        f"({governing.name})",
        note=listed,
    )  # fmt: skip
    behind = Check(
        "anchor.bond-behind-surface", "Bond zone wholly behind the critical surface", length, L_s,
        QUANTITIES["length"], basis.beyond_surface_length.cite, Sense.AT_LEAST, where, t.steps,
        remedy="" if length >= L_s * (1 - 1e-9) else
        f"the bond zone starts {{length:{L_s - length:.6g}}} before the critical surface: ground "
        "that moves cannot hold it; lengthen the unbonded part",
        note="start of the bond zone and crossing of the surface, along the anchor from its head",
    )  # fmt: skip
    return Unbonded(length, least, L_s, governing.name, tuple(rules), (check, behind), t.steps)


def _cover_rule(axis: Axis, ground: Profile, bond_length: float, basis: Basis) -> float | None:
    """Return the unbonded length that the cover asks for, or None where no length reaches it."""
    least = basis.bond_overburden_least.value
    level = len(ground.surface) == 1 and ground.slope == 0.0
    if level and axis.inclination > 0.0:
        return under_cover(least, axis.z, axis.inclination, bond_length)
    length = length_for_cover(ground, axis, least)
    if length == inf:
        remark(
            "No unbonded length brings the middle of the bond zone under enough ground "
            "at this inclination."
        )
        return None
    return state(
        "L_u", "Unbonded length at which enough ground lies over the middle of the bond zone",
        max(0.0, length - 0.5 * bond_length), "length",
        method=f"cover of {{length:{least:g}}} under the ground surface as surveyed, each piece "
        f"solved exactly, less half a bond length of {{length:{bond_length:.6g}}}",
        cite=GEOMETRY,
    )  # fmt: skip
