"""Allowable strength of rolled I sections and channels.

Two rules stand side by side and the smaller governs: the share of the yield stress that the
basis of design allows on the elastic section, and the allowable strength of AISC 360, which sees
slender flanges, slender webs and lateral buckling (many HP flanges are not compact).
Section letters follow AISC 360.
"""

from __future__ import annotations

from math import pi, sqrt

from backstay.cite import AISC360, Citation
from backstay.quantity import (
    Force,
    Inertia,
    Length,
    Moment,
    Ratio,
    SectionArea,
    SectionModulus,
    SmallLength,
    SteelModulus,
    Strength,
)
from backstay.trace import formula


def _aisc(clause: str) -> Citation:
    return Citation(AISC360, clause, "memory")


ELASTIC = Citation("allowable stress on the elastic section", "", "formula")


@formula("M_s", ELASTIC)
def allowable_stress_moment(k_b: Ratio, F_y: Strength, S_x: SectionModulus) -> Moment:
    """Moment at the allowable bending stress.

    k_b: allowable share of the yield stress
    F_y: yield stress
    S_x: elastic section modulus
    """
    return k_b * F_y * S_x


@formula("V_s", ELASTIC)
def allowable_stress_shear(k_v: Ratio, F_y: Strength, A_w: SectionArea) -> Force:
    """Shear at the allowable shear stress on the web.

    k_v: allowable share of the yield stress
    F_y: yield stress
    A_w: depth times web thickness
    """
    return k_v * F_y * A_w


@formula("P_s", ELASTIC)
def allowable_stress_axial(k_a: Ratio, F_y: Strength, A: SectionArea) -> Force:
    """Axial load at the allowable axial stress.

    k_a: allowable share of the yield stress
    F_y: yield stress
    A: area
    """
    return k_a * F_y * A


@formula("M_p", _aisc("eq. F2-1"))
def plastic_moment(F_y: Strength, Z_x: SectionModulus) -> Moment:
    """Plastic moment.

    F_y: yield stress
    Z_x: plastic section modulus
    """
    return F_y * Z_x


@formula("L_p", _aisc("eq. F2-5"))
def full_plastic_length(r_y: SmallLength, F_y: Strength, E: SteelModulus) -> Length:
    """Unbraced length up to which the plastic moment is reached.

    r_y: radius of gyration, weak axis
    F_y: yield stress
    E: modulus of steel
    """
    return 1.76 * r_y * sqrt(E / F_y)


@formula("r_ts", _aisc("eq. F2-7 with C_w = I_y h_0^2 / 4"))
def effective_gyration(I_y: Inertia, h_0: SmallLength, S_x: SectionModulus) -> SmallLength:
    """Effective radius of gyration for lateral-torsional buckling, doubly symmetric I section.

    I_y: inertia, weak axis
    h_0: distance between centres of flanges
    S_x: elastic section modulus
    """
    return sqrt(I_y * h_0 / (2 * S_x))


@formula("r_ts", _aisc("F2.2, user note: compression flange and a sixth of the web"))
def flange_gyration(
    b_f: SmallLength, t_f: SmallLength, h: SmallLength, t_w: SmallLength
) -> SmallLength:
    """Effective radius of gyration for lateral-torsional buckling, taken low (channels).

    b_f, t_f: width and thickness of flange
    h: clear depth of web
    t_w: thickness of web
    """
    return b_f / sqrt(12 * (1 + h * t_w / (6 * b_f * t_f)))


@formula("L_r", _aisc("eq. F2-6, c = 1"))
def elastic_length(
    r_ts: SmallLength,
    F_y: Strength,
    E: SteelModulus,
    J: Inertia,
    S_x: SectionModulus,
    h_0: SmallLength,
) -> Length:
    """Unbraced length from which lateral-torsional buckling is elastic.

    r_ts: effective radius of gyration
    F_y: yield stress
    E: modulus of steel
    J: torsion constant
    S_x: elastic section modulus
    h_0: distance between centres of flanges
    """
    t: Ratio = J / (S_x * h_0)
    f: Ratio = 0.7 * F_y / E
    return 1.95 * r_ts / f * sqrt(t + sqrt(t**2 + 6.76 * f**2))


@formula("M_n_ltb", _aisc("eq. F2-2 to F2-4"))
def lateral_torsional_moment(
    M_p: Moment,
    F_y: Strength,
    E: SteelModulus,
    S_x: SectionModulus,
    L_b: Length,
    L_p: Length,
    L_r: Length,
    C_b: Ratio,
    r_ts: SmallLength,
    J: Inertia,
    h_0: SmallLength,
) -> Moment:
    """Nominal moment limited by yielding and lateral-torsional buckling.

    M_p: plastic moment
    F_y: yield stress
    E: modulus of steel
    S_x: elastic section modulus
    L_b: unbraced length of the compression flange
    L_p, L_r: limits of the unbraced length
    C_b: factor for the shape of the moment diagram
    r_ts: effective radius of gyration
    J: torsion constant
    h_0: distance between centres of flanges
    """
    if L_b <= L_p:
        return M_p
    elif L_b <= L_r:
        return min(M_p, C_b * (M_p - (M_p - 0.7 * F_y * S_x) * (L_b - L_p) / (L_r - L_p)))
    else:
        lamda: Ratio = L_b / r_ts
        F_cr: Strength = C_b * pi**2 * E / lamda**2 * sqrt(1 + 0.078 * J / (S_x * h_0) * lamda**2)
        return min(M_p, F_cr * S_x)


@formula("lamda_pf", _aisc("table B4.1b, case 10"))
def compact_flange_limit(F_y: Strength, E: SteelModulus) -> Ratio:
    """Greatest slenderness of a compact flange.

    F_y: yield stress
    E: modulus of steel
    """
    return 0.38 * sqrt(E / F_y)


@formula("lamda_rf", _aisc("table B4.1b, case 10"))
def slender_flange_limit(F_y: Strength, E: SteelModulus) -> Ratio:
    """Slenderness from which a flange in bending is slender.

    F_y: yield stress
    E: modulus of steel
    """
    return 1.0 * sqrt(E / F_y)


@formula("k_c", _aisc("table B4.1, note a"))
def flange_restraint(lamda_w: Ratio) -> Ratio:
    """Coefficient for the restraint that a web gives to a slender flange.

    lamda_w: slenderness of the web h / t_w
    """
    return min(0.76, max(0.35, 4 / sqrt(lamda_w)))


@formula("M_n_flb", _aisc("eq. F3-1, F3-2"))
def flange_local_moment(
    M_p: Moment,
    F_y: Strength,
    E: SteelModulus,
    S_x: SectionModulus,
    lamda_f: Ratio,
    lamda_pf: Ratio,
    lamda_rf: Ratio,
    k_c: Ratio,
) -> Moment:
    """Nominal moment limited by local buckling of the compression flange.

    M_p: plastic moment
    F_y: yield stress
    E: modulus of steel
    S_x: elastic section modulus
    lamda_f: slenderness of the flange
    lamda_pf, lamda_rf: its limits, compact and slender
    k_c: restraint by the web
    """
    if lamda_f <= lamda_pf:
        return M_p
    elif lamda_f <= lamda_rf:
        return M_p - (M_p - 0.7 * F_y * S_x) * (lamda_f - lamda_pf) / (lamda_rf - lamda_pf)
    else:
        return 0.9 * E * k_c * S_x / lamda_f**2


@formula("M_a", _aisc("F1: Omega = 1.67"))
def allowable_moment(M_n_ltb: Moment, M_n_flb: Moment) -> Moment:
    """Moment allowed, from the smaller nominal moment.

    M_n_ltb: nominal moment, yielding and lateral-torsional buckling
    M_n_flb: nominal moment, local buckling of the flange
    """
    return min(M_n_ltb, M_n_flb) / 1.67


@formula("C_v", _aisc("G2.1, k_v = 5"))
def web_shear_coefficient(lamda_w: Ratio, F_y: Strength, E: SteelModulus) -> Ratio:
    """Share of the yield strength in shear that a web without stiffeners reaches.

    lamda_w: slenderness of the web h / t_w
    F_y: yield stress
    E: modulus of steel
    """
    limit: Ratio = 1.10 * sqrt(5 * E / F_y)
    if lamda_w <= limit:
        return 1.0
    elif lamda_w <= 1.37 / 1.10 * limit:
        return limit / lamda_w
    else:
        return 1.51 * 5 * E / (lamda_w**2 * F_y)


@formula("Omega_v", _aisc("G1, G2.1(a)"))
def shear_safety(lamda_w: Ratio, F_y: Strength, E: SteelModulus) -> Ratio:
    """Safety factor on the shear strength of a rolled I section.

    lamda_w: slenderness of the web h / t_w
    F_y: yield stress
    E: modulus of steel
    """
    if lamda_w <= 2.24 * sqrt(E / F_y):
        return 1.50
    else:
        return 1.67


@formula("V_a", _aisc("eq. G2-1"))
def allowable_shear(F_y: Strength, A_w: SectionArea, C_v: Ratio, Omega_v: Ratio) -> Force:
    """Shear allowed on the web.

    F_y: yield stress
    A_w: depth times web thickness
    C_v: web shear coefficient
    Omega_v: safety factor
    """
    return 0.6 * F_y * A_w * C_v / Omega_v


@formula("F_e", _aisc("eq. E3-4"))
def elastic_buckling_stress(L_c: Length, r: SmallLength, E: SteelModulus) -> Strength:
    """Elastic buckling stress.

    L_c: effective length
    r: radius of gyration about the weaker axis
    E: modulus of steel
    """
    return pi**2 * E / (L_c / r) ** 2


@formula("F_cr", _aisc("eq. E3-2, E3-3, E7-2, E7-3"))
def critical_stress(Q: Ratio, F_y: Strength, F_e: Strength) -> Strength:
    """Critical stress in compression.

    Q: reduction for slender elements
    F_y: yield stress
    F_e: elastic buckling stress
    """
    if Q * F_y / F_e <= 2.25:
        share: Ratio = 0.658 ** (Q * F_y / F_e)
        return Q * share * F_y
    else:
        return 0.877 * F_e


@formula("Q_s", _aisc("eq. E7-4 to E7-6"))
def flange_reduction(lamda_f: Ratio, F_y: Strength, E: SteelModulus) -> Ratio:
    """Reduction for a slender flange in compression, rolled section.

    lamda_f: slenderness of the flange
    F_y: yield stress
    E: modulus of steel
    """
    if lamda_f <= 0.56 * sqrt(E / F_y):
        return 1.0
    elif lamda_f <= 1.03 * sqrt(E / F_y):
        return 1.415 - 0.74 * lamda_f * sqrt(F_y / E)
    else:
        return 0.69 * E / (F_y * lamda_f**2)


@formula("b_e", _aisc("eq. E7-17"))
def effective_web(h: SmallLength, t_w: SmallLength, f: Strength, E: SteelModulus) -> SmallLength:
    """Effective depth of a web in uniform compression.

    h: clear depth of web
    t_w: thickness of web
    f: critical stress with Q = 1
    E: modulus of steel
    """
    if h / t_w <= 1.49 * sqrt(E / f):
        return h
    else:
        return min(h, 1.92 * t_w * sqrt(E / f) * (1 - 0.34 / (h / t_w) * sqrt(E / f)))


@formula("Q_a", _aisc("eq. E7-16"))
def web_reduction(A: SectionArea, h: SmallLength, b_e: SmallLength, t_w: SmallLength) -> Ratio:
    """Reduction for a slender web in compression: effective area over area.

    A: area
    h: clear depth of web
    b_e: effective depth of web
    t_w: thickness of web
    """
    return (A - (h - b_e) * t_w) / A


@formula("P_a", _aisc("eq. E3-1, E1: Omega = 1.67"))
def allowable_compression(F_cr: Strength, A: SectionArea) -> Force:
    """Axial compression allowed.

    F_cr: critical stress
    A: area
    """
    return F_cr * A / 1.67
