"""Handles: what can be dragged in a picture, and what a drag writes into the project file.

A handle stands at a place of the model, moves as its `way` allows, and carries values of the file. Where
it is moved to is read back as values, these are snapped to a grid in the units that the person sees,
and written as changes. Nothing here knows a page or a drawing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot
from typing import Any

from pydantic_core import PydanticCustomError

from backstay.model.changes import Change, Set
from backstay.model.document import Path
from backstay.model.units import parse
from backstay.quantity import QUANTITIES, Quantity, UnitSystem
from backstay.workbench.section.spelling import Spelling

Place = tuple[float, float]
"""Distance behind the wall and depth below its top (m)."""
LENGTH, ANGLE = QUANTITIES["length"], QUANTITIES["angle"]


class Way(StrEnum):
    """Which way a handle goes."""

    VERTICAL = "up and down"
    HORIZONTAL = "left and right"
    ALONG = "along the tendon"
    AROUND = "around the head"
    FREE = "any way"


@dataclass(frozen=True, slots=True)
class Step:
    """Grid of a quantity in the units shown: coarse, and fine while a key is held."""

    coarse: float
    fine: float


STEPS: dict[str, dict[UnitSystem, Step]] = {
    "length": {UnitSystem.SI: Step(0.1, 0.01), UnitSystem.US: Step(0.5, 0.1)},
    "angle": {UnitSystem.SI: Step(1.0, 0.1), UnitSystem.US: Step(1.0, 0.1)},
}
_SAME = 1e-9
"""Less than this (m, rad) is no move."""


@dataclass(frozen=True, slots=True)
class Held:
    """A value of the project file that a handle carries, in internal units.

    across: whether it is the one that arrows to the left and right change; sign: -1 where the value
    falls as the handle goes up or to the right; inside: keys of mappings between the path and the
    value that the file does not have yet.
    """

    path: Path
    quantity: Quantity
    value: float
    across: bool = False
    sign: int = 1
    inside: tuple[str, ...] = ()

    def set(self, value: str | float) -> Set:
        """Return the change that gives it a value, as written in the file."""
        made: Any = value
        for key in reversed(self.inside):
            made = {key: made}
        return Set(self.path, made)


Follow = tuple[Held, float]
"""A value of the file that goes along, and what it then is (internal units)."""


def _alone(_: Sequence[float]) -> Sequence[Follow]:
    return ()


@dataclass(frozen=True, slots=True)
class Handle:
    """Something that can be dragged.

    id: stable while the project's lists keep their order; label: what a person reads and hears; at:
    where it stands; thing: the path of what it belongs to; held: its values, the first one named;
    read: the values of a place, in the order of `held`; note: of a value that the file leaves open;
    follows: what must go along with values of `held`, as heads of anchors with the face.
    """

    id: str
    label: str
    at: Place
    way: Way
    thing: Path
    held: tuple[Held, ...]
    read: Callable[[Place], Sequence[float]]
    note: str = ""
    follows: Callable[[Sequence[float]], Sequence[Follow]] = _alone


def moved(handle: Handle, to: Place, spelling: Spelling, *, fine: bool = False) -> list[Change]:
    """Return what the project file must say for a handle to stand at a place; nothing for no move.

    Values are snapped to the grid of the units shown: where a value was off the grid it comes onto it.
    """
    if hypot(to[0] - handle.at[0], to[1] - handle.at[1]) < _SAME:
        return []
    values = [
        snapped(value, held.quantity, spelling.shown, fine=fine)
        for held, value in zip(handle.held, handle.read(to), strict=True)
    ]
    return changes_to(handle, values, spelling)


def stepped(
    handle: Handle,
    values: Sequence[float],
    spelling: Spelling,
    *,
    right: int = 0,
    up: int = 0,
    fine: bool = False,
) -> list[float]:
    """Return the values of a handle after steps of the arrow keys, from values that it has now."""
    found = []
    for held, value in zip(handle.held, values, strict=True):
        count = held.sign * (right if held.across else up)
        if not count and handle.way in (Way.ALONG, Way.HORIZONTAL, Way.AROUND):
            count = held.sign * (up if held.across else right)
        step = _step(held.quantity, spelling.shown, fine=fine)
        shown = held.quantity.shown(value, spelling.shown) + count * step
        found.append(
            snapped(held.quantity.internal(shown, spelling.shown), held.quantity, spelling.shown,
                    fine=fine) if count else value
        )  # fmt: skip
    return found


def changes_to(handle: Handle, values: Sequence[float], spelling: Spelling) -> list[Change]:
    """Return what the project file must say for a handle to have values; nothing for those it has."""
    own = [
        held.set(spelling.written(held.quantity, value))
        for held, value in zip(handle.held, values, strict=True)
        if abs(value - held.value) > _SAME
    ]
    return [*own, *along_with(handle, values, spelling)] if own else []


def along_with(handle: Handle, values: Sequence[float], spelling: Spelling) -> list[Change]:
    """Return what goes along with values of a handle, to the finest of its grid that is drawn to."""
    found: list[Change] = []
    for held, value in handle.follows(values):
        finest = 0.1 * _step(held.quantity, spelling.shown, fine=True)
        shown = round(held.quantity.shown(value, spelling.shown) / finest) * finest
        to = held.quantity.internal(shown, spelling.shown)
        if abs(to - held.value) > _SAME:
            found.append(held.set(spelling.written(held.quantity, to)))
    return found


def typed(handle: Handle, parts: Sequence[str], spelling: Spelling) -> list[Change]:
    """Return what the project file must say for what a person typed, one text for each value."""
    changes: list[Change] = [
        held.set(spelling.typed(held.quantity, part))
        for held, part in zip(handle.held, parts, strict=True)
    ]
    try:
        values = [
            parse(part, held.quantity, spelling.shown)
            for held, part in zip(handle.held, parts, strict=True)
        ]
    except PydanticCustomError:
        return changes  # it is refused, with the reason
    return [*changes, *along_with(handle, values, spelling)]


def snapped(value: float, quantity: Quantity, units: UnitSystem, *, fine: bool = False) -> float:
    """Return the value (internal) on the grid of a unit system that is nearest to a value."""
    step = _step(quantity, units, fine=fine)
    return quantity.internal(round(quantity.shown(value, units) / step) * step, units)


def _step(quantity: Quantity, units: UnitSystem, *, fine: bool) -> float:
    step = STEPS[quantity.name][units]
    return step.fine if fine else step.coarse


def values_after(handle: Handle, changes: Sequence[Change], spelling: Spelling) -> list[float]:
    """Return the values (internal units) that changes give a handle."""
    made = {change.path: change.value for change in changes if isinstance(change, Set)}
    found = []
    for held in handle.held:
        value: Any = made.get(held.path)
        for key in held.inside:
            value = value.get(key) if isinstance(value, dict) else None
        found.append(held.value if value is None else parse(value, held.quantity, spelling.own))
    return found


def value_text(handle: Handle, values: Sequence[float], spelling: Spelling) -> str:
    """Return the values of a handle with their units, as a person hears them."""
    shown = [spelling.text(h.quantity, v) for h, v in zip(handle.held, values, strict=True)]
    return ", ".join(dict.fromkeys(shown))
