"""The bond zone of one anchor: length used, what is left open, and every check on it."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.anchors.bond import (
    BondPart,
    BondRequirement,
    GroundAlong,
    grouting_words,
    length_in_grout,
    part_allowable,
    requirements,
    tendon_in_grout,
)
from backstay.anchors.geometry import Axis
from backstay.anchors.tendon import TendonChoice
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import Citation, common_practice
from backstay.data import tendon_holes
from backstay.ground.profile import Profile
from backstay.model.anchors import AnchorRow, Grouting
from backstay.quantity import QUANTITIES
from backstay.trace import Stated, Step, remark, state, trace

USUAL_HOLE = 0.15
"""Drill hole where none is given (m); common practice: 100 to 150 mm for gravity grouting."""
ASSUMED = "; with the bond length assumed for the contractor"
_HOLE = common_practice("drill hole of 150 mm where none is given")


@dataclass(frozen=True, slots=True)
class BondZone:
    """The bond zone: length used (m), grouting it rests on, hole (m), parts, checks."""

    length: float
    open: bool
    grouting: Grouting
    hole: float
    parts: tuple[BondPart, ...]
    required: tuple[BondRequirement, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def bond_zone(
    row: AnchorRow,
    *,
    axis: Axis,
    ground: Profile,
    start: float,
    design_load: float,
    test_load: float,
    tendon: TendonChoice,
    protection: str,
    basis: Basis,
    where: str,
) -> BondZone:
    """Return the bond zone of one anchor that starts at the end of its unbonded length.

    Raises DesignError where a stratum it crosses has no bond value.
    """
    given = row.bond
    with trace() as t:
        least_hole, hole_cite = _least_hole(tendon, protection)
        hole = state(
            "d", "Diameter of the drill hole",
            given.hole_diameter or max(USUAL_HOLE, least_hole), "small length",
            method="given" if given.hole_diameter else "not given: the usual one, or the least "
            "that passes the tendon", cite=None if given.hole_diameter else _HOLE,
        )  # fmt: skip
        along = GroundAlong(axis, ground, start, hole, basis)
        needs = requirements(along, given.grouting, design_load, tendon)
        grouting: Grouting = "gravity" if given.grouting == "open" else given.grouting
        if given.grouting == "open":
            remark("The grouting method is open: gravity grouting, the weakest, stands for it.")
        length = needs[0].length if given.length is None else given.length
        is_open = given.length is None and given.by == "contractor"
        state(
            "L_b", "Bond length", length, "length",
            method="given" if given.length is not None
            else f"required in {grouting_words(grouting)}" + (", chosen by the contractor" if is_open else ""),
        )  # fmt: skip
        parts = along.parts(grouting, length)
    show = _open_choice(needs, design_load, test_load, along) if is_open else ""
    checks = (
        *_ground_checks(parts, length, needs[0], grouting, design_load, test_load, basis, where,
                        t.steps, show),
        _grout_check(tendon, length, design_load, basis, where, t.steps, is_open),
        _least_check(along, length, basis, where, t.steps, is_open),
        Check(
            "anchor.hole-diameter", "Drill hole passes the tendon", hole, least_hole,
            QUANTITIES["small length"], hole_cite, Sense.AT_LEAST, where,
            remedy=f"a hole of {{small length:{least_hole:g}}} or more" if hole < least_hole - 1e-9
            else "", note=f"{tendon.title}, protection {protection}",
            steps=(
                Stated("d", "Drill hole", hole, QUANTITIES["small length"], "as above"),
                Stated("d_least", f"Least hole for {tendon.title}", least_hole,
                       QUANTITIES["small length"], f"table, protection {protection}", hole_cite),
            ),
        ),
    )  # fmt: skip
    return BondZone(length, is_open, grouting, hole, parts, needs, checks, t.steps)


def _least_hole(tendon: TendonChoice, protection: str) -> tuple[float, Citation]:
    size = tendon.strands if tendon.kind == "strand" else tendon.diameter
    rows = [row for row in tendon_holes() if row.kind == tendon.kind]
    row = next((row for row in rows if row.up_to >= size - 1e-9), rows[-1])
    hole = row.hole_class_1 if protection == "class I" else row.hole_class_2
    return hole, Citation(row.source, "", row.provenance)


def _open_choice(
    needs: tuple[BondRequirement, ...], design_load: float, test_load: float, along: GroundAlong
) -> str:
    """Return what the contractor must show."""
    first, last = needs[0], needs[-1]
    both = len(needs) > 1 and abs(last.length - first.length) < 1e-9 * first.length
    method = "gravity or pressure grouting" if both else grouting_words(first.grouting)
    lengths = [f"about {{length:{first.length:.4g}}} in {method}"]
    if len(needs) > 1 and not both:
        lengths.append(f"about {{length:{last.length:.4g}}} in pressure grouting")
    least = along.least_length(first.length)
    useful = along.basis.bond_length_useful.value
    long = (
        f" (more than about {{length:{useful:g}}} adds little: better bond or more anchors)"
        if last.length > useful
        else ""
    )
    return (
        f"a bond zone that carries the test load of {{force:{test_load:.6g}}} (design load "
        f"{{force:{design_load:.6g}}}) with its factor of safety; with presumptive values "
        f"{' or '.join(lengths)}{long}, not less than {{length:{least:g}}}, wholly behind the critical "
        "surface; the contractor states length, hole and grouting method, and load tests prove them"
    )


def _ground_checks(
    parts: tuple[BondPart, ...],
    length: float,
    need: BondRequirement,
    grouting: Grouting,
    design_load: float,
    test_load: float,
    basis: Basis,
    where: str,
    steps: tuple[Step, ...],
    show: str,
) -> tuple[Check, Check]:
    rock = all(part.kind == "rock" for part in parts)
    factor = basis.bond_safety_rock if rock else basis.bond_safety_soil
    with trace() as t:
        for part in parts:
            state(
                "t", f"Ultimate load transfer, {part.stratum}", part.transfer, "force per length",
                method=part.source, cite=part.cite,
            )  # fmt: skip
        allowable = sum(part_allowable(p.transfer, p.length, p.safety) for p in parts)
        state(
            "T_all", "Allowable load of the bond zone", allowable, "force", method="sum of strata"
        )
        ultimate = state(
            "T_u", "Ultimate load of the bond zone", sum(p.transfer * p.length for p in parts),
            "force", method="sum of load transfer times length over the strata",
        )  # fmt: skip
    useful = basis.bond_length_useful
    note = f"{grouting_words(grouting)}; " + "; ".join(
        f"{{length:{p.length:.4g}}} in {p.stratum} at {{force per length:{p.transfer:.4g}}}"
        for p in parts
    )
    if length > useful.value * (1 + 1e-9):
        note += (
            f"; beyond about {{length:{useful.value:g}}} more bond length adds little, since the "
            "load does not reach its far end: pressure grouting, or more anchors, serve better"
        )
    short = design_load > allowable * (1 + 1e-9)
    in_service = Check(
        "anchor.bond-ground", "Bond zone in the ground at design load", design_load, allowable,
        QUANTITIES["force"], factor.cite, Sense.AT_MOST, where, (*steps, *t.steps),
        f"bond length {{length:{length:.6g}}}, needs {{length:{need.length:.6g}}} in "
        f"{grouting_words(grouting)} by these values; or values proved by tests on the site" if short else "",
        note, show,
    )  # fmt: skip
    under_test = Check(
        "anchor.bond-test", "Bond zone in the ground at test load", test_load, ultimate,
        QUANTITIES["force"], basis.bond_safety_soil.cite, Sense.AT_MOST, where,
        (*steps, *t.steps),
        "the test load would exceed the ultimate bond of these values: a longer bond zone"
        if test_load > ultimate * (1 + 1e-9) else "",
        "ultimate value, without a factor of safety" + (ASSUMED if show else ""),
    )  # fmt: skip
    return in_service, under_test


def _grout_check(
    tendon: TendonChoice,
    length: float,
    design_load: float,
    basis: Basis,
    where: str,
    steps: tuple[Step, ...],
    is_open: bool,
) -> Check:
    ultimate, safety = basis.grout_bond_tendon.value, basis.grout_bond_safety.value
    with trace() as t:
        capacity = tendon_in_grout(tendon.strands, tendon.diameter, ultimate, length, safety)
        needed = length_in_grout(design_load, tendon.strands, tendon.diameter, ultimate, safety)
    return Check(
        "anchor.bond-tendon", "Bond between tendon and grout", design_load, capacity,
        QUANTITIES["force"], basis.grout_bond_tendon.cite, Sense.AT_MOST, where,
        (*steps, *t.steps),
        f"bond length {{length:{length:.6g}}}, needs {{length:{needed:.6g}}} for the tendon in the "
        "grout; or more strands of smaller size" if design_load > capacity * (1 + 1e-9) else "",
        "bare strand or deformed bar; grout of the strength that the value belongs to"
        + (ASSUMED if is_open else ""),
    )  # fmt: skip


def _least_check(
    along: GroundAlong,
    length: float,
    basis: Basis,
    where: str,
    steps: tuple[Step, ...],
    is_open: bool,
) -> Check:
    least = along.least_length(length)
    rock = least == basis.bond_length_least_rock.value
    cite = (basis.bond_length_least_rock if rock else basis.bond_length_least_soil).cite
    return Check(
        "anchor.bond-length-least", "Least bond length", length, least, QUANTITIES["length"], cite,
        Sense.AT_LEAST, where, steps,
        f"bond length {{length:{length:.6g}}}, needs {{length:{least:g}}}"
        if length < least * (1 - 1e-9) else "",
        ("whole bond zone in rock" if rock else "bond zone in soil") + (ASSUMED if is_open else ""),
    )  # fmt: skip
