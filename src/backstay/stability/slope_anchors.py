"""The anchors of a slope: the force shared out in rows, and each row designed as an anchor.

Tendon, test load, lock-off, unbonded length, bond zone, protection and elongation are those of
`backstay.anchors`, the same as behind a wall. What differs is told to them: the bond zone lies
beyond the known slip surface, the ground is met as the strata lie along the anchor, and the load
is the row's share of the force that the slope needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, floor, inf

import numpy as np

from backstay.anchors import AnchorDesign, CriticalSurface, design_anchor
from backstay.anchors.clearance import Placed, inclination_checks, overburden_check
from backstay.anchors.geometry import Axis, length_to_line
from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import STATICS, common_practice
from backstay.ground.profile import Layer, Profile
from backstay.model.anchors import AnchorRow
from backstay.model.ground import Bond, Stratum
from backstay.model.project import Service
from backstay.model.slope import Slope, SlopeStratum
from backstay.quantity import QUANTITIES, Count, Force, ForcePerLength, Length
from backstay.stability.slip.from_section import anchor_force
from backstay.stability.slip.model import AnchorForce, Floats, SlipModel
from backstay.stability.slope_force import towards
from backstay.trace import Step, formula, heading, remark, state, trace

LAYOUT = common_practice("greatest load of one anchor, as the engineer states it")
FAR = 400.0
"""Length (m) along an anchor over which the strata are looked up."""


@formula("T_row", STATICS)
def share_of_row(T: ForcePerLength, n: Count) -> ForcePerLength:
    """Force of each row, along the anchors, per length of slope.

    T: anchor force per length of slope; n: number of rows
    """
    return T / n


@formula("s_max", STATICS)
def widest_spacing(P_max: Force, T_row: ForcePerLength) -> Length:
    """Spacing at which one anchor carries its greatest load.

    P_max: greatest design load of one anchor; T_row: force of the row per length of slope
    """
    return P_max / T_row


@dataclass(frozen=True, slots=True, eq=False)
class SlopeAnchor:
    """One row on the face: head (x, y) and direction (dx, dy) in the section, and its anchor.

    The anchor's own coordinates begin at its head: x into the ground, depth downward (m).
    """

    row: int
    x: float
    y: float
    dx: float
    dy: float
    anchor: AnchorDesign

    @property
    def force(self) -> float:
        """Return the design load per length of slope (kN/m)."""
        return self.anchor.design_load / self.anchor.spacing

    def at(self, length: float) -> tuple[float, float]:
        """Return the point of the section at a length (m) along the anchor."""
        return self.x + length * self.dx, self.y + length * self.dy


@dataclass(frozen=True, slots=True)
class Layout:
    """How the force is shared: by row (kN/m) at a spacing (m), with the check of the load."""

    each: float
    spacing: float
    check: Check
    steps: tuple[Step, ...]


def layout(slope: Slope, force: float) -> Layout:
    """Share a force (kN/m) evenly among the rows, at the spacing given or the widest that may be."""
    given = slope.anchors
    with trace() as t:
        heading("Layout in rows")
        each = share_of_row(force, len(given.heads))
        if given.spacing == "widest":
            remark(
                "All rows carry the same force, at the widest spacing that keeps to the greatest load."
            )
            most = widest_spacing(given.greatest_load, each) if each > 0.0 else inf
            step = given.spacing_step
            down = round(floor(min(most, given.spacing_greatest) / step + 1e-9) * step, 9)
            spacing = state(
                "s", "Spacing of anchors",
                given.spacing_greatest if most >= given.spacing_greatest else max(down, given.spacing_least),
                "length",
                method=f"rounded down to a multiple of {{length:{step:g}}}, between "
                f"{{length:{given.spacing_least:g}}} and {{length:{given.spacing_greatest:g}}}",
            )  # fmt: skip
        else:
            spacing = state("s", "Spacing of anchors", given.spacing, "length", method="given")
        load = state("P", "Load of one anchor", each * spacing, "force",
                     method="force of the row times spacing")  # fmt: skip
    short = load > given.greatest_load * (1 + 1e-9)
    check = Check(
        "slope.anchor-load", "load of one anchor", load, given.greatest_load, QUANTITIES["force"],
        LAYOUT, steps=t.steps,
        remedy=f"{len(given.heads)} rows at a spacing of {{length:{spacing:.6g}}} carry "
        f"{{force:{load:.6g}}} per anchor: add rows, or stronger anchors" if short else "",
    )  # fmt: skip
    return Layout(each, spacing, check, t.steps)


def design_rows(
    slope: Slope, ground: SlipModel, surface: Floats, inclination: float, shared: Layout,
    service: Service, basis: Basis,
) -> tuple[SlopeAnchor, ...]:  # fmt: skip
    """Design the anchors of every row, from the top.

    surface: the known slip surface (m, 2). Raises DesignError, with the row, where one cannot be
    designed, such as where it misses the surface.
    """
    made = []
    for number, head in enumerate(slope.anchors.heads, start=1):
        where = f"row {number}"
        dx, dy = towards(ground, inclination)
        axis = Axis(0.0, inclination)
        line = _from_head(surface, head.x, head.elevation, into_right=dx > 0.0)
        behind = length_to_line(axis, line) or 0.0
        along = _ground_along(slope, ground, (head.x, head.elevation), axis, behind)
        critical = CriticalSurface(line, 0.0, "known slip surface", ())

        def room(placed: Placed, where: str = where, along: Profile = along) -> tuple[Check, ...]:
            return (
                *inclination_checks(placed.axis, basis, where),
                overburden_check(along, placed, basis, where),
            )

        anchor, _ = design_anchor(
            _row(slope, head.elevation, inclination), number, axis=axis, ground=along,
            surface=critical, spacing=shared.spacing, horizontal=shared.each * cos(inclination),
            service=service, basis=basis, room=room,
        )  # fmt: skip
        made.append(SlopeAnchor(number, head.x, head.elevation, dx, dy, anchor))
    return tuple(made)


def as_forces(
    slope: Slope, rows: Sequence[SlopeAnchor], added: dict[int, float] | None = None
) -> tuple[AnchorForce, ...]:
    """Return rows as forces whose capacity depends on where a surface cuts them.

    added: lengths (m) by row that the unbonded parts are longer than designed.
    """
    more = added or {}
    return tuple(
        replace(
            anchor_force(
                r.anchor, convention=slope.anchors.counts, added=more.get(r.row, 0.0)
            ),
            x=r.x, y=r.y, dx=r.dx, dy=r.dy,
        )
        for r in rows
    )  # fmt: skip


def _row(slope: Slope, elevation: float, inclination: float) -> AnchorRow:
    """Return what the slope says of its anchors as the file of a wall would say it of a row."""
    given = slope.anchors
    return AnchorRow.model_construct(
        elevation=elevation, inclination=inclination, tendon=given.tendon, bond=given.bond,
        unbonded_length=given.unbonded_length, design_load=given.design_load,
        test_factor=given.test_factor, lock_off=given.lock_off, protection=given.protection,
        ground_aggressive=given.ground_aggressive, draw_in=given.draw_in,
        tail_length=given.tail_length,
    )  # fmt: skip


def _from_head(
    points: Floats, x: float, y: float, *, into_right: bool
) -> tuple[tuple[float, float], ...]:
    """Return a line as an anchor at (x, y) sees it: distance into the ground, and depth (m)."""
    found = [(float((px - x) if into_right else (x - px)), float(y - py)) for px, py in points]
    return tuple(found if into_right else found[::-1])


def _ground_along(
    slope: Slope, ground: SlipModel, head: tuple[float, float], axis: Axis, behind: float
) -> Profile:
    """Return the ground as an anchor meets it: the strata by the depth at which it crosses their tops.

    behind: length (m) to the slip surface; a level anchor is taken to lie wholly in what is there.
    """
    x, y = head
    right = ground.to_left
    side = 1.0 if right else -1.0
    inside = float(np.interp(x + side * 1e-6, ground.surface[:, 0], ground.surface[:, 1]))
    surface = [p for p in _from_head(ground.surface, x, y, into_right=right) if p[0] > 1e-9]
    L = np.linspace(0.0, FAR, 801)
    if axis.down < 1e-9:
        L = np.array([behind + 1e-3])
    layer = np.array([_stratum_at(ground, x, y, side, axis, float(v)) for v in L])
    starts = np.concatenate(([0], np.flatnonzero(np.diff(layer)) + 1))
    depths = [0.0]
    for i in starts[1:]:
        depths.append(axis.down * _change(ground, x, y, side, axis, float(L[i - 1]), float(L[i])))
    layers = tuple(
        _layer(slope, slope.strata[int(layer[i])], top, bottom)
        for i, top, bottom in zip(starts, depths, [*depths[1:], inf], strict=True)
    )
    return Profile(
        H=slope.height, layers=layers, water=inf, water_cut=inf, flow="hydrostatic", slope=0.0,
        surface=((0.0, y - inside), *surface), perched=(),
    )  # fmt: skip


def _stratum_at(
    ground: SlipModel, x: float, y: float, side: float, axis: Axis, length: float
) -> int:
    """Return the stratum at a length (m) along an anchor."""
    px, py = x + side * length * cos(axis.inclination), y - length * axis.down
    return sum(py < float(np.interp(px, top[:, 0], top[:, 1])) for top in ground.tops)


def _change(
    ground: SlipModel, x: float, y: float, side: float, axis: Axis, low: float, high: float
) -> float:
    """Return the length along an anchor at which the stratum changes, between two lengths."""
    first = _stratum_at(ground, x, y, side, axis, low)
    for _ in range(40):
        middle = 0.5 * (low + high)
        if _stratum_at(ground, x, y, side, axis, middle) == first:
            low = middle
        else:
            high = middle
    return high


def _layer(slope: Slope, stratum: SlopeStratum, top: float, bottom: float) -> Layer:
    transfer = slope.anchors.transfer
    bond = stratum.bond or Bond.model_construct(
        stress=None, transfer=transfer, source="load transfer stated for the slope"
    )
    told = Stratum.model_construct(
        name=stratum.name, top=-top, kind=stratum.kind, description=stratum.description,
        moist_unit_weight=stratum.moist_unit_weight,
        saturated_unit_weight=stratum.saturated_unit_weight,
        friction_angle=stratum.friction_angle, cohesion=stratum.cohesion, bond=bond,
        liquid_limit=stratum.liquid_limit, plasticity_index=stratum.plasticity_index,
    )  # fmt: skip
    return Layer(
        stratum.name, stratum.kind, top, bottom, stratum.moist_unit_weight,
        stratum.saturated_unit_weight, stratum.friction_angle, stratum.cohesion, None, 0.0, 0.0, told,
    )  # fmt: skip
