"""One row of anchors designed as one anchor, wherever its head is: in a wall, or on a slope.

What carries the anchor is told by its axis, the ground along it, the surface that its bond zone
must lie behind, and its load per length; what else may stand in its way is told by `room`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, sin
from typing import Literal

from backstay.anchors.bond import BondRequirement
from backstay.anchors.bond_zone import BondZone, bond_zone
from backstay.anchors.clearance import Placed
from backstay.anchors.geometry import Axis
from backstay.anchors.load_tests import Plasticity
from backstay.anchors.lock_off import stressing
from backstay.anchors.protection import ProtectionClass, protection
from backstay.anchors.surface import CriticalSurface
from backstay.anchors.tendon import TendonChoice, tendon
from backstay.anchors.unbonded import UnbondedRule, unbonded
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import STATICS
from backstay.errors import DesignError
from backstay.ground.profile import Profile
from backstay.model.anchors import AnchorRow, Grouting
from backstay.model.project import Service
from backstay.quantity import QUANTITIES, Angle, Force, ForcePerLength, Length, Ratio
from backstay.trace import Remark, Step, formula, heading, remark, state, trace

LEAST_ACROSS = 0.1
"""Least distance gained behind the wall per length of anchor that can still hold a wall."""
Room = Callable[[Placed], tuple[Check, ...]]
"""Checks of an anchor in its place against everything that is not an anchor."""


@dataclass(frozen=True, slots=True)
class AnchorDesign:
    """The anchors of one row. Forces in kN per anchor unless said, lengths in m, angles in rad.

    row: from 1, top down; z: depth of head; spacing: along the wall between anchors; horizontal:
    load of the row, kN per m of wall; required_load: along the anchor, from the row's load;
    design_load: given, or the required; vertical: component of the design load, kN per m of wall.

    unbonded_length: given, or the least; unbonded_governing: name of the rule that sets the
    least; unbonded_least: what the rules ask for; surface_length: from head to the critical
    surface.

    bond_length: given, or required for `grouting` (the one given; gravity where it is open);
    bond_open: True where the contractor chooses it; bond_kinds: kinds of ground that the zone
    crosses; bond_plasticity: of the strata that it crosses; bond_required: per grouting method.

    head, free_end, bond_end: (x, z) of the head, the start and the end of the bond zone,
    projected on the section. elongation: at test load, from the alignment load; draw_in: at
    lock-off; lock_off_loss: by it; protection: corrosion protection class, with protection_reason in words.
    """

    row: int
    z: float
    inclination: float
    skew: float
    spacing: float
    horizontal: float
    required_load: float
    design_load: float
    test_load: float
    lock_off_load: float
    vertical: float
    tendon: TendonChoice
    unbonded_length: float
    unbonded_least: float
    unbonded_rules: tuple[UnbondedRule, ...]
    unbonded_governing: str
    surface_length: float
    bond_length: float
    bond_by: Literal["contractor", "engineer"]
    bond_open: bool
    bond_kinds: tuple[str, ...]
    bond_plasticity: tuple[Plasticity, ...]
    grouting: Grouting
    bond_required: tuple[BondRequirement, ...]
    total_length: float
    tail_length: float
    hole_diameter: float
    protection: ProtectionClass
    protection_reason: str
    head: tuple[float, float]
    free_end: tuple[float, float]
    bond_end: tuple[float, float]
    elongation: float
    draw_in: float
    lock_off_loss: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("P_req", STATICS)
def anchor_load(T: ForcePerLength, s: Length, i: Angle, psi: Angle) -> Force:
    """Load along the anchor that its row's horizontal load asks for.

    T: horizontal load of the row; s: spacing of anchors along the row; i: inclination below
    horizontal; psi: skew on plan
    """
    return T * s / (cos(i) * cos(psi))


@formula("P_t", STATICS)
def load_under_test(f_t: Ratio, P_d: Force) -> Force:
    """Test load.

    f_t: test-load factor; P_d: design load
    """
    return f_t * P_d


@formula("P_lo", STATICS)
def lock_off_load(f_lo: Ratio, P_d: Force) -> Force:
    """Lock-off load.

    f_lo: lock-off over design load; P_d: design load
    """
    return f_lo * P_d


@formula("V", STATICS)
def vertical_component(P_d: Force, i: Angle, s: Length) -> ForcePerLength:
    """Vertical component of the row, per unit length, downward.

    P_d: design load; i: inclination below horizontal; s: spacing of anchors along the row
    """
    return P_d * sin(i) / s


def design_anchor(
    row: AnchorRow,
    number: int,
    *,
    axis: Axis,
    ground: Profile,
    surface: CriticalSurface,
    spacing: float,
    horizontal: float,
    service: Service,
    basis: Basis,
    room: Room,
    stages: float = 0.0,
) -> tuple[AnchorDesign, Placed]:
    """Design the anchors of one row, and say where they lie.

    axis: in the coordinates of ground and surface; spacing: between the anchors of the row (m);
    horizontal: load of the row (kN/m); stages: load of one anchor by the staged analysis, which a
    design load that is not given must cover as well (kN).
    Raises DesignError, with the row, where an anchor cannot be designed at all.
    """
    where = f"row {number}"
    if axis.across < LEAST_ACROSS:
        raise DesignError(
            "the anchor does not run behind the wall: it is too steep or too skew", where
        )
    with trace() as t:
        heading("Load of the anchor")
        required = anchor_load(horizontal, spacing, row.inclination, row.skew)
        P_d = locked = required
        if row.design_load is None and stages > required:
            remark(
                "Lock-off stays that of the envelope's load: a higher one would raise the load again."
            )
            P_d = state("P_d", "Design load, for what the stages of the dig ask", stages, "force",
                        method="greatest load of the staged analysis, mean ground")  # fmt: skip
        if row.design_load is not None:
            P_d = locked = state("P_d", "Design load", row.design_load, "force", method="given")
        if P_d <= 0.0:
            raise DesignError("the row carries no load: give its anchors a design load", where)
        P_t = load_under_test(row.test_factor, P_d)
        P_lo = lock_off_load(row.lock_off, locked)
        vertical = vertical_component(P_d, row.inclination, spacing)
    steel, steel_checks, steel_steps = tendon(
        row.tendon, design_load=P_d, lock_off_load=P_lo, test_load=P_t, basis=basis, where=where
    )
    least_bond = _least_bond(ground, axis, basis)
    free = unbonded(
        None if row.unbonded_length == "least" else row.unbonded_length,
        kind=row.tendon.kind, axis=axis, surface=surface, ground=ground,
        bond_length=row.bond.length or least_bond, basis=basis, where=where,
    )  # fmt: skip
    shield = protection(row, service, where)
    bond = bond_zone(
        row, axis=axis, ground=ground, start=free.length, design_load=P_d, test_load=P_t,
        tendon=steel, protection=shield.used, basis=basis, where=where,
    )  # fmt: skip
    jack = stressing(
        row, steel, design_load=P_d, test_load=P_t, lock_off_load=P_lo, unbonded=free.length,
        basis=basis, where=where,
    )  # fmt: skip
    placed = Placed(number, axis, free.length, bond.length, bond.hole, bond.open, least_bond)
    checks = (
        _load_check(required, P_d, row.design_load is not None, t.steps, where),
        *steel_checks, *free.checks, *bond.checks, *jack.checks,
        *room(placed), shield.check,
    )  # fmt: skip
    anchor = AnchorDesign(
        row=number, z=axis.z, inclination=row.inclination, skew=row.skew, spacing=spacing,
        horizontal=horizontal, required_load=required, design_load=P_d, test_load=P_t,
        lock_off_load=P_lo, vertical=vertical, tendon=steel, unbonded_length=free.length,
        unbonded_least=free.least, unbonded_rules=free.rules, unbonded_governing=free.governing,
        surface_length=free.to_surface, bond_length=bond.length, bond_by=row.bond.by,
        bond_open=bond.open, bond_kinds=tuple(dict.fromkeys(p.kind for p in bond.parts)),
        bond_plasticity=_plasticity(ground, bond),
        grouting=bond.grouting, bond_required=bond.required, total_length=placed.total,
        tail_length=row.tail_length, hole_diameter=bond.hole, protection=shield.used,
        protection_reason=shield.reason, head=axis.at(0.0), free_end=axis.at(free.length),
        bond_end=axis.at(placed.total), elongation=jack.elongation, draw_in=jack.draw_in, lock_off_loss=jack.loss,
        checks=checks, steps=(
            *t.steps,
            Remark("Tendon", heading=True), *steel_steps,
            Remark("Unbonded length", heading=True), *free.steps,
            Remark("Bond zone", heading=True), *bond.steps,
            Remark("Stressing and lock-off", heading=True), *jack.steps,
        ),
    )  # fmt: skip
    return anchor, placed


def _plasticity(ground: Profile, bond: BondZone) -> tuple[Plasticity, ...]:
    crossed = {part.stratum for part in bond.parts}
    return tuple(
        Plasticity(s.name, s.kind, s.liquid_limit, s.plasticity_index)
        for s in (layer.stratum for layer in ground.layers)
        if s.name in crossed
    )


def _least_bond(ground: Profile, axis: Axis, basis: Basis) -> float:
    """Return the shortest bond length that could be allowed: of rock only in rock throughout."""
    below = [layer for layer in ground.layers if layer.bottom > axis.z]
    rock = all(layer.kind == "rock" for layer in below)
    return (basis.bond_length_least_rock if rock else basis.bond_length_least_soil).value


def _load_check(
    required: float, design_load: float, given: bool, steps: tuple[Step, ...], where: str
) -> Check:
    return Check(
        "anchor.design-load", "Design load covers the row's load", required, design_load,
        QUANTITIES["force"], STATICS, Sense.AT_MOST, where, steps,
        f"design load {{force:{design_load:.6g}}}, needs {{force:{required:.6g}}}"
        if required > design_load * (1 + 1e-9) else "",
        "given by the engineer" if given else "taken as required",
    )  # fmt: skip
