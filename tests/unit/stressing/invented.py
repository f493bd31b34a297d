"""An invented anchor and an invented jack that tests of load tests vary."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.record import TestedAnchor

DAY = date(2026, 3, 2)
ANCHOR = TestedAnchor(
    name="A-1-001", design_load=450.0, lock_off_load=360.0, area=420e-6, modulus=195e6,
    strength=782.1, free_length=6.0, jack_length=0.0, bond_length=8.0, hole_diameter=0.15,
    ground=("granular",), creeps=False, grouting="gravity", service="temporary",
)  # fmt: skip
"""Three strands of 140 mm2; at 1.33 its test load is 598.5 kN, its alignment load 45 kN."""


def line(
    slope: float = 0.0118, start: float = 1.0, most: float = 70e3
) -> tuple[CalibrationPoint, ...]:
    """Return points of a certificate on one straight line: load (kN) by pressure (kPa)."""
    return tuple(CalibrationPoint(most * k / 7, start + slope * most * k / 7) for k in range(1, 8))


def anchor(**changes: Any) -> TestedAnchor:
    return replace(ANCHOR, **changes)


def jack(**changes: Any) -> Jack:
    """Return the jack with changes, those of its certificate among them."""
    paper: dict[str, Any] = {
        "certificate": "C-17", "on": date(2026, 1, 5), "expires": date(2027, 1, 5), "points": line()
    }  # fmt: skip
    paper |= {key: changes.pop(key) for key in list(changes) if key in paper}
    whole: dict[str, Any] = {
        "name": "J-2", "gauge": "G-5", "ram_area": 0.0121, "capacity": 900.0, "stroke": 0.25
    }  # fmt: skip
    return Jack(calibration=Calibration(**paper), **(whole | changes))
