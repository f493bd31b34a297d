"""The anchor head connection: bearing plate, wedge for the inclination, stiffeners, welds, waler."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check
from backstay.trace import Step


@dataclass(frozen=True, slots=True)
class HeadConnection:
    """The head of the most heavily loaded anchor; lengths in m, angles in rad.

    row: whose anchor it is; force: carried, along the anchor (kN); inclination, skew: of the
    anchor; plate_width, plate_height, plate_thickness: bearing plate; plate_span: between its
    supports; opening: clear opening under the plate; wedge_angle: between plate and wall face;
    wedge_thin, wedge_thick: depth of the wedge (or of the seat) at its two ends; seat_thickness,
    seat_height: of each of the two side plates that carry the plate to the flange; weld_size,
    weld_length: fillet legs and their total length; web_plate_thickness: of the two plates that
    replace a cut web (0 where nothing is cut); waler_modulus: section modulus of a waler (m3; 0
    where there is none); notes: in words.
    """

    arrangement: Literal["between pair", "cut through", "bracket", "waler"]
    row: int
    force: float
    inclination: float
    skew: float
    plate_width: float
    plate_height: float
    plate_thickness: float
    plate_span: float
    opening: float
    wedge_angle: float
    wedge_thin: float
    wedge_thick: float
    seat_thickness: float
    seat_height: float
    weld_size: float
    weld_length: float
    web_plate_thickness: float
    waler_modulus: float
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]
