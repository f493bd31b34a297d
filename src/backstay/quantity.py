"""Physical quantities: what a number means, and how it is shown in SI or US customary units.

Inside Backstay every number is a plain float in one consistent system: kN, m, kPa, kN/m3,
radians. A `Quantity` names the kind of number and knows the unit, the factor and the precision
with which it is shown in either system. Formulas annotate their arguments with the aliases at
the foot of this file (`Length`, `Stress`, ...), so that a report can put units on every number.

Parsing text such as ``30 ft`` happens at the door alone (`backstay.model.units`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import floor, isfinite, log10, pi
from typing import Annotated


class UnitSystem(StrEnum):
    """The system in which numbers are read and shown."""

    SI = "SI"
    US = "US"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit in which a quantity is shown.

    label: as printed; factor: shown value = internal value x factor; digits: significant digits;
    pint: the same unit as the parser spells it; read: decimals to which it is read on site, None
    where any number may be: one more is shown at most, and only where it is not nought.
    """

    label: str
    factor: float
    digits: int
    pint: str
    read: int | None = None

    def write(self, shown: float) -> str:
        """Format a shown value to as many digits as say something."""
        text = significant(shown, self.digits)
        if self.read is None or len(text.partition(".")[2]) <= self.read:
            return text
        finest = f"{shown:.{self.read + 1}f}"
        if float(finest) == 0.0:  # less than can be read, and not nought
            return significant(shown, 1)
        shorter = min(text, finest, key=len)
        whole, _, decimals = shorter.partition(".")
        return f"{whole}.{decimals[: self.read]}{decimals[self.read :].rstrip('0')}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A kind of number: its name, and its unit in either system."""

    name: str
    si: Unit
    us: Unit

    def unit(self, system: UnitSystem) -> Unit:
        """Return the unit of this quantity in `system`."""
        return self.si if system is UnitSystem.SI else self.us

    def shown(self, value: float, system: UnitSystem) -> float:
        """Convert an internal value to the shown unit (unrounded)."""
        return value * self.unit(system).factor

    def internal(self, shown: float, system: UnitSystem) -> float:
        """Convert a value in the shown unit to the internal unit."""
        return shown / self.unit(system).factor

    def number(self, value: float, system: UnitSystem) -> str:
        """Format an internal value, without its unit; counts are whole where they are."""
        if self.name == "count" and isfinite(value) and value == round(value):
            return f"{value:.0f}"
        unit = self.unit(system)
        return unit.write(value * unit.factor)

    def text(self, value: float, system: UnitSystem) -> str:
        """Format an internal value with its unit."""
        label = self.unit(system).label
        number = self.number(value, system)
        if not label:
            return number
        return f"{number}{label}" if label in ("°", "%") else f"{number} {label}"


def significant(value: float, digits: int) -> str:
    """Format `value` to significant digits in plain decimals, never with an exponent.

    Whole digits are never rounded away: 12345 to three digits stays 12345.
    Infinity is spelt as a person would write it.
    """
    if not isfinite(value):
        return "∞" if value > 0 else ("-∞" if value < 0 else "undefined")
    if value == 0:
        return "0"
    places = max(0, digits - 1 - floor(log10(abs(value)) + 1e-12))
    shown = f"{value:.{min(places, 12)}f}"
    return "0" if float(shown) == 0.0 else shown


_KIP = 4.4482216152605
_FT = 0.3048
_IN = 0.0254
_LB_MASS = 0.45359237
_MIN_PER_MONTH = 30.4375


def _quantity(
    name: str,
    si: tuple[str, float, int, str],
    us: tuple[str, float, int, str] | None = None,
    *,
    read: tuple[int | None, int | None] = (None, None),
) -> Quantity:
    return Quantity(name, Unit(*si, read=read[0]), Unit(*(us or si), read=read[1]))


QUANTITIES: dict[str, Quantity] = {
    q.name: q
    for q in (
        _quantity("ratio", ("", 1.0, 4, "dimensionless")),
        _quantity(
            "share of the design load",
            ("of the design load", 1.0, 4, "dimensionless"),
            read=(2, 2),
        ),
        _quantity("percent", ("%", 100.0, 3, "percent")),
        _quantity("count", ("", 1.0, 3, "dimensionless")),
        _quantity("angle", ("°", 180.0 / pi, 4, "degree")),
        _quantity("length", ("m", 1.0, 4, "m"), ("ft", 1 / _FT, 4, "ft")),
        _quantity(
            "small length", ("mm", 1e3, 4, "mm"), ("in", 1 / _IN, 4, "inch"), read=(2, 3)
        ),  # as dials are read
        _quantity("area", ("m²", 1.0, 4, "m**2"), ("ft²", 1 / _FT**2, 4, "ft**2")),
        _quantity("section area", ("mm²", 1e6, 4, "mm**2"), ("in²", 1 / _IN**2, 4, "inch**2")),
        _quantity(
            "section area per length",
            ("cm²/m", 1e4, 4, "cm**2/m"),
            ("in²/ft", _FT / _IN**2, 4, "inch**2/ft"),
        ),
        _quantity("volume", ("m³", 1.0, 3, "m**3"), ("yd³", 1 / 0.9144**3, 3, "yard**3")),
        _quantity("section modulus", ("cm³", 1e6, 4, "cm**3"), ("in³", 1 / _IN**3, 4, "inch**3")),
        _quantity(
            "section modulus per length",
            ("cm³/m", 1e6, 4, "cm**3/m"),
            ("in³/ft", _FT / _IN**3, 4, "inch**3/ft"),
        ),
        _quantity("inertia", ("cm⁴", 1e8, 4, "cm**4"), ("in⁴", 1 / _IN**4, 4, "inch**4")),
        _quantity(
            "bending stiffness",
            ("kN·m²", 1.0, 4, "kN*m**2"),
            ("kip·ft²", 1 / (_KIP * _FT**2), 4, "kip*ft**2"),
        ),
        _quantity(
            "bending stiffness per length",
            ("kN·m²/m", 1.0, 4, "kN*m**2/m"),
            ("kip·ft²/ft", 1 / (_KIP * _FT), 4, "kip*ft**2/ft"),
        ),
        _quantity("force", ("kN", 1.0, 4, "kN"), ("kip", 1 / _KIP, 4, "kip")),
        _quantity(
            "force per length", ("kN/m", 1.0, 4, "kN/m"), ("kip/ft", _FT / _KIP, 4, "kip/ft")
        ),
        _quantity("moment", ("kN·m", 1.0, 4, "kN*m"), ("kip·ft", 1 / (_KIP * _FT), 4, "kip*ft")),
        _quantity(
            "moment per length", ("kN·m/m", 1.0, 4, "kN*m/m"), ("kip·ft/ft", 1 / _KIP, 4, "kip")
        ),
        _quantity("stress", ("kPa", 1.0, 4, "kPa"), ("psf", 1000 * _FT**2 / _KIP, 4, "lbf/ft**2")),
        _quantity("bond stress", ("kPa", 1.0, 4, "kPa"), ("psi", 1000 * _IN**2 / _KIP, 4, "psi")),
        _quantity(
            "gauge pressure", ("bar", 0.01, 4, "bar"), ("psi", 1000 * _IN**2 / _KIP, 4, "psi")
        ),
        _quantity("strength", ("MPa", 1e-3, 4, "MPa"), ("ksi", _IN**2 / _KIP, 4, "ksi")),
        _quantity("modulus", ("MPa", 1e-3, 4, "MPa"), ("ksf", _FT**2 / _KIP, 4, "kip/ft**2")),
        _quantity("steel modulus", ("GPa", 1e-6, 4, "GPa"), ("ksi", _IN**2 / _KIP, 5, "ksi")),
        _quantity(
            "unit weight",
            ("kN/m³", 1.0, 4, "kN/m**3"),
            ("pcf", 1000 * _FT**3 / _KIP, 4, "lbf/ft**3"),
        ),
        _quantity(
            "stress gradient",
            ("kPa/m", 1.0, 4, "kPa/m"),
            ("psf/ft", 1000 * _FT**3 / _KIP, 4, "lbf/ft**3"),
        ),
        _quantity(
            "subgrade modulus",
            ("MN/m³", 1e-3, 4, "MN/m**3"),
            ("kcf", _FT**3 / _KIP, 4, "kip/ft**3"),
        ),
        _quantity(
            "subgrade modulus gradient",
            ("MN/m⁴", 1e-3, 4, "MN/m**4"),
            ("kcf/ft", _FT**4 / _KIP, 4, "kip/ft**4"),
        ),
        _quantity(
            "support stiffness",
            ("MN/m²", 1e-3, 4, "MN/m**2"),
            ("kip/ft/ft", _FT**2 / _KIP, 4, "kip/ft**2"),
        ),
        _quantity("mass", ("kg", 1.0, 4, "kg"), ("lb", 1 / _LB_MASS, 4, "lb")),
        _quantity(
            "mass per length", ("kg/m", 1.0, 4, "kg/m"), ("lb/ft", _FT / _LB_MASS, 4, "lb/ft")
        ),
        _quantity("duration", ("months", 1.0, 3, "month")),
        _quantity("minutes", ("min", 1.0, 3, "minute")),
        _quantity("strain", ("%", 100.0, 3, "percent")),
        _quantity("permeability", ("m/s", 1.0, 3, "m/s"), ("ft/s", 1 / _FT, 3, "ft/s")),
    )
}


def quantity(name: str) -> Quantity:
    """Return the quantity called `name`; raise LookupError with the choices if unknown."""
    try:
        return QUANTITIES[name]
    except KeyError:
        raise LookupError(f"no quantity {name!r}; there are: {', '.join(QUANTITIES)}") from None


Ratio = Annotated[float, QUANTITIES["ratio"]]
ShareOfDesignLoad = Annotated[float, QUANTITIES["share of the design load"]]
Percent = Annotated[float, QUANTITIES["percent"]]
Count = Annotated[float, QUANTITIES["count"]]
Angle = Annotated[float, QUANTITIES["angle"]]
Length = Annotated[float, QUANTITIES["length"]]
SmallLength = Annotated[float, QUANTITIES["small length"]]
Area = Annotated[float, QUANTITIES["area"]]
SectionArea = Annotated[float, QUANTITIES["section area"]]
SectionAreaPerLength = Annotated[float, QUANTITIES["section area per length"]]
Volume = Annotated[float, QUANTITIES["volume"]]
SectionModulus = Annotated[float, QUANTITIES["section modulus"]]
SectionModulusPerLength = Annotated[float, QUANTITIES["section modulus per length"]]
Inertia = Annotated[float, QUANTITIES["inertia"]]
BendingStiffness = Annotated[float, QUANTITIES["bending stiffness"]]
BendingStiffnessPerLength = Annotated[float, QUANTITIES["bending stiffness per length"]]
Force = Annotated[float, QUANTITIES["force"]]
ForcePerLength = Annotated[float, QUANTITIES["force per length"]]
Moment = Annotated[float, QUANTITIES["moment"]]
MomentPerLength = Annotated[float, QUANTITIES["moment per length"]]
Stress = Annotated[float, QUANTITIES["stress"]]
BondStress = Annotated[float, QUANTITIES["bond stress"]]
GaugePressure = Annotated[float, QUANTITIES["gauge pressure"]]
Strength = Annotated[float, QUANTITIES["strength"]]
Modulus = Annotated[float, QUANTITIES["modulus"]]
SteelModulus = Annotated[float, QUANTITIES["steel modulus"]]
UnitWeight = Annotated[float, QUANTITIES["unit weight"]]
StressGradient = Annotated[float, QUANTITIES["stress gradient"]]
SubgradeModulus = Annotated[float, QUANTITIES["subgrade modulus"]]
SubgradeModulusGradient = Annotated[float, QUANTITIES["subgrade modulus gradient"]]
SupportStiffness = Annotated[float, QUANTITIES["support stiffness"]]
Mass = Annotated[float, QUANTITIES["mass"]]
MassPerLength = Annotated[float, QUANTITIES["mass per length"]]
Duration = Annotated[float, QUANTITIES["duration"]]
Minutes = Annotated[float, QUANTITIES["minutes"]]
Strain = Annotated[float, QUANTITIES["strain"]]
