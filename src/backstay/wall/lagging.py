"""Timber lagging between soldier piles.

The thickness comes from the published table by class of ground, depth and clear span, and from
a bending check with the pressure that arching leaves on the boards. The thicker governs. A given
thickness is checked against both. Shotcrete and concrete facing are named, not designed here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf, sqrt
from typing import TYPE_CHECKING, Literal

from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import Citation, common_practice
from backstay.data import timber, timber_factor
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.model.wall import SoldierPiles
from backstay.quantity import (
    QUANTITIES,
    Length,
    MomentPerLength,
    Ratio,
    SmallLength,
    Strength,
    Stress,
)
from backstay.trace import Step, formula, heading, remark, state, trace
from backstay.wall.lagging_ground import SEVERITY, ClassedGround, GroundClass, classed_ground

if TYPE_CHECKING:
    from backstay.pressure import DesignPressures

ARCHING_SHARE = 0.5
ARCHING = common_practice("arching onto the piles leaves half of the design pressure on the boards")
WEIGHT = {"timber": 8.0, "shotcrete": 24.0, "concrete": 24.0}
"""Unit weight of facing, kN/m3 (common practice)."""
INCH = 0.0254
WET_LIMIT = 1150 * 6.894757293168361
"""Reference bending up to which wet service does not reduce it (kPa; NDS, 1150 psi)."""


@dataclass(frozen=True, slots=True)
class LaggingDesign:
    """The facing between piles. Lengths in m.

    thickness: chosen or given, None for a facing that is not designed here; required_table: inf
    where the table recommends none; governing: what sets the required thickness; ground_class:
    the worst along the cut; classes: stretch by stretch, with the reason; pressure: on the
    boards (kPa); allowable: bending stress (kPa); weight: of the face (kPa), 0 if unknown.
    """

    material: Literal["timber", "shotcrete", "concrete"]
    thickness: float | None
    required_table: float
    required_bending: float
    governing: Literal["table", "bending", "not designed here"]
    ground_class: GroundClass
    classes: tuple[ClassedGround, ...]
    span: float
    pressure: float
    allowable: float
    weight: float
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("p_l", ARCHING)
def board_pressure(eta: Ratio, p: Stress, u: Stress) -> Stress:
    """Pressure that arching leaves on the boards: water does not arch.

    eta: share of the ground's pressure
    p: design pressure without water
    u: net water pressure at the same depth
    """
    return eta * p + u


@formula("M", Citation("statics", "simple span", "formula"))
def board_moment(p_l: Stress, L_c: Length) -> MomentPerLength:
    """Moment in the boards per metre of height.

    p_l: pressure on the boards
    L_c: clear span
    """
    return p_l * L_c**2 / 8


@formula("F_b_prime", Citation("NDS (2018)", "4.3", "memory"))
def adjusted_bending(F_b: Strength, C_D: Ratio, C_M: Ratio, C_o: Ratio) -> Strength:
    """Bending stress that is allowed in the timber.

    F_b: reference bending stress
    C_D: for duration of load
    C_M: for wet service
    C_o: overstress that the basis allows
    """
    return F_b * C_D * C_M * C_o


@formula("f_b", Citation("statics", "bending of a rectangle", "formula"))
def board_stress(M: MomentPerLength, t: SmallLength) -> Strength:
    """Bending stress in the boards.

    M: moment per metre of height
    t: thickness
    """
    return 6 * M / t**2


@formula("t", Citation("statics", "bending of a rectangle", "formula"))
def board_thickness(M: MomentPerLength, F_b_prime: Strength) -> SmallLength:
    """Thickness that bending needs.

    M: moment per metre of height
    F_b_prime: allowable bending stress
    """
    return sqrt(6 * M / F_b_prime)


def design_lagging(
    section: Section,
    ground: Profile,
    pressures: DesignPressures,
    service: Service,
    basis: Basis,
    *,
    clear_span: float,
) -> LaggingDesign:
    """Choose or check the lagging between soldier piles.

    clear_span: between flanges (or holes) of neighbouring piles, m. Raises LookupError where the
    timber is unknown, ValueError where the wall has no soldier piles.
    """
    soil, water = _worst(pressures)
    return lagging_for(section, ground, soil, service, basis, clear_span=clear_span, water=water)


def _worst(pressures: DesignPressures) -> tuple[float, float]:
    """Return the ground's pressure and the water's (kPa) at the depth where the boards carry most."""
    water = pressures.water
    depths = sorted({*pressures.design.z, *(water.z if water else ())})
    found = [(0.0, 0.0)]
    for z in depths:
        for below in (True, False):
            u = max(water.at(z, below=below), 0.0) if water else 0.0
            found.append((max(pressures.design.at(z, below=below) - u, 0.0), u))
    return max(found, key=lambda pair: ARCHING_SHARE * pair[0] + pair[1])


def lagging_for(
    section: Section,
    ground: Profile,
    pressure: float,
    service: Service,
    basis: Basis,
    *,
    clear_span: float,
    water: float = 0.0,
) -> LaggingDesign:
    """Choose or check the lagging for the ground's pressure and the water's where they ask most (kPa)."""
    wall = section.wall
    if not isinstance(wall, SoldierPiles):
        raise ValueError("lagging spans between soldier piles")
    lagging = wall.lagging
    classes = classed_ground(ground, lagging, clear_span)
    worst = max(classes, key=lambda c: (c.thickness, SEVERITY[c.ground_class]))
    worst_class = max((c.ground_class for c in classes), key=lambda c: SEVERITY[c])
    if lagging.material != "timber":
        given = None if lagging.thickness == "auto" else lagging.thickness
        note = (
            f"Facing of {lagging.material} is not designed here: its thickness, reinforcement and "
            "connection to the piles need a structural design."
        )
        return LaggingDesign(
            lagging.material, given, inf, inf, "not designed here", worst_class, classes,
            clear_span, pressure + water, inf, WEIGHT[lagging.material] * (given or 0.0), (note,), (), (),
        )  # fmt: skip
    with trace() as t:
        heading("Lagging by the table")
        for c in classes:
            remark(
                f"{c.name}, {{length:{c.top:.4f}}} to {{length:{c.bottom:.4f}}} deep: "
                f"{c.ground_class} ground ({c.reason}); "
                + ("the table gives no thickness" if c.thickness == inf
                   else f"{{small length:{c.thickness:.5f}}}") + "."
            )  # fmt: skip
        L_c = _clear(clear_span)
        table = state(
            "t_table", "Thickness by the table, largest along the cut", worst.thickness,
            "small length", method="next larger span of the table", cite=_table_cite(worst),
        )  # fmt: skip
    with trace() as m:
        heading("Lagging in bending")
        p = state("p", "Design pressure without water, where the boards carry most", pressure, "stress",
                  method="ordinate of the design diagram less that of the water")  # fmt: skip
        u = state("u", "Net water pressure there", water, "stress",
                  method="ordinate of the water diagram" if water else "no water")  # fmt: skip
        p_l = board_pressure(ARCHING_SHARE, p, u)
        M = board_moment(p_l, _clear(L_c))
        F_b = _allowable(lagging.allowable_bending, lagging.timber, service, basis)
        bending = board_thickness(M, F_b)
        required = max(table, bending)
        if lagging.thickness == "auto":
            chosen = required if required < inf else bending
            thickness = ceil(chosen / INCH - 1e-6) * INCH
            remark("Chosen in whole inches of 25.4 mm, as timbers are sawn.")
        else:
            thickness = lagging.thickness
        state("t", "Thickness", thickness, "small length",
              method="given" if lagging.thickness != "auto" else "the larger of table and bending")  # fmt: skip
        f_b = board_stress(M, thickness)
    remedy = "" if thickness >= required - 1e-9 else (
        "close the spacing of the piles, or use another facing: the table recommends no timber "
        "lagging for this ground, depth and span"
        if required == inf
        else f"needs boards {{small length:{required:.5f}}} thick, or piles closer together"
    )  # fmt: skip
    checks = (
        Check(
            "wall.lagging-table", "thickness of lagging by the table", thickness, table,
            QUANTITIES["small length"], _table_cite(worst), Sense.AT_LEAST,
            where=worst.name, steps=t.steps, remedy=remedy if thickness < table - 1e-9 else "",
            note=f"{worst.ground_class} ground: {worst.reason}",
        ),
        Check(
            "wall.lagging-bending", "bending of lagging", f_b, F_b, QUANTITIES["strength"],
            basis.lagging_overstress.cite, steps=m.steps,
            remedy=remedy if f_b > F_b * (1 + 1e-9) else "",
            note="half of the ground's pressure reaches the boards, the rest arches onto the piles; "
            "water presses in full",
        ),
    )  # fmt: skip
    notes: tuple[str, ...] = ()
    if service.life == "permanent":
        notes = ("Timber lagging is temporary: a permanent wall needs a facing of its own.",)
    return LaggingDesign(
        "timber", thickness, table, bending, "table" if table >= bending else "bending",
        worst_class, classes, clear_span, p_l, F_b, WEIGHT["timber"] * thickness, notes, checks,
        t.steps + m.steps,
    )  # fmt: skip


def _clear(span: float) -> float:
    return state("L_c", "Clear span", span, "length",
                 method="spacing of piles less the width of their flanges")  # fmt: skip


def _table_cite(worst: ClassedGround) -> Citation:
    if worst.row is None:
        return Citation("Goldberg, Jaworski and Gordon 1976", "beyond the table", "memory")
    return Citation(worst.row.source, f"{worst.ground_class} ground", worst.row.provenance)


def _allowable(given: float | None, name: str, service: Service, basis: Basis) -> float:
    """Return the allowable bending stress (kPa), stated or from the table of timbers."""
    if given is not None:
        return state("F_b_prime", "Allowable bending stress, given", given, "strength")
    row = timber(name)
    cite = Citation(row.source, row.grade, row.provenance)
    F_b = state(
        "F_b", f"Reference bending stress, {row.species}", row.bending, "strength", cite=cite
    )
    months = service.months
    if service.life == "permanent":
        duration = timber_factor("duration permanent")
    elif months is not None and months <= 2.0:
        duration = timber_factor("duration two months")
    else:
        duration = timber_factor("duration ten years")
    wet = timber_factor("wet bending")
    C_M = 1.0 if F_b <= WET_LIMIT + 1e-6 else wet.value
    remark(
        f"Duration: {duration.condition}. Wet service: {wet.condition}. Factors for boards laid "
        "flat and for sharing of load are left out."
    )
    return adjusted_bending(F_b, duration.value, C_M, basis.lagging_overstress.value)
