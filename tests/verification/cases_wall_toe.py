"""Toe, cantilever stage and vertical capacity: published examples and closed forms."""

from __future__ import annotations

from functools import cache
from math import pi, radians

from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section
from backstay.wall.axial import shaft_alpha, tip_clay, tip_sand_drilled
from backstay.wall.cantilever import CantileverStage, cantilever_stage
from backstay.wall.limits import Sums, levels
from backstay.wall.resistance import active_on
from backstay.wall.toe import ToeDesign, design_toe
from backstay.wall.toe_isolated import flow_clay, flow_sand, threefold_sand, wedge_clay, wedge_sand
from tests.verification.catalogue import Case

RULES = basis("FHWA-IF-99-015")
FT = 0.3048
KIP = 4.4482216152605
KCF = KIP / FT**3
KIP_FT = KIP / FT
DAS = "Das, Principles of Foundation Engineering"
REESE = "Reese, Cox and Koop 1974 (wedge and flow around a pile in sand; alpha phi/2, K0 0.4)"


def _section(strata: list[dict[str, object]], H: float, row: float, water: float) -> Section:
    return Section.model_validate(
        {
            "name": "case", "wall_length": 10.0,
            "ground": {"top": 0.0, "strata": strata, "water": {"retained": -water, "cut": -water}},
            "cut": {"subgrade": -H},
            "wall": {
                "kind": "continuous", "name": "sheet piles", "stiffness": 1e4,
                "section_modulus": 1000.0, "width": 0.3, "allowable_stress": 200.0,
            },
            "anchors": [{"elevation": -row}],
            "targets": {"toe_safety": 1.0},
        }
    )  # fmt: skip


def _sand(phi: float, gamma: float, gamma_sat: float) -> dict[str, object]:
    return {
        "name": "sand", "top": 0.0, "kind": "granular", "moist_unit_weight": gamma,
        "saturated_unit_weight": gamma_sat, "friction_angle": phi,
    }  # fmt: skip


def _thrust(section: Section) -> Sums:
    ground = profile(section)
    points = levels(ground, 0.0, ground.H, dug_to=ground.H)
    return active_on(points, "drained", 1.0, 0.0)


def _toe(section: Section, row: float, D: float | None) -> ToeDesign:
    """Free earth support: the share of the thrust that the toe has to hold, no safety."""
    ground = profile(section)
    H = ground.H
    P, moment = _thrust(section).to(H)
    return design_toe(
        section, ground, reaction=(moment - P * row) / (H - row), pile_width=1.0, spacing=1.0,
        toe=None if D is None else H + D, basis=RULES, isolated=False,
    )  # fmt: skip


CLAY_TOE = _section(
    [
        _sand(35.0, 17.0, 20.0),
        {
            "name": "clay", "top": -9.0, "kind": "stiff clay", "moist_unit_weight": 20.0,
            "saturated_unit_weight": 20.0, "undrained_strength": 41.0,
        },
    ],
    9.0, 1.5, 3.0,
)  # fmt: skip
SAND_TOE = _section([_sand(32.0, 15.9, 19.33)], 5.0, 1.0, 2.0)


def _anchor_force(section: Section, row: float) -> float:
    D = _toe(section, row, None).by_moment
    ground = profile(section)
    return _thrust(section).to(ground.H)[0] - _toe(section, row, D).resistance


@cache
def _cantilever() -> CantileverStage:
    section = _section([_sand(40.0, 0.12 * KCF, 0.067 * KCF + 9.81)], 30 * FT, 1.0, 10 * FT)
    return cantilever_stage(
        section, profile(section), dig_level=30 * FT, pile_width=1.0, spacing=1.0, stiffness=1e4,
        basis=RULES, isolated=False, passive_factor=1.0,
    )  # fmt: skip


def _nil_pressure() -> float:
    """Depth below the dig level where the net pressure changes sign (m)."""
    net = _cantilever().pressure
    for z1, z2, p1, p2 in net.segments():
        if z1 >= 30 * FT - 1e-9 and p1 > 0.0 >= p2:
            return z1 + (z2 - z1) * p1 / (p1 - p2) - 30 * FT
    raise AssertionError("net pressure keeps its sign")


def _net_thrust() -> float:
    return _cantilever().pressure.resultant(0.0, 30 * FT + _nil_pressure())


def _net_arm() -> float:
    bottom = 30 * FT + _nil_pressure()
    return -_cantilever().pressure.moment_about(bottom, 0.0, bottom) / _net_thrust()


_WALLS = (
    Case(
        "wall.das-97-thrust", "wall", "Active thrust above the dredge line", f"{DAS}, Ex 9.7",
        "published", "sand phi 35, gamma 17 and 20 kN/m3, 3 m above and 6 m below water",
        lambda: _thrust(CLAY_TOE).to(9.0)[0], 153.36, 0.01, "kN/m",
    ),
    Case(
        "wall.das-97-embedment", "wall", "Embedment of an anchored wall in clay, free earth support",
        f"{DAS}, Ex 9.7", "published", "clay c 41 kPa, anchor 1.5 m below the top (inferred)",
        lambda: _toe(CLAY_TOE, 1.5, None).by_moment, 1.54, 0.01, "m",
    ),
    Case(
        "wall.das-97-anchor", "wall", "Anchor force, free earth support", f"{DAS}, Ex 9.7",
        "published", "clay c 41 kPa, anchor 1.5 m below the top (inferred)",
        lambda: _anchor_force(CLAY_TOE, 1.5), 73.6, 0.01, "kN/m",
    ),
    Case(
        "wall.das-93-embedment", "wall", "Embedment of an anchored wall in sand, free earth support",
        f"{DAS}, Ex 9.3", "formula", "sand phi 32, gamma 15.9 and 19.33, L1 2, L2 3, anchor at 1 m",
        lambda: _toe(SAND_TOE, 1.0, None).by_moment, 2.010, 0.002, "m",
        note="the print gives 1.98 m through a slip; this follows from its inputs",
    ),
    Case(
        "wall.das-93-anchor", "wall", "Anchor force, free earth support in sand", f"{DAS}, Ex 9.3",
        "formula", "as above", lambda: _anchor_force(SAND_TOE, 1.0), 32.86, 0.002, "kN/m",
        note="the print gives 30.88 kN/m through a slip; this follows from its inputs",
    ),
    Case(
        "wall.das-91-nil-pressure", "wall", "Depth of nil net pressure below the dredge line",
        f"{DAS}, Ex 9.1", "published", "L1 10, L2 20 ft, gamma 0.12, gamma' 0.067 kcf, phi 40",
        lambda: _nil_pressure() / FT, 1.88, 0.003, "ft",
    ),
    Case(
        "wall.das-91-thrust", "wall", "Net thrust on a cantilever wall", f"{DAS}, Ex 9.1",
        "published", "as above", lambda: _net_thrust() / KIP_FT, 9.96, 0.003, "kip/ft",
    ),
    Case(
        "wall.das-91-arm", "wall", "Height of the net thrust above nil pressure", f"{DAS}, Ex 9.1",
        "published", "as above", lambda: _net_arm() / FT, 12.1, 0.003, "ft",
    ),
    Case(
        "wall.das-91-modulus", "wall", "Section modulus of a cantilever wall at 30 ksi",
        f"{DAS}, Ex 9.1", "published", "as above",
        lambda: _cantilever().moment / KIP * 12 / 30, 70.06, 0.003, "in3/ft",
    ),
)  # fmt: skip

_TABLE = (
    (1.0, 90.40, 580.97, 119.56),
    (2.0, 287.73, 1161.94, 239.12),
    (4.0, 1003.20, 2323.88, 478.25),
    (6.0, 2146.41, 3485.82, 717.37),
)
_PHI = radians(35.0)
_INPUTS = "gamma 18 kN/m3, b 0.6 m, phi 35"
_PILES = tuple(
    case
    for x, wedge, flow, width in _TABLE
    for case in (
        Case(
            f"wall.pile-wedge-{x:.0f}m", "wall", f"Wedge in front of a pile in sand, {x:.0f} m deep",
            REESE, "formula", _INPUTS, lambda x=x: wedge_sand(18 * x, x, 0.6, _PHI, 0.4),
            wedge, 0.0002, "kN/m",
        ),
        Case(
            f"wall.pile-flow-{x:.0f}m", "wall", f"Flow of sand around a pile, {x:.0f} m deep",
            REESE, "formula", _INPUTS, lambda x=x: flow_sand(18 * x, 0.6, _PHI, 0.4), flow,
            0.0002, "kN/m",
        ),
        Case(
            f"wall.pile-threefold-{x:.0f}m", "wall", f"Three pile widths, sand, {x:.0f} m deep",
            "Broms 1964", "formula", _INPUTS, lambda x=x: threefold_sand(18 * x, 0.6, _PHI, 0.0),
            width, 0.0002, "kN/m",
        ),
    )
)  # fmt: skip

_CLAY = (
    Case(
        "wall.pile-clay-surface", "wall", "Wedge of clay in front of a pile at the surface",
        "Reese 1958: 2 su over the width at the surface", "memory", "su 50 kPa, b 1 m",
        lambda: wedge_clay(0.0, 0.0, 1.0, 50.0), 100.0, 1e-9, "kN/m",
    ),
    Case(
        "wall.pile-clay-transition", "wall", "Depth at which flow of clay takes over from the wedge",
        "Reese, Cox and Koop 1975: x_r = 6 c b / (gamma b + 2.83 c) with 11 c b and 2 c b (9 c b)",
        "formula", "su 50 kPa, b 1 m, gamma 18 kN/m3: x = 9 c b / (gamma b + 2.83 c)",
        lambda: wedge_clay(18 * 450 / 159.5, 450 / 159.5, 1.0, 50.0) / flow_clay(1.0, 50.0), 1.0,
        1e-9, "",
    ),
    Case(
        "wall.axial-alpha-shaft", "wall", "Shaft resistance of a pile in clay", "agency example, alpha method",
        "published", "diameter 0.5 m, length 10 m, cu 60 kPa, alpha 0.6",
        lambda: pi * 0.5 * 10.0 * shaft_alpha(0.6, 60.0), 565.0, 0.002, "kN",
    ),
    Case(
        "wall.axial-tip-clay", "wall", "Unit tip resistance in clay at depth",
        "Skempton 1951: 9 cu at four diameters and more", "memory", "cu 100 kPa, 4 m deep, b 1 m",
        lambda: tip_clay(100.0, 4.0, 1.0), 900.0, 1e-9, "kPa",
    ),
    Case(
        "wall.axial-tip-sand", "wall", "Unit tip resistance of a drilled shaft in sand",
        "O'Neill and Reese 1999: 0.60 N tsf", "memory", "N 20: 12 tsf",
        lambda: tip_sand_drilled(20.0), 12 * 95.760518, 0.002, "kPa",
    ),
)  # fmt: skip

CASES = (*_WALLS, *_PILES, *_CLAY)
