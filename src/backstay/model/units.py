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


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[Any]:
    import pint

    registry: UnitRegistry[Any] = pint.UnitRegistry(cache_folder=None)
    for line in ("psf = lbf / foot ** 2", "ksf = kip / foot ** 2", "pcf = lbf / foot ** 3", "kcf = kip / foot ** 3"):
        if line.split(" = ", 1)[0] not in registry:
            registry.define(line)
    return registry


@lru_cache(maxsize=4096)
def _factor(unit: str, wanted: str) -> float | None:
    """Return the factor from `unit` to `wanted`, or None if it is no such unit."""
    import pint

    registry = _registry()
    spelt = unit.replace("°", "degree").replace("²", "**2").replace("³", "**3").replace("·", "*")
    spelt = re.sub(r"\bcorr\b", "", spelt)
    if not re.fullmatch(r"[A-Za-z0-9*/ .()^%'-]{1,40}", spelt) or (
        "**" in spelt and re.search(r"\*\*\s*\d\d", spelt)
    ):
        return None
    try:
        return float(registry.Quantity(1.0, spelt.replace("^", "**")).to(wanted).magnitude)
    except (
        pint.PintError,
        AttributeError,
        TypeError,
        ValueError,
        ArithmeticError,
        SyntaxError,
        KeyError,
    ):
        return None
    except Exception:
        return None


def accepted(quantity: Quantity, units: UnitSystem) -> str:
    """Say what a field of this quantity accepts: ``a number in ft, or text such as "30 ft"``."""
    label = quantity.unit(units).label.replace("°", "deg")
    if not label:
        return "a number"
    return f'a number in {quantity.unit(units).label}, or text with a unit, such as "12 {label}"'


def parse(value: Any, quantity: Quantity, units: UnitSystem) -> float:
    """Return the internal value of what stands in the file.

    Raises PydanticCustomError with what was read and what is accepted.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise _refusal("not_a_quantity", value, quantity, units)
    if isinstance(value, str):
        match = _NUMBER_WITH_UNIT.fullmatch(value)
        if match is None:
            raise _refusal("not_a_quantity", value, quantity, units)
        number, unit = float(match[1]), (match[2] or "").strip()
        if unit:
            in_si = _factor(unit, quantity.si.pint)
            if in_si is None:
                raise _refusal("wrong_unit", value, quantity, units)
            return _finite(number * in_si / quantity.si.factor, value, quantity, units)
        value = number
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    return _finite(quantity.internal(number, units), value, quantity, units)


def _finite(number: float, read: Any, quantity: Quantity, units: UnitSystem) -> float:
    if not math.isfinite(number):
        raise _refusal("not_finite", read, quantity, units)
    return number


def _refusal(kind: str, value: Any, quantity: Quantity, units: UnitSystem) -> PydanticCustomError:
    reasons = {
        "not_a_quantity": "this is not a number",
        "wrong_unit": f"this is not a unit of {quantity.name}",
        "not_finite": "the number must be finite",
    }
    return PydanticCustomError(
        kind, "{reason}; accepted: {accepted}",
        {"reason": reasons[kind], "accepted": accepted(quantity, units)},
    )  # fmt: skip


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
Strength = Annotated[float, QUANTITIES["strength"], _Door("strength")]
Modulus = Annotated[float, QUANTITIES["modulus"], _Door("modulus")]
UnitWeight = Annotated[float, QUANTITIES["unit weight"], _Door("unit weight")]
StressGradient = Annotated[float, QUANTITIES["stress gradient"], _Door("stress gradient")]
SubgradeModulus = Annotated[float, QUANTITIES["subgrade modulus"], _Door("subgrade modulus")]
Force = Annotated[float, QUANTITIES["force"], _Door("force")]
ForcePerLength = Annotated[float, QUANTITIES["force per length"], _Door("force per length")]
SectionModulusPerLength = Annotated[
    float, QUANTITIES["section modulus per length"], _Door("section modulus per length")
]
BendingStiffnessPerLength = Annotated[
    float, QUANTITIES["bending stiffness per length"], _Door("bending stiffness per length")
]
MomentPerLength = Annotated[float, QUANTITIES["moment per length"], _Door("moment per length")]
Ratio = Annotated[float, QUANTITIES["ratio"], _Door("ratio")]
Count = Annotated[float, QUANTITIES["count"], _Door("count")]
Duration = Annotated[float, QUANTITIES["duration"], _Door("duration")]

PositiveLength = Annotated[Length, Field(gt=0)]
NonNegativeLength = Annotated[Length, Field(ge=0)]
PositiveSmallLength = Annotated[SmallLength, Field(gt=0)]
NonNegativeStress = Annotated[Stress, Field(ge=0)]
PositiveRatio = Annotated[Ratio, Field(gt=0)]
