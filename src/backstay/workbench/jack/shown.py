"""Numbers and words as a tablet shows them: ready-made in both systems of units.

A tablet may lose the server and change its units without it, so that everything is sent twice.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from backstay.checks import expand
from backstay.quantity import QUANTITIES, UnitSystem

T = TypeVar("T")
_PLACES = 4
_LEAST = {("small length", UnitSystem.US): 3, ("small length", UnitSystem.SI): 2}
"""Decimals at least: those of a dial."""


def both(make: Callable[[UnitSystem], T]) -> dict[str, T]:
    """Return something in SI and in US customary units."""
    return {system.value: make(system) for system in UnitSystem}


def text(value: float | None, quantity: str, units: UnitSystem) -> str:
    """Return a value with its unit, empty where there is none; rounded as those within words."""
    if value is None:
        return ""
    return QUANTITIES[quantity].text(float(f"{value:.9g}"), units)


def typed(value: float | None, quantity: str, units: UnitSystem) -> str:
    """Return a value as a person would type it, to four decimals at most and without its unit."""
    if value is None:
        return ""
    whole, _, places = f"{QUANTITIES[quantity].shown(value, units):.{_PLACES}f}".partition(".")
    least = _LEAST.get((quantity, units), 0)
    kept = places.rstrip("0").ljust(least, "0")
    shown = f"{whole}.{kept}" if kept else whole
    return shown.removeprefix("-") if float(shown) == 0.0 else shown


def number(value: float, quantity: str, units: UnitSystem) -> float:
    """Return a value in the unit shown, for the tablet to compare what is typed with."""
    return round(QUANTITIES[quantity].shown(value, units), 6)


def words(sentence: str, units: UnitSystem) -> str:
    """Return words with their quantities written in the units."""
    return expand(sentence, units)


def labels(units: UnitSystem) -> dict[str, str]:
    """Return the units that are typed in."""
    names = {"gauge": "gauge pressure", "load": "force", "dial": "small length", "length": "length"}
    return {key: QUANTITIES[name].unit(units).label for key, name in names.items()}


def capital(sentence: str) -> str:
    """Return a sentence that begins with a capital."""
    return sentence[:1].upper() + sentence[1:]


Json = dict[str, Any]
"""Plain data, as it goes to the tablet."""
