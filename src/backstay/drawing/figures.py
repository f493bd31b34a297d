"""How numbers stand on a drawing: fixed decimals for lengths and elevations, units in words."""

from __future__ import annotations

from backstay.quantity import QUANTITIES, UnitSystem

_LENGTH = QUANTITIES["length"]


def length(value: float, units: UnitSystem) -> str:
    """Return a length or elevation in m or ft with two decimals, without its unit."""
    return f"{_LENGTH.shown(value, units) + 0.0:.2f}".replace("-0.00", "0.00")


def length_with_unit(value: float, units: UnitSystem) -> str:
    """Return a length with its unit: ``7.60 m``."""
    return f"{length(value, units)} {unit(units)}"


def unit(units: UnitSystem) -> str:
    """Return the unit of lengths: m or ft."""
    return _LENGTH.unit(units).label


def short(value: float, name: str, units: UnitSystem) -> str:
    """Return a given value as it was given: no trailing zeros, with its unit."""
    quantity = QUANTITIES[name]
    number = quantity.number(value, units)
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    label = quantity.unit(units).label
    return f"{number}{label}" if label in ("°", "%", "") else f"{number} {label}"
