"""How far numbers on site go: beyond is a slip of the pen, or a unit that nobody measures in.

The bounds are far from anything that is built; what is merely unlikely is told by the judgement.
"""

from __future__ import annotations

from collections.abc import Mapping

from backstay.quantity import QUANTITIES, UnitSystem

MOST: Mapping[str, float] = {
    "length": 500.0, "small length": 5.0, "force": 1e5, "gauge pressure": 3e5, "section area": 1.0,
    "steel modulus": 1e9, "strength": 1e6, "volume": 1e3, "minutes": 1e7, "ratio": 100.0,
}  # fmt: skip
"""Greatest value of each quantity in an entry (internal units: m, kN, kPa, minutes)."""


def beyond(name: str, value: float, units: UnitSystem) -> str:
    """Return what is accepted where a value lies beyond all reach, else nothing."""
    most = MOST.get(name)
    if most is None or abs(value) <= most:
        return ""
    return f"at most {QUANTITIES[name].text(most, units)}"
