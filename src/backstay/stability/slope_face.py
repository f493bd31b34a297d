"""What the anchors of a slope bear on: the checks of pads, or of a beam along each row."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, pi

import numpy as np

from backstay.anchors.schedule import anchors_along
from backstay.basis import Basis
from backstay.checks import Check, safety_check
from backstay.cite import STATICS
from backstay.errors import DesignError
from backstay.model.project import Service
from backstay.model.slope import Slope
from backstay.model.slope_face import ConcreteWaler, SteelWaler
from backstay.model.wall import SoldierPiles
from backstay.quantity import QUANTITIES
from backstay.stability.pads import (
    BEARING_RULE,
    BEARING_SAFETY,
    BENDING_REDUCTION,
    LOAD_FACTOR,
    SHEAR_REDUCTION,
    Pad,
    Under,
    check_pad,
    seated,
    sliding_check,
)
from backstay.stability.slip.model import Floats, SlipModel
from backstay.stability.slope_anchors import SlopeAnchor
from backstay.stability.waler import (
    ACI_SHEAR,
    MOST_ANCHORS,
    THREE_MOMENTS,
    BeamActions,
    beam_length,
    beam_moment_capacity,
    beam_pressure,
    beam_shear_capacity,
    beam_shear_strength,
    continuous_beam,
    equal_anchors,
    even_reaction,
    shear_beside_anchor,
    strip_bearing,
)
from backstay.trace import heading, remark, state, trace
from backstay.wall.member import member_strength
from backstay.wall.rolled import given_member, steel_of

END = 0.4
"""Beam beyond its last anchor, as a share of the spacing, where it is not given."""
WIDEST = 5.0
"""Width of a beam (m) that is still proposed."""
_NOTHING = 1e-9


def face_checks(
    slope: Slope, ground: SlipModel, rows: Sequence[SlopeAnchor], service: Service, basis: Basis
) -> tuple[Check, ...]:
    """Return the checks of what each row bears on; none where the file names nothing."""
    checks: list[Check] = []
    for r in rows:
        if slope.pad is not None:
            checks += _pad(slope, ground, r)
        elif isinstance(slope.waler, ConcreteWaler):
            checks += _concrete(slope, slope.waler, ground, r)
        elif isinstance(slope.waler, SteelWaler):
            checks += _steel(slope, slope.waler, ground, r, service, basis)
    return tuple(checks)


def face_angle(face: Floats, x: float) -> float:
    """Return the angle of the face above horizontal at x (rad)."""
    i = int(np.clip(np.searchsorted(face[:, 0], x) - 1, 0, len(face) - 2))
    return abs(atan2(face[i + 1, 1] - face[i, 1], abs(face[i + 1, 0] - face[i, 0])))


def under(ground: SlipModel, x: float, y: float, width: float) -> Under:
    """Return the ground under something of a width (m) on the face: buoyant where water is near."""
    above = [float(np.interp(x, top[:, 0], top[:, 1])) > y - 1e-9 for top in ground.tops]
    layer = above.index(False) if False in above else len(above)  # an upper top cuts lower ones off
    su = 0.0
    if ground.su is not None and ground.su_gradient is not None and ground.su_datum is not None:
        su = float(ground.su[layer])
        if su > 0.0:
            deeper = float(ground.su_datum[layer]) - y
            su = max(1e-3, su + float(ground.su_gradient[layer]) * deeper)
    wet = ground.water is not None and (
        float(np.interp(x, ground.water[:, 0], ground.water[:, 1])) > y - width
    )
    gamma = float(ground.gamma[layer])
    if wet and ground.gamma_sat is not None:
        gamma = float(ground.gamma_sat[layer]) - ground.gamma_w
    return Under(
        su or float(ground.c[layer]), 0.0 if su else float(ground.phi[layer]), gamma,
        min(face_angle(ground.surface, x), pi / 4),
    )  # fmt: skip


def _pad(slope: Slope, ground: SlipModel, r: SlopeAnchor) -> tuple[Check, ...]:
    given = slope.pad
    assert given is not None  # noqa: S101 - asked by face_checks
    pad = Pad(
        side=given.side, thickness=given.thickness, depth=given.effective_depth,
        plate=given.plate, concrete=given.concrete, reinforcement=given.reinforcement,
        yield_stress=given.yield_stress,
    )  # fmt: skip
    return check_pad(
        pad, under(ground, r.x, r.y, given.side), design_load=r.anchor.design_load,
        test_load=r.anchor.test_load, inclination=r.anchor.inclination, seat=given.seat,
        where=f"row {r.row}",
    )  # fmt: skip


def _ends(slope: Slope, end: float | None, r: SlopeAnchor) -> tuple[int, float]:
    """Return the number of anchors on the beam, and the beam beyond the last (m)."""
    number = anchors_along(slope.run, r.anchor.spacing)
    overhang = END * r.anchor.spacing if end is None else end
    if number == 1 and overhang <= 0.0:
        raise DesignError("a beam on a single anchor has no length: state its end", "waler")
    return min(number, MOST_ANCHORS), overhang


def _on_ground(
    slope: Slope, waler: ConcreteWaler | SteelWaler, ground: SlipModel, r: SlopeAnchor
) -> tuple[Check, ...]:
    where = f"row {r.row}"
    below = under(ground, r.x, r.y, waler.width)
    n, a = _ends(slope, waler.end, r)
    with trace() as t:
        heading("Ground under the beam")
        remark("Without depth of embedment; reaction even along the beam.")
        w = even_reaction(n, r.anchor.design_load, beam_length(n, r.anchor.spacing, a))
        q = beam_pressure(w, waler.width)
        beta, delta = seated(below, r.anchor.inclination, waler.seat)
        q_ult = strip_bearing(below.c, below.gamma, waler.width, below.phi, beta, delta)
        available = q_ult / q
    short = available < BEARING_SAFETY
    bearing = safety_check(
        "slope.waler-bearing", "bearing of the ground under the beam", available, BEARING_SAFETY,
        BEARING_RULE, where=where, steps=t.steps,
        remedy=_wider(below, w, beta, delta, waler.width) if short else "",
    )  # fmt: skip
    if waler.seat == "square to the anchor":
        return (bearing,)
    return bearing, sliding_check("slope.waler-sliding", below, off=delta, q=q, where=where)


def _wider(below: Under, w: float, beta: float, delta: float, width: float) -> str:
    while width < WIDEST:
        width += 0.05
        q = strip_bearing.function(below.c, below.gamma, width, below.phi, beta, delta)
        if q * width >= BEARING_SAFETY * w:
            return f"a beam of {{length:{width:.4g}}} width"
    return (
        "no beam is wide enough on this ground: cut the bearing face square to the anchor, take more "
        "rows, or anchors nearer to the normal of the face"
    )


def _actions(n: int, s: float, a: float, w: float) -> tuple[BeamActions, BeamActions]:
    """State the actions of the beam both ways, and return them."""
    heading("Moments and shear of the beam")
    stiff, equal = continuous_beam(n, s, a, w), equal_anchors(n, s, a, w)
    for found, title, cite in (
        (stiff, "continuous over its anchors", THREE_MOMENTS),
        (equal, "equal loads of its anchors", STATICS),
    ):
        method = f"{n} anchors, even reaction; left of equilibrium {found.residual:.0e}"
        state(
            "M_over",
            f"Moment at an anchor, {title}",
            found.over,
            "moment",
            method=method,
            cite=cite,
        )
        state("M_between", f"Moment between anchors, {title}", found.between, "moment",
              method=method, cite=cite)  # fmt: skip
        state(
            "V", f"Shear beside an anchor, {title}", found.shear, "force", method=method, cite=cite
        )
    return stiff, equal


def _concrete(
    slope: Slope, beam: ConcreteWaler, ground: SlipModel, r: SlopeAnchor
) -> tuple[Check, ...]:
    where, s = f"row {r.row}", r.anchor.spacing
    n, a = _ends(slope, beam.end, r)
    with trace() as t:
        P_u = state("P_u", "Factored load", LOAD_FACTOR * r.anchor.test_load, "force",
                    method=f"test load times {LOAD_FACTOR:g}")  # fmt: skip
        w = even_reaction(n, P_u, beam_length(n, s, a))
        both = _actions(n, s, a, w)
    with trace() as m:
        M_u = state("M_u", "Greatest moment of the beam", max(max(b.over, b.between) for b in both),
                    "moment", method="reinforced alike at both faces")  # fmt: skip
        M_n = beam_moment_capacity(
            BENDING_REDUCTION, beam.reinforcement, beam.yield_stress, beam.concrete, beam.width,
            beam.effective_depth,
        )  # fmt: skip
    with trace() as v:
        V_u = shear_beside_anchor(max(b.shear for b in both), w, beam.effective_depth)
        V_n = beam_shear_capacity(
            SHEAR_REDUCTION, beam_shear_strength(beam.concrete), beam.width, beam.effective_depth,
            beam.links, beam.yield_stress,
        )  # fmt: skip
    return (
        *_on_ground(slope, beam, ground, r),
        Check("slope.waler-bending", "bending of the beam", M_u, max(M_n, _NOTHING),
              QUANTITIES["moment"], STATICS, where=where, steps=(*t.steps, *m.steps),
              remedy="more reinforcement, a thicker beam, or anchors closer together" if M_u > M_n else ""),
        Check("slope.waler-shear", "shear of the beam", V_u, V_n, QUANTITIES["force"], ACI_SHEAR,
              where=where, steps=(*t.steps, *v.steps),
              remedy="more links, or a thicker beam" if V_u > V_n else ""),
    )  # fmt: skip


def _steel(
    slope: Slope, beam: SteelWaler, ground: SlipModel, r: SlopeAnchor, service: Service,
    basis: Basis,
) -> tuple[Check, ...]:  # fmt: skip
    where, s = f"row {r.row}", r.anchor.spacing
    n, a = _ends(slope, beam.end, r)
    told = SoldierPiles.model_construct(
        section=beam.section, arrangement=beam.arrangement, steel=beam.steel
    )
    bending = basis.steel_bending_permanent if service.life == "permanent" else basis.steel_bending
    with trace() as t:
        w = even_reaction(n, r.anchor.test_load, beam_length(n, s, a))
        remark("The test load is taken as a full load at ordinary allowable stresses.")
        both = _actions(n, s, a, w)
        heading("Strength of the beam")
        try:
            member = given_member(told)
            strong = member_strength(member, steel_of(told, member, basis, bending), max(s, a))
        except DesignError as error:
            raise DesignError(error.reason, "waler") from error
        M = state("M", "Greatest moment of the beam", max(max(b.over, b.between) for b in both),
                  "moment", method="larger of both ways")  # fmt: skip
        V = state("V", "Greatest shear of the beam", max(b.shear for b in both), "force",
                  method="larger of both ways")  # fmt: skip
    return (
        *_on_ground(slope, beam, ground, r),
        Check("slope.waler-bending", "bending of the beam", M, strong.moment, QUANTITIES["moment"],
              bending.cite, where=where, steps=t.steps, note=f"{member.title}: {strong.moment_rule}",
              remedy="a heavier section, a pair, or anchors closer together" if strong.moment < M else ""),
        Check("slope.waler-shear", "shear of the beam", V, strong.shear, QUANTITIES["force"],
              basis.steel_shear.cite, where=where, steps=t.steps,
              note=f"{member.title}: {strong.shear_rule}",
              remedy="a section with a heavier web, or a pair" if strong.shear < V else ""),
    )  # fmt: skip
