"""An invented submittal that tests vary, for the invented section of the anchors."""

from __future__ import annotations

from functools import cache
from json import dumps, loads
from typing import Any

from backstay.design import Design, design
from backstay.model.project import Project
from backstay.model.submittal import Submittal
from backstay.model.submittal_reading import submittal_from
from backstay.quantity import UnitSystem
from tests.unit.anchors.example import BASE, ROW, merged

SUBMITTAL: dict[str, Any] = {
    "submittal": "S-3", "units": "SI", "part": "A", "rows": [1], "free_length": 7.0,
    "tendon": {
        "kind": "strand", "product": "ASTM 15.24", "strands": 3,
        "certificate": {"number": "M-1", "area": 140.6, "modulus": 196.0, "strength": 268.0},
    },
    "bond": {"length": 8.0, "hole_diameter": 150, "grouting": "gravity"},
    "protection": "class II",
    "head": {"locked_by": "wedges", "draw_in": 4, "tail_length": 1.2},
    "grout": {"water_cement": 0.45, "strength": 32, "age": 7},
    "jack": {
        "name": "J-2", "gauge": "G-5", "ram_area": 12100, "capacity": 900, "stroke": 250,
        "gauge_range": 700, "gauge_graduation": 5,
        "calibration": {
            "certificate": "C-17", "on": "2026-02-10", "expires": "2027-02-10",
            "points": [{"pressure": 100 * k, "load": 118 * k} for k in range(1, 8)],
        },
    },
    "test": {
        "factor": 1.33, "alignment_share": 0.10, "dial_travel": 150, "dial_graduation": 0.01,
        "reference": "independent of the wall", "first_test": "2026-03-02",
    },
    "sequence": {"dig_below": "after acceptance", "fresh_distance": 3.0},
}  # fmt: skip


def submittal(changes: dict[str, Any] | None = None, *without: str) -> Submittal:
    """Return the submittal with changes laid over it, and without some of its parts."""
    data = merged(SUBMITTAL, changes or {})
    for path in without:
        *ahead, last = path.split(".")
        holder = data
        for key in ahead:
            holder = holder[key]
        del holder[last]
    return submittal_from(data)


def design_of(row: dict[str, Any] | None = None) -> Design:
    """Return the design of the invented section, 8.5 m high, whose bond is left to the contractor."""
    return _design(dumps(row or {}))


@cache
def _design(row: str) -> Design:
    section = merged(BASE, {"cut": {"subgrade": 91.5}})
    open_bond = merged(ROW, {"bond": {"length": None, "grouting": "open"}})
    section["anchors"] = [merged(open_bond, loads(row))]
    project = Project.model_validate(
        {
            "backstay": 1, "project": {"name": "Invented"}, "units": "SI",
            "service": {"life": "temporary", "months": 18}, "sections": [section],
        },
        context={"units": UnitSystem.SI},
    )  # fmt: skip
    return design(project, slip_surfaces="leave out")
