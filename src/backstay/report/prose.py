"""Sentences of a derivation as printed: units written out, letters and powers as a printer sets them."""

from __future__ import annotations

import re
from math import floor, log10

from backstay.checks import expand
from backstay.quantity import UnitSystem

MEMORY_MARK = "†"
"""Stands after a citation that was not re-read."""
_GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "epsilon": "ε", "phi": "φ",
    "sigma": "σ", "Omega": "Ω",
}  # fmt: skip
_SPELT = {"sqrt(": "√(", "45 degrees": "45°", " (from memory)": f" {MEMORY_MARK}"}
_LETTER = re.compile(rf"(?<![A-Za-z])({'|'.join(_GREEK)})(?![A-Za-z])")
_POWER = re.compile(r"\^([0-9])")
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_EXPONENT = re.compile(r"(?<![\w.])(\d(?:\.\d+)?)e([+-]?\d+)(?!\w)")
_SMALL = re.compile(r"(?<![\w.])0\.0000\d+(?!\w)")


def prose(text: str, units: UnitSystem) -> str:
    """Return text with its quantities in a unit system, ready to print."""
    return typeset(expand(text, units))


def typeset(text: str) -> str:
    """Return text with Greek letters, powers and very small numbers as a printer sets them."""
    text = _LETTER.sub(lambda m: _GREEK[m[1]], text)
    text = _POWER.sub(lambda m: m[1].translate(_RAISED), text)
    text = _SMALL.sub(lambda m: _scientific(float(m[0])), text)
    text = _EXPONENT.sub(lambda m: _scientific(float(m[0])), text)
    for written, printed in _SPELT.items():
        text = text.replace(written, printed)
    return text


def _scientific(value: float) -> str:
    """Return a number as one digit times a power of ten."""
    if value == 0.0:
        return "0"
    power = floor(log10(value))
    digit = round(value / 10.0**power)
    if digit == 10:
        digit, power = 1, power + 1
    return f"{digit}" if power == 0 else f"{digit} × 10{str(power).translate(_RAISED)}"
