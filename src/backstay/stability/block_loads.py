"""Surcharges on the block of the lower failure plane: which count, and what stands behind a line."""

from __future__ import annotations

from math import inf

from backstay.model.loads import Footing, Line, Strip, Surcharge, Traffic, Uniform
from backstay.model.project import Section
from backstay.stability.block import Load

_LINE_WIDTH = 0.1


def counted_loads(section: Section, notes: list[str]) -> tuple[list[Surcharge], list[Surcharge]]:
    """Return the loads that always act, and those that may be absent; point loads are left out."""
    always: list[Surcharge] = []
    at_times: list[Surcharge] = []
    for load in section.surcharges:
        made: Surcharge = load
        if isinstance(load, Footing):
            made = _strip(load.name, load.distance, load.width, load.pressure)
            notes.append(f"{load.name} is taken as a strip as long as the wall for deep sliding.")
        elif not isinstance(load, Uniform | Traffic | Strip | Line):
            notes.append(f"{load.name} is too local to count in deep sliding.")
            continue
        (at_times if load.acts == "temporary" else always).append(made)
    return always, at_times


def _strip(name: str, distance: float, width: float, pressure: float) -> Strip:
    return Strip.model_construct(
        kind="strip", name=name, distance=distance, width=width, pressure=pressure, elevation=None
    )


def standing_behind(load: Surcharge, x: float) -> Surcharge | None:
    """Return the part of a local load behind x, with distances from x, or None."""
    if isinstance(load, Strip):
        near, far = max(load.distance - x, 0.0), load.distance + load.width - x
        return _strip(load.name, near, far - near, load.pressure) if far > near else None
    if isinstance(load, Line) and load.distance > x:
        return load.model_copy(update={"distance": load.distance - x})
    return None


def as_pressure(load: Surcharge) -> Load | None:
    """Return a load as pressure on the surface."""
    if isinstance(load, Uniform | Traffic):
        return (0.0, inf, load.pressure)
    if isinstance(load, Strip):
        return (load.distance, load.distance + load.width, load.pressure)
    if isinstance(load, Line):
        half = 0.5 * _LINE_WIDTH
        return (load.distance - half, load.distance + half, load.load / _LINE_WIDTH)
    return None
