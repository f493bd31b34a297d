"""Vertical load of one pile, weighed by hand."""

from __future__ import annotations

from math import pi, sin

import pytest

from backstay.design import design
from backstay.model import read_project
from tests.laws.test_design_laws import EXAMPLES

DEMO = next(path for path in EXAMPLES if path.stem == "two-row-sand")


def test_vertical_load_is_anchors_pile_filling_and_lagging() -> None:
    """HP12x63 (93.8 kg/m, 18.4 in2: published) in 30 in of concrete of 23.5 kN/m3, timber of 8."""
    project = read_project(DEMO)
    section = project.sections[0]
    wall = section.wall.model_copy(update={"section": "HP12x63", "hole_diameter": 0.762})
    s = design(
        project.model_copy(update={"sections": (section.model_copy(update={"wall": wall}),)})
    ).sections[0]
    assert s.wall.lagging is not None
    assert s.wall.lagging.thickness is not None
    spacing, H = 8 * 0.3048, 32 * 0.3048
    anchors = sum(a.design_load * sin(a.inclination) for a in s.anchors)
    per_metre = 93.8 * 9.81e-3 + 23.5 * (pi * 0.762**2 / 4 - 18.4 * 0.0254**2)
    lagging = 8.0 * s.wall.lagging.thickness * spacing * H
    by_hand = anchors + per_metre * (H + s.wall.embedment) + lagging
    found = next(c for c in s.wall.checks if c.id == "wall.vertical-capacity")
    assert found.demand == pytest.approx(by_hand, rel=5e-3)
