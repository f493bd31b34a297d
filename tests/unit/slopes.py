"""Slopes to test presenters with: the example, and others made from it."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from backstay.model import Project, read_text

EXAMPLE = Path(__file__).parents[2] / "examples" / "slopes" / "landslide-three-rows.yaml"


def _load() -> dict[str, Any]:
    found: dict[str, Any] = YAML(typ="safe").load(EXAMPLE.read_text("utf-8"))
    return found


def read(data: dict[str, Any]) -> Project:
    """Return a project from its plain data."""
    return read_text(json.dumps(data, default=str))


def changed(**changes: Any) -> dict[str, Any]:
    """Return the example with entries of its slope replaced; None takes one out."""
    data = _load()
    slope = data["slopes"][0]
    for key, value in changes.items():
        if value is None:
            slope.pop(key, None)
        elif isinstance(value, dict) and isinstance(slope.get(key), dict) and key != "waler":
            slope[key] = {**slope[key], **value}
        else:
            slope[key] = value
    return data


def mirrored(data: dict[str, Any], about: float = 110.0) -> dict[str, Any]:
    """Return the same slope sliding to the right."""
    data = copy.deepcopy(data)
    slope = data["slopes"][0]

    def turned(points: list[dict[str, float]]) -> list[dict[str, float]]:
        return [{**p, "x": about - p["x"]} for p in reversed(points)]

    for key in ("profile", "water", "design_water"):
        if key in slope:
            slope[key] = turned(slope[key])
    for stratum in slope["strata"]:
        if "top_line" in stratum:
            stratum["top_line"] = turned(stratum["top_line"])
    slope["slip_surface"]["points"] = turned(slope["slip_surface"]["points"])
    slope["anchors"]["heads"] = [{**p, "x": about - p["x"]} for p in slope["anchors"]["heads"]]
    for load in slope.get("surcharges", ()):
        if load["kind"] == "strip":
            load["from_x"], load["to_x"] = about - load["to_x"], about - load["from_x"]
    return data


CONCRETE = {
    "kind": "concrete", "seat": "square to the anchor", "width": 1.4, "thickness": 0.7,
    "effective_depth": 0.62, "concrete": 35, "reinforcement": "3200 mm**2", "links": "16 cm**2/m",
    "yield_stress": 500,
}  # fmt: skip
STEEL = {"kind": "steel", "width": 0.8, "section": "HEB240", "steel": "S355"}
LOADS = [
    {"kind": "strip", "name": "Road", "pressure": 12, "from_x": 69, "to_x": 77},
    {"kind": "line", "name": "Fence", "load": 20, "x": 80},
    {"kind": "uniform", "name": "Stores", "pressure": 2},
]
PILES = [{"name": "Dowels", "x": 28, "top": 104, "bottom": 94, "capacity": 30}]
HEADS = [
    {"x": x, "elevation": round(y, 2)}
    for x, y in ((57, 118.05), (53, 115.95), (49, 113.8), (45, 111.8), (41, 110.05), (37, 108.3), (33, 106.5))
]  # fmt: skip

CASES: dict[str, dict[str, Any]] = {
    "example": _load(),
    "to the right": mirrored(_load()),
    "beam of concrete, loads, piles": changed(
        pad=None, waler=CONCRETE, surcharges=LOADS, piles=PILES, slips_target=2.05,
        anchors={"bond": {"by": "contractor", "hole_diameter": 165}},
    ),
    "beam of steel, one row": changed(
        pad=None, waler=STEEL,
        anchors={"heads": HEADS[3:4], "greatest_load": 2500, "spacing_least": 1.5, "inclination": 20},
    ),
    "crowded": changed(anchors={"heads": HEADS}),
    "no anchors needed": changed(movement={"safety": 1.7}, earthquake=None),
}  # fmt: skip
"""By name, as plain data of a project file."""
