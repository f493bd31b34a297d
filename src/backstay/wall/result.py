"""The result of the work on the wall."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check
from backstay.trace import Step
from backstay.wall.actions import Actions
from backstay.wall.cantilever import CantileverStage
from backstay.wall.head import HeadConnection
from backstay.wall.lagging import LaggingDesign


@dataclass(frozen=True, slots=True)
class WallDesign:
    """The wall at one section.

    section_name: rolled section (or the name of a continuous wall); spacing: of piles (m; 1 for
    a continuous wall, whose forces are per metre); fy: yield stress (kPa; nil for a continuous
    wall, which is given by its allowable stress); design_moment (kNm), design_shear, axial (kN):
    per pile, or per metre; embedment: of the toe below subgrade (m); toe: its depth (m);
    toe_width: width of pile or hole that bears (m); hole_diameter: of a drilled hole, given or
    what the section needs (m), else None.
    """

    kind: Literal["soldier piles", "continuous"]
    section_name: str
    arrangement: Literal["single", "double", "continuous"]
    spacing: float
    steel_title: str
    fy: float
    closed_form: Actions
    continuous: Actions
    design_moment: float
    design_shear: float
    axial: float
    embedment: float
    toe: float
    embedment_required: float
    toe_width: float
    hole_diameter: float | None
    lagging: LaggingDesign | None
    cantilever: CantileverStage
    head: HeadConnection | None
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]
