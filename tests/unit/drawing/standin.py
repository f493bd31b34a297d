"""Sections as they would come out of a design, with made-up results, to draw without computing.

A drawing must be right whatever was computed, so these results are free to be extreme.
"""

from __future__ import annotations

from math import atan2, cos, pi, sin
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from backstay.anchors.schedule import anchors_along
from backstay.ground import profile
from backstay.model.project import Project, Section
from backstay.model.wall import SoldierPiles
from backstay.quantity import UnitSystem

EXAMPLES = Path(__file__).parents[3] / "examples"


def project(data: dict[str, Any]) -> Project:
    return Project.model_validate(data, context={"units": UnitSystem(data["units"])})


def example(name: str) -> dict[str, Any]:
    return YAML(typ="safe").load((EXAMPLES / name).read_text("utf-8"))


def overall_stand_in(H: float) -> Any:
    """Return overall stability with a circle that comes out ahead of the wall and starts far behind."""
    half = [i * pi / 40 for i in range(-12, 19)]
    x, y, R = 0.1 * H, 0.35 * H, 2.0 * H
    points = np.array([(x + R * sin(t), y - R * cos(t)) for t in half])
    result = SimpleNamespace(method="spencer", crack=0.0, surface=points)
    least = SimpleNamespace(F=1.4789, kind="circle", points=points, result=result)
    found = SimpleNamespace(minima=(least,), critical=least)
    stage = SimpleNamespace(title="final, undrained")
    return SimpleNamespace(stages=(SimpleNamespace(stage=stage, found=found, safety=least.F),))


def stand_in(section: Section) -> Any:
    """Return a section design with a plane surface at 60 degrees and plausible lengths."""
    ground = profile(section)
    H = ground.H
    x = H / 1.732
    anchors = []
    for i, row in enumerate(section.anchors, 1):
        z = section.depth(row.elevation)
        slant = (H - z) / (sin(row.inclination) + cos(row.inclination) * 1.732)
        setback = max(1.5, H / 5)
        free = max(4.5, slant + setback)
        bond = row.bond.length or 9.0
        run = cos(row.inclination) * cos(row.skew)
        anchors.append(
            SimpleNamespace(
                row=i, z=z, inclination=row.inclination, skew=row.skew,
                spacing=row.spacing or getattr(section.wall, "spacing", 2.0) * row.every,
                design_load=437.2, unbonded_length=free, bond_length=bond,
                bond_open=row.bond.by == "contractor", hole_diameter=row.bond.hole_diameter or 0.15,
                tendon=SimpleNamespace(title="4 x 15.24 mm strand, grade 270"),
                unbonded_rules=(
                    SimpleNamespace(name="beyond the critical surface", length=slant + setback),
                ),
                head=(0.0, z),
                free_end=(free * run, z + free * sin(row.inclination)),
                bond_end=((free + bond) * run, z + (free + bond) * sin(row.inclination)),
            )
        )  # fmt: skip
    toe = section.wall.toe
    toe_z = H + 0.35 * H if toe == "auto" else section.depth(toe)
    piles = isinstance(section.wall, SoldierPiles)
    return SimpleNamespace(
        section=section, ground=ground,
        surface=SimpleNamespace(points=((0.0, H), (x, 0.0)), angle=atan2(H, x)),
        anchors=tuple(anchors),
        overall=overall_stand_in(H),
        wall=SimpleNamespace(
            kind="soldier piles" if piles else "continuous",
            section_name=section.wall.section if piles else section.wall.name,
            toe=toe_z, embedment=toe_z - H, toe_width=0.6,
            spacing=section.wall.spacing if piles else 1.0,
            steel_title="steel", lagging=SimpleNamespace(thickness=0.1) if piles else None,
        ),
        schedule=SimpleNamespace(rows=tuple(
            SimpleNamespace(
                row=a.row, number=anchors_along(section.wall_length, a.spacing), spacing=a.spacing
            ) for a in anchors
        )),
    )  # fmt: skip


def crowded(rows: int, *, strata: int = 1, units: str = "SI", slope: float = 0.0) -> dict[str, Any]:
    """Return a project with many rows close together and thin strata."""
    return {
        "backstay": 1,
        "project": {"name": "Crowded cut", "engineer": "A. Example", "date": "2026-01-01"},
        "units": "SI",
        "service": {"life": "temporary"},
        "sections": [
            {
                "name": f"{rows} rows / {strata} strata",
                "wall_length": 41.0,
                "ground": {
                    "top": 50.0,
                    "slope": slope,
                    "strata": [
                        {
                            "name": f"Thin stratum of silty sand number {i + 1}",
                            "top": 50.0 - 0.7 * i,
                            "kind": ("granular", "soft clay", "stiff clay", "rock")[i % 4],
                            "description": "Brown laminated silty sand with shells",
                            "moist_unit_weight": 18.0,
                            "saturated_unit_weight": 20.0,
                            "friction_angle": 30,
                            "undrained_strength": 40.0,
                        }
                        for i in range(strata)
                    ],
                    "water": {
                        "retained": 47.0, "cut": 41.0, "perched": [{"level": 49.0, "base": 48.6}],
                    },
                },
                "surcharges": [
                    {"kind": "uniform", "name": "Yard", "pressure": 10},
                    {"kind": "strip", "name": "Crane track", "pressure": 60, "distance": 2, "width": 1.5},
                    {"kind": "line", "name": "Kerb", "load": 20, "distance": 5},
                    {"kind": "point", "name": "Prop foot", "load": 120, "distance": 7},
                    {"kind": "footing", "name": "Pad", "pressure": 150, "distance": 9, "width": 2,
                     "length": 2, "elevation": 49.0},
                ],
                "cut": {"subgrade": 42.0, "over_excavation": 0.4},
                "wall": {
                    "kind": "soldier piles", "section": "HEB300", "steel": "S355", "spacing": 2.0,
                    "hole_diameter": 0.8,
                },
                "anchors": [
                    {"elevation": 48.8 - 6.0 / max(rows - 1, 1) * i, "inclination": 15 + i % 3,
                     "skew": 10 if i == 1 else 0}
                    for i in range(rows)
                ],
                "constraints": {
                    "right_of_way": 16,
                    "obstacles": [
                        {"kind": "circle", "name": "Storm sewer", "diameter": 0.9,
                         "centre": {"distance": 3.5, "elevation": 47.9}},
                        {"kind": "circle", "name": "Gas main", "diameter": 0.3,
                         "centre": {"distance": 4.6, "elevation": 48.9}},
                        {"kind": "polygon", "name": "Cable duct", "points": [
                            {"distance": 6, "elevation": 48.5}, {"distance": 7, "elevation": 48.5},
                            {"distance": 7, "elevation": 47.8}, {"distance": 6, "elevation": 47.8}]},
                    ],
                },
                "buildings": [{"name": "Warehouse 4", "near": 12, "far": 40, "height": 9}],
            }
        ],
    }  # fmt: skip
