"""The slip model of a slope, as the project file describes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from backstay.errors import DesignError
from backstay.ground import GAMMA_W
from backstay.model.ground import UndrainedStrength
from backstay.model.slope import KnownSurface, Slope, SlopePoint, SlopeStratum
from backstay.model.slope_loads import SlopeLine, SlopeStrip
from backstay.stability.slip.model import Circle, Floats, PressureGrid, ShearForce, SlipModel

Water = Literal["as it moved", "to design for"]


def slope_model(slope: Slope, *, shaken: bool = False, water: Water = "as it moved") -> SlipModel:
    """Return the model of a slope. Raises DesignError where a stratum has no strength or no top."""
    surface = points_of(slope.profile)
    strata = slope.strata
    tops = tuple(_top(s, surface) for s in strata[1:])
    lines = (surface, *tops)
    for s in strata:
        _refuse_without_strength(s)
    undrained = [_undrained(s) for s in strata]
    crack, quake = slope.tension_crack, slope.earthquake if shaken else None
    return SlipModel(
        surface=surface,
        tops=tops,
        gamma=np.array([s.moist_unit_weight for s in strata]),
        gamma_sat=np.array([s.saturated_unit_weight for s in strata]),
        phi=np.array([0.0 if u[0] else s.friction_angle or 0.0 for s, u in zip(strata, undrained, strict=True)]),
        c=np.array([0.0 if u[0] else s.cohesion for s, u in zip(strata, undrained, strict=True)]),
        slides=slope.slides_to,
        su=np.array([u[0] for u in undrained]),
        su_gradient=np.array([u[1] for u in undrained]),
        su_datum=np.array(
            [float(line[:, 1].max()) - u[2] for line, u in zip(lines, undrained, strict=True)]
        ),
        anisotropy=_anisotropy(strata),
        impenetrable=np.array([s.slides == "no" for s in strata]),
        water=_water(slope, surface, water),
        gamma_w=GAMMA_W,
        flow="hydrostatic" if slope.water_flow == "hydrostatic" else "along the table",
        ru=np.array([s.pore_pressure_ratio or 0.0 for s in strata]),
        grid=_grid(slope),
        strips=_strips(slope, surface),
        forces=_forces(slope, surface),
        kh=quake.kh if quake else 0.0,
        kv=quake.kv if quake else 0.0,
        crack=crack.depth if crack else 0.0,
        crack_water=crack.water if crack else 0.0,
        piles=tuple(
            ShearForce(x=p.x, top=p.top, bottom=p.bottom, capacity=p.capacity) for p in slope.piles
        ),
    )  # fmt: skip


def known_surface(known: KnownSurface) -> Circle | Floats:
    """Return the known slip surface. Raises DesignError unless it is given in one way."""
    if known.centre is not None and known.radius is not None and not known.points:
        return Circle(known.centre.x, known.centre.elevation, known.radius)
    if len(known.points) >= 2 and known.centre is None and known.radius is None:
        return points_of(known.points)
    raise DesignError("give the slip surface as centre and radius, or as points", "slip surface")


def points_of(points: Sequence[SlopePoint]) -> Floats:
    """Return points as an array (n, 2)."""
    return np.array([(p.x, p.elevation) for p in points], dtype=float)


def _whole_width(line: Floats, surface: Floats) -> Floats:
    """Return a line with its ends held level as far as the surveyed ground reaches."""
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    ends = np.array([(left, line[0, 1]), (right, line[-1, 1])])
    before = ends[:1] if line[0, 0] > left else ends[:0]
    after = ends[1:] if line[-1, 0] < right else ends[:0]
    return np.concatenate((before, line, after))


def _top(stratum: SlopeStratum, surface: Floats) -> Floats:
    if stratum.top is not None and not stratum.top_line:
        return np.array([(surface[0, 0], stratum.top), (surface[-1, 0], stratum.top)])
    if stratum.top is None and len(stratum.top_line) >= 2:
        return _whole_width(points_of(stratum.top_line), surface)
    raise DesignError("a stratum below the first needs top, or top_line", f"stratum {stratum.name}")


def _water(slope: Slope, surface: Floats, which: Water) -> Floats | None:
    line = slope.design_water if which == "to design for" and slope.design_water else slope.water
    return _whole_width(points_of(line), surface) if line else None


def _grid(slope: Slope) -> PressureGrid | None:
    given = slope.pore_pressures
    if given is None:
        return None
    return PressureGrid(
        x=np.array(given.x), y=np.array(given.elevations), u=np.array(given.pressure, dtype=float)
    )


def _strips(slope: Slope, surface: Floats) -> Floats:
    left, right = float(surface[0, 0]), float(surface[-1, 0])
    found: list[tuple[float, float, float]] = []
    for load in slope.surcharges:
        if isinstance(load, SlopeStrip):
            found.append((max(load.from_x, left), min(load.to_x, right), load.pressure))
        elif not isinstance(load, SlopeLine):
            found.append((left, right, load.pressure))
    return np.array(found, dtype=float).reshape(-1, 3)


def _forces(slope: Slope, surface: Floats) -> Floats:
    """Return line loads as forces at the surface (p, 4)."""
    downhill = slope.slides_to
    if downhill == "lower end":
        downhill = "left" if surface[0, 1] <= surface[-1, 1] else "right"
    sign = -1.0 if downhill == "left" else 1.0
    found = [
        (load.x, float(np.interp(load.x, surface[:, 0], surface[:, 1])), sign * load.horizontal, -load.load)
        for load in slope.surcharges
        if isinstance(load, SlopeLine)
    ]  # fmt: skip
    return np.array(found, dtype=float).reshape(-1, 4)


def _anisotropy(strata: Sequence[SlopeStratum]) -> Floats | None:
    if all(s.anisotropy is None for s in strata):
        return None
    return np.array(
        [
            (s.anisotropy.active, s.anisotropy.direct, s.anisotropy.passive)
            if s.anisotropy
            else (1.0, 1.0, 1.0)
            for s in strata
        ]
    )


def _undrained(stratum: SlopeStratum) -> tuple[float, float, float]:
    """Return an undrained strength, its gradient, and how far below the top it holds (m).

    A strength that begins with nil is told a metre deeper: nil stands for drained ground.
    """
    given = stratum.undrained_strength
    if isinstance(given, UndrainedStrength):
        if given.at_top == 0.0:
            return given.gradient, given.gradient, 1.0
        return given.at_top, given.gradient, 0.0
    return given or 0.0, 0.0, 0.0


def _refuse_without_strength(stratum: SlopeStratum) -> None:
    strong = stratum.friction_angle or stratum.cohesion or _undrained(stratum)[0]
    if not strong and stratum.slides == "yes":
        raise DesignError(
            "no strength is given: friction_angle, cohesion or undrained_strength",
            f"stratum {stratum.name}",
        )
