"""Equations of the anchor head: plates, seats, welds, stiffeners, walers."""

from __future__ import annotations

from math import acos, cos, pi, sqrt

from backstay.cite import AISC360, GEOMETRY, STATICS, Citation, common_practice
from backstay.quantity import Angle, Force, Length, Moment, SectionArea, SmallLength, Strength
from backstay.trace import formula

CLEARANCE = common_practice("2 diameters of the bundled steel and 25 mm (1 in)")


@formula("d_o", CLEARANCE)
def tendon_opening(A_t: SectionArea, c: SmallLength) -> SmallLength:
    """Diameter of the opening for the tendon and its trumpet.

    A_t: area of the tendon
    c: clearance
    """
    return 2 * sqrt(4 * A_t / pi) + c


@formula("epsilon", GEOMETRY)
def wedge_angle(i: Angle, psi: Angle) -> Angle:
    """Angle between the bearing plate and the face of the wall.

    i: inclination of the anchor below horizontal
    psi: skew on plan
    """
    return acos(cos(i) * cos(psi))


@formula("M_pl", STATICS)
def plate_moment(T: Force, s: SmallLength, d_o: SmallLength) -> Moment:
    """Moment in the bearing plate: each half of the load enters along half the rim of the opening.

    T: load along the anchor
    s: span of the plate between its lines of support
    d_o: diameter of the opening; the centroid of half its rim lies d_o / pi from the middle
    """
    return T / 2 * (s / 2 - d_o / pi)


@formula("t_req", STATICS)
def plate_thickness(M_pl: Moment, b: SmallLength, d_o: SmallLength, F_b: Strength) -> SmallLength:
    """Thickness of a plate that bends about its middle, across the opening.

    M_pl: moment
    b: height of plate
    d_o: diameter of the opening
    F_b: allowable bending stress of plate
    """
    return sqrt(6 * M_pl / ((b - d_o) * F_b))


@formula("f_b", STATICS)
def plate_stress(M_pl: Moment, b: SmallLength, d_o: SmallLength, t: SmallLength) -> Strength:
    """Bending stress in the plate, on its net section.

    M_pl: moment
    b: height of plate
    d_o: diameter of the opening
    t: thickness
    """
    return 6 * M_pl / ((b - d_o) * t**2)


@formula("t_seat", STATICS)
def seat_thickness(T: Force, b: SmallLength, F_a: Strength) -> SmallLength:
    """Thickness of each of two seats in compression.

    T: load along the anchor
    b: height of plate, along the seat
    F_a: allowable compressive stress
    """
    return T / 2 / (b * F_a)


@formula("f_w", STATICS)
def weld_stress(V: Force, e: SmallLength, l: SmallLength, a: SmallLength) -> Strength:  # noqa: E741
    """Stress on the throats of four lines of fillet weld under an eccentric force along the wall.

    V: component along the face of the wall
    e: from the face to the middle of the bearing plate
    l: length of each line
    a: leg of the fillet
    """
    throat: SmallLength = 0.707 * a
    direct: Strength = V / (4 * l * throat)
    bending: Strength = 6 * V * e / (4 * l**2 * throat)
    return sqrt(direct**2 + bending**2)


@formula("R_web", Citation(AISC360, "eq. J10-2, Omega = 1.50", "memory"))
def web_yielding(F_y: Strength, t_w: SmallLength, t_f: SmallLength, b: SmallLength) -> Force:
    """Load that the web takes from a seat without stiffeners (fillet of the web not counted).

    F_y: yield stress
    t_w, t_f: thickness of web and flange
    b: length of bearing along the pile
    """
    return F_y * t_w * (5 * t_f + b) / 1.50


@formula(
    "t_st",
    Citation(AISC360, "J10.8: 0.60 Fy on the excess, least a fifteenth of the width", "memory"),
)
def stiffener_thickness(N: Force, R_web: Force, b_st: SmallLength, F_y: Strength) -> SmallLength:
    """Thickness of a pair of web stiffeners.

    N: load square to the wall
    R_web: what the web takes without them
    b_st: width of each stiffener
    F_y: yield stress of plate
    """
    return max((N - R_web) / (2 * b_st * 0.60 * F_y), b_st / 15)


@formula("t_side", STATICS)
def side_plate_thickness(V: Force, d: SmallLength, t_f: SmallLength, F_v: Strength) -> SmallLength:
    """Thickness of each of two side plates that carry the shear past a slit web.

    V: shear in the pile
    d: depth of section
    t_f: thickness of flange
    F_v: allowable shear stress
    """
    return V / (2 * (d - 2 * t_f) * F_v)


@formula("M_wal", STATICS)
def waler_beside_pile(N: Force, e: Length, s: Length) -> Moment:
    """Moment in a waler on two piles with the anchor beside one of them.

    N: load square to the wall
    e: from the pile to the anchor
    s: spacing of piles
    """
    return N * e * (s - e) / s


@formula("M_wal", STATICS)
def waler_over_piles(N: Force, L: Length) -> Moment:
    """Moment in a waler from anchor to anchor that carries the piles between: N L / 8.

    Exact where one pile stands midway, on the safe side of n piles between (simple span).
    N: load of one anchor square to the wall
    L: spacing of anchors
    """
    return N * L / 8


@formula("M_wal", common_practice("continuous waler: w L^2 / 10"))
def waler_on_wall(N: Force, L: Length) -> Moment:
    """Moment in a continuous waler under an even load: (N / L) L^2 / 10.

    N: load of one anchor square to the wall
    L: spacing of anchors
    """
    return N * L / 10
