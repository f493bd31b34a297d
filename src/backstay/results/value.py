"""The common form of every part of the result, and a number with its unit."""

from __future__ import annotations

from math import isfinite

from pydantic import BaseModel, ConfigDict

from backstay.quantity import QUANTITIES, Quantity, UnitSystem


class Result(BaseModel):
    """The common form: closed to unknown fields."""

    model_config = ConfigDict(extra="forbid")


class Value(Result):
    """A number with its unit; null where it is infinite or does not apply."""

    value: float | None
    unit: str


def finite(number: float | None) -> float | None:
    """Return the number, or None where it is not finite: JSON has no infinity."""
    return number if number is not None and isfinite(number) else None


def valued(number: float, quantity: Quantity | str, units: UnitSystem) -> Value:
    """Return an internal number with its unit in a unit system."""
    known = QUANTITIES[quantity] if isinstance(quantity, str) else quantity
    return Value(value=finite(float(known.shown(number, units))), unit=known.unit(units).label)
