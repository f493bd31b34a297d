"""The steel of one soldier pile, single or paired, and what it can carry."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from backstay.basis import Factor
from backstay.cite import STATICS, common_practice
from backstay.errors import DesignError
from backstay.quantity import Inertia, SectionArea, SmallLength
from backstay.trace import formula, state
from backstay.wall import interaction, steel

STANDARD_GRAVITY = 9.80665
"""m/s2."""
BATTEN_SPACING = 1.5
"""Spacing of the batten plates that tie a pair, m (about 5 ft)."""
BATTENS = common_practice("a pair is tied by batten plates about 1.5 m (5 ft) apart")
BRACED = common_practice("the pile is held against twisting at rows and at subgrade alone")


@formula("I_y_pair", STATICS)
def pair_inertia(I_y: Inertia, A: SectionArea, a: SmallLength) -> Inertia:
    """Inertia of a tied pair about the axis between them.

    I_y: of one section about its own weak axis
    A: area of one section
    a: from the axis of the pair to the centroid of one section
    """
    return 2 * (I_y + A * a**2)


@dataclass(frozen=True, slots=True)
class Member:
    """One pile's steel; dimensions in m, of one section; `count` sections side by side.

    lamda_f, lamda_w: slenderness of flange and web; offset: from the middle of a pair to the
    centroid of one section; clear: between the two sections of a pair at its narrowest;
    mass: of the whole pile (kg/m).
    """

    name: str
    form: Literal["I", "channel"]
    count: Literal[1, 2]
    A: float
    d: float
    b_f: float
    t_f: float
    t_w: float
    I_x: float
    S_x: float
    Z_x: float
    I_y: float
    r_x: float
    r_y: float
    J: float
    lamda_f: float
    lamda_w: float
    mass: float
    gap: float
    offset: float

    @property
    def clear(self) -> float:
        """Return the clear way between the sections of a pair (m); nil for a single one."""
        if self.count == 1:
            return 0.0
        return self.gap if self.form == "channel" else self.gap - (self.b_f - self.t_w)

    @property
    def width(self) -> float:
        """Return the width of the pile along the wall (m)."""
        if self.count == 1:
            return self.b_f
        if self.form == "channel":
            return self.gap + 2 * self.b_f
        return self.gap + self.t_w + self.b_f

    @property
    def diagonal(self) -> float:
        """Return the diameter of the circle around the pile (m)."""
        return sqrt(self.width**2 + self.d**2)

    @property
    def weight(self) -> float:
        """Return the weight of the pile (kN/m)."""
        return self.mass * STANDARD_GRAVITY / 1000

    @property
    def title(self) -> str:
        """Return the name as it is written on a drawing."""
        return self.name if self.count == 1 else f"2 x {self.name}"


@dataclass(frozen=True, slots=True)
class Strength:
    """What a pile may carry: moment (kNm), shear, axial load (kN), and which rule governs each."""

    moment: float
    shear: float
    axial: float
    moment_rule: str
    shear_rule: str
    axial_rule: str


@dataclass(frozen=True, slots=True)
class Steel:
    """Yield stress F_y and modulus E (kPa), and the shares of F_y that the basis allows."""

    F_y: float
    E: float
    bending: Factor
    shear: Factor
    axial: Factor


def member_strength(m: Member, material: Steel, L_b: float) -> Strength:
    """Return the strength of a pile whose compression flange is held at points L_b apart.

    L_b: greatest distance between rows, and to subgrade (m).
    Raises DesignError where the web is not compact (the rules used would not hold).
    """
    F_y, E = material.F_y, material.E
    if m.lamda_w > 3.76 * sqrt(E / F_y):
        raise DesignError(f"web of {m.name} is not compact; bending is not covered", "soldier pile")
    held = min(L_b, BATTEN_SPACING) if m.count == 2 else L_b
    state("L_b", "distance between points where the flange is held", held, "length",
          method="between batten plates" if held < L_b else "greatest span", cite=BATTENS if held < L_b else BRACED)  # fmt: skip
    basis_moment = steel.allowable_stress_moment(material.bending.value, F_y, m.S_x)
    code_moment = _code_moment(m, F_y, E, held)
    web = m.d * m.t_w
    basis_shear = steel.allowable_stress_shear(material.shear.value, F_y, web)
    C_v = steel.web_shear_coefficient(m.lamda_w, F_y, E)
    if m.form == "I":
        Omega_v = steel.shear_safety(m.lamda_w, F_y, E)
    else:
        Omega_v = state("Omega_v", "safety factor on shear, channel", 1.67, "ratio",
                        cite=steel.shear_safety.cite)  # fmt: skip
    code_shear = steel.allowable_shear(F_y, web, C_v, Omega_v)
    basis_axial = steel.allowable_stress_axial(material.axial.value, F_y, m.A)
    code_axial = _code_axial(m, F_y, E, L_b, held)
    return Strength(
        interaction.carried_moment(m.count, basis_moment, code_moment),
        interaction.carried_shear(m.count, basis_shear, code_shear),
        interaction.carried_axial(m.count, basis_axial, code_axial),
        _rule(basis_moment, code_moment),
        _rule(basis_shear, code_shear),
        _rule(basis_axial, code_axial),
    )


def _rule(basis: float, code: float) -> str:
    return "allowable stress" if basis <= code else "AISC 360"


def _code_moment(m: Member, F_y: float, E: float, L_b: float) -> float:
    """Return the allowable moment of one section by AISC 360 F2 and F3 (C_b = 1)."""
    M_p = steel.plastic_moment(F_y, m.Z_x)
    h_0 = m.d - m.t_f
    L_p = steel.full_plastic_length(m.r_y, F_y, E)
    if m.form == "I":
        r_ts = steel.effective_gyration(m.I_y, h_0, m.S_x)
    else:
        r_ts = steel.flange_gyration(m.b_f, m.t_f, m.lamda_w * m.t_w, m.t_w)
    L_r = steel.elastic_length(r_ts, F_y, E, m.J, m.S_x, h_0)
    twisting = steel.lateral_torsional_moment(
        M_p, F_y, E, m.S_x, L_b, L_p, L_r, 1.0, r_ts, m.J, h_0
    )
    lamda_pf = steel.compact_flange_limit(F_y, E)
    lamda_rf = steel.slender_flange_limit(F_y, E)
    k_c = steel.flange_restraint(m.lamda_w)
    local = steel.flange_local_moment(M_p, F_y, E, m.S_x, m.lamda_f, lamda_pf, lamda_rf, k_c)
    return steel.allowable_moment(twisting, local)


def _code_axial(m: Member, F_y: float, E: float, L: float, tied: float) -> float:
    """Return the allowable axial load of one section by AISC 360 E3 and E7.

    L: effective length, the greatest span (m); tied: between the battens of a pair (m).
    """
    slenderness = max(L / m.r_x, tied / m.r_y)
    if m.count == 2:
        I_pair = pair_inertia(m.I_y, m.A, m.offset)
        slenderness = max(slenderness, L / sqrt(I_pair / (2 * m.A)))
    F_e = steel.elastic_buckling_stress(L, L / slenderness, E)
    Q_s = steel.flange_reduction(m.lamda_f, F_y, E)
    h = m.lamda_w * m.t_w
    b_e = steel.effective_web(h, m.t_w, steel.critical_stress(1.0, F_y, F_e), E)
    Q = Q_s * steel.web_reduction(m.A, h, b_e, m.t_w)
    return steel.allowable_compression(steel.critical_stress(Q, F_y, F_e), m.A)
