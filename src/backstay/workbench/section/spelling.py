"""How a value goes into the project file, and how it is shown to be typed over."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from backstay.quantity import Quantity, UnitSystem

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)")
_WRITTEN, _SHOWN = 9, 6
"""Significant digits of a value that is written, and of one that is shown to be typed over: more than
any survey or load test knows."""


@dataclass(frozen=True, slots=True)
class Spelling:
    """shown: the units that a person sees; own: those of the project file."""

    shown: UnitSystem
    own: UnitSystem

    def written(self, quantity: Quantity, value: float) -> str | float | int:
        """Return an internal value as it goes into the file: bare in its own units, else with its unit."""
        number = self.number(quantity, value, _WRITTEN)
        unit = quantity.unit(self.shown)
        if unit == quantity.unit(self.own):
            return int(number) if re.fullmatch(r"-?\d+", number) else float(number)
        return f"{number} {unit.label}"

    def typed(self, quantity: Quantity | None, text: str) -> str | float | int:
        """Return what a person typed as it goes into the file: a bare number is in the units shown."""
        text = text.strip()
        if quantity is not None and quantity.si.pint == "dimensionless":
            text = text.removesuffix(quantity.si.label).strip()  # its words are for the eye
        if quantity is None or not _NUMBER.fullmatch(text):
            return text
        unit = quantity.unit(self.shown)
        if unit != quantity.unit(self.own):
            return f"{text} {unit.label}"
        return int(text) if re.fullmatch(r"[-+]?\d+", text) else float(text)

    def number(self, quantity: Quantity, value: float, digits: int = _SHOWN) -> str:
        """Return an internal value in the units shown, as short as it can be without loss to the eye."""
        shown = float(f"{quantity.shown(value, self.shown):.{digits}g}") + 0.0
        text = format(Decimal(repr(shown)), "f")  # never with an exponent
        return text.rstrip("0").rstrip(".") if "." in text else text

    def text(self, quantity: Quantity, value: float, digits: int = _SHOWN) -> str:
        """Return an internal value with its unit, to be typed over: ``91.5 ft``."""
        label = quantity.unit(self.shown).label
        number = self.number(quantity, value, digits)
        return f"{number}{label}" if label in ("°", "%", "") else f"{number} {label}"
