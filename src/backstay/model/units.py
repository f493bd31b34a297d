"""Numbers at the door: a bare number is in the project's unit; text may carry its own unit.

``30`` in a US project is 30 ft where a length is wanted; ``30 ft``, ``9.2 m``, ``115 pcf``,
``3 ksf`` or ``20 deg`` mean what they say in any project. pint is loaded only when text has to
be parsed, because loading it costs more than the whole design.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo
from pydantic_core import PydanticCustomError

from backstay.quantity import QUANTITIES, Quantity, UnitSystem

if TYPE_CHECKING:
    from pint import UnitRegistry

CONTEXT_UNITS = "units"
"""Key of the validation context that holds the project's `UnitSystem`."""

_NUMBER_WITH_UNIT = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*(\S.{0,40})?")
_FEET_INCHES = re.compile(
    r"\s*([-+]?)(\d{1,6}) ?(?:'|’|′|ft) ?-? ?(\d{1,2}(?:\.\d*)?) ?(?:\"|”|″|''|in)\s*"
)
_FOOT = 0.3048
_NIL = 1e-15
"""Less than this, in internal units, is nil: nobody means it, and quotients by it overflow."""

_TRADE_UNITS = (
    "psf = lbf / foot ** 2", "ksf = kip / foot ** 2", "tsf = 2000 * lbf / foot ** 2",
    "pcf = lbf / foot ** 3", "kcf = kip / foot ** 3", "plf = lbf / foot", "klf = kip / foot",
)  # fmt: skip
_POWER = re.compile(r"(?<=[a-z])([234])\b")
"""A power written plainly: ft3, in2, mm4."""
_POUND = re.compile(r"\b(?:lbs?|pounds?)\b")


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Any]:
    import pint

    registry: UnitRegistry[Any] = pint.UnitRegistry(cache_folder=None)
    for line in _TRADE_UNITS:
        if line.split(" = ", 1)[0] not in registry:
            registry.define(line)
    return registry


def _plain(unit: str) -> str:
    """Spell a unit without raised digits, degree signs and dots."""
    for sign, plain in (
        ("°", "degree"),
        ("²", "**2"),
        ("³", "**3"),
        ("⁴", "**4"),
        ("·", "*"),
        ("^", "**"),
    ):
        unit = unit.replace(sign, plain)
    return {"'": "ft", "’": "ft", "′": "ft", '"': "inch", "”": "inch", "″": "inch"}.get(unit, unit)


@lru_cache(maxsize=512)
def _to_internal(unit: str, quantity: Quantity) -> float | None:
    """Return the factor from `unit` to the internal unit, or None if it is no such unit.

    The two units that the quantity is shown in need no parser.
    """
    plain = _plain(unit)
    for own in (quantity.si, quantity.us):
        if plain in (_plain(own.label), own.pint, _plain(own.label).replace("**", "")):
            return 1.0 / own.factor
    raised = _POWER.sub(r"**\1", plain)
    for spelling in dict.fromkeys(
        (plain, raised, _POUND.sub("lbf", raised))
    ):  # "lb" is a force where a force is wanted
        in_si = _factor(spelling, quantity.si.pint)
        if in_si is not None:
            return in_si / quantity.si.factor
    return None


def _factor(unit: str, wanted: str) -> float | None:
    """Return the factor between two units as the unit library sees it, or None."""
    if not re.fullmatch(r"[A-Za-z%][A-Za-z0-9*/ .()%-]{0,40}", unit) or re.search(
        r"\*\*\s*\d\d", unit
    ):
        return None
    try:
        return float(_registry().Quantity(1.0, unit).to(wanted).magnitude)
    except Exception:  # the parser of the library fails in many ways on what is not a unit
        return None


def accepted(quantity: Quantity, units: UnitSystem) -> str:
    """Say what a field of this quantity accepts: ``a number in ft, or text such as "30 ft"``."""
    label = quantity.unit(units).label.replace("°", "deg")
    if not label:
        return "a number"
    if quantity.name.startswith("share of"):
        return f"a {quantity.name}, such as 0.9 or 90%"
    return f'a number in {quantity.unit(units).label}, or text with a unit, such as "12 {label}"'


def parse(value: Any, quantity: Quantity, units: UnitSystem) -> float:
    """Return the internal value of what stands in the file.

    Raises PydanticCustomError with what was read and what is accepted.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise _refusal("not_a_quantity", value, quantity, units)
    if isinstance(value, str):
        feet = _feet_and_inches(value) if quantity.name in ("length", "small length") else None
        if feet is not None:
            return feet
        match = _NUMBER_WITH_UNIT.fullmatch(value)
        if match is None or (match[2] or "").startswith(","):
            raise _refusal("not_a_quantity", value, quantity, units)
        number, unit = float(match[1]), (match[2] or "").strip()
        if unit:
            factor = _to_internal(unit, quantity)
            if factor is None:
                raise _refusal("wrong_unit", value, quantity, units)
            return _finite(number * factor, value, quantity, units)
        value = number
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    return _finite(quantity.internal(number, units), value, quantity, units)


def _feet_and_inches(text: str) -> float | None:
    """Return the length (m) of text such as ``12'-6"`` or ``12 ft 6 in``, or None."""
    match = _FEET_INCHES.fullmatch(text)
    if match is None:
        return None
    feet = int(match[2]) + float(match[3]) / 12.0
    return (-feet if match[1] == "-" else feet) * _FOOT


def _finite(number: float, read: Any, quantity: Quantity, units: UnitSystem) -> float:
    if not math.isfinite(number):
        raise _refusal("not_finite", read, quantity, units)
    return number if abs(number) > _NIL else 0.0


def _refusal(kind: str, value: Any, quantity: Quantity, units: UnitSystem) -> PydanticCustomError:
    reasons = {
        "not_a_quantity": _not_a_number(value),
        "wrong_unit": f"this is not a {quantity.name}"
        if quantity.name.startswith("share of")
        else f"this is not a unit of {quantity.name}",
        "not_finite": "the number must be finite",
    }
    return PydanticCustomError(
        kind, "{reason}; accepted: {accepted}",
        {"reason": reasons[kind], "accepted": accepted(quantity, units)},
    )  # fmt: skip


def _not_a_number(value: Any) -> str:
    if isinstance(value, str) and re.match(r"\s*[-+]?\d+,\d", value):
        thousands = re.match(r"\s*[-+]?\d{1,3}(,\d{3})+(?!\d)", value)
        return "write thousands without a comma" if thousands else "the decimal sign is a point"
    return "this is not a number"


class _Door:
    """Build the validator of one quantity."""

    def __new__(cls, name: str) -> Any:
        quantity = QUANTITIES[name]

        def read(value: Any, info: ValidationInfo) -> float:
            context = info.context or {}
            return parse(value, quantity, context.get(CONTEXT_UNITS, UnitSystem.SI))

        return BeforeValidator(read, json_schema_input_type=float | str)


Length = Annotated[float, QUANTITIES["length"], _Door("length")]
SmallLength = Annotated[float, QUANTITIES["small length"], _Door("small length")]
Angle = Annotated[float, QUANTITIES["angle"], _Door("angle")]
Stress = Annotated[float, QUANTITIES["stress"], _Door("stress")]
BondStress = Annotated[float, QUANTITIES["bond stress"], _Door("bond stress")]
GaugePressure = Annotated[float, QUANTITIES["gauge pressure"], _Door("gauge pressure")]
SteelModulus = Annotated[float, QUANTITIES["steel modulus"], _Door("steel modulus")]
Strength = Annotated[float, QUANTITIES["strength"], _Door("strength")]
Modulus = Annotated[float, QUANTITIES["modulus"], _Door("modulus")]
UnitWeight = Annotated[float, QUANTITIES["unit weight"], _Door("unit weight")]
StressGradient = Annotated[float, QUANTITIES["stress gradient"], _Door("stress gradient")]
SubgradeModulus = Annotated[float, QUANTITIES["subgrade modulus"], _Door("subgrade modulus")]
SubgradeModulusGradient = Annotated[
    float, QUANTITIES["subgrade modulus gradient"], _Door("subgrade modulus gradient")
]
SupportStiffness = Annotated[float, QUANTITIES["support stiffness"], _Door("support stiffness")]
Force = Annotated[float, QUANTITIES["force"], _Door("force")]
ForcePerLength = Annotated[float, QUANTITIES["force per length"], _Door("force per length")]
SectionArea = Annotated[float, QUANTITIES["section area"], _Door("section area")]
SectionAreaPerLength = Annotated[
    float, QUANTITIES["section area per length"], _Door("section area per length")
]
SectionModulusPerLength = Annotated[
    float, QUANTITIES["section modulus per length"], _Door("section modulus per length")
]
BendingStiffnessPerLength = Annotated[
    float, QUANTITIES["bending stiffness per length"], _Door("bending stiffness per length")
]
MomentPerLength = Annotated[float, QUANTITIES["moment per length"], _Door("moment per length")]
Ratio = Annotated[float, QUANTITIES["ratio"], _Door("ratio")]
ShareOfDesignLoad = Annotated[
    float, QUANTITIES["share of the design load"], _Door("share of the design load")
]
Count = Annotated[float, QUANTITIES["count"], _Door("count")]
Duration = Annotated[float, QUANTITIES["duration"], _Door("duration")]
Volume = Annotated[float, QUANTITIES["volume"], _Door("volume")]
Minutes = Annotated[float, QUANTITIES["minutes"], _Door("minutes")]
Percent = Annotated[float, QUANTITIES["percent"], _Door("percent")]

PositiveLength = Annotated[Length, Field(gt=0)]
NonNegativeLength = Annotated[Length, Field(ge=0)]
PositiveSmallLength = Annotated[SmallLength, Field(gt=0)]
NonNegativeStress = Annotated[Stress, Field(ge=0)]
PositiveRatio = Annotated[Ratio, Field(gt=0)]
