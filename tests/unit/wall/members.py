"""Sections written out for tests, from the AISC shapes table (inches); J, h/tw from memory."""

from __future__ import annotations

from dataclasses import replace

from backstay.basis.gec4 import GEC4_BASIS
from backstay.wall.member import Member, Steel

IN = 0.0254
KSI = 6894.757293168
KIP = 4.4482216152605
KIP_FT = KIP * 0.3048
GRADE_50 = Steel(
    50 * KSI, 29_000 * KSI, GEC4_BASIS.steel_bending, GEC4_BASIS.steel_shear, GEC4_BASIS.steel_axial
)


def section(
    name: str, A: float, d: float, bf: float, tf: float, tw: float, Ix: float, Sx: float, Zx: float,
    rx: float, Iy: float, ry: float, J: float, hw: float, lb_ft: float,
) -> Member:  # fmt: skip
    return Member(
        name, "I", 1, A * IN**2, d * IN, bf * IN, tf * IN, tw * IN, Ix * IN**4, Sx * IN**3,
        Zx * IN**3, Iy * IN**4, rx * IN, ry * IN, J * IN**4, bf / (2 * tf), hw,
        lb_ft * 0.45359237 / 0.3048, 0.0, 0.0,
    )  # fmt: skip


W18X50 = section(
    "W18x50", 14.7, 18, 7.5, 0.57, 0.355, 800, 88.9, 101, 7.38, 40.1, 1.65, 1.24, 45.2, 50
)
W14X99 = section(
    "W14x99", 29.1, 14.2, 14.6, 0.78, 0.485, 1110, 157, 173, 6.17, 402, 3.71, 5.37, 23.5, 99
)
HP12X53 = section(
    "HP12x53", 15.5, 11.8, 12, 0.435, 0.435, 393, 66.7, 74, 5.03, 127, 2.86, 1.12, 22.3, 53
)
HP14X73 = section(
    "HP14x73", 21.4, 13.6, 14.6, 0.505, 0.505, 729, 107, 118, 5.84, 261, 3.49, 2.54, 22.6, 73
)
HP14X89 = section(
    "HP14x89", 26.1, 13.8, 14.7, 0.615, 0.615, 904, 131, 146, 5.88, 326, 3.53, 4.59, 18.5, 89
)
HP14X117 = section(
    "HP14x117", 34.4, 14.2, 14.9, 0.805, 0.805, 1220, 172, 194, 5.96, 443, 3.59, 8.02, 14.2, 117
)


def pair(m: Member, gap: float) -> Member:
    return replace(m, count=2, mass=2 * m.mass, gap=gap, offset=(gap + m.t_w) / 2)
