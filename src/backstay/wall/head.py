"""The anchor head connection: bearing plate, wedge, seats, stiffeners, welds, waler.

One detail serves all rows: it is sized for the greatest test load, held to be a full load at
ordinary allowable stresses (no increase for the short time of a test), and for the greatest
component along the wall face. Plates bend on two lines of support:

- a pair of sections carries the plate on its webs;
- where a single section is cut, two seats beside the slit carry the plate to the flange;
- beside a pile, and on a continuous wall, a waler of two channels carries the plate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, ceil, cos, sin
from typing import TYPE_CHECKING, Literal

from backstay.basis import Basis, Factor
from backstay.checks import Check, Sense
from backstay.cite import AISC360, GEOMETRY, Citation, common_practice
from backstay.quantity import QUANTITIES
from backstay.trace import Step, heading, remark, state, trace
from backstay.wall.member import BATTEN_SPACING, Member
from backstay.wall.plates import (
    plate_moment,
    plate_stress,
    plate_thickness,
    seat_thickness,
    side_plate_thickness,
    stiffener_thickness,
    tendon_opening,
    waler_beside_pile,
    waler_on_wall,
    waler_over_piles,
    web_yielding,
    wedge_angle,
    weld_stress,
)

if TYPE_CHECKING:
    from backstay.anchors import AnchorDesign

Support = Literal["between pair", "cut through", "waler"]

PLATE_STEEL = 248_211.0
"""Yield stress of plates, kPa: 36 ksi, the weakest structural plate in common use."""
WELD_METAL = 482_633.0
"""Classification strength of weld metal, kPa: 70 ksi."""
TENDON_CLEARANCE = 0.025
EDGE = 0.025
THICKEST_PLATE = 0.0762
LARGEST_FILLET = 0.0159
LEAST_SEAT = 0.0127
FULL_TEST_LOAD = common_practice("head carries the test load at ordinary allowable stresses")


@dataclass(frozen=True, slots=True)
class HeadConnection:
    """The head of the anchors of one section; lengths in m, angles in rad.

    row: whose test load governs; force: carried, along the anchor (kN); inclination, skew: of
    that anchor; plate_width (across its supports), plate_height, plate_thickness: bearing plate;
    plate_span: between its lines of support; opening: for the tendon; wedge_angle: between plate
    and wall face; wedge_depths: thin and thick side of the wedge; seat_thickness: of each of the
    two side plates under the plate; weld_size: leg of the fillets along both sides of both
    seats; weld_length: total; stiffener_thickness: of a pair of web stiffeners (0: not needed);
    web_plate_thickness: of the two plates that replace a slit web (0: not cut); waler_modulus:
    least section modulus of the waler (m3; 0: none); notes: in words.
    """

    support: Support
    row: int
    force: float
    inclination: float
    skew: float
    plate_width: float
    plate_height: float
    plate_thickness: float
    plate_span: float
    opening: float
    wedge_angle: float
    wedge_depths: tuple[float, float]
    seat_thickness: float
    weld_size: float
    weld_length: float
    stiffener_thickness: float
    web_plate_thickness: float
    waler_modulus: float
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def design_head(
    anchors: Sequence[AnchorDesign],
    *,
    support: Support,
    member: Member | None,
    F_y: float,
    pile_shear: float,
    pile_spacing: float | None,
    bending: Factor,
    basis: Basis,
    step: float,
    clear: float | None = None,
) -> HeadConnection:
    """Size the head connection of a section's anchors by statics.

    anchors: of all rows; member: the pile (None on a continuous wall); F_y: its yield stress
    (kPa); pile_shear: greatest in one pile (kN), for a slit web; pile_spacing: m, None on a
    continuous wall; bending: share of the yield stress allowed for the waler;
    step: to which thicknesses are rounded up (m); clear: way that the pile leaves for the tendon
    (m), None where it passes beside the pile.
    """
    anchor = max(anchors, key=lambda a: a.test_load)
    where = f"row {anchor.row}"
    T = anchor.test_load
    with trace() as t:
        heading("Anchor head")
        state("T", f"test load of row {anchor.row}, the greatest", T, "force", cite=FULL_TEST_LOAD)
        epsilon = wedge_angle(anchor.inclination, anchor.skew)
        area = max(a.tendon.area for a in anchors)
        d_o = tendon_opening(area, TENDON_CLEARANCE)
        s = _span(support, member, d_o)
        b = _up(max(4 * d_o, s + 2 * EDGE), step)
        state("b", "height of plate: 4 openings, and not less than its width", b, "small length",
              method=f"rounded up to {{small length:{step:g}}}")  # fmt: skip
        F_b = state("F_b", "allowable bending stress of plate", basis.steel_plate.value * PLATE_STEEL,
                    "strength", method=f"{basis.steel_plate.value} F_y", cite=basis.steel_plate.cite)  # fmt: skip
        M_pl = plate_moment(T, s, d_o)
        t_req = plate_thickness(M_pl, b, d_o, F_b)
        thickness = min(_up(max(t_req, LEAST_SEAT), step), THICKEST_PLATE)
        f_b = plate_stress(M_pl, b, d_o, thickness)
    with trace() as w:
        heading("Seats and welds")
        F_a = state("F_a", "allowable compressive stress of plate", basis.steel_axial.value * PLATE_STEEL,
                    "strength", cite=basis.steel_axial.cite)  # fmt: skip
        t_seat = _up(max(LEAST_SEAT, seat_thickness(T, b, F_a)), step)
        thick = TENDON_CLEARANCE + b * sin(epsilon)
        V = state("V", "greatest component along the wall face, of all rows",
                  max(a.test_load * sin(_angle(a)) for a in anchors), "force",
                  method="test load times the sine of its angle to the square of the wall")  # fmt: skip
        e = state("e", "wall face to middle of plate", (TENDON_CLEARANCE + thick) / 2 + thickness / 2,
                  "small length", method="average depth of the seat, which is deeper at one end "
                  "by b sin(epsilon), and half the thickness of the plate")  # fmt: skip
        F_w = state("F_w", "allowable stress on the throat", basis.weld_stress.value * WELD_METAL,
                    "strength", method=f"{basis.weld_stress.value} F_EXX", cite=basis.weld_stress.cite)  # fmt: skip
        a_weld = _fillet(V, e, b, t_seat, F_w, step)
        f_w = weld_stress(V, e, b, a_weld)
    with trace() as r:
        stiffener = _stiffener(support, member, T * cos(epsilon), F_y, b, step)
        side = 0.0
        if support == "cut through" and member is not None:
            heading("Side plates past the slit web")
            F_v = basis.steel_shear.value * PLATE_STEEL
            needed = side_plate_thickness(pile_shear, member.d, member.t_f, F_v)
            side = _up(max(needed, t_seat), step)
        modulus = 0.0
        if support == "waler":
            modulus = _waler(anchors, member, pile_spacing, bending)
    checks: tuple[Check, ...] = (
        Check(
            "wall.head-plate", "bearing plate in bending", f_b, F_b, QUANTITIES["strength"],
            basis.steel_plate.cite, where=where, steps=t.steps,
            remedy="stiffen the plate with ribs, bring its supports closer, or use smaller anchors",
        ),
        Check(
            "wall.head-weld", "welds of the anchor seat", f_w, F_w, QUANTITIES["strength"],
            basis.weld_stress.cite, where=where, steps=w.steps,
            remedy="longer seats, or a shelf plate under the seats to carry the component along the wall",
        ),
    )  # fmt: skip
    if clear is not None:
        checks = (_passage(d_o, clear, where, t.steps), *checks)
    return HeadConnection(
        support, anchor.row, T, anchor.inclination, anchor.skew, s + 2 * EDGE + t_seat, b,
        thickness, s, d_o, epsilon, (TENDON_CLEARANCE, thick), t_seat, a_weld, 4 * b, stiffener,
        side, modulus, _notes(anchors, support, stiffener, side, modulus), checks,
        (*t.steps, *w.steps, *r.steps),
    )  # fmt: skip


def _passage(d_o: float, clear: float, where: str, steps: tuple[Step, ...]) -> Check:
    return Check(
        "wall.head-opening", "way through the pile for tendon and trumpet", clear, d_o,
        QUANTITIES["small length"], GEOMETRY, Sense.AT_LEAST, where=where, steps=steps,
        remedy=f"a clear way of {{small length:{d_o:.4f}}} (gap of the pair, or opening_width), "
        "smaller tendons, or anchors beside the pile (bracket)",
    )  # fmt: skip


def _up(value: float, step: float) -> float:
    return ceil(value / step - 1e-9) * step


def _angle(anchor: AnchorDesign) -> float:
    return acos(cos(anchor.inclination) * cos(anchor.skew))


def _span(support: Support, member: Member | None, d_o: float) -> float:
    if support == "between pair" and member is not None:
        if member.gap < d_o:
            remark(
                f"The gap of {{small length:{member.gap:.5f}}} is narrower than the opening: "
                "the plate is sized for a gap as wide as the opening."
            )
        return state("s", "span of plate: between the webs of the pair",
                     max(member.gap, d_o) + member.t_w, "small length", cite=GEOMETRY)  # fmt: skip
    beside = "channels of the waler" if support == "waler" else "seats"
    return state("s", f"span of plate: between the {beside}", d_o + 2 * EDGE + LEAST_SEAT,
                 "small length", method="25 mm (1 in) clear on both sides of the opening")  # fmt: skip


def _fillet(V: float, e: float, b: float, t_seat: float, F_w: float, step: float) -> float:
    """Return the leg: for the stress, and not under the least of AISC 360 table J2.4."""
    least = 0.0048 if t_seat <= 0.0127 else 0.0064 if t_seat <= 0.01905 else 0.0079
    needed = weld_stress.function(V, e, b, least) / F_w * least
    leg = min(_up(max(least, needed), step / 2), LARGEST_FILLET)
    return state("a", "leg of the fillet weld", leg, "small length",
                 method="for the stress, and not under the least for the plate thickness",
                 cite=Citation(AISC360, "table J2.4", "memory"))  # fmt: skip


def _stiffener(
    support: Support, member: Member | None, N: float, F_y: float, b: float, step: float
) -> float:
    if member is None or support == "cut through":
        return 0.0
    heading("Web under the seat")
    each = state("N", "load square to the wall, on each web", N / member.count, "force",
                 method="test load times the cosine of the angle of the plate, shared by the webs")  # fmt: skip
    R_web = web_yielding(F_y, member.t_w, member.t_f, b)
    if each <= R_web:
        remark("The web carries the seat without stiffeners.")
        return 0.0
    sides = member.b_f - member.t_w if member.form == "channel" else (member.b_f - member.t_w) / 2
    return _up(stiffener_thickness(each, R_web, sides, PLATE_STEEL), step)


def _waler(
    anchors: Sequence[AnchorDesign],
    member: Member | None,
    pile_spacing: float | None,
    bending: Factor,
) -> float:
    """Return the least section modulus of the waler of any row (both channels together)."""
    heading("Waler")
    F_b = state("F_b", "allowable bending stress of the waler", bending.value * PLATE_STEEL,
                "strength", cite=bending.cite)  # fmt: skip
    greatest = 0.0
    for a in anchors:
        N = a.test_load * cos(_angle(a))
        remark(f"Row {a.row}:")
        if pile_spacing is None or member is None:
            M = waler_on_wall(N, a.spacing)
        elif a.spacing > 1.5 * pile_spacing:
            M = waler_over_piles(N, a.spacing)
        else:
            beside = (member.width + (a.hole_diameter or 0.15)) / 2 + 2 * EDGE
            if beside >= pile_spacing / 2:
                beside = pile_spacing / 2
            M = waler_beside_pile(N, beside, pile_spacing)
        greatest = max(greatest, M / F_b)
    return state("S_wal", "section modulus of the waler, two channels together", greatest,
                 "section modulus", method="greatest moment over the allowable stress")  # fmt: skip


def _notes(
    anchors: Sequence[AnchorDesign], support: Support, stiffener: float, side: float, modulus: float
) -> tuple[str, ...]:
    by_row = "; ".join(f"row {a.row} {{angle:{_angle(a):.6f}}}" for a in anchors)
    notes = [
        f"Plate square to the tendon: wedge or seats cut to the angle of each row ({by_row}).",
        "Plates of 36 ksi (250 MPa) steel or better, fillet welds of 70 ksi (480 MPa) metal.",
    ]
    if support == "between pair":
        notes.append(
            "Batten plates tie the pair above and below each anchor, and at most "
            f"{{length:{BATTEN_SPACING}}} apart."
        )
    if stiffener:
        notes.append(
            f"Fitted web stiffeners both sides under the seat, {{small length:{stiffener:.5f}}} thick."
        )
    if side:
        notes.append(
            f"Side plates both sides of the slit web, {{small length:{side:.5f}}} thick, full depth "
            "between flanges and past both ends of the slit."
        )
    if modulus:
        notes.append(
            "Waler of two channels, section modulus together at least "
            f"{{section modulus:{modulus:.6g}}}, seated on brackets."
        )
    return tuple(notes)
