"""Strength of rolled sections."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from backstay.basis.gec4 import GEC4_BASIS
from backstay.data import steel_grade
from backstay.model.wall import SoldierPiles
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.wall import steel
from backstay.wall.interaction import interaction
from backstay.wall.member import Member, Steel, Strength, member_strength
from backstay.wall.rolled import given_member
from tests.verification.catalogue import Case

EXAMPLES = "AISC Design Examples (companion to the Steel Construction Manual, 14th ed.)"
MANUAL = "AISC Steel Construction Manual, 14th ed."
NO_LIMIT = replace(GEC4_BASIS.steel_bending, value=9.0)
GRADE = steel_grade("A992")
A992 = Steel(GRADE.yield_stress(0.01), GRADE.modulus, NO_LIMIT, NO_LIMIT, NO_LIMIT)
FT = 0.3048
ROUNDED = "printed to three digits, section properties rounded"
_MOMENT, _FORCE = QUANTITIES["moment"], QUANTITIES["force"]


def _member(name: str) -> Member:
    return given_member(SoldierPiles(kind="soldier piles", section=name, spacing=2.0))


def _strength(name: str, length_ft: float) -> Strength:
    """Return the strength by AISC 360 alone (no limit by the basis)."""
    return member_strength(_member(name), A992, length_ft * FT)


def _moment(name: str, length_ft: float, C_b: float, factor: float) -> Callable[[], float]:
    """Return the moment in kip-ft; factor 1 is allowable, 1.67 x 0.9 the design strength."""

    def compute() -> float:
        m, F_y, E = _member(name), A992.F_y, A992.E
        h_0 = m.d - m.t_f
        r_ts = steel.effective_gyration(m.I_y, h_0, m.S_x)
        M_n = steel.lateral_torsional_moment(
            steel.plastic_moment(F_y, m.Z_x), F_y, E, m.S_x, length_ft * FT,
            steel.full_plastic_length(m.r_y, F_y, E),
            steel.elastic_length(r_ts, F_y, E, m.J, m.S_x, h_0), C_b, r_ts, m.J, h_0,
        )  # fmt: skip
        local = steel.flange_local_moment(
            steel.plastic_moment(F_y, m.Z_x), F_y, E, m.S_x, m.lamda_f,
            steel.compact_flange_limit(F_y, E), steel.slender_flange_limit(F_y, E),
            steel.flange_restraint(m.lamda_w),
        )  # fmt: skip
        return factor * _MOMENT.shown(steel.allowable_moment(M_n, local), UnitSystem.US)

    return compute


def _axial(name: str, length_ft: float, factor: float) -> Callable[[], float]:
    return lambda: factor * _FORCE.shown(_strength(name, length_ft).axial, UnitSystem.US)


def _shear(name: str, factor: float) -> Callable[[], float]:
    return lambda: factor * _FORCE.shown(_strength(name, 1.0).shear, UnitSystem.US)


def _limit(which: str) -> Callable[[], float]:
    def compute() -> float:
        m, F_y, E = _member("W18x50"), A992.F_y, A992.E
        h_0 = m.d - m.t_f
        r_ts = steel.effective_gyration(m.I_y, h_0, m.S_x)
        if which == "L_p":
            return steel.full_plastic_length(m.r_y, F_y, E) / FT
        return steel.elastic_length(r_ts, F_y, E, m.J, m.S_x, h_0) / FT

    return compute


LRFD = 0.9 * 1.67
BENDING = tuple(
    Case(
        f"wall.steel-{name.lower()}-{round(length)}-ft-{label}", "wall",
        f"moment of {name}, unbraced {length:g} ft, {label.upper()}", f"{EXAMPLES}, {example}",
        "published", f"Fy 50 ksi, Lb {length:g} ft, Cb {C_b}", _moment(name, length, C_b, factor),
        expected, 5e-3, "kip-ft", ROUNDED,
    )
    for name, length, C_b, example, label, factor, expected in (
        ("W18x50", 35 / 3, 1.01, "F.1-2", "asd", 1.0, 203),
        ("W18x50", 35 / 3, 1.01, "F.1-2", "lrfd", LRFD, 305),
        ("W18x50", 17.5, 1.30, "F.1-3", "asd", 1.0, 192),
        ("W18x50", 17.5, 1.30, "F.1-3", "lrfd", LRFD, 288),
        ("W14x99", 14.0, 1.0, "H.1B", "asd", 1.0, 428),
        ("W14x99", 14.0, 1.0, "H.1B", "lrfd", LRFD, 642),
    )
)  # fmt: skip
FLANGES = tuple(
    Case(
        f"wall.steel-{name.lower()}-flange", "wall", f"moment of {name}, flange not compact, LRFD",
        f"{MANUAL}, beam tables (recomputed)", "memory", "Fy 50 ksi, braced",
        _moment(name, 1.0, 1.0, LRFD), expected, 4e-3, "kip-ft", ROUNDED,
    )
    for name, expected in (("HP12x53", 246), ("HP14x73", 385), ("HP14x117", 726))
)  # fmt: skip
OTHERS = (
    Case(
        "wall.steel-w14x99-axial-asd", "wall", "axial load of W14x99, 14 ft, ASD",
        f"{EXAMPLES}, H.1B", "published", "Fy 50 ksi, KL 14 ft", _axial("W14x99", 14, 1.0),
        751, 5e-3, "kip", ROUNDED,
    ),
    Case(
        "wall.steel-w14x99-axial-lrfd", "wall", "axial load of W14x99, 14 ft, LRFD",
        f"{EXAMPLES}, H.1B", "published", "Fy 50 ksi, KL 14 ft", _axial("W14x99", 14, LRFD),
        1130, 5e-3, "kip", ROUNDED,
    ),
    Case(
        "wall.steel-w14x132-axial", "wall", "axial load of W14x132, 30 ft, ASD",
        f"{EXAMPLES}, E.1A", "memory", "Fy 50 ksi, KL 30 ft", _axial("W14x132", 30, 1.0), 594,
        5e-3, "kip", ROUNDED,
    ),
    Case(
        "wall.steel-h1b-asd", "wall", "axial load with bending about both axes, ASD",
        f"{EXAMPLES}, H.1B", "published", "267/751 kip, 167/428 and 53.3/207 kip-ft",
        lambda: interaction(267 / 751, 167 / 428 + 53.3 / 207), 0.931, 1e-3, "",
        "printed to three digits",
    ),
    Case(
        "wall.steel-h1b-lrfd", "wall", "axial load with bending about both axes, LRFD",
        f"{EXAMPLES}, H.1B", "published", "400/1130 kip, 250/642 and 80/311 kip-ft",
        lambda: interaction(400 / 1130, 250 / 642 + 80 / 311), 0.928, 1e-3, "",
        "printed to three digits",
    ),
    Case(
        "wall.steel-w18x50-shear", "wall", "shear of W18x50, ASD", f"{MANUAL}, table 3-2", "memory",
        "Fy 50 ksi", _shear("W18x50", 1.0), 128, 5e-3, "kip", ROUNDED,
    ),
    Case(
        "wall.steel-w24x62-shear", "wall", "shear of W24x62, ASD", f"{EXAMPLES}, G.1", "memory",
        "Fy 50 ksi", _shear("W24x62", 1.0), 204, 5e-3, "kip", ROUNDED,
    ),
    Case(
        "wall.steel-w18x50-lp", "wall", "limit Lp of W18x50", f"{MANUAL}, table 3-2", "memory",
        "Fy 50 ksi", _limit("L_p"), 5.83, 3e-3, "ft", "printed to three digits",
    ),
    Case(
        "wall.steel-w18x50-lr", "wall", "limit Lr of W18x50", f"{MANUAL}, table 3-2", "memory",
        "Fy 50 ksi", _limit("L_r"), 16.9, 5e-3, "ft", "printed to three digits",
    ),
)  # fmt: skip
CASES: tuple[Case, ...] = (*BENDING, *FLANGES, *OTHERS)
